package sheet

import "slices"

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
	s.eachSignal(func(name string) { names = append(names, name) })
	slices.Sort(names)
	return slices.Compact(names)
}

// eachSignal visits the names of signals and rails, some more than once.
func (s *Sheet) eachSignal(visit func(name string)) {
	for i := range s.Rails {
		visit(s.Rails[i].Name.Text)
	}
	for i := range s.Blocks {
		for _, out := range s.Blocks[i].Outputs {
			visit(out.Text)
		}
	}
	for i := range s.Outside {
		visit(s.Outside[i].Signal.Text)
	}
	for i := range s.Memories {
		m := &s.Memories[i]
		for _, bank := range m.Banks {
			for bit := range bank.Chips {
				visit(m.ChipSignal(bank.Name.Text, bit))
			}
		}
	}
}

// Items lists every part, block and memory chip, in the order of the sheet.
func (s *Sheet) Items() []string {
	var names []string
	s.eachItem(func(name, _ string) { names = append(names, name) })
	return names
}

// eachItem visits the names of blocks, parts, memory chips and parts of
// circuits, each with its kind.
func (s *Sheet) eachItem(visit func(name, kind string)) {
	for i := range s.Blocks {
		visit(s.Blocks[i].Name.Text, s.Blocks[i].Kind.Text)
	}
	for i := range s.Parts {
		visit(s.Parts[i].Name.Text, s.Parts[i].Kind.Text)
	}
	for i := range s.Memories {
		for _, bank := range s.Memories[i].Banks {
			for _, chip := range bank.Chips {
				visit(chip.Text, s.Memories[i].ChipKind())
			}
		}
	}
	for _, circuit := range s.Circuits.All() {
		if circuit == nil { // left empty
			continue
		}
		for i := range circuit.Parts {
			visit(circuit.Parts[i].Name.Text, circuit.Parts[i].Kind.Text)
		}
	}
}

// KindOf gives the kind of a part, block or memory chip, as written; empty
// when there is none of that name.
func (s *Sheet) KindOf(name string) string {
	found := ""
	s.eachItem(func(item, kind string) {
		if item == name && found == "" {
			found = kind
		}
	})
	return found
}

// ChipKind is the kind of the chips of a memory array.
func (m *Memory) ChipKind() string {
	if m.Kind.Text == "" {
		return "dynamic ram"
	}
	return m.Kind.Text
}
