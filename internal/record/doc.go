// Package record says what a workshop keeps for decades: units, the jobs done
// on them, the logbook of each job written in ink, sheets, photos, traces,
// instruments, and the parts drawer.
//
// It holds plain values and what makes one of them right or wrong (Check). How
// they are kept is the affair of package store, and what is done with them that
// of package bench.
//
// A thing that may be edited carries a Revision: whoever saves it must have seen
// the last one, so that two screens cannot overwrite each other. An Entry of
// a logbook has none: it is never edited, only corrected by a later entry. A
// version of a sheet has none either: a job keeps the one it was reasoned with.
package record
