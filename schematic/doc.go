// Package schematic draws a circuit: the schematic that the service notes of an
// old unit may lack, made from nothing but a list of parts between named nodes.
//
// Somebody who has traced a supply with a meter writes down "R7 lies between raw
// and out". The package draws it the way the trade reads it: sources on the left
// and the flow to the right, what is higher in voltage higher on the page, ground
// as marks at the bottom, each part with its designator and value, each node with
// its name and test points, a dot where wires meet and none where they cross. The
// marks follow the conventions of IEC 60617.
//
// The drawing is a model, Drawing, that can be looked at by a program, and is
// written as SVG by WriteSVG. What is drawn has the very netlist that was given:
// the tests read the connections back from the lines alone. An Overlay puts on
// top what is known at the bench: how much each part is suspected, what was read
// at a node and what was expected, where to measure next.
//
// # How it finds the places
//
// Parts stand in columns, on lines a fixed step apart. Beginning near where flow
// and voltage draw them, they are moved about, wildly at first and then only for
// the better, until wires are short and straight and few parts stand unusually
// (simulated annealing: Kirkpatrick, Gelatt, Vecchi, "Optimization by Simulated
// Annealing", Science 220, 1983). The numbers that look random are the same each
// time, so the same circuit is always drawn alike. Then each node's wires are
// laid one by one on a grid along the cheapest way, where bends and crossings
// cost (Lee, "An Algorithm for Path Connections and Its Applications", IRE
// Transactions on Electronic Computers, 1961, with the estimate of Hart, Nilsson
// and Raphael, 1968). Of several such drawings the one that is easiest to follow
// is taken. A Spot says where a part stands when that is not good enough.
package schematic
