package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/internal/recording"
	"halfsplit/quantity"
)

// traceOne is what the questions about one channel have in common.
type traceOne struct {
	traceReading
	traceWindow
	tracePrint
	File    string `arg:"" help:"A trace file, or an export as for import."`
	Channel string `placeholder:"NAME" help:"The channel, by name or number; needed when there are several."`
}

// one opens the recording and finds the stretch and the channel.
func (c *traceOne) one(ctx context.Context, to console) (*recording.Recording, recording.Window, int, error) {
	w, err := c.window()
	if err := errors.Join(err, c.check()); err != nil {
		return nil, w, 0, badInput{err}
	}
	r, err := c.open(ctx, to, c.File)
	if err != nil {
		return nil, w, 0, err
	}
	channel, err := r.Channel(c.Channel)
	if err != nil {
		return nil, w, 0, badInput{errors.Join(err, r.Close())}
	}
	return r, w, channel, nil
}

// traceEvents finds events.
type traceEvents struct {
	traceOne
	traceBeside
	Limit      string `placeholder:"RANGE" help:"Within which it is when the unit works, such as 4.75..5.25V or 'at least 11.4 V'."`
	Hysteresis string `placeholder:"VALUE" help:"How far back within the limits it must come to count as back."`
	StepWindow int    `default:"20" placeholder:"READINGS" help:"Readings on either side of a step that are compared."`
	Least      string `placeholder:"VALUE" help:"The smallest step of interest."`
	LeastRun   string `default:"1min" placeholder:"TIME" help:"How long it must work to count as a run of its own."`
}

// Run finds events.
func (c *traceEvents) Run(ctx context.Context, to console) error {
	r, w, channel, err := c.one(ctx, to)
	if err != nil {
		return err
	}
	defer r.Close()
	q := recording.EventQuestion{Window: w, Channel: channel, StepWindow: c.StepWindow}
	unit := r.Head.Channels[q.Channel].Unit
	if q.Limit, err = limits("--limit", c.Limit, unit); err != nil {
		return badInput{err}
	}
	if q.Hysteresis, err = inUnit("--hysteresis", c.Hysteresis, unit); err != nil {
		return badInput{err}
	}
	if q.Least, err = inUnit("--least", c.Least, unit); err != nil {
		return badInput{err}
	}
	if q.LeastRun, err = inUnit("--least-run", c.LeastRun, quantity.Second); err != nil {
		return badInput{err}
	}
	if q.Thermometer, err = c.beside(ctx, to); err != nil {
		return err
	}
	found, err := r.Events(ctx, q)
	if err != nil {
		return inputError(err)
	}
	return c.answer(to, found, func(out io.Writer) error { return r.DrawEvents(ctx, out, q, found) })
}

// limits reads a range in the unit of a channel; nothing gives none.
func limits(flag, text string, unit quantity.Unit) (*quantity.Interval, error) {
	if text == "" {
		return nil, nil
	}
	i, err := quantity.ParseIntervalAs(text, unit)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", flag, err)
	}
	return &i, nil
}

// inUnit reads a value of zero or more; nothing gives zero.
func inUnit(flag, text string, unit quantity.Unit) (float64, error) {
	if text == "" {
		return 0, nil
	}
	q, err := quantity.ParseAs(text, unit)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	if !(q.Value >= 0) || math.IsInf(q.Value, 0) {
		return 0, fmt.Errorf("%s: %s is below zero", flag, text)
	}
	return q.Value, nil
}

// traceWarmup fits a warm-up.
type traceWarmup struct {
	traceOne
	traceBeside
	Within string `placeholder:"VALUE" help:"How near its end it counts as settled; a hundredth of the rise when not given."`
	Lag    string `default:"1h" placeholder:"TIME" help:"How late the channel may follow the temperature; 0s looks for no lag."`
}

// Run fits a warm-up.
func (c *traceWarmup) Run(ctx context.Context, to console) error {
	r, w, channel, err := c.one(ctx, to)
	if err != nil {
		return err
	}
	defer r.Close()
	q := recording.WarmQuestion{Window: w, Channel: channel}
	distance := r.Head.Channels[q.Channel].Unit
	if distance == quantity.Celsius {
		distance = quantity.Kelvin
	}
	if q.Within, err = inUnit("--within", c.Within, distance); err != nil {
		return badInput{err}
	}
	if q.MostLag, err = inUnit("--lag", c.Lag, quantity.Second); err != nil {
		return badInput{err}
	}
	if q.Thermometer, err = c.beside(ctx, to); err != nil {
		return err
	}
	found, err := r.WarmUp(ctx, q)
	if err != nil {
		return inputError(err)
	}
	return c.answer(to, found, func(out io.Writer) error { return r.DrawWarmUp(ctx, out, q, found) })
}

// traceRipple analyses ripple.
type traceRipple struct {
	traceOne
	Mains     string `placeholder:"FREQUENCY" help:"The mains frequency; taken from the lines when not given."`
	Switching string `placeholder:"FREQUENCY" help:"The frequency of the switcher; taken from the lines when not given."`
	Rail      string `placeholder:"NAME" help:"The rail or test point, as the service sheet calls it, for the entry of the case."`
}

// Run analyses ripple.
func (c *traceRipple) Run(ctx context.Context, to console) error {
	r, w, channel, err := c.one(ctx, to)
	if err != nil {
		return err
	}
	defer r.Close()
	q := recording.RippleQuestion{Window: w, Channel: channel, Rail: c.Rail}
	if q.Mains, err = inUnit("--mains", c.Mains, quantity.Hertz); err != nil {
		return badInput{err}
	}
	if q.Switching, err = inUnit("--switching", c.Switching, quantity.Hertz); err != nil {
		return badInput{err}
	}
	found, err := r.Ripple(ctx, q)
	if err != nil {
		return inputError(err)
	}
	return c.answer(to, found, func(out io.Writer) error { return r.DrawRipple(out, found) })
}
