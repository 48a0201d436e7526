package findings

import "halfsplit/part/replacement"

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
