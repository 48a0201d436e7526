// Package upkeep answers the question of the shelf: which unit of a collection is
// the next to burn, which the next to fail, and what is to be done about it first.
//
// A unit rests or runs in a room of some warmth, so many hours a day. From its
// sheet come the hazards and the parts; from the workshop's records, what was made
// safe, what was replaced and when, and what was seen damaged. [Assess] says of one
// unit what in it is likely to fail in the years to come, which of that does harm,
// why, and what to do in which order. [Rank] puts a whole collection in order, the
// most urgent first. A unit without a sheet is taken to hold what its kind and year
// make likely, and every such line says that it is a guess.
//
// # The order
//
// There are no points. What counts is, in this order ([Score.Compare]):
//
//  1. the class of danger ([Danger]): damage that was seen comes first, then what can
//     burn by itself, what kills whoever opens or powers it unprepared, what can eat or
//     burn the board, what can hurt, and last what only wears;
//  2. how likely harm is within the years looked ahead: likely from one in ten,
//     possible from one in a hundred, else seldom (the first two borders of the levels
//     of probability of MIL-STD-882, from memory);
//  3. how many parts are expected to fail in these years.
//
// # How it is reckoned
//
// A part fails by chance, and some wear out. The cumulative hazard of a part over N
// years is
//
//	Λ = φ · r · N · h + φ/φₖ · (W(t+N) − W(t)) + Q
//
// and it fails with the chance 1 − exp(−Λ). Here r is the usual rate of such a part in
// the middle of these years, from kind, age, warmth and what it bears
// (fault.Kind.Rate); φ what benches have seen of its sort beside what is usual
// (package experience), and φₖ the same of its kind as a whole; h how much it runs;
// W the wear of the kinds that wear out; and Q what rest without voltage adds.
//
//   - h = (hours + 0.1 · (24 − hours)) / (4 + 0.1 · 20): a part at rest fails a tenth as
//     often as one that runs, and four hours a day are usual (common practice, no source).
//   - W of an electrolytic is ln 2 · (c/4)², with c the share of its life that is used up
//     (package part/life): half are worn at four times the stated life, four in a hundred
//     at once the stated life, which makers say that most parts surpass (common practice,
//     no source).
//   - W of a paper capacitor is ln 2 · (t/40 years)⁴: half have failed at forty years, whether
//     they ran or not, since they draw damp (common practice, no source).
//   - W of a battery is ln 2 · (t/m)³: half have leaked at m years, which depends on what
//     it is made of ([Chemistry]; common practice, no source).
//   - Q of an electrolytic is 0.05 · (1 − exp(−ln 2 · (R/S)²)), with R the years without
//     voltage, and S the shelf life: ten years at 35 °C (Cornell Dubilier, "Shelf life
//     and re-aging", 1993), doubled for every 10 K less. One in twenty of those that are
//     past it fails when it is powered without being reformed (common practice, no
//     source).
//
// The hours a day are those of its whole life; years of rest are not taken off, since a
// unit that rests ages too. All figures are orders of magnitude: they set one unit
// beside another, and what a bench sees corrects them.
//
// Nothing here replaces looking. Mains and picture tubes kill; local codes and
// licensed practice come first.
//
// The package is pure: values in, values out; the date is an argument.
package upkeep
