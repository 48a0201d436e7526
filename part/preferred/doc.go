// Package preferred knows the values in which resistors and capacitors are made:
// the series E3 to E192 of IEC 60063, "Preferred number series for resistors and
// capacitors".
//
// A part drawer holds 4.7 kΩ and no 5 kΩ, because values follow a series with
// equal ratios: E12 has twelve to the decade, and parts of ±10 % just meet. The
// package answers which value of a series lies nearest to the one wanted, which
// is the next above or below, and which series a marked value belongs to. A
// value that belongs to none is usually a marking read wrongly.
//
// Nearest is by ratio, since tolerances are ratios: of the E6 values 22 and 33,
// 27 lies nearer to 33 by ratio, though nearer to 22 by difference.
package preferred
