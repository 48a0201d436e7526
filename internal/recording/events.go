package recording

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"halfsplit/internal/picture"
	"halfsplit/internal/plain"
	"halfsplit/quantity"
	"halfsplit/soak"
	"halfsplit/trace"
	"halfsplit/trace/event"
	"halfsplit/trace/fit"
)

// EventQuestion says what to look for.
type EventQuestion struct {
	Channel     int
	Limit       *quantity.Interval // nil looks for no excursions
	Hysteresis  float64
	Thermometer Thermometer
	Window      Window
	StepWindow  int     // readings on either side of a step
	Least       float64 // size of a step
	LeastRun    float64 // seconds
}

// Happenings is what happened in a recording. Times are in seconds.
type Happenings struct {
	File       string        `json:"file"`
	Channel    string        `json:"channel"`
	Unit       quantity.Unit `json:"unit"`
	Limit      string        `json:"limit,omitempty"`
	Excursions []Excursion   `json:"excursions,omitempty"`
	Cycles     []Cycling     `json:"cycling,omitempty"`
	Steps      []Step        `json:"steps,omitempty"`
	Drift      *Drift        `json:"drift,omitempty"`
	Doubtful   int           `json:"spells_too_doubtful_for_a_failure,omitempty"`
	Runs       []Run         `json:"runs,omitempty"`
	FailsAt    *FailsAt      `json:"fails_at,omitempty"`
	Entries    []string      `json:"entries_for_the_case,omitempty"`
	judged     bool
	stamp      func(float64) string
}

// Excursion is a spell outside the limits.
type Excursion struct {
	Kind        event.Kind `json:"kind"`
	Start       float64    `json:"start_seconds"`
	LastGood    *float64   `json:"last_within_seconds"`
	Length      float64    `json:"seconds"`
	Ongoing     bool       `json:"to_the_end,omitempty"`
	Extreme     *float64   `json:"furthest"` // missing for an overload
	Readings    int        `json:"readings"`
	Temperature *float64   `json:"celsius,omitempty"`
	Confidence  float64    `json:"confidence"`
}

// Cycling is a steady going on and off.
type Cycling struct {
	Start      float64 `json:"start_seconds"`
	Times      int     `json:"times"`
	Period     float64 `json:"period_seconds"`
	Spread     float64 `json:"period_standard_deviation"`
	Off        float64 `json:"share_outside"`
	Confidence float64 `json:"confidence"`
}

// Step is a level that jumped.
type Step struct {
	Time        float64  `json:"seconds"`
	Size        float64  `json:"size"`
	Error       float64  `json:"size_plus_minus"`
	Before      float64  `json:"before"`
	After       float64  `json:"after"`
	Temperature *float64 `json:"celsius,omitempty"`
	Confidence  float64  `json:"confidence"`
}

// Drift is a steady change.
type Drift struct {
	PerHour    float64  `json:"per_hour"`
	Low        float64  `json:"per_hour_low"`
	High       float64  `json:"per_hour_high"`
	Total      float64  `json:"in_all"`
	Relative   *float64 `json:"relative_per_hour,omitempty"`
	Confidence float64  `json:"confidence"`
}

// Run is a stretch of running.
type Run struct {
	Start       float64  `json:"start_seconds"`
	Length      float64  `json:"seconds"`
	Failed      bool     `json:"failed"`
	Temperature *float64 `json:"celsius,omitempty"` // at the failure, or the highest
}

// FailsAt is the temperature at which it fails.
type FailsAt struct {
	Mean     float64       `json:"mean_celsius"`
	Interval *fit.Interval `json:"mean_interval,omitempty"`
	Next     *fit.Interval `json:"next_failure,omitempty"`
	Coolest  float64       `json:"coolest_celsius"`
	Failures int           `json:"failures"`
}

