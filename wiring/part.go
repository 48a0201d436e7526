package wiring

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"halfsplit/circuit"
	"halfsplit/quantity"
)

// A Part is one part as it is written down. Quantities are in SI units.
type Part struct {
	Name, Kind, Type string
	Value            *quantity.Quantity
	Rated            []quantity.Quantity // voltage, current, power
	Tolerance        *quantity.Tolerance
	Settings         []Entry
	Nodes            []string
}

// An Entry is a setting with its text.
type Entry struct{ Name, Text string }

// A Mistake is something wrong with one part. Key is what it is about: "kind",
// "nodes", "value", "type", "rated" or "settings"; then Setting is the number of
// the entry, and -1 when none is. OnText says that Offset bytes of the text of
// the setting come before what is wrong. Missing says that nothing is wrong but
// that something is not known, without which the part cannot be simulated.
type Mistake struct {
	Part, Key     string
	Setting       int
	OnText        bool
	Missing       bool
	Offset        int
	Problem, Want string
}

// Error gives the part, what is wrong with it, and what would be right.
func (m *Mistake) Error() string {
	text := fmt.Sprintf("part %q: %s", m.Part, m.Problem)
	if m.Want != "" {
		text += "; " + m.Want
	}
	return text
}

// reader reads the figures of one part.
type reader struct {
	part     Part
	kind     Kind
	numbers  map[string][]float64
	words    map[string]string
	typeText string              // in small letters
	typed    []quantity.Quantity // figures in the type: "1 A 400 V"
	when     Moment
	mistakes []*Mistake
}

// figures matches a figure with its unit within a type.
var figures = regexp.MustCompile(`(?:^|[ ,;/(])(\d+(?:\.\d+)? ?(?:mA|A|V|VA|W|mW))\b`)

// Figures reads the figures with their units within a type, such as those of
// "fast 1 A 800 V".
func Figures(typeText string) []quantity.Quantity {
	var list []quantity.Quantity
	for _, found := range figures.FindAllStringSubmatch(typeText, -1) {
		if q, err := quantity.Parse(found[1]); err == nil {
			list = append(list, q)
		}
	}
	return list
}

// read reads the settings of a part whose kind is known.
func read(p Part, k Kind, when Moment) *reader {
	r := &reader{part: p, kind: k, when: when, numbers: map[string][]float64{}, words: map[string]string{}, typeText: strings.ToLower(p.Type)}
	r.typed = Figures(p.Type)
	if ok, want := k.fits(len(p.Nodes)); !ok {
		problem := fmt.Sprintf("%s has %s, not %d", article(p.Kind), want, len(p.Nodes))
		if len(p.Nodes) == 0 {
			problem = "it names no nodes"
		}
		r.wrong("nodes", problem, "name them in this order: "+k.Order())
	}
	switch {
	case p.Value == nil && k.Needed:
		r.missing("value", "the value is missing", fmt.Sprintf("write it, as in \"value: %s\"", k.Value.Example()))
	case p.Value != nil && !k.HasValue:
		r.wrong("value", article(p.Kind)+" has no value", "its settings are "+strings.Join(k.SettingNames(), ", "))
	case p.Value != nil && p.Value.Unit != k.Value:
		r.wrong("value", fmt.Sprintf("the value %s is in %s", p.Value, p.Value.Unit.Name()), "write it in "+k.Value.Name())
	case p.Value != nil && (p.Value.Value == 0 || p.Value.Value < 0 && !k.Signed):
		r.wrong("value", fmt.Sprintf("the value %s is not above zero", p.Value), "write a value above zero")
	}
	for i, entry := range p.Settings {
		r.entry(i, entry)
	}
	return r
}

