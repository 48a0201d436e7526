package library

import (
	"fmt"
	"slices"
	"strings"

	"halfsplit/form"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// Wrong says what is wrong with a change to a sheet, and what would be right.
type Wrong struct {
	Change  string // as written
	Problem string
	Hint    string // may be empty
}

// Error gives the change, what is wrong with it, and what would be right.
func (w *Wrong) Error() string {
	text := fmt.Sprintf("%q: %s", w.Change, w.Problem)
	if w.Hint != "" {
		text += "; " + w.Hint
	}
	return text
}

// thing is a part, rail, point, hazard or block of a sheet, or its model.
type thing struct{ section, name string }

// sections are those whose items have values that can be set: under which key an
// item has its name, which of its values is meant when none is named, and which can
// be set. All other keys make the structure of a sheet.
var sections = []struct {
	name, named, main string
	keys              []string
}{
	{"parts", "part", "value", []string{"value", "type", "rated", "tolerance", "power", "highest esr", "highest leakage", "class", "age", "date", "odds", "replace", "measure", "where", "note"}},
	{"rails", "rail", "nominal", []string{"nominal", "limits", "family", "ripple", "load", "least load", "trips at", "odds", "note"}},
	{"testpoints", "point", "expect", []string{"expect", "limits", "ripple", "source resistance", "reach", "takes", "where", "note"}},
	{"hazards", "hazard", "", []string{"where", "do", "capacitance", "voltage", "bleeder", "note"}},
	{"blocks", "block", "", []string{"type", "odds", "replace", "measure", "where", "note"}},
	{"model", "", "", []string{"name", "maker", "kind", "year", "mains", "frequency", "power", "protection", "supply", "papers", "covers", "warm after", "note"}},
}

// things lists what has a name on a sheet, in the order of the sections.
func things(s *sheet.Sheet) (list []thing) {
	add := func(section, name string) {
		if one := (thing{section, name}); !slices.Contains(list, one) {
			list = append(list, one)
		}
	}
	for i := range s.Parts {
		add("parts", s.Parts[i].Name.Text)
	}
	for _, c := range s.Circuits.All() {
		for i := range c.Parts {
			add("parts", c.Parts[i].Name.Text)
		}
	}
	for i := range s.Rails {
		add("rails", s.Rails[i].Name.Text)
	}
	for i := range s.Points {
		add("testpoints", s.Points[i].Name.Text)
	}
	for i := range s.Hazards {
		add("hazards", s.Hazards[i].Name.Text)
	}
	for i := range s.Blocks {
		add("blocks", s.Blocks[i].Name.Text)
	}
	return append(list, thing{"model", "model"})
}

// change is one value that is to be set.
type change struct {
	text  string // as written
	of    thing
	key   string // of the thing, or a setting of a part
	value string
}

// parseChange reads "value of C1 = 2200 uF". The name of the value may stand
// behind that of the thing, and be left out where it is the one that is meant
// first: "C1 value = 2200 uF", "C1 = 2200 uF".
func parseChange(text string, s *sheet.Sheet) (change, error) {
	left, right, ok := strings.Cut(text, "=")
	left, right = strings.Join(strings.Fields(left), " "), strings.TrimSpace(right)
	c := change{text: text, value: right}
	switch {
	case !ok:
		return c, &Wrong{text, "it sets nothing", `write what to set, "=" and its value, as in "value of C1 = 2200 uF"`}
	case left == "":
		return c, &Wrong{text, "it does not say what to set", `write it before the "=", as in "value of C1 = 2200 uF"`}
	case right == "":
		return c, &Wrong{text, "it has no value", `write it behind the "=", as in "value of C1 = 2200 uF"`}
	case strings.ContainsAny(right, "\n\r"):
		return c, &Wrong{text, "the value goes over several lines", "write it in one"}
	}
	all := things(s)
	for _, named := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		if c.find(left, all, named, s) {
			return c, c.check(s)
		}
	}
	return c, c.lost(left, all)
}