// Events finds what happened.
func (r *Recording) Events(ctx context.Context, q EventQuestion) (*Happenings, error) {
	part, err := r.Load(ctx, q.Window.From, q.Window.To, q.Channel)
	if err != nil {
		return nil, err
	}
	times, values := part.Time, part.Values[0]
	hotTimes, hot, err := r.temperature(ctx, q.Thermometer, times[0], times[len(times)-1])
	if err != nil {
		return nil, err
	}
	at := func(t float64) *float64 {
		if hotTimes == nil {
			return nil
		}
		return finiteOrNil(trace.At(hotTimes, hot, t))
	}
	h := &Happenings{File: r.Name, Channel: part.Channels[0].Name, Unit: part.Channels[0].Unit, stamp: stamps(times[0], times[len(times)-1])}
	if q.Limit != nil {
		h.judged, h.Limit = true, q.Limit.String()
		list, err := event.Excursions(times, values, *q.Limit, q.Hysteresis)
		if err != nil {
			return nil, err
		}
		for _, e := range list {
			h.Excursions = append(h.Excursions, Excursion{Kind: e.Kind, Start: e.Start, LastGood: finiteOrNil(e.LastGood), Length: e.Length(), Ongoing: e.Ongoing,
				Extreme: finiteOrNil(e.Extreme), Readings: e.Readings, Temperature: at(e.Start), Confidence: e.Confidence})
		}
		for _, c := range event.Cycles(list) {
			h.Cycles = append(h.Cycles, Cycling{c.Start, c.Times, c.Period, c.Spread, c.Off, c.Confidence})
		}
		var sure []event.Excursion
		sure, h.Doubtful = event.Sure(list)
		h.runs(event.Runs(times, values, beside(times, hotTimes, hot), sure, q.LeastRun))
	}
	steps, err := event.Steps(times, values, q.StepWindow, q.Least)
	if err != nil {
		return nil, err
	}
	for _, s := range steps {
		if h.edge(s.Time, times) {
			continue
		}
		h.Steps = append(h.Steps, Step{s.Time, s.Size, s.Error, s.Before, s.After, at(s.Time), s.Confidence})
	}
	if d, ok, err := event.DriftOf(times, values); err == nil && ok {
		h.Drift = &Drift{PerHour: 3600 * d.PerSecond, Low: 3600 * d.Interval.Low, High: 3600 * d.Interval.High, Total: d.Total, Confidence: d.Confidence}
		if nominal := fit.Median(values); nominal != 0 && part.Channels[0].Unit != quantity.Celsius {
			h.Drift.Relative = finiteOrNil(h.Drift.PerHour / math.Abs(nominal))
		}
	}
	return h, nil
}

// edge tells whether a step is the beginning or end of a spell, which is listed
// already.
func (h *Happenings) edge(t float64, times []float64) bool {
	near := 2 * (times[len(times)-1] - times[0]) / float64(len(times))
	return slices.ContainsFunc(h.Excursions, func(e Excursion) bool {
		return math.Abs(t-e.Start) <= near || math.Abs(t-e.Start-e.Length) <= near
	})
}

// runs notes the runs, and writes them as a case would hold them.
func (h *Happenings) runs(runs []event.Run) {
	var failedAt []float64
	for _, run := range runs {
		h.Runs = append(h.Runs, Run{run.Start, run.Length(), run.Failed, finiteOrNil(run.Temperature)})
		verb := "soak"
		if run.Failed {
			verb = "failed"
			if !math.IsNaN(run.Temperature) {
				failedAt = append(failedAt, run.Temperature)
			}
		}
		entry := fmt.Sprintf("- {%s: %s", verb, quantity.FormatDuration(run.Length()))
		if !math.IsNaN(run.Temperature) && run.Failed { // of a clean run the case wants the coolest
			entry += fmt.Sprintf(", state: {temperature: %.1f °C}", run.Temperature)
		}
		h.Entries = append(h.Entries, entry+"}")
	}
	if f, err := fit.FailsAt(failedAt); err == nil {
		h.FailsAt = &FailsAt{Mean: f.Mean, Coolest: f.Coolest, Failures: f.Failures}
		if f.Failures > 1 {
			h.FailsAt.Interval, h.FailsAt.Next = &f.Interval, &f.Next
		}
	}
}

// mostEvents is how many events of a kind are printed.
const mostEvents = 30

