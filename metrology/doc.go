// Package metrology answers one question: is this reading good, bad, or too
// close to call?
//
// A meter that shows 4.78 V does not say that the rail is at 4.78 V. It says
// that the rail is somewhere near, within the accuracy that its maker
// promises: so many per cent of the reading and so many digits. The package
// turns that promise into a standard uncertainty, adds the rounding of the
// display, the scatter of repeated readings and the load that the meter puts
// on the circuit, and weighs the result against the limits that the load
// really has. The answer is one of four words: "within", "within, near the
// limit", "too close to call", "outside". When it is too close, the verdict
// also says what would settle it: more digits, a better meter (how good), or
// more readings (how many).
//
// How the files follow the work:
//
//   - [Instrument] and [Accuracy]: what the meter promises, with
//     [Instruments] for common kinds.
//   - [Instrument.Evaluate]: from a [Reading] to a [Measurement] with its
//     budget of uncertainty.
//   - [Repeats], [Combine], [Propagate]: the rules for uncertainty.
//   - [Loading], [LeadCorrection], [Waveform]: what the meter does to what it
//     measures.
//   - [Limit], [FamilyLimit], [CommonPractice]: what the load can stand.
//   - [Conform], [Limit.Guarded], [GlobalRisks]: the chances.
//   - [Judge]: the [Verdict].
//
// Every number is a float64 in SI units; relative quantities are fractions
// (0.05 is 5 %). Temperatures are in degrees Celsius, which is how meters are
// specified. Nothing here reads a file or a clock, and nothing is changed
// behind the caller's back.
//
// The rules come from two guides of the Joint Committee for Guides in
// Metrology: JCGM 100:2008, "Evaluation of measurement data: Guide to the
// expression of uncertainty in measurement", and JCGM 106:2012, "Evaluation
// of measurement data: The role of measurement uncertainty in conformity
// assessment". Clause numbers are given beside each formula, partly from
// memory: one may be off by a step.
//
// Measuring on a powered unit can hurt: a verdict says nothing about
// whether it is safe to put the probe there. Follow local codes and leave
// licensed work to those who are licensed.
package metrology
