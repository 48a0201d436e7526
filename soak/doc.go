// Package soak says how long a repaired unit must run before "fixed" is
// believable.
//
// A fault that comes when the unit is warm leaves a restorer with a question
// that patience alone does not answer: it has run for three quarters of an
// hour without a fault; is that enough? The answer depends on what was seen
// before the repair. A unit that failed once after half an hour would, left
// unrepaired, well get through three quarters of an hour, two times in five even
// if nothing but that one failure is taken for granted, so the clean run says
// little: nine hours would be needed. Had it been made to fail three times, a
// little over two would settle the matter. Only running that is at least as hot as the
// failures counts, and a failure that depends on the cold start is proved by
// counting starts, not hours.
//
// [Assess] takes the runs before the repair, the runs since, and what is
// assumed, and gives two numbers that are both called "95 % sure" on the bench
// and are not the same:
//
//   - by survival: the chance that a unit not repaired at all would have come
//     through the same running; it must fall to 5 %;
//   - by belief: the chance that this unit is fixed, which also uses how likely
//     the repair was to be right before the soak began; it must rise to 95 %.
//
// Both speak of the failure that was seen. They assume that a unit which is
// truly fixed never shows it again, and they say nothing of other faults.
//
// The rest of the package is the reliability arithmetic that this rests on,
// one method a file: the gamma distribution of a failure rate and the Lomax
// prediction from it, Weibull lives with and without a known shape, the
// product-limit estimate, limits on a mean time between failures and on a
// proportion, fixed-length and sequential tests for a fleet of like units.
//
// # Units
//
// Times are seconds, and rates are per second. Nothing in the package depends
// on the size of the unit, so that minutes or hours will do as well, as long
// as one unit is used throughout. Temperatures are degrees Celsius, and
// temperature differences kelvin. Probabilities run from 0 to 1.
//
// # Answers that are not numbers
//
// A time that no running can reach is +Inf. Input that cannot be right gives an
// error that says what would be. No function of the package panics, and none
// returns NaN.
package soak
