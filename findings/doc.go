// Package findings turns a case and its service sheet into what the restorer
// wants to know: verdicts on what was measured, suspects, the next best test,
// what to make sure of before a swap, and how far the repair is proved.
//
// It joins the pure packages: metrology and part judge readings, flow foretells
// them from signal flow and power tree, diagnosis weighs sets of faults and
// tests, soak weighs runs.
package findings
