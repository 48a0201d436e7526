package sheet

import (
	"errors"
	"fmt"

	"halfsplit/fault"
	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/wiring"
)

// Wire turns a circuit of a checked sheet into one that can be solved. A sheet
// may leave open what is not known; the error is then form.Problems that say
// what is missing, and where.
func (s *Sheet) Wire(c *Circuit, when wiring.Moment) (*wiring.Circuit, error) {
	parts := make([]wiring.Part, len(c.Parts))
	places := map[string]form.Place{}
	for i := range c.Parts {
		parts[i] = c.Parts[i].wiring()
		places[parts[i].Name] = c.Parts[i].Place
	}
	wired, err := wiring.New(c.Ground.Text, parts, when)
	var mistakes wiring.Mistakes
	if !errors.As(err, &mistakes) {
		return wired, err
	}
	var problems form.Problems
	for _, m := range mistakes {
		problems.Add(places[m.Part], fmt.Sprintf("part %q: %s", m.Part, m.Problem), m.Want)
	}
	return nil, problems.In(s.file).Err()
}

// wiring gives the part as package wiring takes it.
func (p *Part) wiring() wiring.Part {
	w := wiring.Part{Name: p.Name.Text, Kind: p.Kind.Text, Type: p.Type, Value: p.value, Nodes: wordTexts(p.Nodes)}
	if p.Power != nil {
		w.Rated = append(w.Rated, quantity.Quantity{Value: p.Power.Value, Unit: quantity.Watt})
	}
	w.Rated = append(w.Rated, p.Rated...)
	switch {
	case p.value == nil:
	case p.Tolerance != nil:
		w.Tolerance = p.Tolerance
	case !wiring.OnlyInCircuits(p.Kind.Text): // a source is what it is said to be
		usual := usualTolerance(kindOf(p.Kind.Text).Name)
		w.Tolerance = &usual
	}
	for name, text := range p.Settings.All() {
		w.Settings = append(w.Settings, wiring.Entry{Name: name.Text, Text: text.Text})
	}
	return w
}

// elsewhere tells whether a name is that of a listed part or of a block, which
// a circuit can refer to.
func (c *checker) elsewhere(name string) bool {
	return c.parts.has(name) || c.Block(name) != nil
}

// refer completes a part of a circuit that stands elsewhere on the sheet from
// there, and reports what is said twice. Placed holds the parts so far.
func (c *checker) refer(p *Part, circuit form.Word, placed map[string]form.Place) {
	name := p.Name.Text
	if !c.elsewhere(name) || name == "" {
		return
	}
	if first, twice := placed[name]; twice {
		c.add(p.Name.Place, "give each its own name", "%q stands in circuit %q already, on line %d", name, circuit.Text, first.Line)
	}
	placed[name] = p.Name.Place
	c.ratings(p)
	if b := c.Block(name); b != nil {
		c.saidTwice(p, "kind", p.Kind.Text != "", b.Kind.Text != "", b.Place)
		c.saidTwice(p, "type", p.Type != "", b.Type != "", b.Place)
		p.Kind = b.Kind
		if b.Type != "" {
			p.Type = b.Type
		}
		return
	}
	l := c.Part(name)
	for _, key := range []struct {
		name        string
		here, there bool
	}{
		{"kind", p.Kind.Text != "", l.Kind.Text != ""}, {"value", p.Value.Text != "", l.Value.Text != ""}, {"type", p.Type != "", l.Type != ""},
		{"rated", p.Rated != nil, l.Rated != nil}, {"tolerance", p.Tolerance != nil, l.Tolerance != nil}, {"power", p.Power != nil, l.Power != nil},
	} {
		c.saidTwice(p, key.name, key.here, key.there, l.Place)
	}
	own := p.Settings
	p.Settings = nil
	p.Settings = append(p.Settings, l.Settings...)
	for _, s := range own {
		_, there := l.Settings.Get(s.Key.Text)
		if there {
			c.add(s.Key.Place, "keep one of the two", "setting %q of part %q is given on line %d already", s.Key.Text, name, l.Place.Line)
			continue
		}
		p.Settings = append(p.Settings, s)
	}
	p.Kind = l.Kind
	if l.Value.Text != "" {
		p.Value, p.value = l.Value, l.value
	}
	if l.Type != "" {
		p.Type = l.Type
	}
	if l.Rated != nil {
		p.Rated = l.Rated
	}
	if l.Tolerance != nil {
		p.Tolerance = l.Tolerance
	}
	if l.Power != nil {
		p.Power = l.Power
	}
}

// saidTwice reports a key of a part of a circuit that is given elsewhere already.
func (c *checker) saidTwice(p *Part, key string, here, there bool, at form.Place) {
	if here && there {
		c.add(p.Place, "leave it out here: it is taken from there", "the %s of %q is given on line %d already", key, p.Name.Text, at.Line)
	}
}

// wired checks what package wiring knows of a part: nodes and settings when it
// stands in a circuit, settings alone when it does not. What is missing is no
// mistake until somebody wants to solve the circuit.
func (c *checker) wired(p *Part, inCircuit bool) {
	if p.Value.Text != "" && p.value == nil || !inCircuit && len(p.Settings) == 0 {
		return
	}
	kind, ok := wiring.Find(p.Kind.Text)
	if _, other := fault.Find(p.Kind.Text); !ok && other && !inCircuit {
		c.add(p.Settings[0].Key.Place, "they are for parts that can be simulated", "%s takes no settings", article(p.Kind.Text))
		return
	}
	if !ok && inCircuit && len(p.Nodes) < 2 {
		c.add(p.Place, `name them, as in "nodes: [raw, gnd]"`, "part %q needs two nodes or more", p.Name.Text)
	}
	for _, m := range wiring.Check(p.wiring()) {
		if m.Missing {
			continue
		}
		at, hint := p.Place, m.Want
		switch {
		case m.Key == "settings" && m.Setting >= 0 && m.OnText:
			at = c.within(p.Settings[m.Setting].Value, m.Offset)
		case m.Key == "settings" && m.Setting >= 0:
			at, hint = p.Settings[m.Setting].Key.Place, c.suggest(p.Settings[m.Setting].Key.Text, kind.SettingNames())
			if hint == "" {
				hint = "leave it out"
			}
		case !inCircuit:
			continue
		case m.Key == "kind":
			at = p.Kind.Place
		case m.Key == "value" && p.Value.Text != "":
			at = p.Value.Place
		case m.Key == "nodes" && len(p.Nodes) > 0:
			at = p.Nodes[0].Place
		}
		c.add(at, hint, "part %q: %s", p.Name.Text, m.Problem)
	}
}