// entry reads one setting.
func (r *reader) entry(i int, entry Entry) {
	s, ok := r.kind.setting(entry.Name)
	note := func(onText bool, offset int, problem, want string) {
		r.mistakes = append(r.mistakes, &Mistake{Part: r.part.Name, Key: "settings", Setting: i, OnText: onText, Offset: offset, Problem: problem, Want: want})
	}
	if !ok {
		note(false, 0, fmt.Sprintf("%s has no setting %q", article(r.part.Kind), entry.Name), "")
		return
	}
	text := strings.TrimSpace(entry.Text)
	if s.Words != nil {
		word := strings.ToLower(text)
		if !slices.Contains(s.Words, word) {
			note(true, 0, fmt.Sprintf("%q: unknown word %.40q", s.Name, text), "write "+oneOf(s.Words))
			return
		}
		r.words[s.Name] = word
		return
	}
	pieces := []string{entry.Text}
	if s.List {
		pieces = strings.FieldsFunc(entry.Text, func(c rune) bool { return c == '/' || c == ':' || c == ',' })
	}
	var list []float64
	at := 0
	for _, piece := range pieces {
		at += strings.Index(entry.Text[at:], piece)
		lead := len(piece) - len(strings.TrimLeft(piece, " \t"))
		q, err := quantity.ParseAs(strings.TrimSpace(piece), s.Unit)
		if err != nil {
			offset, problem, want := at+lead, err.Error(), ""
			if e := (*quantity.Error)(nil); errors.As(err, &e) {
				offset, problem, want = at+lead+e.Offset, fmt.Sprintf("cannot read %.40q: %s", e.Text, e.Problem), e.Want
			}
			note(true, offset, fmt.Sprintf("%q: %s", s.Name, problem), want)
			return
		}
		if bare := strings.Trim(piece, " \t0123456789.-"); bare == "" && s.Unit != quantity.None && s.Unit != quantity.Ohm {
			note(true, at+lead, fmt.Sprintf("%q: %.40q has no unit", s.Name, strings.TrimSpace(piece)), "write it, as in "+s.Like)
			return
		}
		if q.Value < 0 && !s.Any || q.Value == 0 && !s.Any && !s.Zero {
			bound := "above zero"
			if s.Zero {
				bound = "of zero or more"
			}
			note(true, at+lead, fmt.Sprintf("%q is %s", s.Name, q), "write a value "+bound+", as in "+s.Like)
			return
		}
		list = append(list, q.Value)
		at += len(piece)
	}
	if len(list) == 0 {
		note(true, 0, fmt.Sprintf("%q is empty", s.Name), "write it as in "+s.Like)
		return
	}
	r.numbers[s.Name] = list
}

// oneOf lists words to choose from.
func oneOf(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// wrong notes a mistake about a key of the part.
func (r *reader) wrong(key, problem, want string) {
	r.mistakes = append(r.mistakes, &Mistake{Part: r.part.Name, Key: key, Setting: -1, Problem: problem, Want: want})
}

// missing notes that something is not known.
func (r *reader) missing(key, problem, want string) {
	r.wrong(key, problem, want)
	r.mistakes[len(r.mistakes)-1].Missing = true
}

// wrongSetting notes a mistake about a setting that is given.
func (r *reader) wrongSetting(name, problem, want string) {
	i := slices.IndexFunc(r.part.Settings, func(e Entry) bool { return e.Name == name })
	r.mistakes = append(r.mistakes, &Mistake{Part: r.part.Name, Key: "settings", Setting: i, OnText: i >= 0, Problem: problem, Want: want})
}

// has tells whether a setting is given.
func (r *reader) has(name string) bool {
	return r.numbers[name] != nil || r.words[name] != ""
}

// number is a setting, or what is assumed when it is not given.
func (r *reader) number(name string, standard float64) float64 {
	if list := r.numbers[name]; list != nil {
		return list[0]
	}
	return standard
}

// change sets a figure when the setting is given.
func (r *reader) change(name string, figure *float64) {
	if list := r.numbers[name]; list != nil {
		*figure = list[0]
	}
}

// word is a setting that is a word, or what is assumed when it is not given.
func (r *reader) word(name, standard string) string {
	if w := r.words[name]; w != "" {
		return w
	}
	return standard
}

// says tells whether the type holds one of the words.
func (r *reader) says(words ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(r.typeText, w) })
}

// value is the value, or what is assumed when there is none.
func (r *reader) value(standard float64) float64 {
	if r.part.Value == nil {
		return standard
	}
	return r.part.Value.Value
}

// rated is a rating, taken from the type when it is not given otherwise; 0 when
// neither says it.
func (r *reader) rated(unit quantity.Unit) float64 {
	for _, list := range [][]quantity.Quantity{r.part.Rated, r.typed} {
		for _, q := range list {
			if q.Unit == unit {
				return q.Value
			}
		}
	}
	return 0
}

// polarity reads npn or pnp, n or p channel.
func (r *reader) polarity() circuit.Polarity {
	standard := "n"
	if r.says("pnp", "p-channel", "p channel") {
		standard = "p"
	}
	if r.word("polarity", standard)[0] == 'p' {
		return circuit.P
	}
	return circuit.N
}
