// Package hazard knows what in an old unit can hurt, and reckons how much.
//
// A reservoir capacitor that was switched off a minute ago may still hold
// enough to throw an arm across the bench. How much it holds is ½CV²
// ([Store.Energy]); how long a bleeder takes to bring it down is RC ln(V₀/V)
// ([Discharge.TimeTo]); which bleeder would do it in time, and what power and
// working voltage it must be made for, is [ChooseBleeder]. A filter capacitor
// from the mains to the case lets 2πfCV flow through whoever touches the case
// ([TouchCurrent]); what is allowed depends on how the unit is earthed
// ([Class]). Before the first power-up a lamp in series with the mains limits
// what a short can do ([Lamp], [ChooseLamp]), and a switching supply needs a
// load before its rails mean anything ([ChooseDummyLoad]).
//
// [Find] makes the list of hazards for one unit from what is known of it, and
// [Item.Holds] tells which steps must wait until a hazard is answered.
//
// All values are float64 in SI units. The package is pure: values in, values
// out. Every limit names its source, and says where the standard itself could
// not be read.
//
// None of this replaces local codes or licensed practice. Mains and picture
// tubes kill; leave what you are not practised in to those who are. Whatever a
// calculation here says, measure before you touch.
package hazard
