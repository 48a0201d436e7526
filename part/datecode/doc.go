// Package datecode reads the date that is marked on a part: the four digits on a
// chip, the two characters on a capacitor, the source-date code on a
// potentiometer or transformer.
//
// A date code is short, and so it is ambiguous. 8312 is the twelfth week of 1983,
// or December 1983; 1283 is week 12 of 1983 too, written the other way round; R1
// is January 1983, 2003 or 2023. [Read] lists every reading that is possible and
// ranks them by the date of the unit the part sits in, where that is known:
// parts are made some months before the unit, seldom after it, and a part that
// is years newer was put in later. What cannot be a date is said with the reason:
// there is no week 54.
//
// Weeks are those of ISO 8601: a week begins on Monday, and week 1 holds the
// year's first Thursday. Works calendars of the period could differ from it by a
// week, and may stamp a week 53 where ISO has none; that is flagged, not refused.
//
// The weights behind the ranking are common practice, no source.
package datecode
