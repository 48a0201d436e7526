package recording

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/internal/picture"
	"halfsplit/internal/plain"
	"halfsplit/quantity"
	"halfsplit/trace/fit"
)

// WarmQuestion says which warm-up is meant.
type WarmQuestion struct {
	Channel     int
	Thermometer Thermometer
	Window      Window
	Within      float64 // distance from the end that counts as settled, in the unit; 0 for a hundredth of the rise
	MostLag     float64 // seconds
}

// Warming is how a channel warmed up, and how it follows temperature.
type Warming struct {
	File    string        `json:"file"`
	Channel string        `json:"channel"`
	Unit    quantity.Unit `json:"unit"`
	Course  *Course       `json:"course,omitempty"`
	None    string        `json:"no_course,omitempty"` // why there is none
	Follows *Follows      `json:"follows_temperature,omitempty"`
}

// Course is an exponential course.
type Course struct {
	From             float64       `json:"from_seconds"`
	Begin            float64       `json:"begin"`
	End              float64       `json:"end"`
	EndInterval      *fit.Interval `json:"end_interval,omitempty"`
	TimeConstant     float64       `json:"time_constant_seconds"`
	ConstantInterval *fit.Interval `json:"time_constant_interval,omitempty"`
	Within           float64       `json:"settled_within"`
	Settled          float64       `json:"settled_after_seconds"`
	Residual         float64       `json:"residual_rms"`
	Noise            float64       `json:"noise"`
	OneConstant      bool          `json:"one_time_constant"`
	Bounded          bool          `json:"end_was_reached"`
	course           fit.Warming
}

// Follows is how a channel follows temperature.
type Follows struct {
	PerKelvin   float64      `json:"per_kelvin"`
	Interval    fit.Interval `json:"per_kelvin_interval"`
	PPM         *float64     `json:"ppm_per_kelvin,omitempty"`
	PPMLow      *float64     `json:"ppm_per_kelvin_low,omitempty"`
	PPMHigh     *float64     `json:"ppm_per_kelvin_high,omitempty"`
	Correlation float64      `json:"correlation"`
	Lag         float64      `json:"lag_seconds"`
	AtOnce      float64      `json:"per_kelvin_without_lag"`
}

// WarmUp fits a warm-up, and the drift with temperature where one was recorded.
func (r *Recording) WarmUp(ctx context.Context, q WarmQuestion) (*Warming, error) {
	part, err := r.Load(ctx, q.Window.From, q.Window.To, q.Channel)
	if err != nil {
		return nil, err
	}
	times, values := part.Time, part.Values[0]
	w := &Warming{File: r.Name, Channel: part.Channels[0].Name, Unit: part.Channels[0].Unit}
	if f, err := fit.WarmUp(times, values); err != nil {
		w.None = err.Error()
	} else {
		w.Course = courseOf(f, q.Within)
	}
	hotTimes, hot, err := r.temperature(ctx, q.Thermometer, times[0], times[len(times)-1])
	if err != nil {
		return nil, err
	}
	if hotTimes == nil {
		if w.Course == nil {
			return nil, errors.New(w.None)
		}
		return w, nil
	}
	d, err := fit.AgainstTemperature(times, values, hotTimes, hot, q.MostLag)
	if err != nil {
		return nil, err
	}
	w.Follows = &Follows{PerKelvin: d.PerKelvin, Interval: d.Interval, Correlation: d.Correlation, Lag: d.Lag, AtOnce: d.AtOnce.Slope}
	if d.Nominal != 0 && w.Unit != quantity.Celsius {
		ppm := d.RelativeInterval()
		w.Follows.PPM, w.Follows.PPMLow, w.Follows.PPMHigh = finiteOrNil(1e6*d.Relative), finiteOrNil(1e6*ppm.Low), finiteOrNil(1e6*ppm.High)
	}
	return w, nil
}

