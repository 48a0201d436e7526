package sheet

import (
	"slices"

	"halfsplit/form"
	"halfsplit/quantity"
)

// OnPage gives the sheet as it stands on a page, for [form.Write]: a part
// without the ratings and the tolerance that were read from its value, and in a
// circuit without what was taken over from the list of parts or from a block.
func (s *Sheet) OnPage() any {
	page := *s
	page.Parts = slices.Clone(s.Parts)
	for i := range page.Parts {
		page.Parts[i].leaveRatings()
	}
	page.Circuits = slices.Clone(s.Circuits)
	for i := range page.Circuits {
		c := page.Circuits[i].Value
		if c == nil {
			continue
		}
		circuit := *c
		circuit.Parts = slices.Clone(c.Parts)
		for j := range circuit.Parts {
			s.takeBack(&circuit.Parts[j])
		}
		page.Circuits[i].Value = &circuit
	}
	return &page
}

// takeBack leaves out of a part of a circuit what the list of parts, or the
// block of its name, says already.
func (s *Sheet) takeBack(p *Part) {
	name := p.Name.Text
	if b := s.Block(name); b != nil {
		leave(&p.Kind.Text, b.Kind.Text)
		leave(&p.Type, b.Type)
		return
	}
	defer p.leaveRatings()
	i := slices.IndexFunc(s.Parts, func(l Part) bool { return l.Name.Text == name })
	if i < 0 {
		return
	}
	l := &s.Parts[i]
	leave(&p.Kind.Text, l.Kind.Text)
	leave(&p.Value.Text, l.Value.Text)
	leave(&p.Type, l.Type)
	if slices.Equal(p.Rated, l.Rated) {
		p.Rated = nil
	}
	if p.Tolerance != nil && l.Tolerance != nil && *p.Tolerance == *l.Tolerance {
		p.Tolerance = nil
	}
	if p.Power != nil && l.Power != nil && *p.Power == *l.Power {
		p.Power = nil
	}
	p.Settings = slices.DeleteFunc(slices.Clone(p.Settings), func(own form.Pair[form.Word]) bool {
		there, ok := l.Settings.Get(own.Key.Text)
		return ok && there.Text == own.Value.Text
	})
}

// leave empties a text that is the same elsewhere.
func leave(own *string, there string) {
	if *own == there {
		*own = ""
	}
}

// leaveRatings leaves out the ratings and the tolerance that stand in the value
// of a part, as in "2200 uF 25 V ±20 %".
func (p *Part) leaveRatings() {
	unit, ok := valueUnit(kindOf(p.Kind.Text).Name)
	if !ok || p.Value.Text == "" {
		return
	}
	text, tolerance := cutTolerance(p.Value.Text)
	text, _ = quantity.SplitMode(text)
	list, err := quantity.ParseListAs(text, unit)
	if err != nil {
		return
	}
	ratings := slices.DeleteFunc(list[1:], func(q quantity.Quantity) bool {
		if q.Unit == quantity.Percent {
			tolerance = &quantity.Tolerance{Low: -q.Value, High: q.Value, Unit: quantity.Percent}
		}
		return q.Unit == quantity.Percent
	})
	if own := len(p.Rated) - len(ratings); own >= 0 && slices.EqualFunc(p.Rated[own:], ratings, sameRating) {
		p.Rated = slices.Clone(p.Rated[:own])
	}
	if tolerance != nil && p.Tolerance != nil && *tolerance == *p.Tolerance {
		p.Tolerance = nil
	}
}

// sameRating compares a rating of a part with one as it was typed: C for °C.
func sameRating(rated, typed quantity.Quantity) bool {
	return rated == typed || typed.Unit == quantity.Coulomb && rated.Unit == quantity.Celsius && rated.Value == typed.Value
}
