// Package memory turns failing addresses and bits into chips, and chips into a
// plan.
//
// A self-test says "bit 3, 4000 to 7FFF", or a tester lists a million failing
// addresses. An [Array] knows which chip holds which bit of which bank, also
// where banks are interleaved and where the address reaches the chips in two
// halves. [Read] reads such a list row by row and a [Tally] counts it, in memory
// that does not grow with the list. [Tally.Diagnose] then weighs what the
// failures look like: cells, a row, the output or the decoder of one chip, one
// cell disturbing another, or something outside the chips: an address line, a
// bank select, a data line, refresh, the supply. Replacing a bank of good chips
// cures none of the latter, so they are named with their probabilities beside
// the chips.
//
// [PlanSwaps] says what it costs to replace chips one by one, half a bank at a
// time, or all at once, when chips of one marking and date tend to die together
// and every failure found later means taking the unit apart again.
//
// [March] holds the tests that find such faults, in the notation of A. J. van de
// Goor, "Testing Semiconductor Memories: Theory and Practice" (1991), and what
// each of them guarantees to find.
//
// The second half of the package is about read-only memories: checksums and
// hashes of an [Image], data or address lines that do not move, and several
// dumps of one chip, which together say more than any of them ([Compare]).
//
// The package is pure: values in, values out; chance only from a generator that
// is handed in.
package memory
