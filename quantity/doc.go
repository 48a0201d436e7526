// Package quantity reads and writes numbers with units the way the trade
// writes them.
//
// A parts list says "4k7", "2200 uF 25 V", "±5 %" or "-20..+50 %"; a service
// note says "at most 50 mV" or "45 min". This package turns such text into
// plain SI numbers that can be calculated with, and turns numbers back into
// text that a restorer would have written. It refuses what it cannot read with
// certainty, and every refusal says where the trouble is and what would be
// right.
//
// # What is accepted
//
// A number has a decimal point, never a decimal comma, and no separators
// between thousands. A minus sign may be typed as a hyphen or as U+2212. The
// micro sign may be typed as u, as U+00B5 or as the Greek letter U+03BC, and
// the ohm as Ω (U+2126 or U+03A9), ohm, ohms or R. A prefix or a unit letter
// may stand in place of the decimal point, as in 4k7, 0R22, 2n2 and 5V6.
//
// Capital and small letters matter where they decide a value: m is milli and M
// is mega. Kilo may be written k or K. Prefixes that no bench meets, such as
// megavolts or megafarads, are refused, because they are nearly always a
// misprint for millivolts or an old marking for microfarads. "mfd" and "MFD"
// are read as microfarads and "mmfd" as picofarads, as old drawings use them.
//
// # What is inside
//
// Values are in SI units: volts, ohms, farads, seconds. A few units of the
// trade are kept as they are, because that is how they are calculated with:
// Celsius temperature in degrees Celsius, decibels in decibels, ampere-hours in
// ampere-hours. A percentage is kept as a fraction, so that 5 % is 0.05, and
// parts per million per kelvin as a fraction per kelvin.
//
// # Round trips
//
// For every Quantity, Interval or Tolerance whose unit is known and whose
// numbers are zero or lie between 1e-30 and 1e30 in magnitude, reading the text
// that String writes gives back the very same floating-point numbers, bit for
// bit, except that a negative zero comes back as zero. Decimal digits are moved,
// never multiplied, so 4.7 nF is the number nearest to 4.7e-9.
package quantity
