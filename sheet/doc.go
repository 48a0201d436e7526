// Package sheet reads service sheets: text files that describe a model, or
// only the corner of it that is known.
//
// A sheet names the rails and what they come from, the points where one can
// probe and what should be read there, the parts, the blocks a signal passes
// through, memory arrays, circuits, checks such as a self-test, hazards, and
// spots on board photos. Every section may be left out. Every value is
// written the way the trade writes it.
//
// A sheet is read strictly. Each mistake, be it of syntax, of a value or of a
// name that is not defined, is reported with its line and column and with what
// would be right, and all of them at once.
package sheet
