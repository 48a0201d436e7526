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
	"halfsplit/trace/spectrum"
)

// RippleQuestion says which ripple is meant.
type RippleQuestion struct {
	Channel   int
	Window    Window
	Mains     float64 // hertz; 0 guesses
	Switching float64 // hertz; 0 guesses
	Rail      string  // as the sheet names it, for the entry of a case
}

// Ripple is what a channel has on it.
type Ripple struct {
	File       string           `json:"file"`
	Channel    string           `json:"channel"`
	Unit       quantity.Unit    `json:"unit"`
	Span       float64          `json:"seconds"`
	Resolution float64          `json:"resolution_hertz"`
	Mains      float64          `json:"mains_hertz,omitempty"`
	Switching  float64          `json:"switching_hertz,omitempty"`
	Guessed    bool             `json:"mains_or_switching_guessed,omitempty"`
	Lines      []spectrum.Named `json:"lines"`
	Remarks    []string         `json:"remarks,omitempty"`
	Entry      string           `json:"entry_for_the_case,omitempty"`
	spectrum.Ripple
	spectrum *spectrum.Spectrum
}

// resolution is that of a spectrum, in hertz, where the recording is long enough:
// fine enough to tell mains from its neighbours, and coarse enough for it to
// stay one line while it wanders.
const resolution = 0.5

// mostLines is how many lines are listed.
const mostLines = 12

// Ripple analyses the ripple of a channel.
func (r *Recording) Ripple(ctx context.Context, q RippleQuestion) (*Ripple, error) {
	part, err := r.Load(ctx, q.Window.From, q.Window.To, q.Channel)
	if err != nil {
		return nil, err
	}
	values := part.Values[0]
	interval := part.Interval
	if interval == 0 {
		if interval, err = spectrum.Even(part.Time); err != nil {
			return nil, err
		}
	}
	sum, err := spectrum.Sum(values)
	if err != nil {
		return nil, err
	}
	s, err := spectrum.Averaged(values, interval, resolution)
	if err != nil {
		return nil, err
	}
	lines := s.Lines(mostLines)
	a := &Ripple{File: r.Name, Channel: part.Channels[0].Name, Unit: part.Channels[0].Unit, Span: s.Span, Resolution: s.Step,
		Mains: q.Mains, Switching: q.Switching, Ripple: sum, spectrum: s}
	if a.Mains == 0 {
		a.Mains, a.Guessed = spectrum.MainsOf(lines, s.Step), true
	}
	if a.Switching == 0 {
		a.Switching, a.Guessed = spectrum.SwitchingOf(lines, s.Step), true
	}
	a.Lines = spectrum.Name(lines, a.Mains, a.Switching, s.Step)
	// The flat top is five points wide on either side.
	if lowest := 10 * s.Step; lowest > 50 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("the stretch is too short to tell lines below %s apart from the mean: record 0.2 s or more for the mains", short(lowest, quantity.Hertz)))
	}
	if top := 0.5 / interval; top < 20e3 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("nothing above %s can be seen at this rate; what lies above shows at a false frequency", short(top, quantity.Hertz)))
	}
	if sum.Readings < len(values) {
		a.Remarks = append(a.Remarks, plural(len(values)-sum.Readings, "reading is", "readings are")+" missing or an overload")
	}
	a.entry(q.Rail)
	return a, nil
}

// entry writes what a case would hold. The peak-to-peak reading is what the
// limits of a rail are stated in; what the lines say goes with it as the reason.
func (a *Ripple) entry(rail string) {
	if a.Unit != quantity.Volt {
		return
	}
	if rail == "" {
		rail = a.Channel
	}
	var why []string
	for _, l := range a.Lines[:min(3, len(a.Lines))] {
		why = append(why, fmt.Sprintf("%s at %s (%s)", short(2*l.Amplitude, a.Unit)+" p-p", short(l.Frequency, quantity.Hertz), l))
	}
	a.Entry = fmt.Sprintf("- {measure: %s, reads: %s p-p", quoted(rail), short(a.PeakToPeak, a.Unit))
	if len(why) > 0 {
		a.Entry += fmt.Sprintf(", why: %s", quoted(strings.Join(why, ", ")))
	}
	a.Entry += "}"
}