// courseOf writes a fit as an answer.
func courseOf(f fit.Warming, within float64) *Course {
	if within == 0 {
		within = 0.01 * math.Abs(f.End-f.Begin)
	}
	c := &Course{From: f.From, Begin: f.Begin, End: f.End, TimeConstant: f.TimeConstant, Within: within, Settled: f.Within(within),
		Residual: f.ResidualRMS, Noise: f.Noise, OneConstant: f.OneConstant, Bounded: f.Bounded, course: f}
	if i := f.EndInterval; !math.IsInf(i.Low, 0) && !math.IsInf(i.High, 0) {
		c.EndInterval = &i
	}
	if i := f.ConstantInterval; !math.IsInf(i.High, 0) {
		c.ConstantInterval = &i
	}
	return c
}

// Text prints a warm-up.
func (w *Warming) Text(to io.Writer) error {
	p := plain.To(to)
	p.Line("%s, channel %s", w.File, w.Channel)
	p.Line("")
	if c := w.Course; c != nil {
		rise := math.Abs(c.End - c.Begin)
		p.Line("Goes from %s to %s%s", value(c.Begin, w.Unit, rise/100), value(c.End, w.Unit, rise/100), between(c.EndInterval, func(v float64) string { return value(v, w.Unit, rise/100) }))
		p.Line("Time constant %s%s", precise(c.TimeConstant), between(c.ConstantInterval, precise))
		p.Line("Within %s of its end after %s", short(c.Within, apart(w.Unit)), duration(c.Settled))
		if !c.OneConstant {
			p.Line("One time constant does not describe it: it lies %s off the curve where a reading is good to %s. The intervals allow for that.", short(c.Residual, apart(w.Unit)), short(c.Noise, apart(w.Unit)))
		}
		if !c.Bounded {
			p.Line("The recording does not reach the end, so that the end is a guess: record for longer.")
		}
	} else {
		p.Line("No warm-up: %s", w.None)
	}
	if f := w.Follows; f != nil {
		p.Line("")
		per := func(v float64) string { return short(v, apart(w.Unit)) }
		text := fmt.Sprintf("Follows the temperature by %s/K (%s to %s)", per(f.PerKelvin), per(f.Interval.Low), per(f.Interval.High))
		if f.PPM != nil {
			text = fmt.Sprintf("Follows the temperature by %.3g ppm/K (%.3g to %.3g), %s/K", *f.PPM, *f.PPMLow, *f.PPMHigh, per(f.PerKelvin))
		}
		p.Line("%s; correlation %.3f", text, f.Correlation)
		if f.Lag > 0 {
			p.Line("It follows %s late; without that lag it would look like %s/K", precise(f.Lag), per(f.AtOnce))
		}
		if f.Interval.Contains(0) {
			p.Line("The interval holds zero: that it follows the temperature at all is not shown.")
		}
	}
	return p.Err()
}

// between writes an interval behind a value.
func between(i *fit.Interval, write func(float64) string) string {
	if i == nil {
		return ""
	}
	return fmt.Sprintf(" (%s to %s with 95 %%)", write(i.Low), write(i.High))
}

// DrawWarmUp draws the readings with the fitted course, and the temperature
// below.
func (r *Recording) DrawWarmUp(ctx context.Context, to io.Writer, q WarmQuestion, w *Warming) error {
	d := r.picture([]int{q.Channel}, q.Window)
	if d.err != nil {
		return d.err
	}
	from, until := max(q.Window.From, r.Begin()), min(q.Window.To, r.End())
	if w.Course != nil {
		fitted := picture.Curve{Name: "fit"}
		const points = 300
		for i := range points + 1 {
			t := from + (until-from)*float64(i)/points
			fitted.X, fitted.Y = append(fitted.X, t*d.scale), append(fitted.Y, w.Course.course.At(t))
		}
		d.Panels[0].Curves = append(d.Panels[0].Curves, fitted)
		d.Panels[0].Levels = []picture.Level{{Name: "end", Value: w.Course.End}}
	}
	times, values, err := r.temperature(ctx, q.Thermometer, from, until)
	if err != nil {
		return err
	}
	if times != nil {
		d.Panels = append(d.Panels, picture.Panel{Y: picture.Axis{Label: "temperature in °C"}, Curves: []picture.Curve{{Name: "temperature", X: picture.Scaled(times, d.scale), Y: values}}})
	}
	return d.svg(to)
}
