package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halfsplit/fault"
	"halfsplit/form"
	"halfsplit/part"
	"halfsplit/part/datecode"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// kindOf gives a kind as a sheet names it; the zero Kind, with the name in
// small letters, when there is none.
func kindOf(name string) fault.Kind {
	k, ok := fault.Find(name)
	if !ok {
		k.Name = strings.ToLower(name)
	}
	return k
}

// part checks one part; circuit is nil for one in the list of parts.
func (c *checker) part(p *Part, circuit *Circuit) {
	elsewhere := circuit != nil && c.elsewhere(p.Name.Text) // and checked there
	if p.Kind.Text == "" && !elsewhere && c.whole(p.Place) {
		c.add(p.Place, `write "kind: electrolytic"`, `the key "kind" is missing`)
	}
	kind := kindOf(p.Kind.Text)
	ok := circuit != nil && wiring.OnlyInCircuits(kind.Name)
	if _, known := fault.Find(p.Kind.Text); !ok && elsewhere {
		ok = known
	} else if !ok {
		_, ok = c.kind(p.Kind, circuit != nil)
	}
	if ok && p.Value.Text != "" && p.value == nil {
		c.value(p, kind.Name)
	}
	if !elsewhere {
		c.ratings(p)
	}
	c.marked(p)
	c.known(p.Across, &c.signals, "signal or rail")
	c.known(p.Near, &c.items, "part or block")
	c.odds(p.Place, p.Odds)
	c.notNegative(p.Place, amount{"power", p.Power}, amount{"highest esr", p.ESR}, amount{"highest leakage", p.Leakage},
		amount{"age", p.Age}, amount{"replace", p.Replace}, amount{"measure", p.Measure})
	if circuit == nil {
		c.usedTwice(p)
		if p.Drawn != nil {
			c.add(p.Drawn.Place, `write it where the part stands in a circuit`, `"drawn" says where a part stands in the drawing of a circuit`)
		}
	}
	if ok && c.whole(p.Place) {
		c.wired(p, circuit != nil)
	}
}

// marked checks what is marked on a part beside its value: date and safety class.
func (c *checker) marked(p *Part) {
	if p.Date != "" {
		readings, refused, _ := datecode.Read(p.Date, datecode.Window{})
		if len(readings) == 0 {
			why := strings.Join(refused, "; ")
			if why == "" {
				why = "it has the shape of no date code known here"
			}
			c.add(p.Place, `write it as marked, as in "date: 8136", and leave it out when it cannot be read`, "%.40q is no date code: %s", p.Date, why)
		}
	}
	if p.Class != "" {
		if _, err := part.ParseSafetyClass(p.Class); err != nil {
			c.add(p.Place, "", "%v", err)
		}
	}
}

// usedTwice reports a part with more than one place in the flow of signals.
func (c *checker) usedTwice(p *Part) {
	uses := c.users[p.Name.Text]
	if len(uses) < 2 {
		return
	}
	slices.SortStableFunc(uses, func(a, b use) int {
		return cmp.Or(cmp.Compare(a.at.Line, b.at.Line), cmp.Compare(a.at.Column, b.at.Column))
	})
	const few = 3
	var by []string
	for _, u := range uses[:min(len(uses), few)] {
		by = append(by, fmt.Sprintf("%s (line %d)", u.by, u.at.Line))
	}
	if len(uses) > few {
		by = append(by, fmt.Sprintf("and %d more", len(uses)-few))
	}
	c.add(uses[1].at, "keep one of them: a part has one place in the flow of signals", "part %q is used twice: %s", p.Name.Text, strings.Join(by, ", "))
}

