package watch

import (
	"math"
	"time"

	"halfsplit/metrology"
)

// Tally sums up what a watch saw of each channel.
type Tally struct {
	Rows     int
	From, To time.Time // of the first and last row
	Channels []ChannelTally
}

// ChannelTally sums up one channel. Lowest, Highest and Mean are NaN where there
// was no value.
type ChannelTally struct {
	Name                   string
	Readings               int // values
	Lowest, Highest, Mean  float64
	Within, Close, Outside int // verdicts; Within counts those near the limit
	Overloads, Missing     int
	FirstOutside           time.Time // zero where none was
}

// NewTally begins to count.
func NewTally(channels []Channel) *Tally {
	t := &Tally{}
	for _, c := range channels {
		t.Channels = append(t.Channels, ChannelTally{Name: c.Name, Lowest: math.NaN(), Highest: math.NaN(), Mean: math.NaN()})
	}
	return t
}

// Row counts a row.
func (t *Tally) Row(r Row) error {
	if t.Rows == 0 {
		t.From = r.Time
	}
	t.Rows++
	t.To = r.Time
	for i, f := range r.Fields {
		t.Channels[i].add(f)
	}
	return nil
}

// Note counts nothing.
func (t *Tally) Note(Note) error { return nil }

func (c *ChannelTally) add(f Field) {
	switch f.State {
	case Overload, NegativeOverload:
		c.Overloads++
		return
	case NoValue, Missing:
		c.Missing++
		return
	}
	c.Readings++
	if c.Readings == 1 {
		c.Lowest, c.Highest, c.Mean = f.Value, f.Value, 0
	}
	c.Lowest, c.Highest = min(c.Lowest, f.Value), max(c.Highest, f.Value)
	c.Mean += (f.Value - c.Mean) / float64(c.Readings)
	if f.Verdict == nil {
		return
	}
	switch f.Verdict.Word {
	case metrology.Outside:
		c.Outside++
		if c.FirstOutside.IsZero() {
			c.FirstOutside = f.At
		}
	case metrology.TooClose:
		c.Close++
	default:
		c.Within++
	}
}

// Sinks hands everything to several sinks, in order; the first error is kept and
// those behind it get nothing more.
type Sinks []Sink

// Row hands over a row.
func (s Sinks) Row(r Row) error {
	for _, one := range s {
		if err := one.Row(r); err != nil {
			return err
		}
	}
	return nil
}

// Note hands over a note.
func (s Sinks) Note(n Note) error {
	for _, one := range s {
		if err := one.Note(n); err != nil {
			return err
		}
	}
	return nil
}
