package findings

import (
	"halfsplit/part/datecode"
	"halfsplit/part/replacement"
)

// serves says in one line what will do in the place of a part of the sheet, from
// its marking alone; empty where that does not tell.
func (w *work) serves(name string) string {
	original, hot, err := w.sheet.Original(name)
	if err != nil {
		return ""
	}
	need, err := replacement.For(original, replacement.Stress{Hot: hot}, replacement.AsMarked)
	if err != nil || len(need.Requirements) == 0 {
		return ""
	}
	return need.String()
}

// dated says when a part was made by the date marked on it, in the likeliest
// reading, and how that fits the unit's year; empty where no date is noted.
func (w *work) dated(name string) string {
	p := w.sheet.Part(name)
	if p == nil || p.Date == "" {
		return ""
	}
	year := w.logCase.Unit.Year
	if year == 0 {
		year = w.sheet.Model.Year
	}
	readings, _, err := datecode.Read(p.Date, datecode.Window{Unit: year})
	if err != nil || len(readings) == 0 {
		return ""
	}
	text := readings[0].String()
	if against := readings[0].Against(year); against != "" {
		text += ": " + against
	}
	return text
}
