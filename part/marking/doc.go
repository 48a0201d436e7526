// Package marking reads what is marked on a resistor, capacitor, coil or chip,
// and writes how a value would be marked.
//
// A marking is short, and the same one can mean several things: 104 is 100 nF on
// a capacitor and 100 kΩ on a chip resistor, 47K is 47 kΩ or 47 pF of ±10 %,
// 4721 is 4.72 kΩ or a date. [Read] lists every reading, ranks them, and says
// where each code is published. What has the shape of a code but cannot be one is
// refused with the reason. [Write] is the inverse: the colour bands, letter and
// digit codes that a value, tolerance and voltage would be marked with.
//
// A value outside the preferred numbers is seldom right, so such a reading goes
// down the list; so does one that the kind of part makes unlikely. Give
// [Context.Kind] where the kind of part is known. The weights behind the ranking
// are common practice, no source.
package marking