// Text prints what happened.
func (h *Happenings) Text(to io.Writer) error {
	p := plain.To(to)
	p.Line("%s, channel %s", h.File, h.Channel)
	if h.judged {
		p.Line("")
		h.textExcursions(p)
	}
	for _, c := range h.Cycles {
		p.Line("Cycles on and off from %s on: %d times, every %s (± %s), outside for %.0f %% of it; %s sure", h.stamp(c.Start), c.Times, short(c.Period, quantity.Second), short(c.Spread, quantity.Second), 100*c.Off, percent(c.Confidence))
	}
	if len(h.Steps) > 0 {
		p.Line("")
		p.Line("Steps")
		rows := [][]string{{"at", "by", "±", "from", "to", "temperature", "sure"}}
		for i, s := range h.Steps {
			if i == mostEvents {
				break
			}
			rows = append(rows, []string{h.stamp(s.Time), short(s.Size, apart(h.Unit)), short(s.Error, apart(h.Unit)), value(s.Before, h.Unit, math.Abs(s.Size)), value(s.After, h.Unit, math.Abs(s.Size)), known(s.Temperature), percent(s.Confidence)})
		}
		p.Table(rows)
		more(p, len(h.Steps))
	} else {
		p.Line("No step%s.", map[bool]string{true: " beside those"}[len(h.Excursions) > 0])
	}
	if d := h.Drift; d != nil {
		text := fmt.Sprintf("Drifts by %s an hour (%s to %s), %s in all", short(d.PerHour, apart(h.Unit)), short(d.Low, apart(h.Unit)), short(d.High, apart(h.Unit)), short(d.Total, apart(h.Unit)))
		if d.Relative != nil {
			text += fmt.Sprintf("; %.3g ppm an hour", 1e6**d.Relative)
		}
		p.Line("%s; %s sure", text, percent(d.Confidence))
	} else {
		p.Line("No drift that could be told from noise.")
	}
	h.textRuns(p)
	return p.Err()
}

func (h *Happenings) textExcursions(p *plain.Printer) {
	if len(h.Excursions) == 0 {
		p.Line("Never outside %s.", h.Limit)
		return
	}
	p.Line("Outside %s: %s", h.Limit, plural(len(h.Excursions), "spell", "spells"))
	rows := [][]string{{"at", "what", "for", "furthest", "readings", "temperature", "sure"}}
	for i, e := range h.Excursions {
		if i == mostEvents {
			break
		}
		length := duration(e.Length)
		if e.Ongoing {
			length = "to the end"
		}
		furthest := "overload"
		if e.Extreme != nil {
			furthest = value(*e.Extreme, h.Unit, 0)
		}
		rows = append(rows, []string{h.stamp(e.Start), string(e.Kind), length, furthest, fmt.Sprint(e.Readings), known(e.Temperature), percent(e.Confidence)})
	}
	p.Table(rows)
	more(p, len(h.Excursions))
	if h.Doubtful > 0 {
		p.Line("%s too doubtful to count as a failure: look at the readings around it.", plural(h.Doubtful, "spell is", "spells are"))
	}
}

func (h *Happenings) textRuns(p *plain.Printer) {
	if len(h.Runs) == 0 {
		return
	}
	p.Line("")
	p.Line("Runs")
	rows := [][]string{{"from", "ran for", "ended", "temperature"}}
	for i, r := range h.Runs {
		if i == mostEvents {
			break
		}
		ended := "without a failure"
		if r.Failed {
			ended = "in a failure"
		}
		rows = append(rows, []string{h.stamp(r.Start), duration(r.Length), ended, known(r.Temperature)})
	}
	p.Table(rows)
	more(p, len(h.Runs))
	if f := h.FailsAt; f != nil {
		text := fmt.Sprintf("Fails at %.1f °C", f.Mean)
		if f.Interval != nil {
			text += fmt.Sprintf(" (%.1f to %.1f °C with 95 %%), from %d failures; the next with 95 %% between %.1f and %.1f °C", f.Interval.Low, f.Interval.High, f.Failures, f.Next.Low, f.Next.High)
		} else {
			text += ", from one failure: how far that may vary is not known"
		}
		p.Line("%s", text)
	}
	p.Line("")
	p.List("To enter in the case", h.Entries[:min(len(h.Entries), mostEvents)])
}

func more(p *plain.Printer, n int) {
	if n > mostEvents {
		p.Line("  and %d more", n-mostEvents)
	}
}

func known(temperature *float64) string {
	if temperature == nil {
		return "–"
	}
	return degrees(*temperature)
}

