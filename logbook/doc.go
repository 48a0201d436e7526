// Package logbook reads case files: what was done to one unit, as a logbook
// in text.
//
// A case names the unit, the service sheet it is reasoned with, the meters,
// and then, entry by entry, what was seen, measured, tested, changed and
// proved. It is written in ink: an entry that turns out wrong is not altered
// but corrected by a later one that names it.
package logbook
