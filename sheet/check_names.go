package sheet

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"halfsplit/form"
)

// names is a set of names that keeps their order, to look up and to suggest.
type names struct {
	list []string
	set  map[string]bool
}

func (n *names) add(all ...form.Word) {
	for _, name := range all {
		n.addText(name.Text)
	}
}

func (n *names) addText(name string) {
	if name == "" || n.set[name] {
		return
	}
	if n.set == nil {
		n.set = map[string]bool{}
	}
	n.set[name] = true
	n.list = append(n.list, name)
}

func (n *names) has(name string) bool { return n.set[name] }

// declaration is where a designator is declared, and as what.
type declaration struct {
	at form.Place
	as string // "a block"
}

// use is one use of a part: what uses it, and where it says so.
type use struct {
	by string
	at form.Place
}

// collect gathers every name that others may refer to and who uses each part,
// and reports names that are declared twice.
func (c *checker) collect() {
	c.declared = map[string]declaration{}
	c.users = map[string][]use{}
	rails, outside, memories, points := seen{}, seen{}, seen{}, seen{}
	for i := range c.Rails {
		r := &c.Rails[i]
		c.starts = append(c.starts, r.Place.Line)
		c.once(rails, r.Name, "rail")
		c.signals.add(r.Name)
		for _, part := range r.Through {
			c.use(part, "rail %q passes through it", r.Name)
		}
	}
	for i := range c.Blocks {
		b := &c.Blocks[i]
		c.starts = append(c.starts, b.Place.Line)
		c.declare(b.Name, "a block")
		c.signals.add(b.Outputs...)
		for _, part := range b.Parts {
			c.use(part, "block %q lists it", b.Name)
		}
	}
	for i := range c.Outside {
		c.starts = append(c.starts, c.Outside[i].Place.Line)
		c.once(outside, c.Outside[i].Signal, "outside signal")
		c.signals.add(c.Outside[i].Signal)
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		c.starts = append(c.starts, p.Place.Line)
		c.declare(p.Name, "a part")
		c.parts.add(p.Name)
		if p.Across.Text != "" {
			c.use(form.Word{Text: p.Name.Text, Place: p.Across.Place}, "it lies across %q", p.Across)
		}
	}
	for name, circuit := range c.Circuits.All() {
		if circuit == nil {
			continue
		}
		c.starts = append(c.starts, name.Place.Line)
		as := fmt.Sprintf("a part of circuit %q", name.Text)
		for i := range circuit.Parts {
			c.starts = append(c.starts, circuit.Parts[i].Place.Line)
			if !c.elsewhere(circuit.Parts[i].Name.Text) {
				c.declare(circuit.Parts[i].Name, as)
			}
			c.nodes.add(circuit.Parts[i].Nodes...)
		}
	}
	for i := range c.Memories {
		m := &c.Memories[i]
		c.starts = append(c.starts, m.Place.Line)
		c.once(memories, m.Name, "memory")
		for _, bank := range m.Banks {
			c.starts = append(c.starts, bank.Place.Line)
			for bit, chip := range bank.Chips {
				c.declare(chip, "a memory chip")
				c.signals.addText(m.ChipSignal(bank.Name.Text, bit))
			}
		}
	}
	for i := range c.Points {
		c.starts = append(c.starts, c.Points[i].Place.Line)
		c.once(points, c.Points[i].Name, "test point")
		c.points.add(c.Points[i].Name)
	}
	for i := range c.Checks {
		c.starts = append(c.starts, c.Checks[i].Place.Line)
		for _, cause := range c.Checks[i].Causes {
			c.starts = append(c.starts, cause.Place.Line)
		}
	}
	for i := range c.Hazards {
		c.starts = append(c.starts, c.Hazards[i].Place.Line)
	}
	for i := range c.Photos {
		c.starts = append(c.starts, c.Photos[i].Place.Line)
	}
	slices.Sort(c.starts)
}

// declare notes the designator of a part, block or chip.
func (c *checker) declare(name form.Word, as string) {
	if name.Text == "" {
		return
	}
	this := declaration{name.Place, as}
	if first, twice := c.declared[name.Text]; twice {
		if before(this.at, first.at) { // blocks are gathered before parts
			c.declared[name.Text] = this
			this, first = first, this
		}
		c.add(this.at, "give each its own name", "%q is already the name of %s on line %d", name.Text, first.as, first.at.Line)
		return
	}
	c.declared[name.Text] = this
	c.items.addText(name.Text)
}

func (c *checker) use(part form.Word, format string, by form.Word) {
	c.users[part.Text] = append(c.users[part.Text], use{fmt.Sprintf(format, by.Text), part.Place})
}

// before tells whether one place comes before another on the page.
func before(a, b form.Place) bool {
	return a.Line < b.Line || a.Line == b.Line && a.Column < b.Column
}

