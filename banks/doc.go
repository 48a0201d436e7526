// Package banks asks of the memories of a service sheet what a restorer would
// ask: which chip, what kind of fault, what to replace.
package banks
