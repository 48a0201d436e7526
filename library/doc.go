// Package library holds service sheets of common circuits, for units without
// papers.
//
// "The closest schematic I could find" is enough to begin. A restorer picks the
// circuit that is nearest to what stands on the board, sets the values that can be
// read off the parts, and has a sheet to reason with: rails, test points with what
// to expect there, hazards, and a circuit that can be solved with each part failing.
//
//	halfsplit library list
//	halfsplit library copy series-pass my.sheet.yaml --set "value of C1 = 2200 uF" --set "T1 secondary = 18 V"
//
// A value is set without touching the structure of the sheet: comments and layout
// stay as they are written. What follows from it is worked out by solving the
// circuit anew: the voltages to expect on rails and at test points, and the ripple
// of what is not regulated.
//
// The sheets are drawn from textbooks and application notes, which each of them
// names under "papers"; what is from memory is said to be.
package library