// seen holds where names of one sort stand.
type seen map[string]form.Place

// once reports a name that stands twice.
func (c *checker) once(seen seen, name form.Word, what string) {
	if name.Text == "" {
		return
	}
	if first, twice := seen[name.Text]; twice {
		c.add(name.Place, "give each its own name", "%s %q is already on line %d", what, name.Text, first.Line)
		return
	}
	seen[name.Text] = name.Place
}

// known reports a name that is none of those declared, and tells whether it is
// one.
func (c *checker) known(name form.Word, among *names, what string) bool {
	if name.Text == "" || among.has(name.Text) {
		return true
	}
	if !c.lost(name.Text, false) {
		hint := c.instead(name.Text)
		if hint == "" {
			hint = c.suggest(name.Text, among.list)
		}
		c.add(name.Place, hint, "there is no %s %q", what, name.Text)
	}
	return false
}

// suggest gives a hint for an unknown name, as long as not too many names were
// looked through.
func (c *checker) suggest(name string, known []string) string {
	if c.compared += len(known); c.compared > mostCompared {
		return ""
	}
	return form.Suggest(name, known)
}

// nearest gives the near one of the known names, or "", within the same bounds.
func (c *checker) nearest(name string, known []string) string {
	if c.compared += len(known); c.compared > mostCompared {
		return ""
	}
	return form.Nearest(name, known)
}

// instead says what a name stands for that was used for something else.
func (c *checker) instead(name string) string {
	declared, ok := c.declared[name]
	switch {
	case c.signals.has(name):
		return fmt.Sprintf("%q is a signal or rail", name)
	case c.points.has(name) && !ok:
		if signal := c.Point(name).Signal.Text; signal != "" {
			return fmt.Sprintf("%q is a test point; what is seen there is %q", name, signal)
		}
		return fmt.Sprintf("%q is a test point", name)
	case c.nodes.has(name) && !ok:
		return fmt.Sprintf("%q is a node of a circuit", name)
	case !ok:
		return ""
	}
	if b := c.Block(name); b != nil && len(b.Outputs) > 0 {
		return fmt.Sprintf("%q is a block; what it puts out is %s", name, listed(wordTexts(b.Outputs)))
	}
	return fmt.Sprintf("%q is %s", name, declared.as)
}

// listed joins a few quoted names.
func listed(names []string) string {
	const few = 4
	more := ""
	if len(names) > few {
		more = fmt.Sprintf(" and %d more", len(names)-few)
		names = names[:few]
	}
	return `"` + strings.Join(names, `", "`) + `"` + more
}

// declaring matches a key that declares names, and its value.
var declaring = regexp.MustCompile(`\b(rail|point|part|block|memory|out|outside|chips|answers|nodes)["']?[ \t]*:[ \t]*(\[[^\]]*|[^,}\r\n]*)`)

// lost tells whether a name is declared in a part of the page that could not
// be read, where the mistake is reported already. With pointsAside the name of
// a test point does not count.
func (c *checker) lost(name string, pointsAside bool) bool {
	if len(c.misread) == 0 {
		return false
	}
	if c.named == nil {
		c.named = map[string]bool{}
		for _, found := range declaring.FindAllSubmatch(c.text, -1) {
			for one := range strings.SplitSeq(string(found[2]), ",") {
				one, _, _ = strings.Cut(one, " #")
				one = strings.Trim(one, "[] \t\r\n\"'")
				c.named[one] = c.named[one] || string(found[1]) != "point"
			}
		}
	}
	memory, _, bit := strings.Cut(name, " bank ")
	beside, declared := c.named[name]
	return declared && (beside || !pointsAside) || bit && c.named[memory]
}

// within gives the place of a byte of a word, which may stand in quotes.
func (c *checker) within(word form.Word, offset int) form.Place {
	if c.lines == nil {
		c.lines = bytes.Split(c.text, []byte("\n"))
	}
	const longest = 10000 // bytes in a line that a person writes
	n := word.Place.Line
	if n < 1 || n > len(c.lines) || len(c.lines[n-1]) > longest || offset < 0 || offset > len(word.Text) {
		return word.Place
	}
	line := []rune(strings.TrimPrefix(string(c.lines[n-1]), "\ufeff"))
	column := word.Place.Column - 1
	if column < 0 || column >= len(line) {
		return word.Place
	}
	if line[column] == '"' || line[column] == '\'' {
		column++
	}
	if !strings.HasPrefix(string(line[column:]), word.Text) { // an alias, or escapes
		return word.Place
	}
	return form.Place{Line: n, Column: column + 1 + len([]rune(word.Text[:offset]))}
}

func wordTexts(words []form.Word) []string {
	texts := make([]string, len(words))
	for i, w := range words {
		texts[i] = w.Text
	}
	return texts
}
