// Package banks asks of the memories of a service sheet what a restorer would
// ask: which chip, what kind of fault, what to replace. It puts the answers into
// words, figures for programs and pictures.
package banks
