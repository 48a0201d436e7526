// Package picture draws curves over an axis they share, as SVG: the voltages of
// a circuit, a trace with its temperature below it, a spectrum, a soak curve.
//
// The colours can be told apart by those who see colours differently, long
// curves are thinned so that no peak is lost, and names stand beside the picture
// where they hide nothing.
package picture
