package library

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// mostRounds bounds how often a sheet is worked out anew: a rail that follows takes
// its load along, which changes the rail a little.
const mostRounds = 4

// follow lets all that follows from the changes follow.
func (e *edit) follow(ctx context.Context) error {
	if err := e.twins(); err != nil {
		return err
	}
	before, err := readAll(ctx, e.was)
	if err != nil {
		return err
	}
	for range mostRounds {
		after, err := readAll(ctx, e.now)
		if err != nil {
			return err
		}
		if err := before.lost(after); err != nil {
			return err
		}
		text := e.page.text
		if err := e.expect(before, after); err != nil {
			return err
		}
		if err := e.twins(); err != nil {
			return err
		}
		if e.page.text == text {
			return e.contradicted(after)
		}
	}
	return nil
}

// figure gives a figure as it stands on the page; empty when it does not. Of several
// behind one another it is the first.
func (p *page) figure(s *sheet.Sheet, f figure) string {
	key := f.key
	if key == "primary" {
		part := s.Part(f.of.name)
		if part == nil {
			return ""
		}
		key, _ = winding(part)
	}
	for _, at := range p.places(f.of) {
		there := value(at.Node, key)
		if there == nil {
			there = value(value(at.Node, "settings"), key)
		}
		if there == nil || there.Value == "" {
			continue
		}
		if f.key == "primary" {
			first, _, _ := strings.Cut(there.Value, "/")
			return strings.TrimSpace(first)
		}
		if list := figures(there.Value); len(list) > 0 {
			return list[0]
		}
	}
	return ""
}

// number reads a figure; NaN when it is none.
func number(text string) float64 {
	text, _ = quantity.SplitMode(text)
	q, err := quantity.Parse(text)
	if err != nil {
		return math.NaN()
	}
	return q.Value
}

// same tells whether two figures say the same but for their signs.
func same(a, b float64) bool { return math.Abs(math.Abs(a)-math.Abs(b)) <= 1e-9*math.Abs(a) }

// twins lets what says the same as a figure that was changed follow it.
func (e *edit) twins() error {
	old, err := newPage(string(e.text))
	if err != nil {
		return err
	}
	for changed := true; changed; {
		changed = false
		for _, pair := range e.pairs(old) {
			for i, leader := range pair {
				mate := pair[1-i]
				was, is := old.figure(e.was, leader), e.page.figure(e.now, leader)
				now := e.page.figure(e.now, mate)
				if same(number(was), number(is)) || !same(number(was), number(now)) || e.set[mate] || math.IsNaN(number(is)) {
					continue
				}
				text := strings.TrimLeft(is, "-−")
				if number(now) < 0 {
					text = "-" + text
				}
				if err := e.take(mate, text); err != nil {
					return err
				}
				changed = true
			}
		}
	}
	return nil
}

// take sets a figure that follows.
func (e *edit) take(f figure, text string) error {
	f, text, err := e.resolve(change{text: f.key + " of " + f.of.name + " = " + text, of: f.of, key: f.key, value: text})
	if err != nil {
		return err
	}
	return e.put(f, text)
}

