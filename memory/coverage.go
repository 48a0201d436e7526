package memory

// FaultModel is a class of memory faults, in the words of van de Goor (1991).
type FaultModel string

// The models. Coupling faults join a cell that disturbs and one that suffers:
// its write inverts the other (inversion), sets it to a value (idempotent), or
// its state holds it there (state).
const (
	StuckAt            FaultModel = "SAF"
	Transition         FaultModel = "TF"
	AddressDecoder     FaultModel = "AF"
	CouplingInversion  FaultModel = "CFin"
	CouplingIdempotent FaultModel = "CFid"
	CouplingState      FaultModel = "CFst"
)

// FaultModels lists the models.
func FaultModels() []FaultModel {
	return []FaultModel{StuckAt, Transition, AddressDecoder, CouplingInversion, CouplingIdempotent, CouplingState}
}

// coverCells is the size of the memory on which coverage is counted: enough for
// every order of two cells.
const coverCells = 4

// small is a memory of a few cells with one fault.
type small struct {
	cell  [coverCells]bool
	model FaultModel
	a, b  int  // the cell that disturbs, or the faulty one; the one that suffers
	when  bool // value or transition of a that matters
	to    bool // what b, or a, is held at; for a decoder: wired-or
	none  bool // for a decoder: the address reaches no cell
}

func (s *small) hold() {
	switch {
	case s.model == StuckAt:
		s.cell[s.a] = s.to
	case s.model == CouplingState && s.cell[s.a] == s.when:
		s.cell[s.b] = s.to
	}
}

func (s *small) write(at int, value bool) {
	if s.model == AddressDecoder && at == s.a {
		if !s.none {
			s.cell[s.a], s.cell[s.b] = value, value
		}
		return
	}
	before := s.cell[at]
	if s.model == Transition && at == s.a && before != value && value == s.when {
		return
	}
	s.cell[at] = value
	if at == s.a && before != value && value == s.when {
		switch s.model {
		case CouplingInversion:
			s.cell[s.b] = !s.cell[s.b]
		case CouplingIdempotent:
			s.cell[s.b] = s.to
		}
	}
	s.hold()
}

func (s *small) read(at int) bool {
	if s.model == AddressDecoder && at == s.a {
		switch {
		case s.none:
			return s.to
		case s.to:
			return s.cell[s.a] || s.cell[s.b]
		}
		return s.cell[s.a] && s.cell[s.b]
	}
	return s.cell[at]
}

// instances lists every fault of a model in the small memory. An address that
// reaches no cell reads one value throughout, which any test with reads of both
// finds: it is counted once for an address.
func instances(model FaultModel) []small {
	var list []small
	both := []bool{false, true}
	for a := range coverCells {
		switch model {
		case StuckAt:
			for _, to := range both {
				list = append(list, small{model: model, a: a, to: to})
			}
			continue
		case Transition:
			for _, when := range both {
				list = append(list, small{model: model, a: a, when: when})
			}
			continue
		case AddressDecoder:
			list = append(list, small{model: model, a: a, none: true})
		}
		for b := range coverCells {
			if a == b {
				continue
			}
			switch model {
			case AddressDecoder, CouplingInversion:
				for _, v := range both {
					list = append(list, small{model: model, a: a, b: b, when: v, to: v})
				}
			default:
				for _, when := range both {
					for _, to := range both {
						list = append(list, small{model: model, a: a, b: b, when: when, to: to})
					}
				}
			}
		}
	}
	return list
}

// Coverage counts the instances of a fault model, in a memory of four cells,
// that a test finds whatever the cells held before and in whichever direction
// its free elements walk.
func (m March) Coverage(model FaultModel) (found, of int) {
	list := instances(model)
	for _, fault := range list {
		if m.finds(fault) {
			found++
		}
	}
	return found, len(list)
}

// Guarantees reports whether a test finds every fault of a model.
func (m March) Guarantees(model FaultModel) bool {
	found, of := m.Coverage(model)
	return found == of
}

func (m March) finds(fault small) bool {
	free := 0
	for _, e := range m.Elements {
		if e.Direction == Either {
			free++
		}
	}
	free = min(free, 12) // further free elements walk up
	for start := range 1 << coverCells {
		for ways := range 1 << free {
			s := fault
			for i := range s.cell {
				s.cell[i] = start>>i&1 == 1
			}
			s.hold()
			if !m.fails(&s, ways) {
				return false
			}
		}
	}
	return true
}

// fails runs the test; bit n of ways says that the n-th free element walks
// down.
func (m March) fails(s *small, ways int) bool {
	for _, e := range m.Elements {
		down := e.Direction == Down
		if e.Direction == Either {
			down, ways = ways&1 == 1, ways>>1
		}
		for i := range coverCells {
			at := i
			if down {
				at = coverCells - 1 - i
			}
			for _, o := range e.Operations {
				if o.Write {
					s.write(at, o.One)
				} else if s.read(at) != o.One {
					return true
				}
			}
		}
	}
	return false
}
