// Exampledata makes the recordings and dumps of the example machines, so that
// nobody has to take them on trust: what a circuit gives is solved from its
// service sheet, noise is drawn from a fixed sequence, and each run writes the same
// files. Run it from the root of the repository:
//
//	go run ./tools/exampledata
package main
