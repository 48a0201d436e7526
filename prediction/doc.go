// Package prediction foretells what a meter or scope would read in a circuit
// whose parts fail.
//
// A restorer reasons: if that capacitor were dry, there would be hum on the raw
// rail and the regulator would drop out with every dip; if the rectifier were
// open, the hum would be at mains frequency. This package works that out. From a
// circuit, the state of the bench (mains on or off, boards in or out, parts
// lifted) and a set of troubles it gives the level, ripple and frequency of every
// node, the parts that get too hot and the fuses that blow, with how far the
// tolerances of good parts spread each of these. Where a circuit may do one thing
// or another (start or not, latch or not) there are several ways, each with its
// weight, and never their average.
//
// A way then says how likely a set of readings is, with the accuracy of each
// meter, and what the next reading would be after those that were taken.
package prediction
