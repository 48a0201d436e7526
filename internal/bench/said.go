package bench

import (
	"halfsplit/internal/record"
	"halfsplit/logbook"
)

// Said tells an entry in words; as it stands in the logbook where it cannot be
// read.
func Said(e *record.Entry) string {
	read, err := logbook.ParseEntry(e.Line)
	if err != nil {
		return e.Line
	}
	return read.Say()
}