// DrawEvents draws the channel with its limits and the spells outside them, and
// the temperature below.
func (r *Recording) DrawEvents(ctx context.Context, to io.Writer, q EventQuestion, h *Happenings) error {
	d := r.picture([]int{q.Channel}, q.Window)
	if d.err != nil {
		return d.err
	}
	top := &d.Panels[0]
	if q.Limit != nil {
		top.Levels = append(top.Levels, picture.Level{Name: "limit", Value: q.Limit.Low}, picture.Level{Name: "limit", Value: q.Limit.High})
		if math.IsInf(q.Limit.Low, 0) {
			top.Levels = top.Levels[1:]
		} else if math.IsInf(q.Limit.High, 0) {
			top.Levels = top.Levels[:1]
		} else {
			top.Levels[1].Name = ""
		}
	}
	for _, e := range h.Excursions {
		top.Spans = append(top.Spans, picture.Span{From: e.Start * d.scale, To: (e.Start + e.Length) * d.scale})
	}
	for _, s := range h.Steps {
		top.Spans = append(top.Spans, picture.Span{From: s.Time * d.scale, To: s.Time * d.scale})
	}
	times, values, err := r.temperature(ctx, q.Thermometer, max(q.Window.From, r.Begin()), min(q.Window.To, r.End()))
	if err != nil {
		return err
	}
	if times != nil {
		below := picture.Panel{Y: picture.Axis{Label: "temperature in °C"}, Curves: []picture.Curve{{Name: "temperature", X: picture.Scaled(times, d.scale), Y: values}}}
		if f := h.FailsAt; f != nil {
			below.Levels = append(below.Levels, picture.Level{Name: "fails at", Value: f.Mean})
		}
		d.Panels = append(d.Panels, below)
	}
	return d.svg(to)
}

// Watched is what a recording says of running, for the proof: the runs in it,
// and for those without a failure how long they were as hot as a limit.
type Watched struct {
	// Doubtful is the number of spells outside the limits that are not sure
	// enough to be taken for failures.
	Doubtful int

	runs        []event.Run
	times       []float64
	temperature []float64 // nil where it was not recorded
}

// Watch finds the runs of a recording.
func (r *Recording) Watch(ctx context.Context, q EventQuestion) (*Watched, error) {
	if q.Limit == nil {
		return nil, errors.New("say within which limits the channel is when the unit runs")
	}
	part, err := r.Load(ctx, q.Window.From, q.Window.To, q.Channel)
	if err != nil {
		return nil, err
	}
	list, err := event.Excursions(part.Time, part.Values[0], *q.Limit, q.Hysteresis)
	if err != nil {
		return nil, err
	}
	times, values, err := r.temperature(ctx, q.Thermometer, part.Time[0], part.Time[len(part.Time)-1])
	if err != nil {
		return nil, err
	}
	w := &Watched{times: part.Time, temperature: beside(part.Time, times, values)}
	var sure []event.Excursion
	sure, w.Doubtful = event.Sure(list)
	w.runs = event.Runs(part.Time, part.Values[0], w.temperature, sure, q.LeastRun)
	if len(w.runs) == 0 {
		return nil, fmt.Errorf("%s: the channel is never within %s for long enough to call it a run", r.Name, q.Limit)
	}
	return w, nil
}

// Before gives the runs as a history: each whole, from switching on.
func (w *Watched) Before() []soak.Run {
	var runs []soak.Run
	for _, r := range w.runs {
		runs = append(runs, soak.Run{Duration: r.Length(), Failed: r.Failed, Temperature: r.Temperature})
	}
	return runs
}

// Since gives the runs since the repair: of those without a failure what was at
// least as hot as a limit, in degrees Celsius. cold is the running that does not
// count, in seconds.
func (w *Watched) Since(limit float64) (runs []soak.Run, cold float64) {
	for _, r := range w.runs {
		run := soak.Run{Duration: r.Length(), Failed: r.Failed, Temperature: r.Temperature}
		if !r.Failed && w.temperature != nil {
			first, last := within(w.times, r.Start, r.End)
			run.Duration, run.Temperature = soak.HotTime(w.times[first:last], w.temperature[first:last], limit)
			cold += r.Length() - run.Duration
		}
		runs = append(runs, run)
	}
	return runs, cold
}

// within gives the indices of the times between two.
func within(times []float64, from, to float64) (first, last int) {
	for first < len(times) && times[first] < from {
		first++
	}
	for last = first; last < len(times) && times[last] <= to; last++ {
	}
	return first, last
}
