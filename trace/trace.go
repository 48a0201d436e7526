package trace

import (
	"fmt"
	"math"
	"sort"
	"time"

	"halfsplit/quantity"
)

// Channel is one thing that was recorded.
type Channel struct {
	Name string
	Unit quantity.Unit // None where it is not known
}

// Head describes a trace without its readings.
type Head struct {
	Channels []Channel
	// Origin is the moment at which the time is zero; the zero Time where it is
	// not known. A clock without a zone is kept as if it were UTC.
	Origin time.Time
	// Interval is the time between readings in seconds where they were taken at
	// equal intervals by count, and 0 where each has a time of its own.
	Interval float64
	// Start is the time of the first reading in seconds, where there is an
	// Interval.
	Start float64
}

// Channel finds a channel by its name.
func (h *Head) Channel(name string) (int, bool) {
	for i, c := range h.Channels {
		if c.Name == name {
			return i, true
		}
	}
	return 0, false
}

// Names lists the names of the channels.
func (h *Head) Names() []string {
	names := make([]string, len(h.Channels))
	for i, c := range h.Channels {
		names[i] = c.Name
	}
	return names
}

// Check returns an error that says what of a head cannot be.
func (h *Head) Check() error {
	switch {
	case len(h.Channels) == 0:
		return fmt.Errorf("trace: there is no channel; a trace needs at least one")
	case !(h.Interval >= 0) || math.IsInf(h.Interval, 0):
		return fmt.Errorf("trace: the interval is %v s; write a time above zero, or 0 where each reading has its own", h.Interval)
	case math.IsNaN(h.Start) || math.IsInf(h.Start, 0):
		return fmt.Errorf("trace: the start is %v s; write a time", h.Start)
	}
	seen := map[string]bool{}
	for _, c := range h.Channels {
		if seen[c.Name] {
			return fmt.Errorf("trace: two channels are named %q; give each its own name", c.Name)
		}
		seen[c.Name] = true
		if !c.Unit.Known() {
			return fmt.Errorf("trace: the unit of channel %q is %q, which is not known", c.Name, c.Unit)
		}
	}
	return nil
}

// A Block is a number of readings in a row of all channels: one value for each
// time and channel. Time is nil where the head has an interval.
type Block struct {
	Time   []float64   // seconds, never falling
	Values [][]float64 // by channel, then by reading
}

// Rows is the number of readings of each channel.
func (b *Block) Rows() int {
	if len(b.Values) == 0 {
		return len(b.Time)
	}
	return len(b.Values[0])
}

// A Trace is a whole trace, or a stretch of one, in memory.
type Trace struct {
	Head
	Block // with Time always filled in
}

// Between returns the readings from one time to another, both included, without
// copying them.
func (t *Trace) Between(from, to float64) *Trace {
	first := sort.SearchFloat64s(t.Time, from)
	last := sort.Search(len(t.Time), func(i int) bool { return t.Time[i] > to })
	part := &Trace{Head: t.Head}
	part.Interval, part.Start = 0, 0
	last = max(first, last)
	part.Time = t.Time[first:last]
	for _, v := range t.Values {
		part.Values = append(part.Values, v[first:last])
	}
	return part
}

// Finite returns the times and values of a channel where it has a value.
func (t *Trace) Finite(channel int) (times, values []float64) {
	for i, v := range t.Values[channel] {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			times, values = append(times, t.Time[i]), append(values, v)
		}
	}
	return times, values
}

// Gather collects blocks into a whole trace.
type Gather struct{ Trace }

// Append adds a block.
func (g *Gather) Append(b *Block) error {
	n := b.Rows()
	if g.Values == nil {
		g.Values = make([][]float64, len(g.Channels))
	}
	if g.Interval > 0 {
		for i := range n {
			g.Time = append(g.Time, g.Start+float64(len(g.Values[0])+i)*g.Interval)
		}
	} else {
		g.Time = append(g.Time, b.Time...)
	}
	for i := range g.Values {
		g.Values[i] = append(g.Values[i], b.Values[i]...)
	}
	return nil
}

// At returns the value of a series at a time, on the straight line between the
// readings on either side that have one; NaN outside the series or where it has
// none. The times never fall.
func At(times, values []float64, t float64) float64 {
	i := sort.SearchFloat64s(times, t)
	good := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	right, left := i, i-1
	for right < len(times) && !good(values[right]) {
		right++
	}
	if right < len(times) && times[right] == t {
		return values[right]
	}
	for left >= 0 && !good(values[left]) {
		left--
	}
	if left < 0 || right >= len(times) {
		return math.NaN()
	}
	share := (t - times[left]) / (times[right] - times[left])
	return values[left] + share*(values[right]-values[left])
}
