package memory

import (
	"fmt"
	"math/rand/v2"
)

// Defect is a fault put into a simulated array.
type Defect interface {
	// install prepares the defect for an array and returns its effect.
	install(s *simulation) error
}

// The defects. Chips are counted through the banks, bits within a chip are those
// of its first bit.
type (
	// CellsStuck holds single cells of a chip at values.
	CellsStuck struct {
		Chip  int
		Words []uint64
		One   bool
	}
	// OutputStuck holds the output of a chip.
	OutputStuck struct {
		Chip int
		One  bool
	}
	// RowDead holds a row of a chip, or a column.
	RowDead struct {
		Chip   int
		Row    uint64
		Column bool // it is a column
		One    bool
	}
	// Coupled lets a cell disturb another of its chip: when the first rises, or
	// falls, the second is inverted, or set to a value.
	Coupled struct {
		Chip              int
		Disturbs, Suffers uint64
		Falls             bool
		Inverts, One      bool
	}
	// LineStuck holds address lines inside one chip (or, with Chip −1, at all):
	// the lines named, counted within the address.
	LineStuck struct {
		Chip  int
		Lines []int
		High  bool
	}
	// BankDead lets a bank never answer: the data lines float.
	BankDead struct {
		Bank int
		One  bool
	}
	// DataStuck holds a data line for all banks.
	DataStuck struct {
		Bit int
		One bool
	}
	// RefreshLost lets cells lose their charge between the elements of a test:
	// a share of weak cells in every chip, each at most elements. A cell loses
	// to 0 or, in rows of the other polarity, to 1.
	RefreshLost struct {
		Weak float64
	}
	// SupplyDips lets the supply of the array dip a number of times in a run, for
	// so many accesses each: what is read then is noise, and what is written is
	// lost.
	SupplyDips struct {
		Dips, Accesses int
	}
)

// simulation is an array under test.
type simulation struct {
	array *Array
	r     *rand.Rand
	words [][]uint64 // by bank
	total uint64     // words of all banks

	length int // accesses of the test

	reads  []func(bank int, word, value uint64) uint64
	writes []func(bank int, word, before, value uint64) uint64 // what is stored
	after  []func(bank int, word, before, value uint64)
	alias  []func(chip int, address uint64) uint64
	paused []func()
	ticks  []func()
	noise  bool
	access int
}

// Simulate runs a march test on an array with defects and hands every failing
// access to visit, in the order of the test. Chance comes from r. Data are the
// background and its inverse: 0 is the word given, 1 its complement. The error
// names a defect that does not fit the array, or is the first of visit.
func Simulate(a *Array, m March, background uint64, r *rand.Rand, defects []Defect, visit func(Failure) error) error {
	s := &simulation{array: a, r: r}
	for i := range a.Banks {
		s.words = append(s.words, make([]uint64, a.Banks[i].Words()))
		s.total += a.Banks[i].Words()
	}
	s.length = int(s.total) * m.Length()
	for _, d := range defects {
		if err := d.install(s); err != nil {
			return err
		}
	}
	full := uint64(1)<<a.width - 1
	data := [2]uint64{background & full, ^background & full}
	for _, e := range m.Elements {
		for _, pause := range s.paused {
			pause()
		}
		for i := range s.total {
			n := i
			if e.Direction == Down {
				n = s.total - 1 - i
			}
			bank := 0
			for n >= a.Banks[bank].Words() {
				n -= a.Banks[bank].Words()
				bank++
			}
			for _, o := range e.Operations {
				want := data[btoi(o.One)]
				for _, tick := range s.ticks {
					tick()
				}
				s.access++
				if o.Write {
					s.write(bank, n, want)
				} else if got := s.read(bank, n) & full; got != want {
					if err := visit(Failure{a.Address(bank, n), want, got}); err != nil {
						return err
					}
				}
			}
		}
	}
	return nil
}

// place gives where a chip really looks for an address.
func (s *simulation) place(chip, bank int, word uint64) (int, uint64) {
	if len(s.alias) == 0 {
		return bank, word
	}
	address := s.array.Address(bank, word)
	for _, alias := range s.alias {
		address = alias(chip, address)
	}
	if b, w, ok := s.array.Locate(address); ok {
		return b, w
	}
	return bank, word
}

// mask gives the bits that a chip of a bank holds.
func (s *simulation) mask(chip int) uint64 {
	per := s.array.PerChip
	return (1<<per - 1) << (chip % len(s.array.Banks[0].Chips) * per)
}

func (s *simulation) read(bank int, word uint64) uint64 {
	value := s.words[bank][word]
	if len(s.alias) > 0 {
		value = 0
		n := len(s.array.Banks[0].Chips)
		for i := range n {
			b, w := s.place(bank*n+i, bank, word)
			value |= s.words[b][w] & s.mask(i)
		}
	}
	for _, change := range s.reads {
		value = change(bank, word, value)
	}
	return value
}

func (s *simulation) write(bank int, word, value uint64) {
	if s.noise {
		return
	}
	n := len(s.array.Banks[0].Chips)
	if len(s.alias) == 0 {
		s.store(bank, word, value, 1<<s.array.width-1)
		return
	}
	for i := range n {
		b, w := s.place(bank*n+i, bank, word)
		s.store(b, w, value, s.mask(i))
	}
}

