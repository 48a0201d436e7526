package watch

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Screen shows the latest readings on a terminal, each in its place, with the
// course of the last ones beside it and the latest notes below.
type Screen struct {
	to       io.Writer
	channels []Channel
	tally    *Tally
	file     string
	begun    time.Time
	latest   []Field
	courses  [][]float64
	notes    []string
	lines    int // that stand on the screen

	// Soak is shown below the channels, unless nil. It must be given each row
	// before the screen.
	Soak *Soak
}

// The sizes of the screen, in characters and lines.
const (
	screenWidth  = 79
	courseLength = 16
	mostNotes    = 4
)

// NewScreen makes a screen. It shows the sums of a tally, which must be given
// each row before it.
func NewScreen(to io.Writer, channels []Channel, tally *Tally, file string, begun time.Time) *Screen {
	return &Screen{to: to, channels: channels, tally: tally, file: file, begun: begun, courses: make([][]float64, len(channels))}
}

// Row shows a row.
func (s *Screen) Row(r Row) error {
	s.latest = r.Fields
	for i, f := range r.Fields {
		course := append(s.courses[i], f.Value)
		s.courses[i] = course[max(0, len(course)-courseLength):]
	}
	return s.draw(r.Time)
}

// Note shows a note.
func (s *Screen) Note(n Note) error {
	s.notes = append(s.notes, fmt.Sprintf("%s  %s: %s", n.Time.Format(time.TimeOnly), n.Channel, oneLine(n.Text)))
	s.notes = s.notes[max(0, len(s.notes)-mostNotes):]
	return s.draw(n.Time)
}

// draw replaces what stands on the screen.
func (s *Screen) draw(now time.Time) error {
	where := "nowhere kept"
	if s.file != "" {
		where = s.file
	}
	lines := []string{fmt.Sprintf("%s  %d rows  %s  Ctrl-C ends", stopwatch(now.Sub(s.begun)), s.tally.Rows, where)}
	for i := range s.latest {
		lines = append(lines, s.line(i))
	}
	if s.Soak != nil {
		for _, l := range s.Soak.Lines() {
			lines = append(lines, "  "+l)
		}
	}
	lines = append(lines, s.notes...)
	var b strings.Builder
	if s.lines > 0 {
		fmt.Fprintf(&b, "\x1b[%dA", s.lines)
	}
	for _, l := range lines {
		b.WriteString("\r\x1b[K" + clip(l) + "\n")
	}
	b.WriteString("\x1b[J")
	s.lines = len(lines)
	_, err := io.WriteString(s.to, b.String())
	return err
}

// line is the line of a channel.
func (s *Screen) line(i int) string {
	f, t, c := s.latest[i], &s.tally.Channels[i], &s.channels[i]
	text := fmt.Sprintf("  %-12s %12s  %-23s %s", c.Name, f.value(c.Unit), f.verdict(), sparks(s.courses[i]))
	if t.Outside > 0 {
		text += fmt.Sprintf(" %d outside", t.Outside)
	}
	return text
}

// sparks draws a course in one line, from its lowest to its highest.
func sparks(values []float64) string {
	marks := []rune("▁▂▃▄▅▆▇█")
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	var b strings.Builder
	for _, v := range values {
		switch {
		case math.IsNaN(v):
			b.WriteRune(' ')
		case high <= low:
			b.WriteRune(marks[0])
		default:
			b.WriteRune(marks[int((v-low)/(high-low)*float64(len(marks)-1)+0.5)])
		}
	}
	return b.String()
}

// stopwatch writes a time that runs.
func stopwatch(d time.Duration) string {
	s := int(d.Seconds())
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// clip cuts a line to the width of the screen.
func clip(line string) string {
	if r := []rune(line); len(r) > screenWidth {
		return string(r[:screenWidth-1]) + "…"
	}
	return line
}
