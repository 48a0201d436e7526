package sheet

import (
	"fmt"
	"slices"
	"strings"

	"halfsplit/internal/form"
	"halfsplit/signal"
)

// Rail gives the rail of that name, or nil.
func (s *Sheet) Rail(name string) *Rail {
	for i := range s.Rails {
		if s.Rails[i].Name.Text == name {
			return &s.Rails[i]
		}
	}
	return nil
}

// SourceOf is the name of the suspect that stands for whatever feeds a rail
// whose origin the sheet does not describe.
func SourceOf(rail string) string { return "source of " + rail }

// Point gives the test point of that name, or nil.
func (s *Sheet) Point(name string) *Point {
	for i := range s.Points {
		if s.Points[i].Name.Text == name {
			return &s.Points[i]
		}
	}
	return nil
}

// PointsOf lists the test points at which a signal is seen.
func (s *Sheet) PointsOf(signal string) []*Point {
	var points []*Point
	for i := range s.Points {
		if s.SignalOf(&s.Points[i]) == signal {
			points = append(points, &s.Points[i])
		}
	}
	return points
}

// SignalOf gives the signal seen at a point.
func (s *Sheet) SignalOf(p *Point) string {
	if p.Signal.Text != "" {
		return p.Signal.Text
	}
	return p.Name.Text
}

// Part gives the part of that designator, in the list of parts or in a
// circuit, or nil.
func (s *Sheet) Part(name string) *Part {
	for i := range s.Parts {
		if s.Parts[i].Name.Text == name {
			return &s.Parts[i]
		}
	}
	for _, circuit := range s.Circuits.All() {
		for i := range circuit.Parts {
			if circuit.Parts[i].Name.Text == name {
				return &circuit.Parts[i]
			}
		}
	}
	return nil
}

// Block gives the block of that name, or nil.
func (s *Sheet) Block(name string) *Block {
	for i := range s.Blocks {
		if s.Blocks[i].Name.Text == name {
			return &s.Blocks[i]
		}
	}
	return nil
}

// Check gives the check of that name, or nil.
func (s *Sheet) Check(name string) *Check {
	for i := range s.Checks {
		if s.Checks[i].Name.Text == name {
			return &s.Checks[i]
		}
	}
	return nil
}

// Signals lists every signal and rail, sorted.
func (s *Sheet) Signals() []string {
	var names []string
	for _, r := range s.Rails {
		names = append(names, r.Name.Text)
		names = append(names, wordTexts(r.From)...)
	}
	for _, b := range s.Blocks {
		names = append(names, wordTexts(b.Outputs)...)
	}
	for _, o := range s.Outside {
		names = append(names, o.Signal.Text)
	}
	for _, m := range s.Memories {
		for _, bank := range m.Banks {
			for bit := range bank.Chips {
				names = append(names, BitSignal(m.Name.Text, bank.Name.Text, bit))
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// Items lists every part, block and memory chip, in the order of the sheet.
func (s *Sheet) Items() []string {
	var names []string
	for _, b := range s.Blocks {
		names = append(names, b.Name.Text)
	}
	for i := range s.Parts {
		names = append(names, s.Parts[i].Name.Text)
	}
	for _, m := range s.Memories {
		for _, bank := range m.Banks {
			names = append(names, wordTexts(bank.Chips)...)
		}
	}
	for _, circuit := range s.Circuits.All() {
		for i := range circuit.Parts {
			names = append(names, circuit.Parts[i].Name.Text)
		}
	}
	return names
}

// Cause is one thing a check may be about.
type Cause struct {
	Item   string // a part or block, or empty
	Mode   string // a mode of the item, or empty for any
	Signal string // a signal, or empty
	State  signal.State
	Bad    bool // the signal is in any state but good
}

// causeError says why a cause could not be read.
type causeError struct{ message, hint string }

// Cause reads a cause as a check's table writes it: "U12", "U12 output stuck
// low", "video absent", "+5 bad".
func (s *Sheet) Cause(text string) (Cause, *causeError) {
	items, signals := s.Items(), s.Signals()
	if slices.Contains(items, text) {
		return Cause{Item: text}, nil
	}
	for i := len(text); i > 0; i-- {
		if i < len(text) && text[i] != ' ' {
			continue
		}
		name, rest := text[:i], strings.TrimSpace(text[i:])
		if slices.Contains(signals, name) {
			return signalCause(name, rest)
		}
		if slices.Contains(items, name) {
			return s.modeCause(name, rest)
		}
	}
	first, _, _ := strings.Cut(text, " ")
	return Cause{}, &causeError{fmt.Sprintf("%q names no part, block or signal", text), form.Suggest(first, slices.Concat(items, signals))}
}

func signalCause(name, rest string) (Cause, *causeError) {
	if rest == "" || signal.Canonical(rest) == "bad" {
		return Cause{Signal: name, Bad: true}, nil
	}
	for state := signal.State(0); state < signal.States; state++ {
		if signal.Canonical(rest) == signal.Canonical(state.String()) {
			return Cause{Signal: name, State: state}, nil
		}
	}
	states := []string{"bad"}
	for state := signal.State(0); state < signal.States; state++ {
		states = append(states, state.String())
	}
	return Cause{}, &causeError{fmt.Sprintf("%q is no state of signal %q", rest, name), form.Suggest(rest, states)}
}

func (s *Sheet) modeCause(name, mode string) (Cause, *causeError) {
	kind := kindOf(s.KindOf(name))
	var modes []string
	for _, m := range kind.Modes {
		if m.Name == mode {
			return Cause{Item: name, Mode: mode}, nil
		}
		modes = append(modes, m.Name)
	}
	return Cause{}, &causeError{fmt.Sprintf("%q is no way for %s, a %s, to fail", mode, name, kind.Name), form.Suggest(mode, modes)}
}

// KindOf gives the kind of a part, block or memory chip, as written; empty
// when there is none of that name.
func (s *Sheet) KindOf(name string) string {
	if b := s.Block(name); b != nil {
		return b.Kind.Text
	}
	if p := s.Part(name); p != nil {
		return p.Kind.Text
	}
	for _, m := range s.Memories {
		for _, bank := range m.Banks {
			if slices.Contains(wordTexts(bank.Chips), name) {
				return m.ChipKind()
			}
		}
	}
	return ""
}

// ChipKind is the kind of the chips of a memory array.
func (m *Memory) ChipKind() string {
	if m.Kind.Text == "" {
		return "dynamic ram"
	}
	return m.Kind.Text
}
