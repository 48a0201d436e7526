package record

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// ID numbers a record within its kind, from 1; 0 is none.
type ID int64

// Kind is a kind of record.
type Kind string

// The kinds of records.
const (
	KindUnit       Kind = "unit"
	KindJob        Kind = "job"
	KindEntry      Kind = "entry"
	KindPhoto      Kind = "photo"
	KindTrace      Kind = "trace"
	KindSheet      Kind = "sheet"
	KindInstrument Kind = "instrument"
	KindBin        Kind = "bin"
	KindStock      Kind = "stock"
	KindOrder      Kind = "order"
	KindNeed       Kind = "need"
	KindSoak       Kind = "soak"
	KindDevice     Kind = "device"
	KindSettings   Kind = "settings"
	KindReport     Kind = "report"
)

// Day is a date as the workshop knows it: "2026-03-02", "2026-03", "2026", or
// "" when it is not known.
type Day string

// Begins is the first moment of the day, month or year; false when not known.
func (d Day) Begins() (time.Time, bool) {
	for _, layout := range []string{"2006-01-02", "2006-01", "2006"} {
		if t, err := time.Parse(layout, string(d)); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// check notes a day that is not one.
func (d Day) check(field string, wrong *Invalid) {
	if _, ok := d.Begins(); d != "" && !ok {
		wrong.add(field, "%q is no date; write 2026-03-02, 2026-03 or 2026", string(d))
	}
}

// Most characters that a line and a longer text may have.
const (
	LongestLine = 300
	LongestText = 20_000
)

// line checks a text of one line; need says it must not be empty.
func line(field, text string, need bool, wrong *Invalid) {
	switch {
	case need && strings.TrimSpace(text) == "":
		wrong.add(field, "must be given")
	case strings.ContainsAny(text, "\n\r"):
		wrong.add(field, "must be one line")
	case utf8.RuneCountInString(text) > LongestLine:
		wrong.add(field, "is longer than %d characters", LongestLine)
	}
	readable(field, text, wrong)
}

// prose checks a longer text.
func prose(field, text string, wrong *Invalid) {
	if utf8.RuneCountInString(text) > LongestText {
		wrong.add(field, "is longer than %d characters", LongestText)
	}
	readable(field, text, wrong)
}

// readable notes a text that no page could show.
func readable(field, text string, wrong *Invalid) {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		wrong.add(field, "is not readable text (UTF-8)")
	}
}

// among notes a word that is none of the given ones.
func among[T ~string](field string, word T, words []T, wrong *Invalid) {
	if !slices.Contains(words, word) {
		list := make([]string, len(words))
		for i, w := range words {
			list[i] = string(w)
		}
		wrong.add(field, "%q is not one of: %s", string(word), strings.Join(list, ", "))
	}
}
