package main

import (
	"context"
	"errors"
	"strings"

	"halfsplit/internal/ask"
	"halfsplit/internal/recording"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// soakRuns are the runs before and since a repair, as flags and recordings tell
// them, and what is assumed.
type soakRuns struct {
	ask.Soak

	Before      []string `placeholder:"FILE" sep:"none" group:"Soak" help:"Recordings of runs before the repair; the failures are found in them."`
	After       []string `placeholder:"FILE" sep:"none" group:"Soak" help:"Recordings of runs since the repair."`
	Channel     string   `placeholder:"NAME" group:"Soak" help:"The channel of the recordings that shows whether it works."`
	Limit       string   `placeholder:"RANGE" group:"Soak" help:"Within which that channel is when the unit works, such as 4.75..5.25V."`
	Temperature string   `placeholder:"NAME" group:"Soak" help:"The channel of the temperature: only running at least as hot as the failures counts."`
	Margin      string   `default:"2K" group:"Soak" help:"How much cooler than the coolest failure still counts."`
	LeastRun    string   `default:"1min" placeholder:"TIME" group:"Soak" help:"How long it must work to count as a run of its own, in recordings."`

	// What is taken where Limit is not given, and where Temperature is not and a
	// recording has a channel of this name.
	limit       *quantity.Interval
	thermometer string
}

// gather reads all of it; history and after hold those of recordings too.
func (c *soakRuns) gather(ctx context.Context, to console) (history, after []soak.Run, found seen, given soak.Assumptions, err error) {
	fail := func(err error) ([]soak.Run, []soak.Run, seen, soak.Assumptions, error) {
		return nil, nil, found, given, err
	}
	if history, after, err = c.Told(); err != nil {
		return fail(badInput{err})
	}
	if given, err = c.Given(); err != nil {
		return fail(badInput{err})
	}
	if given.Margin, err = inUnit("--margin", c.Margin, quantity.Kelvin); err != nil {
		return fail(badInput{err})
	}
	if found, err = c.recorded(ctx, to, history, given.Margin); err != nil {
		return fail(err)
	}
	return append(history, found.before...), append(after, found.since...), found, given, nil
}

// seen is what recordings tell.
type seen struct {
	before, since []soak.Run
	cold          float64 // running since the repair that was too cool to count, seconds
	doubtful      int     // spells that are not sure enough to be failures
}

// recorded finds the runs in recordings. Those before the repair count whole; of
// those since, only what was at least as hot as the failures.
func (c *soakRuns) recorded(ctx context.Context, to console, told []soak.Run, margin float64) (seen, error) {
	var s seen
	for _, file := range c.Before {
		w, err := c.watched(ctx, to, file)
		if err != nil {
			return s, err
		}
		s.before, s.doubtful = append(s.before, w.Before()...), s.doubtful+w.Doubtful
	}
	limit := soak.HotLimit(append(told, s.before...), margin)
	for _, file := range c.After {
		w, err := c.watched(ctx, to, file)
		if err != nil {
			return s, err
		}
		runs, cool := w.Since(limit)
		s.since, s.cold, s.doubtful = append(s.since, runs...), s.cold+cool, s.doubtful+w.Doubtful
	}
	return s, nil
}

// watched finds the runs in a recording.
func (c *soakRuns) watched(ctx context.Context, to console, file string) (*recording.Watched, error) {
	r, err := (&traceReading{}).open(ctx, to, file)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	q := recording.EventQuestion{Window: recording.Whole(), Thermometer: recording.Thermometer{Channel: c.Temperature}}
	if _, has := r.Head.Channel(c.thermometer); has && c.Temperature == "" {
		q.Thermometer.Channel = c.thermometer
	}
	if q.Channel, err = r.Channel(c.Channel); err != nil {
		return nil, badInput{err}
	}
	if c.Limit == "" && c.limit == nil {
		return nil, badInput{errors.New("say with --limit within which values the channel is when the unit works, as in --limit 4.75..5.25V")}
	}
	if q.Limit, err = limits("--limit", c.Limit, r.Head.Channels[q.Channel].Unit); err != nil {
		return nil, badInput{err}
	}
	if c.Limit == "" {
		q.Limit = c.limit
	}
	if q.LeastRun, err = inUnit("--least-run", c.LeastRun, quantity.Second); err != nil {
		return nil, badInput{err}
	}
	w, err := r.Watch(ctx, q)
	return w, inputError(err)
}

// share reads a chance from a flag, as a fraction.
func share(flag, text string) (float64, error) {
	return ask.Share(strings.TrimPrefix(flag, "--"), text)
}
