package web

import (
	"fmt"
	"math"
	"net/url"
	"strings"

	"github.com/a-h/templ"

	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// readingPlace is a place where a reading can be taken.
type readingPlace struct {
	Name     string
	Shows    string // the signal seen there, where it has another name
	Expects  string
	Where    string
	Proposed string // what the reading would be good for; empty when it is not proposed
	Last     string // what was last read there
}

// readingPlaces are the places of the sheet: those proposed, then test points,
// rails, and everything else that can be named.
type readingPlaces struct {
	Proposed, Points, Rails, Signals []readingPlace
}

// places lists where a reading can be taken.
func (v *jobView) places() readingPlaces {
	var all readingPlaces
	if v.Work == nil {
		return all
	}
	s := v.Work.Sheet
	last := map[string]string{}
	for i := range v.Log {
		if v.Log[i].CorrectedBy != 0 {
			continue
		}
		if e, err := logbook.ParseEntry(v.Log[i].Line); err == nil {
			for _, at := range e.Measure {
				last[at.Text] = words(e.Reads)
			}
		}
	}
	make := func(name string) readingPlace {
		p := readingPlace{Name: name, Last: last[name]}
		if point := s.Point(name); point != nil {
			p.Where = point.Where
			if signal := s.SignalOf(point); signal != name {
				p.Shows = signal
			}
		}
		p.Expects = expects(s, name)
		return p
	}
	if r := v.report(); r != nil {
		for _, t := range r.Tests {
			if strings.HasPrefix(t.Test, "read ") && t.At != "" && len(all.Proposed) < 3 {
				p := make(t.At)
				p.Proposed = findings.Minutes(t.Minutes) + "; " + saves(&t)
				if p.Where == "" {
					p.Where = t.Where
				}
				all.Proposed = append(all.Proposed, p)
			}
		}
	}
	seen := map[string]bool{}
	for _, p := range s.Points {
		all.Points = append(all.Points, make(p.Name.Text))
		seen[p.Name.Text] = true
	}
	for _, rail := range s.Rails {
		if !seen[rail.Name.Text] {
			all.Rails = append(all.Rails, make(rail.Name.Text))
			seen[rail.Name.Text] = true
		}
	}
	for _, name := range s.Signals() {
		if !seen[name] {
			all.Signals = append(all.Signals, make(name))
			seen[name] = true
		}
	}
	for _, name := range s.Nodes() {
		if !seen[name] {
			all.Signals = append(all.Signals, make(name))
			seen[name] = true
		}
	}
	return all
}

// expects says what should be read at a place; empty when the sheet does not say.
func expects(s *sheet.Sheet, name string) string {
	if x, err := findings.Expected(s, name); err == nil {
		text := figure(x.Value.Value, x.Value.Unit)
		if low, high := x.Limit.Low, x.Limit.High; !math.IsInf(low, 0) && !math.IsInf(high, 0) {
			text += fmt.Sprintf(" (%s to %s)", figure(low, x.Value.Unit), figure(high, x.Value.Unit))
		}
		return text
	}
	if p := s.Point(name); p != nil && p.Expect != nil {
		return p.Expect.String()
	}
	return ""
}

// figure writes a value with four figures at most.
func figure(value float64, unit quantity.Unit) string {
	text := quantity.FormatDigits(value, unit, 4)
	number, rest, _ := strings.Cut(text, " ")
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + " " + rest)
}

// words are what was read, on one line.
func words(list []form.Word) string {
	texts := make([]string, len(list))
	for i, w := range list {
		texts[i] = w.Text
	}
	return strings.Join(texts, ", ")
}

// unitAt is the unit of a bare number that is read at a place.
func unitAt(s *sheet.Sheet, name string) string {
	if x, err := findings.Expected(s, name); err == nil && x.Value.Unit != quantity.None {
		return string(x.Value.Unit)
	}
	return "V"
}

// keysFor are the units on the keypad.
func keysFor(unit string) []string {
	switch unit {
	case "V":
		return []string{" mV", " V", " V AC", " mV p-p"}
	case "A":
		return []string{" µA", " mA", " A"}
	case "Hz":
		return []string{" Hz", " kHz", " MHz"}
	case "Ω":
		return []string{" Ω", " kΩ", " MΩ"}
	}
	return []string{" " + unit, " V", " mV"}
}

// readingWords are words for a reading that is no number.
var readingWords = []string{"good", "absent", "low", "high", "hum", "noisy", "stuck low", "stuck high", "floating", "pulsing", "wrong", "intermittent"}

// readingAt is the address of the reading of a place.
func readingAt(v *jobView, name string) templ.SafeURL {
	return templ.SafeURL(v.path("/reading?at=" + url.QueryEscape(name)))
}
