package experience

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfsplit/fault"
)

// Key names a sort of part. What is not known is left empty. Capitals and blanks
// at the ends do not matter.
type Key struct {
	Kind   string // as package fault names it, or one of its other names
	Family string // type or series marking: "74LS157", "blue radial 85 °C"
	Maker  string
	Batch  string // date code or lot as marked: "8136"
}

// String gives the key in words: "electrolytic, blue radial, Norbel, batch 8136".
func (k Key) String() string {
	words := []string{k.Kind}
	for _, w := range []string{k.Family, k.Maker} {
		if w != "" {
			words = append(words, w)
		}
	}
	if k.Batch != "" {
		words = append(words, "batch "+k.Batch)
	}
	return strings.Join(words, ", ")
}

// folded is the key by which like sorts are found: the kind by its own name, all
// in small letters without blanks at the ends.
func (k Key) folded() Key {
	if kind, ok := fault.Find(k.Kind); ok {
		k.Kind = kind.Name
	}
	fold := func(text string) string { return strings.ToLower(strings.TrimSpace(text)) }
	return Key{fold(k.Kind), fold(k.Family), fold(k.Maker), fold(k.Batch)}
}

// Count is what was seen of a sort of part. No field is negative.
type Count struct {
	Failed   int // found bad
	Good     int // found good, on test or at work
	Replaced int // taken out as a precaution while they still worked
	// Years is how many years all of these have lived together, the failed ones up
	// to their failure; where some of them were counted before, only the years since
	// then. Zero when not known. Parts that were only at work, and were not looked
	// at, may give years alone.
	Years float64
}

// Seen is the number of parts that were looked at.
func (c Count) Seen() int { return c.Failed + c.Good + c.Replaced }

// Plus is both counts together.
func (c Count) Plus(d Count) Count {
	return Count{c.Failed + d.Failed, c.Good + d.Good, c.Replaced + d.Replaced, c.Years + d.Years}
}

// Record is one report of a bench: what it saw of one sort of part at about one age
// on one occasion. Records are written in ink: one that was wrong is not altered
// but followed by another with the same bench and ID and a higher revision, which
// counts in its place. A record is a plain value and can be compared.
type Record struct {
	Bench    string // who counted; no two benches bear the same name
	ID       string // the bench's own name of the report: "job 17, C3 to C9"
	Revision int    // 1 for the first, higher for corrections
	Key
	Age Band
	Count
}

// Limits of what a record may say.
const (
	longestName = 200 // characters
	mostParts   = 1_000_000
	mostYears   = 1e9
)

// Validate reports everything that cannot be right in a record.
func (r Record) Validate() error {
	var wrong []error
	report := func(format string, args ...any) { wrong = append(wrong, fmt.Errorf(format, args...)) }
	for _, name := range []struct {
		what, text string
		needed     bool
	}{
		{"bench", r.Bench, true}, {"id", r.ID, true}, {"kind", r.Kind, true}, {"family", r.Family, false}, {"maker", r.Maker, false}, {"batch", r.Batch, false},
	} {
		switch {
		case name.needed && strings.TrimSpace(name.text) == "":
			report("no %s is given; a record names its bench, its id and the kind of part", name.what)
		case utf8.RuneCountInString(name.text) > longestName:
			report("the %s is longer than %d characters", name.what, longestName)
		case !utf8.ValidString(name.text) || strings.ContainsFunc(name.text, unprintable):
			report("the %s %q is not plain text on one line", name.what, name.text)
		}
	}
	if _, known := fault.Find(r.Kind); !known && strings.TrimSpace(r.Kind) != "" {
		report("%q is no kind of part", r.Kind)
	}
	if r.Revision < 1 || r.Revision > mostParts {
		report("revision %d; the first is 1, each correction one more", r.Revision)
	}
	if !r.Age.valid() {
		report("age band %d; bands go from 1 (0-10 years) to %d, and 0 is not known", int(r.Age), int(lastBand))
	}
	for _, n := range []struct {
		what  string
		value int
	}{{"failed", r.Failed}, {"good", r.Good}, {"replaced", r.Replaced}} {
		if n.value < 0 || n.value > mostParts {
			report("%d %s; write a number of parts from 0 to %d", n.value, n.what, mostParts)
		}
	}
	if !(r.Years >= 0 && r.Years <= mostYears) {
		report("%v years; write the years that all parts have lived together, 0 when not known", r.Years)
	}
	if r.Revision == 1 && r.Count == (Count{}) {
		report("it counts nothing; only a correction, revision 2 or more, may withdraw what was counted")
	}
	return errors.Join(wrong...)
}

// unprintable tells what no name has: all but letters, marks, digits, signs and the
// plain blank.
func unprintable(r rune) bool { return !unicode.IsPrint(r) }

// Compare orders records: by bench, ID and revision first. It is zero only for equal
// ones.
func (r Record) Compare(s Record) int {
	return cmp.Or(
		strings.Compare(r.Bench, s.Bench), strings.Compare(r.ID, s.ID), cmp.Compare(r.Revision, s.Revision),
		strings.Compare(r.Kind, s.Kind), strings.Compare(r.Family, s.Family), strings.Compare(r.Maker, s.Maker), strings.Compare(r.Batch, s.Batch),
		cmp.Compare(r.Age, s.Age), cmp.Compare(r.Failed, s.Failed), cmp.Compare(r.Good, s.Good), cmp.Compare(r.Replaced, s.Replaced), cmp.Compare(r.Years, s.Years),
	)
}

// usual is how many failures are expected of what a record counts.
func (r Record) usual() float64 {
	kind, ok := fault.Find(r.Kind)
	if !ok {
		return 0
	}
	life := fault.Life{Age: r.Age.Middle()}
	if r.Years > 0 {
		return r.Years * kind.Rate(life)
	}
	return float64(r.Seen()) * kind.Share(life)
}

// Band is a decade of age: 1 for parts up to ten years old, 5 for forty to fifty,
// and so on to 20. Zero is not known.
type Band uint8

const lastBand Band = 20

// BandOf gives the band of an age in years; not known for one below zero, and the
// last band for one beyond it.
func BandOf(years float64) Band {
	if !(years >= 0) {
		return 0
	}
	return Band(math.Min(years/10, float64(lastBand)-1)) + 1
}

func (b Band) valid() bool { return b <= lastBand }

// Middle is the age in years that stands for the band; 0 for one not known.
func (b Band) Middle() float64 {
	if b == 0 {
		return 0
	}
	return 10*float64(b) - 5
}

// String gives the band in years, as in "40-50"; empty for one not known.
func (b Band) String() string {
	if b == 0 {
		return ""
	}
	return fmt.Sprintf("%d-%d", 10*int(b)-10, 10*int(b))
}

// ParseBand reads what String writes.
func ParseBand(text string) (Band, error) {
	for b := range lastBand + 1 {
		if b.String() == text {
			return b, nil
		}
	}
	return 0, fmt.Errorf("%q is no band of age; write a decade in years, such as 40-50", text)
}
