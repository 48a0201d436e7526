// Package fit turns a course over time into the few numbers that matter on the
// bench: the time constant of a warm-up and the value at which it will end, the
// drift of a voltage with temperature, and the temperature at which a thermal
// intermittent fails.
//
// Each number comes with a 95 % interval, and the interval is meant. Readings
// that a logger takes every second are not independent of each other: what a
// simple formula would make of ten thousand of them is far too narrow. The
// intervals here are computed from how the residuals really hang together.
//
// LeastSquares is the general fit beneath, for any curve.
package fit
