package findings

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/flow"
	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// expected is what a point should read, and where that was learned.
type expected struct {
	value  *quantity.Quantity
	limit  metrology.Limit
	word   string  // when it is not a value
	mode   string  // DC, AC, RMS, p-p, as written
	ripple float64 // V p-p, NaN when no limit applies
	source float64 // source resistance in ohms, 0 when not known
	rail   bool
	point  *sheet.Point
}

// place is where a reading was taken.
type place struct {
	name   string
	signal string
	net    int
	ok     bool // the model knows the net
	point  *sheet.Point
}

// placeIn finds the test point, signal or rail of that name in a sheet.
func placeIn(s *sheet.Sheet, name string) place {
	p := place{name: name, signal: name}
	if p.point = s.Point(name); p.point != nil {
		p.signal = s.SignalOf(p.point)
	} else if points := s.PointsOf(name); len(points) > 0 {
		p.point = points[0]
	}
	return p
}

// place resolves the name of a test point, signal or rail.
func (w *work) place(name string) place {
	p := placeIn(w.sheet, name)
	p.net, p.ok = w.model.Net(p.signal)
	return p
}

// expect works out what should be read: the entry's own word first, then the
// sheet's test point, then the rail's own limits, then those of its load
// family, then common practice.
func (w *work) expect(p place, e *logbook.Entry) (expected, error) {
	x := expected{ripple: math.NaN(), point: p.point}
	rail := w.sheet.Rail(p.signal)
	x.rail = rail != nil
	var limits *sheet.Limits
	from := "the sheet"
	if p.point != nil {
		if p.point.Expect != nil {
			x.value, x.word = p.point.Expect.Value, p.point.Expect.Word
			_, x.mode = quantity.SplitMode(p.point.Expect.Text)
		}
		limits = p.point.Limits
		if p.point.Source != nil {
			x.source = p.point.Source.Value
		}
		if p.point.Ripple != nil {
			x.ripple = p.point.Ripple.Value
		}
	}
	if rail != nil {
		if x.value == nil && x.word == "" {
			x.value = rail.Nominal
		}
		if limits == nil && x.value == rail.Nominal {
			limits = rail.Limits
		}
		if math.IsNaN(x.ripple) && rail.Ripple != nil {
			x.ripple = rail.Ripple.Value
		}
	}
	if e.Expect.Text != "" {
		var given sheet.Expect
		if err := given.ReadForm(scalar(e.Expect)); err != nil {
			return x, err
		}
		if x.value = given.Value; given.Value == nil {
			x.word = given.Word
		}
		if e.Limits.Text == "" && limits != nil && limits.Tolerance == nil {
			limits = nil // an interval about another value
		}
		_, x.mode = quantity.SplitMode(e.Expect.Text)
		from = "the case"
	}
	if e.Limits.Text != "" {
		limits = &sheet.Limits{}
		if err := limits.ReadForm(scalar(e.Limits)); err != nil {
			return x, err
		}
		from = "the case"
	}
	if x.value == nil && limits != nil && limits.Interval != nil {
		middle := quantity.Quantity{Value: middleOf(*limits.Interval), Unit: limits.Interval.Unit}
		x.value = &middle
	}
	if x.value != nil {
		var err error
		if x.limit, err = w.limit(x, limits, from, rail); err != nil {
			return x, err
		}
	}
	return x, nil
}

// middleOf is a value inside an interval to reckon from.
func middleOf(i quantity.Interval) float64 {
	switch {
	case math.IsInf(i.Low, 0):
		return i.High
	case math.IsInf(i.High, 0):
		return i.Low
	}
	return (i.Low + i.High) / 2
}

// limit gives the limits about the expected value.
func (w *work) limit(x expected, limits *sheet.Limits, from string, rail *sheet.Rail) (metrology.Limit, error) {
	nominal := x.value.Value
	if limits != nil {
		interval := limits.Around(nominal)
		return metrology.Limit{Low: interval.Low, High: interval.High, Source: from}, nil
	}
	if rail != nil && rail.Family.Text != "" && rail.Nominal != nil {
		if family, err := metrology.FamilyLimit(rail.Family.Text, nominal); err == nil {
			return family.Limit, nil
		}
	}
	if nominal == 0 {
		return metrology.Limit{}, fmt.Errorf("%s is expected, but not how far from it is still right; give limits, as in \"limits: ±0.5 V\"", x.value)
	}
	if rail == nil && x.mode != "" && x.mode != "DC" {
		// the size of a waveform against a drawing (common practice, no source)
		return metrology.Tolerance(nominal, 0.3, 0.3, "common practice, ±30 % for a waveform")
	}
	if x.value.Unit != quantity.Volt || rail == nil {
		// a signal or another unit (common practice, no source)
		return metrology.Tolerance(nominal, 0.1, 0.1, "common practice, ±10 %")
	}
	return metrology.CommonPractice(nominal, false)
}

// digital reports whether a net is a logic signal: made by something that
// decides, or expected to be high, low or moving.
func (w *work) digital(p place, x expected) bool {
	if x.word != "" {
		return movingWord(x.word) || x.word == "high" || x.word == "low"
	}
	return x.value == nil && p.ok && w.model.Digital(p.net)
}

// movingWord reports whether a word describes a logic signal that moves.
func movingWord(word string) bool {
	word = strings.ToLower(word)
	for _, w := range []string{"count", "clock", "data", "puls", "toggl", "moving", "activity", "active", "strobe", "busy", "square"} {
		if strings.Contains(word, w) {
			return true
		}
	}
	return false
}

// warm tells whether the unit was warm at an entry.
func (w *work) warm(s logbook.State) flow.Answer {
	switch {
	case s.Warm != nil && *s.Warm:
		return flow.Yes
	case s.Warm != nil:
		return flow.No
	case s.Minutes == nil:
		return flow.Unknown
	}
	after := usualWarmUp
	if w.sheet.Model.Warm != nil {
		after = w.sheet.Model.Warm.Value
	}
	switch t := s.Minutes.Value; {
	case t >= after:
		return flow.Yes
	case t <= after/4:
		return flow.No
	}
	return flow.Unknown
}

// usualWarmUp is how long a unit takes to be warm, in seconds. Common
// practice, no source.
const usualWarmUp = 600.0
