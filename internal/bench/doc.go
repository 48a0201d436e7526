// Package bench is what one does with the records: a job's logbook becomes a
// case that is reasoned over, an entry is checked against the sheet and the
// hazards before it goes into the ink, a case file becomes a job and back, and
// what all jobs have taught becomes odds for the next.
//
// It knows nothing of how records are kept or shown.
package bench