// find finds what the left side of a change names. Of several things of one name
// that is meant which has the key.
func (c *change) find(left string, all []thing, same func(a, b string) bool, s *sheet.Sheet) bool {
	found := false
	take := func(of thing, key string) {
		key = strings.ToLower(key)
		if key == "" {
			key = of.main(s)
		}
		switch known := slices.Contains(of.keys(s), key); {
		case !found, known && !slices.Contains(c.of.keys(s), c.key), len(of.name) > len(c.of.name) && known:
			c.of, c.key, found = of, key, true
		}
	}
	for _, of := range all {
		if same(left, of.name) {
			take(of, "")
		}
	}
	if found && c.key != "" {
		return true
	}
	if model := (thing{"model", "model"}); !found && slices.Contains(model.keys(s), strings.ToLower(left)) {
		take(model, left)
	}
	for _, of := range all {
		if cut := len(left) - len(of.name); cut > 4 && same(left[cut:], of.name) && left[cut-4:cut] == " of " {
			take(of, left[:cut-4])
		}
		if n := len(of.name); len(left) > n+1 && left[n] == ' ' && same(left[:n], of.name) {
			take(of, left[n+1:])
		}
	}
	return found
}

// lost says that the left side names nothing on the sheet.
func (c *change) lost(left string, all []thing) error {
	var known []string
	for _, of := range all {
		known = append(known, of.name)
	}
	name := left
	if at := strings.LastIndex(left, " of "); at >= 0 {
		name = left[at+4:]
	} else if first, _, several := strings.Cut(left, " "); several && form.Nearest(left, known) == "" {
		name = first
	}
	return &Wrong{c.text, fmt.Sprintf("nothing on the sheet is called %q", name), form.Suggest(name, known)}
}

// check says whether the key is one that can be set.
func (c *change) check(s *sheet.Sheet) error {
	keys := c.of.keys(s)
	if slices.Contains(keys, c.key) {
		return nil
	}
	if c.key == "" {
		return &Wrong{c.text, fmt.Sprintf("it does not say which value of %s to set", c.of.name), fmt.Sprintf("write it, as in \"%s of %s = ...\"; %s", keys[0], c.of.name, form.Suggest("", keys))}
	}
	return &Wrong{c.text, fmt.Sprintf("%s has no value %q that can be set", c.of.name, c.key), form.Suggest(c.key, keys)}
}

// main is the key of a thing that is meant when none is named; empty when there is
// none.
func (t thing) main(s *sheet.Sheet) string {
	keys := t.keys(s)
	for _, one := range sections {
		if one.name == t.section && slices.Contains(keys, one.main) {
			return one.main
		}
	}
	if p := s.Part(t.name); t.section == "parts" && p != nil && strings.EqualFold(p.Kind.Text, "load") {
		return "current"
	}
	return ""
}

// keys lists the values of a thing that can be set. Those of a part are the
// settings of its kind, too.
func (t thing) keys(s *sheet.Sheet) []string {
	var keys []string
	for _, one := range sections {
		if one.name == t.section {
			keys = append(keys, one.keys...)
		}
	}
	if t.section != "parts" {
		return keys
	}
	p := s.Part(t.name)
	if p == nil {
		return keys
	}
	kind, _ := wiring.Find(p.Kind.Text)
	if list := windings(p); len(list) > 0 {
		keys = append(append(list, kind.SettingNames()...), keys...)
		kind.Settings = nil
	}
	if p.Value.Text == "" { // its kind has none
		keys = slices.DeleteFunc(keys, func(key string) bool { return key == "value" })
	}
	if s.Block(t.name) != nil { // which says of what type it is
		keys = slices.DeleteFunc(keys, func(key string) bool { return key == "type" })
	}
	return append(kind.SettingNames(), keys...)
}