// quoted writes a text as YAML reads it back within braces.
func quoted(text string) string {
	if strings.ContainsAny(text, `,:{}[]"'#&*!|>%@`+"`") || strings.HasPrefix(text, "-") || strings.HasPrefix(text, "+") || strings.TrimSpace(text) != text || text == "" {
		return `"` + strings.ReplaceAll(strings.ReplaceAll(text, `\`, `\\`), `"`, `\"`) + `"`
	}
	return text
}

// Text prints the ripple.
func (a *Ripple) Text(to io.Writer) error {
	p := plain.To(to)
	p.Line("%s, channel %s: %d readings over %s, resolution %s", a.File, a.Channel, a.Readings, short(a.Span, quantity.Second), short(a.Resolution, quantity.Hertz))
	p.Line("")
	p.Line("Mean %s, ripple %s p-p, %s RMS, crest factor %.2f", value(a.Mean, a.Unit, a.RMS), short(a.PeakToPeak, a.Unit), short(a.RMS, a.Unit), a.Crest)
	var found []string
	if a.Mains > 0 {
		found = append(found, "mains "+short(a.Mains, quantity.Hertz))
	}
	if a.Switching > 0 {
		found = append(found, "switching "+short(a.Switching, quantity.Hertz))
	}
	if len(found) > 0 && a.Guessed {
		p.Line("Taken from the lines: %s; say --mains or --switching where that is wrong", strings.Join(found, ", "))
	}
	p.Line("")
	if len(a.Lines) == 0 {
		p.Line("No line stands out of the noise.")
	} else {
		rows := [][]string{{"line", "frequency", "p-p", "RMS"}}
		for _, l := range a.Lines {
			rows = append(rows, []string{l.String(), value(l.Frequency, quantity.Hertz, 10*a.Resolution), short(2*l.Amplitude, a.Unit), short(l.RMS, a.Unit)})
		}
		p.Table(rows)
		p.Line("")
		said := map[string]bool{}
		var means []string
		for _, l := range a.Lines {
			if !said[string(l.Origin)] {
				said[string(l.Origin)] = true
				means = append(means, fmt.Sprintf("%s: %s", l.Origin, l.Means))
			}
		}
		p.List("What such lines usually mean (common practice)", means)
	}
	if len(a.Remarks) > 0 {
		p.Line("")
		p.List("Mind that", a.Remarks)
	}
	if a.Entry != "" {
		p.Line("")
		p.List("To enter in the case", []string{a.Entry})
	}
	return p.Err()
}

// DrawRipple draws the course, and the spectrum below on logarithmic axes of its
// own.
func (r *Recording) DrawRipple(to io.Writer, a *Ripple) error {
	p := picture.Stack{Title: fmt.Sprintf("%s, ripple on %s", filepath.Base(a.File), a.Channel), X: picture.Axis{Label: "frequency in Hz", Log: true}}
	c := picture.Curve{Name: "amplitude"}
	floor := math.Inf(1)
	for k := 3; k < len(a.spectrum.Amplitude); k++ {
		v := a.spectrum.Amplitude[k]
		c.X, c.Y = append(c.X, float64(k)*a.spectrum.Step), append(c.Y, v)
		if v > 0 {
			floor = min(floor, v)
		}
	}
	if largest := a.PeakToPeak; floor < 1e-7*largest { // what lies below is rounding
		for i, v := range c.Y {
			c.Y[i] = max(v, 1e-7*largest)
		}
	}
	lines := picture.Curve{Name: "lines", Sticks: true}
	for _, l := range a.Lines {
		lines.X, lines.Y = append(lines.X, l.Frequency), append(lines.Y, l.Amplitude)
	}
	label := "amplitude"
	if a.Unit != quantity.None {
		label += " in " + string(a.Unit)
	}
	p.Panels = []picture.Panel{{Y: picture.Axis{Label: label, Log: true}, Curves: []picture.Curve{c, lines}}}
	return p.SVG(to)
}