// pairs lists the figures of the sheet as it was that say the same in two places.
func (e *edit) pairs(old *page) (list [][2]figure) {
	s := e.was
	add := func(a, b figure) {
		if same(number(old.figure(s, a)), number(old.figure(s, b))) {
			list = append(list, [2]figure{a, b})
		}
	}
	model := thing{"model", "model"}
	for _, c := range s.Circuits.All() {
		for i := range c.Parts {
			p := &c.Parts[i]
			of := thing{"parts", p.Name.Text}
			switch strings.ToLower(p.Kind.Text) {
			case "load":
				for _, node := range p.Nodes {
					rail := thing{"rails", node.Text}
					add(figure{rail, "load"}, figure{of, "current"})
					add(figure{rail, "nominal"}, figure{of, "voltage"})
				}
			case "mains source":
				add(figure{model, "mains"}, figure{of, "value"})
				add(figure{model, "frequency"}, figure{of, "frequency"})
			case "transformer":
				add(figure{model, "mains"}, figure{of, "primary"})
				add(figure{model, "frequency"}, figure{of, "frequency"})
			default:
				if fixing(p) {
					for _, node := range p.Nodes {
						add(figure{thing{"rails", node.Text}, "nominal"}, figure{of, "value"})
					}
				}
			}
		}
	}
	for i := range s.Hazards {
		hazard := thing{"hazards", s.Hazards[i].Name.Text}
		for _, p := range s.Hazards[i].Parts {
			add(figure{thing{"parts", p.Text}, "value"}, figure{hazard, "capacitance"})
			add(figure{thing{"parts", p.Text}, "value"}, figure{hazard, "bleeder"})
		}
		for _, at := range s.Hazards[i].At {
			add(figure{thing{"rails", at.Text}, "nominal"}, figure{hazard, "voltage"})
		}
	}
	return list
}

// fixing tells whether the value of a part is a voltage that it makes.
func fixing(p *sheet.Part) bool {
	switch strings.ToLower(p.Kind.Text) {
	case "regulator", "zener", "dc source", "battery":
		return true
	}
	return false
}

// fixed tells whether a part makes a rail what it is, so that the rail is not what
// happens to be read there.
func (e *edit) fixed(old *page, rail thing) bool {
	for _, pair := range e.pairs(old) {
		if pair[0] != (figure{rail, "nominal"}) || pair[1].of.section != "parts" {
			continue
		}
		if p := e.was.Part(pair[1].of.name); p != nil && fixing(p) {
			return true
		}
	}
	return false
}

// Shares of change below which an expectation stays as it is written, and of a
// limit of ripple beyond which the ripple itself is what the limit is about. Common
// practice, no source.
const (
	leastChange = 0.01
	ownRipple   = 0.25
)

// expect lets the voltages, ripples and frequencies to expect follow in proportion to
// what the circuits read.
func (e *edit) expect(before, after readings) error {
	old, err := newPage(string(e.text))
	if err != nil {
		return err
	}
	scale := func(of thing, key, node string, aspect prediction.Aspect) error {
		f := figure{of, key}
		text := old.figure(e.was, f)
		was, first := before.at(node, aspect)
		is, second := after.at(node, aspect)
		if v := number(text); !first || !second || e.set[f] || math.IsNaN(v) || same(v, 0) || math.Abs(is-was) <= leastChange*math.Abs(was) || key == "ripple" && was < ownRipple*v {
			return nil
		}
		return e.scaled(f, text, was, is)
	}
	for i := range e.was.Rails {
		name := e.was.Rails[i].Name.Text
		rail := thing{"rails", name}
		if !e.fixed(old, rail) {
			if err := scale(rail, "nominal", name, prediction.Level); err != nil {
				return err
			}
		}
		if err := scale(rail, "ripple", name, prediction.Ripple); err != nil {
			return err
		}
	}
	for i := range e.was.Points {
		p := &e.was.Points[i]
		point, node := thing{"testpoints", p.Name.Text}, e.was.SignalOf(p)
		if p.Expect != nil && p.Expect.Value != nil {
			if err := scale(point, "expect", node, aspectOf(p.Expect)); err != nil {
				return err
			}
		}
		if err := scale(point, "ripple", node, prediction.Ripple); err != nil {
			return err
		}
	}
	return nil
}

// aspectOf says what of a node an expectation is about.
func aspectOf(x *sheet.Expect) prediction.Aspect {
	_, mode := quantity.SplitMode(x.Text)
	switch {
	case x.Value.Unit == quantity.Hertz:
		return prediction.Frequency
	case mode == "AC" || mode == "RMS":
		return prediction.RMS
	case mode == "p-p":
		return prediction.Ripple
	}
	return prediction.Level
}