// value parses the value of a part in the unit of its kind, and the ratings
// and the tolerance that may follow it: "2200 uF 25 V", "4k7 ±5 %".
func (c *checker) value(p *Part, kind string) {
	unit, ok := valueUnit(kind)
	if !ok {
		c.add(p.Value.Place, `use "type" for what is marked on it, as in "type: 2N3055"`, "%s has no value", article(kind))
		return
	}
	text, tolerance := cutTolerance(p.Value.Text)
	text, _ = quantity.SplitMode(text)
	list, err := quantity.ParseListAs(text, unit)
	if err != nil {
		c.valueMistake(p, kind, err)
		return
	}
	q := list[0]
	if bare := strings.Trim(text, "0123456789."); bare == "" && (unit == quantity.Farad || unit == quantity.Henry) {
		c.add(p.Value.Place, fmt.Sprintf("write it, as in %s", unit.Example()), `"value": %.40q has no unit`, text)
		return
	}
	for _, one := range list[1:] {
		if one.Unit != quantity.Percent {
			p.Rated = append(p.Rated, one)
			continue
		}
		tolerance = &quantity.Tolerance{Low: -one.Value, High: one.Value, Unit: quantity.Percent}
	}
	switch {
	case q.Value == 0 && unit == quantity.Ohm:
		c.add(p.Value.Place, `a wire link is "kind: track", without a value`, "part %q has the value %s", p.Name.Text, q)
		return
	case q.Value <= 0 && unit != quantity.Volt || q.Value == 0:
		c.add(p.Value.Place, "write a value above zero", "part %q has the value %s", p.Name.Text, q)
		return
	case tolerance != nil && p.Tolerance != nil && *tolerance != *p.Tolerance:
		c.add(p.Value.Place, "keep one of the two", "part %q has two tolerances: %s and %s", p.Name.Text, tolerance, p.Tolerance)
		return
	case tolerance != nil:
		p.Tolerance = tolerance
	}
	p.value = &q
	c.tolerance(p)
}

// valueMistake reports a value that could not be read.
func (c *checker) valueMistake(p *Part, kind string, err error) {
	at, message, hint := p.Value.Place, err.Error(), ""
	if e := (*quantity.Error)(nil); errors.As(err, &e) {
		at, message, hint = c.within(p.Value, e.Offset), fmt.Sprintf("cannot read %.40q: %s", e.Text, e.Problem), e.Want
	}
	if kind == "fuse" {
		hint = `write the current alone, as in 1 A, and how fast it blows under type, as in "type: slow"`
	}
	c.add(at, hint, `"value": %s`, message)
}

// tolerance checks the tolerance of a part that has a value.
func (c *checker) tolerance(p *Part) {
	t := p.Tolerance
	switch {
	case t == nil:
	case t.Unit != quantity.Percent && t.Unit != p.value.Unit:
		c.add(p.Place, "write it as a percentage or in "+p.value.Unit.Name(), "the tolerance %s is in another unit than the value %s", t, p.value)
	case t.Low == 0 && t.High == 0:
		c.add(p.Place, "leave it out if it is not known", "part %q has a tolerance of zero", p.Name.Text)
	case t.Low > 0 || t.High < 0:
		c.add(p.Place, "write both sides of the value, as in -20..+50 %", "the value %s lies outside its own tolerance %s", p.value, t)
	}
}

// ratings takes C for degrees Celsius, and reports a rating that is none.
func (c *checker) ratings(p *Part) {
	for i := range p.Rated {
		switch r := &p.Rated[i]; {
		case r.Unit == quantity.Coulomb:
			r.Unit = quantity.Celsius
		case r.Unit == quantity.Percent:
			c.add(p.Place, `write it under tolerance, as in "tolerance: ±5 %"`, "%s is no rating", r)
		case r.Unit == quantity.None && c.whole(p.Place):
			c.add(p.Place, "write the unit, as in 25 V", "the rating %s has no unit", r)
		}
	}
}

// cutTolerance takes a tolerance off the end of a value: "±5 %", "-20..+50 %".
func cutTolerance(text string) (value string, tolerance *quantity.Tolerance) {
	if strings.HasSuffix(text, "%") {
		for i := strings.IndexByte(text, ' '); i > 0; {
			if t, err := quantity.ParseTolerance(text[i+1:]); err == nil && t.Unit == quantity.Percent {
				return strings.TrimRight(text[:i], " ,;/"), &t
			}
			next := strings.IndexByte(text[i+1:], ' ')
			if next < 0 {
				break
			}
			i += 1 + next
		}
	}
	for _, sign := range []string{"±", "+/-", "+-"} {
		if i := strings.Index(text, sign); i > 0 {
			if t, err := quantity.ParseTolerance(text[i:]); err == nil {
				return strings.TrimRight(text[:i], " ,;/"), &t
			}
		}
	}
	return text, nil
}