func (s *simulation) store(bank int, word, value, mask uint64) {
	before := s.words[bank][word]
	value = before&^mask | value&mask
	for _, change := range s.writes {
		value = change(bank, word, before, value)
	}
	s.words[bank][word] = value
	for _, follow := range s.after {
		follow(bank, word, before, value)
	}
}

// chip finds a chip: its bank and its lowest bit.
func (s *simulation) chip(chip int) (bank int, bit uint64, err error) {
	n := len(s.array.Banks[0].Chips)
	if chip < 0 || chip >= s.array.ChipCount() {
		return 0, 0, fmt.Errorf("the array has chips 0 to %d, not %d", s.array.ChipCount()-1, chip)
	}
	return chip / n, 1 << (chip % n * s.array.PerChip), nil
}

// held gives a word with some bits held at 0 or 1.
func held(value, bits uint64, one bool) uint64 {
	if one {
		return value | bits
	}
	return value &^ bits
}

func (d CellsStuck) install(s *simulation) error {
	bank, bit, err := s.chip(d.Chip)
	stuck := map[uint64]bool{}
	for _, w := range d.Words {
		stuck[w] = true
	}
	s.reads = append(s.reads, func(b int, w, v uint64) uint64 {
		if b == bank && stuck[w] {
			return held(v, bit, d.One)
		}
		return v
	})
	return err
}

func (d OutputStuck) install(s *simulation) error {
	bank, _, err := s.chip(d.Chip)
	s.reads = append(s.reads, func(b int, _, v uint64) uint64 {
		if b == bank {
			return held(v, s.mask(d.Chip), d.One)
		}
		return v
	})
	return err
}

func (d RowDead) install(s *simulation) error {
	bank, bit, err := s.chip(d.Chip)
	s.reads = append(s.reads, func(b int, w, v uint64) uint64 {
		row, column := s.array.cell(b, w)
		if d.Column {
			row = column
		}
		if b == bank && row == d.Row {
			return held(v, bit, d.One)
		}
		return v
	})
	return err
}

func (d Coupled) install(s *simulation) error {
	bank, bit, err := s.chip(d.Chip)
	if err == nil && max(d.Disturbs, d.Suffers) >= s.array.Banks[bank].Words() {
		return fmt.Errorf("the bank has words 0 to %d", s.array.Banks[bank].Words()-1)
	}
	s.after = append(s.after, func(b int, w, before, v uint64) {
		if b != bank || w != d.Disturbs || before&bit == v&bit || (v&bit == 0) != d.Falls {
			return
		}
		victim := &s.words[bank][d.Suffers]
		if d.Inverts {
			*victim ^= bit
		} else {
			*victim = held(*victim, bit, d.One)
		}
	})
	return err
}

func (d LineStuck) install(s *simulation) error {
	if d.Chip >= s.array.ChipCount() || d.Chip < -1 {
		_, _, err := s.chip(d.Chip)
		return err
	}
	lines := uint64(0)
	for _, l := range d.Lines {
		lines |= 1 << l
	}
	s.alias = append(s.alias, func(chip int, address uint64) uint64 {
		if d.Chip >= 0 && chip != d.Chip {
			return address
		}
		return held(address, lines, d.High)
	})
	return nil
}

func (d BankDead) install(s *simulation) error {
	s.reads = append(s.reads, func(b int, _, v uint64) uint64 {
		if b == d.Bank {
			return held(v, 1<<s.array.width-1, d.One)
		}
		return v
	})
	return nil
}

func (d DataStuck) install(s *simulation) error {
	s.reads = append(s.reads, func(_ int, _, v uint64) uint64 { return held(v, 1<<d.Bit, d.One) })
	return nil
}

func (d RefreshLost) install(s *simulation) error {
	weak := make([][]uint64, len(s.words))
	for b := range weak {
		weak[b] = make([]uint64, len(s.words[b]))
		for w := range weak[b] {
			for bit := range s.array.width {
				if s.r.Float64() < d.Weak {
					weak[b][w] |= 1 << bit
				}
			}
		}
	}
	s.paused = append(s.paused, func() {
		for b := range s.words {
			for w := range s.words[b] {
				if weak[b][w] == 0 || s.r.Float64() < 0.1 {
					continue
				}
				row, _ := s.array.cell(b, uint64(w))
				s.words[b][w] = held(s.words[b][w], weak[b][w], row&1 == 1)
			}
		}
	})
	return nil
}

func (d SupplyDips) install(s *simulation) error {
	var begins []int
	for range d.Dips {
		begins = append(begins, s.r.IntN(max(1, s.length)))
	}
	s.ticks = append(s.ticks, func() {
		s.noise = false
		for _, b := range begins {
			if s.access >= b && s.access < b+d.Accesses {
				s.noise = true
			}
		}
	})
	s.reads = append(s.reads, func(_ int, _, v uint64) uint64 {
		if s.noise {
			return v ^ s.r.Uint64()
		}
		return v
	})
	return nil
}
