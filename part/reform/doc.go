// Package reform plans how the oxide of an aluminium electrolytic that stood
// without voltage is formed anew, and when to give it up.
//
// The oxide that insulates the foils thins over the years, so that an old part
// leaks when it is switched on, warms, and may vent. Fed through a resistor that
// lets at most a milliampere through, and raised in steps, most parts build it up
// again within hours; one whose leakage will not fall is spent.
//
// Published procedures differ by factors of a hundred in the resistor and eight in
// time ([Procedures]). The gentlest is the one planned unless another is asked
// for, since haste has nothing to offer a part of forty years.
//
// The voltages here can kill, and a part that fails can burst. Work behind a
// cover, with the part out of the unit, and never leave it alone; local codes and
// licensed practice come first.
package reform
