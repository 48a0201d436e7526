// Command halfsplit helps a restorer from symptoms to a proven repair.
package main

func main() {}
