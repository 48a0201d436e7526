package sheet

import (
	"iter"
	"slices"

	"halfsplit/internal/form"
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
	for p := range s.circuitParts() {
		if p.Name.Text == name {
			return p
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
	return slices.Compact(slices.Sorted(s.signals()))
}

// signals goes through the names of signals and rails, some more than once.
func (s *Sheet) signals() iter.Seq[string] {
	return func(yield func(string) bool) {
		words := func(list []form.Word) bool {
			for _, w := range list {
				if !yield(w.Text) {
					return false
				}
			}
			return true
		}
		for i := range s.Rails {
			if !yield(s.Rails[i].Name.Text) {
				return
			}
		}
		for i := range s.Blocks {
			if !words(s.Blocks[i].Outputs) {
				return
			}
		}
		for i := range s.Outside {
			if !yield(s.Outside[i].Signal.Text) {
				return
			}
		}
		for i := range s.Memories {
			m := &s.Memories[i]
			for _, bank := range m.Banks {
				for bit := range bank.Chips {
					if !yield(BitSignal(m.Name.Text, bank.Name.Text, bit)) {
						return
					}
				}
			}
		}
	}
}

// Items lists every part, block and memory chip, in the order of the sheet.
func (s *Sheet) Items() []string {
	var names []string
	for name := range s.items() {
		names = append(names, name)
	}
	return names
}

// items goes through the names of parts, blocks and memory chips, each with
// its kind.
func (s *Sheet) items() iter.Seq2[string, string] {
	return func(yield func(name, kind string) bool) {
		for i := range s.Blocks {
			if b := &s.Blocks[i]; !yield(b.Name.Text, b.Kind.Text) {
				return
			}
		}
		for i := range s.Parts {
			if p := &s.Parts[i]; !yield(p.Name.Text, p.Kind.Text) {
				return
			}
		}
		for i := range s.Memories {
			m := &s.Memories[i]
			for _, bank := range m.Banks {
				for _, chip := range bank.Chips {
					if !yield(chip.Text, m.ChipKind()) {
						return
					}
				}
			}
		}
		for p := range s.circuitParts() {
			if !yield(p.Name.Text, p.Kind.Text) {
				return
			}
		}
	}
}

// circuitParts goes through the parts of all circuits.
func (s *Sheet) circuitParts() iter.Seq[*Part] {
	return func(yield func(*Part) bool) {
		for _, circuit := range s.Circuits.All() {
			if circuit == nil { // left empty
				continue
			}
			for i := range circuit.Parts {
				if !yield(&circuit.Parts[i]) {
					return
				}
			}
		}
	}
}

// KindOf gives the kind of a part, block or memory chip, as written; empty
// when there is none of that name.
func (s *Sheet) KindOf(name string) string {
	for item, kind := range s.items() {
		if item == name {
			return kind
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
