package sheet

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/form"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/signal"
)

func (c *checker) rails() {
	for i := range c.Rails {
		r := &c.Rails[i]
		for _, from := range r.From {
			if from.Text != "" && from.Text == r.Name.Text {
				c.add(from.Place, "name what feeds it", "rail %q comes from itself", r.Name.Text)
				continue
			}
			c.known(from, &c.signals, "signal or rail")
		}
		for _, through := range r.Through {
			c.known(through, &c.parts, "part")
		}
		if len(r.Through) > 0 && len(r.From) == 0 && c.whole(r.Place) {
			c.add(r.Through[0].Place, `say where it comes from, as in "from: raw"`, "rail %q passes through parts but comes from nowhere", r.Name.Text)
		}
		c.family(r)
		c.limits(r.Place, r.Nominal, r.Limits)
		if r.Trip != nil && r.Nominal != nil && math.Abs(r.Trip.Value) <= math.Abs(r.Nominal.Value) {
			c.add(r.Place, `write a voltage beyond the nominal one under "trips at"`, "rail %q would trip at %s, below its nominal %s", r.Name.Text, r.Trip, r.Nominal)
		}
		c.notNegative(r.Place, amount{"ripple", r.Ripple})
		c.odds(r.Place, r.Odds)
	}
}

// family checks the kind of load on a rail.
func (c *checker) family(r *Rail) {
	if r.Family.Text == "" {
		return
	}
	_, err := metrology.FamilyLimits(r.Family.Text)
	if err != nil {
		c.add(r.Family.Place, c.suggest(r.Family.Text, metrology.Families()), "unknown load family %q", r.Family.Text)
		return
	}
	if r.Nominal == nil {
		return
	}
	if _, err := metrology.FamilyLimit(r.Family.Text, r.Nominal.Value); err != nil {
		c.add(r.Family.Place, "give limits of your own instead", "%s", strings.TrimPrefix(err.Error(), "metrology: "))
	}
}

// limits checks that a nominal value lies within its own limits; at is the
// place of the item that they belong to.
func (c *checker) limits(at form.Place, nominal *quantity.Quantity, limits *Limits) {
	switch {
	case limits == nil:
	case nominal == nil:
		if limits.Tolerance != nil && c.whole(at) {
			c.add(limits.Place, "give that value too, or an interval such as 4.75..5.25 V", "limits of %s are about a value that is not given", limits)
		}
	case limits.Tolerance != nil && limits.Tolerance.Unit == quantity.Percent && nominal.Value == 0:
		c.add(limits.Place, fmt.Sprintf("give limits in %s, such as ±0.5 %s", nominal.Unit.Name(), nominal.Unit), "%s of zero is zero", limits)
	case limits.unit() != quantity.Percent && limits.unit() != nominal.Unit:
		c.add(limits.Place, "write them in "+nominal.Unit.Name(), "limits of %s are in another unit than %s", limits, nominal)
	case !limits.Around(nominal.Value).Contains(nominal.Value):
		hint := "check sign and digits"
		if limits.Interval != nil && limits.Interval.Contains(0) {
			hint = fmt.Sprintf("limits about a value are written as in ±0.5 %s", nominal.Unit)
		}
		c.add(limits.Place, hint, "%s lies outside its own limits %s", nominal, limits)
	}
}

// outside checks the signals from outside, and reports those that a block
// makes too.
func (c *checker) outside() {
	if len(c.Outside) == 0 {
		return
	}
	makers := map[string]string{}
	for i := range c.Blocks {
		for _, out := range c.Blocks[i].Outputs {
			if makers[out.Text] == "" {
				makers[out.Text] = c.Blocks[i].Name.Text
			}
		}
	}
	for _, o := range c.Outside {
		c.kind(o.Kind, false)
		c.odds(o.Place, o.Odds)
		if block := makers[o.Signal.Text]; block != "" {
			c.add(o.Signal.Place, "drop one of the two", "signal %q comes from outside and from block %q", o.Signal.Text, block)
		}
	}
}

func (c *checker) testPoints() {
	for i := range c.Points {
		p := &c.Points[i]
		name := c.SignalOf(p)
		seen := true
		switch {
		case p.Signal.Text != "":
			seen = c.nodes.has(p.Signal.Text) || c.known(p.Signal, &c.signals, "signal or rail")
		case p.Name.Text == "" || c.signals.has(name) || c.nodes.has(name) || !c.whole(p.Place) || c.lost(name, true):
		default:
			c.add(p.Name.Place, `say what is seen there, as in "signal: +5", or name it like the signal; `+c.suggest(name, c.signals.list), "test point %q has no signal", name)
		}
		switch {
		case p.Expect != nil:
			c.expect(p)
		case seen:
			var nominal *quantity.Quantity
			if r := c.Rail(name); r != nil {
				nominal = r.Nominal
			}
			c.limits(p.Place, nominal, p.Limits)
		}
		if p.Twin.Text != "" && p.Twin.Text == p.Name.Text {
			c.add(p.Twin.Place, "name another point", "test point %q is its own twin", p.Name.Text)
		} else {
			c.known(p.Twin, &c.points, "test point")
		}
		c.notNegative(p.Place, amount{"ripple", p.Ripple}, amount{"source resistance", p.Source}, amount{"takes", p.Time})
	}
}

// sick reports a word for what no healthy unit shows. A noise generator makes
// noise, and an oscillator is oscillating.
func sick(word string) bool {
	switch signal.Canonical(word) {
	case "absent", "bad", "wrong rate":
		return true
	case "hum":
		return !strings.EqualFold(word, "noise") && !strings.EqualFold(word, "oscillating")
	}
	return false
}

// expect checks what should be read at a point.
func (c *checker) expect(p *Point) {
	e := p.Expect
	switch {
	case e.Value != nil:
		c.limits(p.Place, e.Value, p.Limits)
	case sick(e.Word):
		c.add(e.Place, "write what a healthy unit shows there, such as high, counting or 5 V", "a healthy unit does not show %q", e.Word)
	case p.Limits != nil && p.Limits.Tolerance != nil:
		c.add(p.Limits.Place, "write a value under expect", "limits of %s need a value, not the word %q", p.Limits, e.Word)
	}
}