// article puts "a" or "an" before the name of a kind.
func article(kind string) string {
	if kind != "" && strings.ContainsRune("aeio", rune(kind[0])) {
		return "an " + kind
	}
	return "a " + kind
}

func (c *checker) blocks() {
	for i := range c.Blocks {
		b := &c.Blocks[i]
		c.kind(b.Kind, false)
		if len(b.Outputs) == 0 && c.whole(b.Place) {
			c.add(b.Place, "name what it makes under out", "block %q puts nothing out", b.Name.Text)
		}
		outs := seen{}
		for _, out := range b.Outputs {
			if _, twice := outs[out.Text]; twice && out.Text != "" {
				c.add(out.Place, "name each output once", "block %q makes %q twice", b.Name.Text, out.Text)
			}
			outs[out.Text] = out.Place
		}
		for _, in := range b.Inputs {
			if _, both := outs[in.Text]; both && in.Text != "" {
				c.add(in.Place, "a feedback loop passes through another block", "block %q has %q as input and output", b.Name.Text, in.Text)
			}
			c.known(in, &c.signals, "signal or rail")
		}
		for _, supply := range b.Supply {
			c.known(supply, &c.signals, "rail")
		}
		for _, part := range b.Parts {
			c.known(part, &c.parts, "part")
		}
		if b.Twin.Text != "" && b.Twin.Text == b.Name.Text {
			c.add(b.Twin.Place, "name another block", "block %q is its own twin", b.Name.Text)
		} else {
			c.known(b.Twin, &c.items, "block")
		}
		c.odds(b.Place, b.Odds)
		c.notNegative(b.Place, amount{"replace", b.Replace}, amount{"measure", b.Measure})
	}
}

// circuit checks parts, ground and reachable nodes of a circuit.
func (c *checker) circuit(name form.Word, circuit *Circuit) {
	var nodes names
	uses := map[string]int{}
	where := map[string]form.Place{}
	placed := map[string]form.Place{}
	for i := range circuit.Parts {
		c.refer(&circuit.Parts[i], name, placed)
		c.part(&circuit.Parts[i], circuit)
		for _, n := range circuit.Parts[i].Nodes {
			uses[n.Text]++
			where[n.Text] = n.Place
			nodes.add(n)
		}
	}
	c.drawnTwice(circuit.Parts)
	last := name.Place.Line
	if n := len(circuit.Parts); n > 0 {
		last = circuit.Parts[n-1].Place.Line
	}
	if !c.read(name.Place.Line, c.after(last)) { // nodes may be missing
		return
	}
	if len(circuit.Parts) == 0 {
		c.add(name.Place, "list its parts, each with its nodes", "circuit %q has no parts", name.Text)
		return
	}
	c.known(circuit.Ground, &nodes, "node")
	var reach names
	reach.add(circuit.Reach...)
	for _, n := range circuit.Reach {
		c.known(n, &nodes, "node")
	}
	var lonely, joined []string
	for _, n := range nodes.list {
		if uses[n] > 1 {
			joined = append(joined, n)
		} else if !c.signals.has(n) && !reach.has(n) {
			lonely = append(lonely, n)
		}
	}
	c.lonely(name, lonely, joined, where)
}

// lonely reports nodes that only one part is connected to. Of two that are
// nearly the same, which are probably meant to be one, it reports the later.
func (c *checker) lonely(circuit form.Word, lonely, joined []string, where map[string]form.Place) {
	paired := map[string]bool{}
	for i := len(lonely) - 1; i >= 0; i-- {
		n := lonely[i]
		if paired[n] {
			continue
		}
		hint := "connect it to a second part, or list it under reach"
		if near := c.nearest(n, joined); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		} else if near := c.nearest(n, lonely[:i]); near != "" {
			hint = fmt.Sprintf("did you mean %q, as on line %d?", near, where[near].Line)
			paired[near] = true
		}
		c.add(where[n], hint, "node %q of circuit %q is used only once", n, circuit.Text)
	}
}