// scaled writes a figure in proportion to a reading, with three digits.
func (e *edit) scaled(f figure, text string, was, is float64) error {
	rest, _ := quantity.SplitMode(text)
	q, err := quantity.Parse(rest)
	if err != nil {
		return err
	}
	v := q.Value * is / was
	if is*was < 0 || math.Abs(was) < 1e-6 {
		v = is
	}
	return e.put(f, plain(v, q.Unit)+text[len(strings.TrimRight(rest, " ")):])
}

// plain writes a value with three digits, without the zeros behind them.
func plain(v float64, unit quantity.Unit) string {
	return quantity.Quantity{Value: rounded(v), Unit: unit}.String()
}

// rounded rounds to three digits.
func rounded(v float64) float64 {
	near, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 2, 64), 64)
	if err != nil {
		return v
	}
	return near
}

// limits gives the limits of a rail or point whose expectation changes by a factor:
// those in volt go along, those in percent need not. Without any, ok is false.
func (e *edit) limits(of thing, by float64) (text string, ok bool) {
	var l *sheet.Limits
	if r := e.now.Rail(of.name); of.section == "rails" && r != nil {
		l = r.Limits
	} else if p := e.now.Point(of.name); of.section == "testpoints" && p != nil {
		l = p.Limits
	}
	switch {
	case l == nil || e.set[figure{of, "limits"}] || !(by > 0):
	case l.Tolerance != nil && l.Tolerance.Unit != quantity.Percent:
		return quantity.Tolerance{Low: rounded(l.Tolerance.Low * by), High: rounded(l.Tolerance.High * by), Unit: l.Tolerance.Unit}.String(), true
	case l.Interval != nil:
		return quantity.Interval{Low: rounded(l.Interval.Low * by), High: rounded(l.Interval.High * by), Unit: l.Interval.Unit}.String(), true
	}
	return "", false
}

// contradicted reports a rail that its circuit does not keep within what the sheet
// allows, with the values as they are now.
func (e *edit) contradicted(after readings) error {
	for i := range e.now.Rails {
		r := &e.now.Rails[i]
		level, ok := after.at(r.Name.Text, prediction.Level)
		if r.Nominal == nil || !ok {
			continue
		}
		allowed := quantity.Tolerance{Low: -0.05, High: 0.05, Unit: quantity.Percent}.Around(r.Nominal.Value)
		if r.Limits != nil {
			allowed = r.Limits.Around(r.Nominal.Value)
		}
		allowed.Unit = quantity.Volt
		about := "nominal of " + r.Name.Text + " = " + r.Nominal.String()
		hint := "see whether a value is mistaken, or whether a load draws less; it comes from " + strings.Join(e.makers(r), ", ")
		if !allowed.Contains(level) {
			return &Wrong{about, fmt.Sprintf("with these values the circuit gives %s there, and the sheet allows %s", quantity.FormatDigits(level, quantity.Volt, 3), allowed), hint}
		}
		if ripple, ok := after.at(r.Name.Text, prediction.Ripple); ok && r.Ripple != nil && ripple > r.Ripple.Value {
			return &Wrong{about, fmt.Sprintf("with these values the circuit ripples by %s there, and the sheet allows %s: what makes the voltage gets too little", quantity.FormatDigits(ripple, quantity.Volt, 3), r.Ripple), hint}
		}
	}
	return nil
}

// makers lists parts that may decide what a rail has: those it passes through, and
// those that stand at its node.
func (e *edit) makers(r *sheet.Rail) (list []string) {
	for _, p := range r.Through {
		list = append(list, p.Text)
	}
	for _, c := range e.now.Circuits.All() {
		for i := range c.Parts {
			p := &c.Parts[i]
			for _, node := range p.Nodes {
				if node.Text == r.Name.Text && !slices.Contains(list, p.Name.Text) && p.Kind.Text != "load" {
					list = append(list, p.Name.Text)
				}
			}
		}
	}
	return list
}
