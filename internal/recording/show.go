package recording

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"halfsplit/internal/picture"
	"halfsplit/internal/plain"
	"halfsplit/quantity"
	"halfsplit/trace"
	"halfsplit/trace/fit"
)

// Contents is what is in a recording.
type Contents struct {
	File     string    `json:"file"`
	Origin   string    `json:"origin,omitempty"`
	Begin    float64   `json:"begin_seconds"`
	End      float64   `json:"end_seconds"`
	Rows     int64     `json:"rows"`
	Interval float64   `json:"interval_seconds,omitempty"` // where readings are counted
	Channels []Channel `json:"channels"`
	Notes    []string  `json:"notes,omitempty"`
	Verified bool      `json:"verified,omitempty"`
}

// Channel sums up a channel; what no reading tells is missing.
type Channel struct {
	Name     string        `json:"channel"`
	Unit     quantity.Unit `json:"unit"`
	Readings int           `json:"readings"`
	Lowest   *float64      `json:"lowest"`
	Highest  *float64      `json:"highest"`
	Mean     *float64      `json:"mean"`
	Median   *float64      `json:"median"`
	Spread   *float64      `json:"standard_deviation"`
	Noise    *float64      `json:"noise"`
}

// Window is a stretch of time; infinite ends reach to the ends of the trace.
type Window struct{ From, To float64 }

// Whole is the window without ends.
func Whole() Window { return Window{math.Inf(-1), math.Inf(1)} }

// Show sums up a stretch of a recording.
func (r *Recording) Show(ctx context.Context, w Window) (*Contents, error) {
	c := &Contents{File: r.Name, Begin: r.Begin(), End: r.End(), Rows: r.Rows(), Interval: r.Head.Interval, Notes: r.Notes}
	if !r.Head.Origin.IsZero() {
		c.Origin = r.Head.Origin.Format("2006-01-02 15:04:05")
	}
	for i := range r.Head.Channels {
		part, err := r.Load(ctx, w.From, w.To, i)
		if err != nil {
			return nil, err
		}
		c.Channels = append(c.Channels, sumUp(part))
		c.Begin, c.End = part.Time[0], part.Time[len(part.Time)-1]
		c.Rows = int64(len(part.Time))
	}
	return c, nil
}

// sumUp sums up the only channel of a part.
func sumUp(part *trace.Trace) Channel {
	c := Channel{Name: part.Channels[0].Name, Unit: part.Channels[0].Unit}
	_, values := part.Finite(0)
	c.Readings = len(values)
	if len(values) == 0 {
		return c
	}
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range values {
		low, high, sum = min(low, v), max(high, v), sum+v
	}
	mean, square := sum/float64(len(values)), 0.0
	for _, v := range values {
		square += (v - mean) * (v - mean)
	}
	noise := fit.Noise(part.Values[0])
	median := fit.Median(values)
	c.Lowest, c.Highest, c.Mean, c.Median, c.Noise = &low, &high, &mean, &median, &noise
	if len(values) > 1 {
		spread := math.Sqrt(square / float64(len(values)-1))
		c.Spread = &spread
	}
	return c
}

// Text prints what is in a recording.
func (c *Contents) Text(to io.Writer) error {
	p := plain.To(to)
	p.Line("%s: %d readings over %s", c.File, c.Rows, duration(c.End-c.Begin))
	if c.Origin != "" {
		stamp := stamps(c.Begin, c.End)
		p.Line("Time is counted from %s; it runs from %s to %s", c.Origin, stamp(c.Begin), stamp(c.End))
	}
	rows := [][]string{{"channel", "lowest", "median", "highest", "mean", "std. deviation", "noise"}}
	for _, ch := range c.Channels {
		row := []string{ch.Name}
		if ch.Lowest == nil {
			rows = append(rows, append(row, "–", "–", "–", "–", "–", "–"))
			continue
		}
		spread := 0.0
		if ch.Spread != nil {
			spread = *ch.Spread
		}
		for _, v := range []*float64{ch.Lowest, ch.Median, ch.Highest, ch.Mean} {
			row = append(row, value(*v, ch.Unit, spread))
		}
		rows = append(rows, append(row, short(spread, apart(ch.Unit)), short(*ch.Noise, apart(ch.Unit))))
	}
	p.Line("")
	p.Table(rows)
	if c.Verified {
		p.Line("")
		p.Line("All checksums are right, and the overview agrees with the readings.")
	}
	if len(c.Notes) > 0 {
		p.Line("")
		p.List("How it was read", c.Notes)
	}
	return p.Err()
}

// thing is what a unit measures, without its article.
func thing(u quantity.Unit) string {
	text := u.Measures()
	for _, article := range []string{"a ", "an "} {
		text = strings.TrimPrefix(text, article)
	}
	return text
}

// DrawShow draws channels, one panel for each unit.
func (r *Recording) DrawShow(to io.Writer, w Window, channels []int) error {
	return r.picture(channels, w).svg(to)
}

// drawing is a picture under way; the first error is kept.
type drawing struct {
	picture.Stack
	scale float64 // of time
	err   error
}

func (d *drawing) svg(to io.Writer) error {
	if d.err != nil {
		return d.err
	}
	return d.SVG(to)
}

// picture draws the courses of channels.
func (r *Recording) picture(channels []int, w Window) *drawing {
	from, to := max(w.From, r.Begin()), min(w.To, r.End())
	d := &drawing{}
	var unit string
	d.scale, unit = picture.Time(max(math.Abs(from), math.Abs(to), 1e-300))
	d.Title, d.X.Label = filepath.Base(r.Name), "time in "+unit
	panels := map[quantity.Unit]int{}
	for _, c := range channels {
		x, y, err := r.Course(c, from, to)
		if err != nil {
			d.err = err
			return d
		}
		ch := r.Head.Channels[c]
		at, ok := panels[ch.Unit]
		if !ok {
			at = len(d.Panels)
			panels[ch.Unit] = at
			label := ch.Name
			if ch.Unit != quantity.None {
				label = fmt.Sprintf("%s in %s", thing(ch.Unit), ch.Unit)
			}
			d.Panels = append(d.Panels, picture.Panel{Y: picture.Axis{Label: label}})
		}
		d.Panels[at].Curves = append(d.Panels[at].Curves, picture.Curve{Name: ch.Name, X: picture.Scaled(x, d.scale), Y: y})
	}
	return d
}
