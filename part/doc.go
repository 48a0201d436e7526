// Package part knows the parts on a board as a restorer meets them: what was
// read on one, what it was specified to be, and what that says.
//
// It begins with the capacitor and one question: pulled from the board, or
// still on it, is this one good, worn, spent or dangerous? Describe the part
// with a [Capacitor] (kind, marked value, tolerance, rated voltage, and any
// limit that the service sheet gives), put what the meter and the eye found
// into a [CapacitorReading], and ask [Capacitor.Judge]. The verdict is a word
// with its reasons: each names the quantity, the reading, the limit, where the
// limit comes from and what was assumed. What was not read is named as well,
// because a capacitance in tolerance does not clear a capacitor whose series
// resistance nobody read.
//
// Three habits run through the judgement.
//
// A reading proves only what it can prove. Read in circuit, a low series
// resistance may be the neighbour's; a high one, above what any parallel
// resistor could feign, is proof. A leakage read at less than the rated
// voltage can condemn but not clear. [Reason.Clears], [Reason.Condemns] and
// [Reason.Because] say which way each reading can point.
//
// A reading has an uncertainty. Where twice the standard uncertainty reaches
// across a limit, the verdict is [TooCloseToCall] and gives the two words
// between which it lies.
//
// A limit has a source: the sheet's own, or else a maker's data for the kind of
// part, or else [CommonPractice], and the reason says which.
//
// All values are float64 in SI units: farad, ohm, ampere, volt, hertz, second
// and kelvin. The package is pure: values in, values out.
//
// Work on capacitors across the mains, or charged ones, can kill. The words of
// this package judge a part on the bench; they do not replace discharging it,
// local codes, or a licensed person where the law asks for one.
package part
