// Package spare finds what a part of a service sheet really bears, by solving the
// circuit it stands in, so that a replacement can be chosen by that.
package spare

import (
	"context"
	"fmt"
	"math"

	"halfsplit/internal/solution"
	"halfsplit/part/replacement"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// Bears is what a part bears in its circuit.
type Bears struct {
	Stress   replacement.Stress
	Circuit  string // empty when the sheet has none with the part in it
	Warnings []string
}

// Find solves the circuit in which a part of a sheet stands. Until is a time in
// seconds from switching on to follow a circuit that nothing drives, such as a
// switcher that swings by itself; zero reads it at rest. The error says why the
// circuit could not be solved; what the sheet itself says is given all the same.
func Find(ctx context.Context, s *sheet.Sheet, name string, until float64) (Bears, error) {
	b := Bears{Stress: replacement.Stress{}}
	if p := s.Part(name); p != nil {
		b.Stress.Hot = p.Near.Text != ""
	}
	circuit, described, placed := s.Placed(name)
	if placed == nil {
		return b, nil
	}
	question := solution.Question{Until: until, Accuracy: 1e-4}
	wired, err := s.Wire(described, question.Moment())
	if err != nil {
		return b, err
	}
	if err := possible(wired, until); err != nil {
		return b, err
	}
	answer, err := solution.Ask(ctx, wired, question)
	if err != nil {
		return b, fmt.Errorf("circuit %q: %w", circuit, err)
	}
	b.Circuit = circuit
	for _, w := range answer.Warnings {
		b.Warnings = append(b.Warnings, "in circuit "+circuit+": "+w)
	}
	for _, found := range answer.Parts {
		if found.Part != name {
			continue
		}
		b.Stress.Voltage, b.Stress.Current, b.Stress.Dissipation = found.Voltage, math.Abs(found.Current), found.Dissipation
		b.Stress.Mean, b.Stress.Headroom = math.Abs(found.Mean), math.Max(found.Headroom, 0)
		b.Stress.RMS, b.Stress.Frequency = found.RMS, found.Hertz
		if found.RMS < leastRipple {
			b.Stress.RMS, b.Stress.Frequency = 0, 0
		}
	}
	return b, nil
}

// leastRipple is the ripple current in amperes below which no capacitor is chosen
// by it. Common practice.
const leastRipple = 1e-3

// possible says when a circuit at rest says nothing of a part.
func possible(c *wiring.Circuit, until float64) error {
	if c.Period > 0 || until > 0 {
		return nil
	}
	for _, p := range c.Parts {
		if p.Is.Windings {
			return fmt.Errorf("the circuit swings by itself, and at rest its parts bear nothing; say how long to follow it from switching on, as in --until 20ms")
		}
	}
	return nil
}
