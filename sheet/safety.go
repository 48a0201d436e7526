package sheet

import (
	"math"

	"halfsplit/fault"
	"halfsplit/hazard"
	"halfsplit/quantity"
)

// ratedHigh is the rated voltage from which a capacitor that lies across no
// known rail is taken to be charged high: nobody fits such a one for less.
// Common practice, no source.
const ratedHigh = 160

// Safety gives what the sheet says that bears on safety: what it lists, and what
// follows from its parts. A mains voltage other than the sheet's may be given; 0
// when not.
func (s *Sheet) Safety(mains float64) hazard.Unit {
	u := hazard.Unit{Mains: mains}
	if u.Mains == 0 && s.Model.Mains != nil {
		u.Mains = math.Abs(s.Model.Mains.Value)
	}
	for i := range s.Hazards {
		u.Listed = append(u.Listed, listedHazard(&s.Hazards[i]))
	}
	seen := map[string]bool{}
	each := func(p *Part) {
		name := p.Name.Text
		if p.Kind.Text == "" || seen[name] { // refers to one described elsewhere
			return
		}
		seen[name] = true
		kind, _ := fault.Find(p.Kind.Text)
		switch kind.Name {
		case "electrolytic", "tantalum", "film capacitor", "ceramic capacitor", "paper capacitor":
			if c, ok := storing(s, p, kind.Name == "paper capacitor"); ok {
				u.Capacitors = append(u.Capacitors, c)
			}
		case "battery":
			u.Batteries = append(u.Batteries, name)
		case "picture tube":
			u.Tubes = append(u.Tubes, name)
		}
		if p.Kind.Text == "mains source" && u.Mains == 0 && p.Quantity() != nil {
			u.Mains = math.Abs(p.Quantity().Value)
		}
	}
	for i := range s.Parts {
		each(&s.Parts[i])
	}
	for _, circuit := range s.Circuits.All() {
		if circuit != nil {
			for i := range circuit.Parts {
				each(&circuit.Parts[i])
			}
		}
	}
	for i := range s.Blocks {
		b := &s.Blocks[i]
		kind, _ := fault.Find(b.Kind.Text)
		switch kind.Name {
		case "picture tube":
			u.Tubes = append(u.Tubes, b.Name.Text)
		case "battery":
			u.Batteries = append(u.Batteries, b.Name.Text)
		}
	}
	return u
}

// listedHazard gives a hazard of the
func listedHazard(h *Hazard) hazard.Item {
	item := hazard.Item{
		Name: h.Name.Text, Kind: hazard.Kind(h.Kind), Where: h.Where, Do: h.Do, Before: hazard.Gate(h.Before),
		Parts: wordTexts(h.Parts), At: wordTexts(h.At),
	}
	if item.Before == "" {
		item.Before = hazard.BeforePower
	}
	if item.Do == "" {
		item.Do = item.Kind.Usual().Do
	}
	item.Store = hazard.Store{Capacitance: inUnits(h.Capacity), Voltage: math.Abs(inUnits(h.Voltage))}
	item.Bleeder = inUnits(h.Bleeder)
	return item
}

// storing gives a capacitor of the sheet with what it can hold.
func storing(s *Sheet, p *Part, paper bool) (hazard.Capacitor, bool) {
	q := p.Quantity()
	if q == nil || q.Unit != quantity.Farad || !(q.Value > 0) {
		return hazard.Capacitor{}, false
	}
	c := hazard.Capacitor{Name: p.Name.Text, Capacitance: q.Value, Class: p.Class, Paper: paper, Rail: p.Across.Text, Where: p.Where}
	if p.Tolerance != nil {
		c.Excess = max(0, p.Tolerance.Around(q.Value).High/q.Value-1)
	}
	across := p.Across.Text
	if across == "" && len(p.Nodes) == 2 {
		for _, node := range p.Nodes {
			if s.Rail(node.Text) != nil {
				across = node.Text
			}
		}
	}
	c.Rail = across
	if r := s.Rail(across); r != nil && r.Nominal != nil {
		c.Voltage = r.Nominal.Value
		return c, true
	}
	for i := range p.Rated {
		if r := &p.Rated[i]; r.Unit == quantity.Volt && r.Value >= ratedHigh {
			c.Rated = r.Value
		}
	}
	return c, true
}

func inUnits(q *quantity.Quantity) float64 {
	if q == nil {
		return 0
	}
	return q.Value
}
