package web

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync"
	"time"

	"halfsplit/internal/record"
	"halfsplit/internal/recording"
	"halfsplit/quantity"
)

// question is what is asked of a trace: which channel, the limits within which it
// is when the unit runs, and where the temperature was recorded.
type question struct {
	trace       record.ID
	channel     string
	limits      string
	thermometer string
}

// happened is what was found in a trace.
type happened struct {
	Events  *recording.Happenings
	Warming *recording.Warming
	Ripple  *recording.Ripple
	Without []string // why there is no warm-up or no ripple to tell of
	// FirstRun tells that warm-up and ripple are those of the first run, since what
	// lies between runs is neither; Until is where that ends.
	FirstRun bool
	Until    float64
}

// search is the looking for what happened. The fields but found, problem and stage
// are set when it begins; these are read after ended is closed, stage at any time.
type search struct {
	ended   chan struct{}
	stop    context.CancelFunc
	begun   time.Time
	found   *happened
	problem error
	mutex   sync.Mutex
	stage   string
}

// Limits of the looking for events.
const (
	searchesKept = 24
	searchFor    = 10 * time.Minute
)

// searches keeps what was found in traces. One is looked through at a time: a
// channel of ten million readings takes seconds and memory. The zero value is ready.
type searches struct {
	mutex sync.Mutex
	known map[question]*search
	order []question
	turn  sync.Mutex
}

// say notes what is done now.
func (s *search) say(stage string) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.stage = stage
}

// doing says what is done now.
func (s *search) doing() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.stage
}

// over tells whether it has ended.
func (s *search) over() bool {
	select {
	case <-s.ended:
		return true
	default:
		return false
	}
}

// searchOf begins to look through a trace, or gives the search that goes on or has
// ended already.
func (s *Server) searchOf(q question, t record.Trace) *search {
	s.searches.mutex.Lock()
	defer s.searches.mutex.Unlock()
	if known := s.searches.known[q]; known != nil {
		return known
	}
	if s.searches.known == nil {
		s.searches.known = map[question]*search{}
	}
	for len(s.searches.order) >= searchesKept {
		oldest := s.searches.order[0]
		s.searches.order = s.searches.order[1:]
		s.searches.known[oldest].stop()
		delete(s.searches.known, oldest)
	}
	ctx, stop := context.WithTimeout(context.Background(), searchFor)
	one := &search{ended: make(chan struct{}), stop: stop, begun: s.now(), stage: "waiting for its turn"}
	s.searches.known[q] = one
	s.searches.order = append(s.searches.order, q)
	go func() {
		defer stop()
		go func() {
			select {
			case <-s.stopping:
				stop()
			case <-ctx.Done():
			}
		}()
		s.searches.turn.Lock()
		defer s.searches.turn.Unlock()
		one.found, one.problem = s.lookThrough(ctx, q, t, one)
		close(one.ended)
		s.hub.Publish(topic(record.KindTrace, t.ID))
	}()
	return one
}

// forget stops a search and forgets what it found.
func (s *Server) forget(q question) {
	s.searches.mutex.Lock()
	defer s.searches.mutex.Unlock()
	one := s.searches.known[q]
	if one == nil {
		return
	}
	one.stop()
	delete(s.searches.known, q)
	for i, other := range s.searches.order {
		if other == q {
			s.searches.order = append(s.searches.order[:i], s.searches.order[i+1:]...)
			break
		}
	}
}

