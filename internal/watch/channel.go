package watch

import (
	"errors"
	"fmt"
	"math"

	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/instrument"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Channel is what one meter measures.
type Channel struct {
	Name string
	Unit quantity.Unit
	// Limit is what is still right; nil where nothing is known.
	Limit *metrology.Limit
	// About says in words where it is measured and with what.
	About string

	function metrology.Function
	with     metrology.Instrument
	source   float64 // resistance of what is measured, 0 when not known
	shape    float64 // what is not known of a wave's shape, as a fraction of the reading
}

// triangle is how many times its RMS value the ripple on a rail is peak to peak,
// taken as a triangle, and shape how far that may be off (common practice, no
// source).
const (
	triangle = 2 * 1.7320508075688772
	shape    = 0.2
)

// NewChannel works out what a meter measures, and what it should read: the
// limits given by hand, or those of the test point or rail of its name in the
// sheet, which may be nil. AC volts on a rail are judged as ripple.
func NewChannel(w Wanted, s *sheet.Sheet) (Channel, error) {
	f := w.Setup.Function
	c := Channel{Name: w.Name, Unit: f.Unit, function: f.Kind, with: w.With}
	fail := func(err error) (Channel, error) { return c, fmt.Errorf("meter %q: %w", w.Name, err) }
	var x *findings.Expectation
	if s != nil && (s.Point(w.Name) != nil || s.Rail(w.Name) != nil || len(s.PointsOf(w.Name)) > 0) {
		found, err := findings.Expected(s, w.Name)
		if err == nil {
			x = &found
			c.source = found.Source
		} else if w.Limits == "" && f.Kind == metrology.DCVolts {
			return fail(err)
		}
	}
	var err error
	switch {
	case w.Limits != "":
		err = c.byHand(w, x)
	case x == nil:
	case f.Kind == metrology.DCVolts && x.Value.Unit == quantity.Volt, f.Kind != metrology.ACVolts && f.Kind != metrology.DCVolts && x.Value.Unit == f.Unit:
		c.Limit = &x.Limit
	case f.Kind == metrology.ACVolts && !math.IsNaN(x.Ripple):
		c.Limit = &metrology.Limit{Low: math.Inf(-1), High: x.Ripple / triangle, Source: x.Limit.Source + ", ripple peak to peak taken as a triangle"}
		c.shape = shape
	}
	if err != nil {
		return fail(err)
	}
	if c.Limit != nil {
		if err := c.Limit.Check(); err != nil {
			return fail(err)
		}
	}
	return c, nil
}

// byHand takes the limits that were given; a tolerance is one about the value
// that the sheet expects.
func (c *Channel) byHand(w Wanted, x *findings.Expectation) error {
	limits := &sheet.Limits{}
	if err := limits.ReadForm(form.Scalar{Text: w.Limits, Unit: string(c.Unit)}); err != nil {
		var m *form.Mistake
		if errors.As(err, &m) {
			return fmt.Errorf("limits: %s; %s", m.Message, m.Hint)
		}
		return fmt.Errorf("limits: %w", err)
	}
	nominal := math.NaN()
	if x != nil && x.Value.Unit == c.Unit {
		nominal = x.Value.Value
	}
	if limits.Tolerance != nil && math.IsNaN(nominal) {
		return fmt.Errorf("limits: %s of what? write the value too, as in limits=5 V ± 5 %%, or name a rail of a sheet", limits)
	}
	i := limits.Around(nominal)
	c.Limit = &metrology.Limit{Low: i.Low, High: i.High, Source: "given by hand"}
	return nil
}

// Judge gives the verdict on a reading; nil where there are no limits, or the
// reading is no value or beyond the ranges of the meter.
func (c *Channel) Judge(value float64) *metrology.Verdict {
	if c.Limit == nil || math.IsNaN(value) || math.IsInf(value, 0) {
		return nil
	}
	m, err := c.measurement(value)
	if err != nil {
		return nil
	}
	if c.shape > 0 {
		m.Components = append(m.Components, metrology.Component{Origin: metrology.FromInstrument, U: metrology.Rectangular(c.shape * math.Abs(value))})
	}
	v, err := metrology.Judge(m, *c.Limit)
	if err != nil {
		return nil
	}
	return &v
}

// unknownAccuracy is taken for what the meter's accuracy is not known of, as a
// fraction of the reading (common practice, no source).
const unknownAccuracy = 0.03

func (c *Channel) measurement(value float64) (metrology.Measurement, error) {
	if _, known := c.with.Ranges[c.function]; !known {
		return metrology.FromBound(value, unknownAccuracy*math.Abs(value)), nil
	}
	return c.with.Evaluate(metrology.Reading{Function: c.function, Values: []float64{value}, CircuitResistance: c.source, CircuitTolerance: 0.2})
}

// Describe says what a channel is, for the head of a file or a screen.
func (c *Channel) Describe() string {
	s := fmt.Sprintf("%s: %s", c.Name, c.About)
	if c.Limit != nil {
		s += fmt.Sprintf("; right is %s (%s)", quantity.Interval{Low: c.Limit.Low, High: c.Limit.High, Unit: c.Unit}, c.Limit.Source)
	}
	return s
}

// SetAbout says with what and where it is measured.
func (c *Channel) SetAbout(id instrument.Identity, w Wanted) {
	meter := fmt.Sprintf("%v at %v", id, w.Setup.Address)
	if w.Pretend {
		meter = "a simulated meter"
	}
	c.About = fmt.Sprintf("%s, %s, taken to be as accurate as a %s", w.Setup.Function.Name, meter, w.With.Name)
}
