// Package watch watches live meters: it takes their readings at equal intervals,
// judges each against the limits of what is measured, keeps them in a file from
// the first moment, and shows them.
//
// A fault that comes when warm comes when nobody looks. A watch looks, and what
// it saw is on disk before it is shown: whatever ends the watch, a power failure
// in the workshop or a knock against the plug, the rows up to then are kept.
//
// The files follow a reading: a Wanted says which meter is meant, as typed; a
// Channel is what it measures, with its limits; Run takes rows of readings; a Log
// keeps them; a Tally sums them up; a Soak says how far they prove a repair; Lines,
// JSON, Screen and SoakLines show them. Nothing here looks at the clock: times
// come with the readings.
package watch