// lookThrough finds what happened in a trace.
func (s *Server) lookThrough(ctx context.Context, q question, t record.Trace, report *search) (*happened, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	r, err := recording.Open(ctx, s.records.FilePath(t.File), recording.Reading{})
	if err != nil {
		return nil, lostTrace(&t, err)
	}
	defer r.Close()
	r.Name = t.Name
	c, err := r.Channel(q.channel)
	if err != nil {
		return nil, err
	}
	unit := r.Head.Channels[c].Unit
	ask := recording.EventQuestion{Channel: c, Window: recording.Whole(), Thermometer: recording.Thermometer{Channel: q.thermometer}, StepWindow: 20, LeastRun: 60}
	if rows := r.Rows(); rows > 1 { // a run is not shorter than a few readings
		ask.LeastRun = min(ask.LeastRun, (r.End()-r.Begin())/20)
	}
	if q.limits != "" {
		limit, err := quantity.ParseIntervalAs(q.limits, unit)
		if err != nil {
			return nil, err
		}
		ask.Limit = &limit
		if !math.IsInf(limit.Width(), 0) {
			ask.Hysteresis = limit.Width() / 50
		}
	}
	h := &happened{}
	report.say("looking for dropouts, restarts, steps and drift")
	if h.Events, err = r.Events(ctx, ask); err != nil {
		return nil, err
	}
	window := recording.Whole()
	h.Until = r.End()
	if len(h.Events.Excursions) > 0 && len(h.Events.Runs) > 0 {
		run := h.Events.Runs[0]
		h.FirstRun, h.Until = true, run.Start+run.Length
		window = recording.Window{From: run.Start, To: math.Nextafter(h.Until, run.Start)} // without the first reading of the failure
	}
	report.say("fitting the warm-up")
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	warm := recording.WarmQuestion{Channel: c, Window: window, Thermometer: ask.Thermometer, MostLag: 600}
	if h.Warming, err = r.WarmUp(ctx, warm); err != nil {
		h.Without = append(h.Without, "No warm-up: "+strings.TrimSuffix(err.Error(), ".")+".")
	} else if h.Warming.Course == nil {
		h.Without = append(h.Without, "No warm-up: "+strings.TrimSuffix(h.Warming.None, ".")+".")
	}
	report.say("taking the ripple apart")
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if h.Ripple, err = r.Ripple(ctx, recording.RippleQuestion{Channel: c, Window: window}); err != nil {
		h.Ripple = nil
		h.Without = append(h.Without, "No ripple: "+strings.TrimSuffix(err.Error(), ".")+".")
	}
	return h, ctx.Err()
}

// traceMark is something to be drawn beside a trace.
type traceMark struct {
	Channel string  `json:"channel"`
	Kind    string  `json:"kind"`
	From    float64 `json:"from"`
	To      float64 `json:"to"`
}

// traceCurve is the fitted course of a warm-up: from begin to end with a time
// constant, from a time until another.
type traceCurve struct {
	Channel  string  `json:"channel"`
	From     float64 `json:"from"`
	Begin    float64 `json:"begin"`
	End      float64 `json:"end"`
	Constant float64 `json:"constant"`
	Until    float64 `json:"until"`
}

// marksMost is how many marks are sent to be drawn, and how many events are listed.
const (
	marksMost  = 500
	eventsMost = 200
)

// marks are what of the findings is drawn beside the trace.
func (h *happened) marks() []traceMark {
	list := []traceMark{}
	if h == nil || h.Events == nil {
		return list
	}
	for _, e := range h.Events.Excursions {
		list = append(list, traceMark{h.Events.Channel, string(e.Kind), e.Start, e.Start + e.Length})
	}
	for _, e := range h.Events.Steps {
		list = append(list, traceMark{h.Events.Channel, "step", e.Time, e.Time})
	}
	return list[:min(len(list), marksMost)]
}

// curve is the fitted warm-up; nil when there is none.
func (h *happened) curve() *traceCurve {
	if h == nil || h.Warming == nil || h.Warming.Course == nil {
		return nil
	}
	c := h.Warming.Course
	return &traceCurve{h.Warming.Channel, c.From, c.Begin, c.End, c.TimeConstant, h.Until}
}

// eventRow is an event as a row of a table.
type eventRow struct {
	At, What, For, Value, Temperature, Sure string
	Seconds                                 float64
}

// rows are the events as a table, in the order of time.
func (h *happened) rows(stamp func(float64) string) []eventRow {
	var list []eventRow
	known := func(v *float64, unit quantity.Unit) string {
		if v == nil {
			return "–"
		}
		return quantity.FormatDigits(*v, unit, 4)
	}
	for _, e := range h.Events.Excursions {
		row := eventRow{At: stamp(e.Start), What: string(e.Kind), For: quantity.FormatDuration(e.Length), Value: "overload", Temperature: known(e.Temperature, quantity.Celsius), Sure: sureness(e.Confidence), Seconds: e.Start}
		if e.Ongoing {
			row.For = "to the end"
		}
		if e.Extreme != nil {
			row.Value = "as far as " + known(e.Extreme, h.Events.Unit)
		}
		list = append(list, row)
	}
	for _, e := range h.Events.Steps {
		list = append(list, eventRow{At: stamp(e.Time), What: "step", For: "–", Value: fmt.Sprintf("%s to %s", known(&e.Before, h.Events.Unit), known(&e.After, h.Events.Unit)),
			Temperature: known(e.Temperature, quantity.Celsius), Sure: sureness(e.Confidence), Seconds: e.Time})
	}
	return list
}

// sureness writes a confidence.
func sureness(p float64) string {
	if p >= 0.9995 {
		return "> 99.9 %"
	}
	return fmt.Sprintf("%.3g %%", 100*p)
}
