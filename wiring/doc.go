// Package wiring turns parts as a restorer writes them down into a circuit that
// can be solved.
//
// A service sheet says "Q3, power transistor, type: pnp, gain 40, between these
// three nodes". The package knows which nodes each kind of part has and in which
// order they are named, which data-sheet figures it takes and in which unit, and
// what a part of its class is like where a figure is not known: somebody who
// knows only "small npn" or "1 A rectifier" gets a part that can be believed.
// What cannot be right is answered by what would be.
//
// It knows nothing of pages and files; package sheet brings it the parts.
package wiring
