package watch

import (
	"context"
	"math"
	"sync"
	"time"

	"halfsplit/metrology"
)

// Source is where readings of one channel come from.
type Source interface {
	// Read takes one reading: ±Inf for an overload, NaN for none.
	Read(ctx context.Context) (float64, error)
	// History tells what is worth knowing about the connection that was made
	// last.
	History() []string
}

// State is what a row holds of a channel.
type State string

// The states.
const (
	Measured         State = "reading"
	Overload         State = "overload"
	NegativeOverload State = "negative overload"
	NoValue          State = "not a number" // the meter said that it has no reading
	Missing          State = "no reading"   // nothing came
)

// Field is what a row holds of one channel.
type Field struct {
	State State
	// Value is NaN unless State is Measured.
	Value float64
	// At is when it came; the zero Time where nothing came.
	At time.Time
	// Verdict is nil where there are no limits or no value.
	Verdict *metrology.Verdict
}

// Row holds the readings that came since the row before it, one of each
// channel at most.
type Row struct {
	// Time is when the readings were asked for.
	Time   time.Time
	Fields []Field
}

// Note is something that happened to a channel.
type Note struct {
	Time    time.Time
	Channel string
	Text    string
}

// Sink takes what a watch gives. An error of either method ends the watch.
type Sink interface {
	Row(Row) error
	Note(Note) error
}

// Clock gives the time.
type Clock func() time.Time

// answer is what came of a reading.
type answer struct {
	channel int
	value   float64
	err     error
	history []string
}

// Run takes a row of readings at each tick, until the context ends or the ticks
// do. All meters are asked at once. A row is closed when all have answered, and at
// the next tick at the latest; what comes later stands in the row that is open
// then, and a meter that has not answered is not asked again. One that is away
// therefore holds up no other.
//
// The readings that have come when the context ends are handed over. The error is
// the sink's.
func Run(ctx context.Context, channels []Channel, sources []Source, ticks <-chan time.Time, now Clock, sink Sink) error {
	ctx, stop := context.WithCancel(ctx)
	var reading sync.WaitGroup
	defer reading.Wait()
	defer stop()
	r := &runner{channels: channels, sink: sink, stamps: newStamper(now), busy: make([]bool, len(sources)), lost: make([]bool, len(sources)), late: make([]bool, len(sources))}
	answers := make(chan answer)
	asks := make([]chan struct{}, len(sources))
	for i, source := range sources {
		asks[i] = make(chan struct{}, 1)
		reading.Go(func() { readOn(ctx, i, source, asks[i], answers) })
	}
	for {
		select {
		case <-ctx.Done():
			return r.last()
		case _, more := <-ticks:
			if !more {
				return r.last()
			}
			if err := r.open(asks); err != nil {
				return err
			}
		case a := <-answers:
			if err := r.take(a); err != nil {
				return err
			}
		}
	}
}

// readOn reads a source whenever it is asked to.
func readOn(ctx context.Context, channel int, source Source, asked <-chan struct{}, answers chan<- answer) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-asked:
		}
		a := answer{channel: channel}
		if a.value, a.err = source.Read(ctx); a.err == nil {
			a.history = source.History()
		}
		select {
		case answers <- a:
		case <-ctx.Done():
			return
		}
	}
}

// runner gathers answers into rows.
type runner struct {
	channels []Channel
	sink     Sink
	stamps   *stamper
	busy     []bool // asked, and not answered
	lost     []bool // the last answer was an error
	late     []bool // it was told that it is slow
	row      *Row   // the open one
}

// open closes the row before, opens another, and asks every meter that is free.
func (r *runner) open(asks []chan struct{}) error {
	if err := r.close(); err != nil {
		return err
	}
	r.row = &Row{Time: r.stamps.now(), Fields: make([]Field, len(r.channels))}
	for i := range r.row.Fields {
		r.row.Fields[i] = Field{State: Missing, Value: math.NaN()}
	}
	for i, ask := range asks {
		if r.busy[i] {
			if err := r.slow(i); err != nil {
				return err
			}
			continue
		}
		r.busy[i] = true
		ask <- struct{}{}
	}
	return nil
}

// slow notes, once for each channel, that a reading was not there in time.
func (r *runner) slow(channel int) error {
	if r.late[channel] || r.lost[channel] {
		return nil
	}
	r.late[channel] = true
	return r.note(&r.channels[channel], "has not answered by the next row; it is silent, or slower than the rows follow each other")
}

// take puts an answer in the open row. Where the row was closed since all others
// had answered, there is none that waits.
func (r *runner) take(a answer) error {
	r.busy[a.channel] = false
	c := &r.channels[a.channel]
	if a.err != nil {
		if !r.lost[a.channel] {
			if err := r.note(c, a.err.Error()); err != nil {
				return err
			}
		}
		r.lost[a.channel] = true
		return r.closeIfFull()
	}
	if r.lost[a.channel] {
		r.lost[a.channel] = false
		for _, text := range append([]string{"answers again"}, a.history...) {
			if err := r.note(c, text); err != nil {
				return err
			}
		}
	}
	r.row.Fields[a.channel] = c.field(a.value, r.stamps.now())
	return r.closeIfFull()
}

func (r *runner) note(c *Channel, text string) error {
	return r.sink.Note(Note{r.stamps.now(), c.Name, text})
}

func (r *runner) closeIfFull() error {
	for _, busy := range r.busy {
		if busy {
			return nil
		}
	}
	return r.close()
}

func (r *runner) close() error {
	if r.row == nil {
		return nil
	}
	row := *r.row
	r.row = nil
	return r.sink.Row(row)
}

// last hands over the open row, if anything stands in it.
func (r *runner) last() error {
	if r.row != nil {
		for _, f := range r.row.Fields {
			if f.State != Missing {
				return r.close()
			}
		}
	}
	return nil
}

// field makes the field of a reading, with its verdict.
func (c *Channel) field(v float64, at time.Time) Field {
	f := Field{State: Measured, Value: v, At: at}
	switch {
	case math.IsInf(v, 1):
		f.State, f.Value = Overload, math.NaN()
	case math.IsInf(v, -1):
		f.State, f.Value = NegativeOverload, math.NaN()
	case math.IsNaN(v):
		f.State = NoValue
	default:
		f.Verdict = c.Judge(v)
	}
	return f
}

// stamper gives times that never go back, whatever is done to the clock of the
// computer.
type stamper struct {
	clock  Clock
	start  time.Time
	ahead  time.Duration
	latest time.Time
}

func newStamper(clock Clock) *stamper { return &stamper{clock: clock, start: clock()} }

func (s *stamper) now() time.Time {
	t := s.clock()
	return s.stamp(t.Sub(s.start), t.Round(0).Sub(s.start.Round(0)))
}

// asleep is how far the clock of day may run ahead of the time that was counted
// before the computer must have slept.
const asleep = 2 * time.Second

// stamp gives the time after so much was counted and the clock of day went on so
// much. The count is trusted, since a clock of day is set now and then; but while
// a computer sleeps only the clock goes on.
func (s *stamper) stamp(counted, day time.Duration) time.Time {
	if jump := day - counted - s.ahead; jump > asleep {
		s.ahead += jump
	}
	t := s.start.Round(0).Add(counted + s.ahead)
	if t.Before(s.latest) {
		t = s.latest
	}
	s.latest = t
	return t
}
