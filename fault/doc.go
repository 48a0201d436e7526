// Package fault says what can go wrong with each kind of part or stage, how
// likely it is beside other kinds, and what the outside sees of it.
//
// A shorted tantalum pulls its rail down; a dead gate holds its output; a
// cracked joint passes nothing when it is pushed the wrong way. Each kind has
// a handful of such modes. Their weights are common practice without a single
// source: they only start the reasoning, and two good readings outweigh them.
package fault
