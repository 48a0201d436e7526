package memory

import (
	"fmt"
	"math/bits"
	"slices"
)

// The largest array that is taken on.
const (
	mostWidth = 32      // bits of a word
	mostBanks = 256     //
	mostCells = 1 << 27 // bits of all chips together
)

// Bank is one bank of an array.
type Bank struct {
	Name        string
	First, Last uint64 // addresses, both inside
	Every       uint64 // it holds every such address from First on; 1 when zero
	Chips       []string
}

// Array is a memory array: which chip holds which bit at which address.
type Array struct {
	Name string
	// PerChip is the number of bits of a word that one chip holds; 1 when zero.
	PerChip int
	// Banks are its banks. The chips of each stand bit 0 first.
	Banks []Bank
	// Row and Column are the address lines that reach the chips with the row
	// and with the column strobe, lowest first. When both are empty the lower
	// half of the lines within a bank is the row. Which half is which is a
	// choice of the board.
	Row, Column []int

	width int // bits of a word

	// pages gives the bank of each stretch of 1<<shift addresses, −1 for none;
	// nil when banks are interleaved or lie too unevenly for it.
	pages []int16
	shift int
}

// NewArray checks an array and prepares it for use. The error says what does not
// fit: no banks, banks of different width, banks that share an address, address
// lines that do not tell the cells of a bank apart.
func NewArray(a Array) (*Array, error) {
	a.Banks = slices.Clone(a.Banks)
	if a.PerChip == 0 {
		a.PerChip = 1
	}
	if len(a.Banks) == 0 || len(a.Banks) > mostBanks {
		return nil, fmt.Errorf("the array has %d banks; it must have 1 to %d", len(a.Banks), mostBanks)
	}
	total := uint64(0)
	for i := range a.Banks {
		b := &a.Banks[i]
		if b.Every == 0 {
			b.Every = 1
		}
		switch {
		case b.Last < b.First:
			return nil, fmt.Errorf("bank %q runs from %04X down to %04X", b.Name, b.First, b.Last)
		case len(b.Chips) != len(a.Banks[0].Chips) || len(b.Chips) == 0:
			return nil, fmt.Errorf("bank %q has %d chips and bank %q has %d; every bank needs the same number, one at least", b.Name, len(b.Chips), a.Banks[0].Name, len(a.Banks[0].Chips))
		case b.Last>>32 != 0:
			return nil, fmt.Errorf("bank %q ends at %X; at most FFFFFFFF", b.Name, b.Last)
		}
		total += b.Words() * uint64(len(b.Chips)*a.PerChip)
		for j := range i {
			if at, shared := overlap(&a.Banks[j], b); shared {
				return nil, fmt.Errorf("banks %q and %q both hold address %04X", a.Banks[j].Name, b.Name, at)
			}
		}
	}
	a.width = len(a.Banks[0].Chips) * a.PerChip
	switch {
	case a.PerChip < 0 || a.width > mostWidth:
		return nil, fmt.Errorf("a word of %d bits; at most %d", a.width, mostWidth)
	case total > mostCells:
		return nil, fmt.Errorf("the array holds %d bits; at most %d", total, mostCells)
	}
	a.page()
	return &a, a.checkLines()
}

// page lays the banks out for quick finding.
func (a *Array) page() {
	const most = 1 << 16
	together, end := uint64(1)<<32, uint64(0)
	for i := range a.Banks {
		b := &a.Banks[i]
		if b.Every != 1 {
			return
		}
		together |= b.First | (b.Last + 1)
		end = max(end, b.Last+1)
	}
	a.shift = bits.TrailingZeros64(together)
	if end>>a.shift > most {
		return
	}
	a.pages = make([]int16, end>>a.shift)
	for i := range a.pages {
		a.pages[i] = -1
	}
	for i := range a.Banks {
		for p := a.Banks[i].First >> a.shift; p <= a.Banks[i].Last>>a.shift; p++ {
			a.pages[p] = int16(i)
		}
	}
}

// overlap finds an address that two banks share.
func overlap(a, b *Bank) (uint64, bool) {
	if a.First > b.First {
		a, b = b, a
	}
	if a.Every == 1 || b.Every == 1 {
		if a.Every != 1 { // look from the one that has gaps
			a, b = b, a
		}
		first := b.First
		if first < a.First {
			first += (a.First - first + b.Every - 1) / b.Every * b.Every
		}
		return first, first <= min(a.Last, b.Last)
	}
	// Both have gaps: within one period of the two all that can happen has.
	for at, n := max(a.First, b.First), uint64(0); n < a.Every*b.Every && at <= min(a.Last, b.Last); at, n = at+1, n+1 {
		if a.holds(at) && b.holds(at) {
			return at, true
		}
	}
	return 0, false
}

func (b *Bank) holds(address uint64) bool {
	return address >= b.First && address <= b.Last && (address-b.First)%b.Every == 0
}

// Words is the number of words that a bank holds.
func (b *Bank) Words() uint64 { return (b.Last-b.First)/max(b.Every, 1) + 1 }

// checkLines checks that row and column tell the cells of each bank apart.
func (a *Array) checkLines() error {
	if len(a.Row)+len(a.Column) == 0 {
		return nil
	}
	seen := map[int]bool{}
	for _, line := range slices.Concat(a.Row, a.Column) {
		if seen[line] {
			return fmt.Errorf("address line A%d is named twice among row and column", line)
		}
		seen[line] = true
	}
	for i := range a.Banks {
		b := &a.Banks[i]
		if need := bits.Len64(b.Words() - 1); len(seen) < need {
			return fmt.Errorf("row and column name %d address lines; bank %q has %d words and needs %d", len(seen), b.Name, b.Words(), need)
		}
	}
	return nil
}

// Width is the number of bits of a word.
func (a *Array) Width() int { return a.width }

// ChipCount is the number of chips.
func (a *Array) ChipCount() int { return len(a.Banks) * len(a.Banks[0].Chips) }

// ChipName is the designator of chip i, counted through the banks.
func (a *Array) ChipName(i int) string {
	n := len(a.Banks[0].Chips)
	return a.Banks[i/n].Chips[i%n]
}

// Locate finds the bank that holds an address, and the word within it counted
// from 0.
func (a *Array) Locate(address uint64) (bank int, word uint64, ok bool) {
	if p := address >> a.shift; a.pages != nil {
		if p >= uint64(len(a.pages)) || a.pages[p] < 0 {
			return 0, 0, false
		}
		i := int(a.pages[p])
		return i, address - a.Banks[i].First, true
	}
	for i := range a.Banks {
		b := &a.Banks[i]
		if d := address - b.First; d <= b.Last-b.First && address >= b.First {
			if b.Every == 1 {
				return i, d, true
			}
			if d%b.Every == 0 {
				return i, d / b.Every, true
			}
		}
	}
	return 0, 0, false
}

// Address is the address of a word of a bank.
func (a *Array) Address(bank int, word uint64) uint64 {
	return a.Banks[bank].First + word*a.Banks[bank].Every
}

// Chip is the designator of the chip that holds a bit at an address.
func (a *Array) Chip(address uint64, bit int) (string, error) {
	bank, _, ok := a.Locate(address)
	switch {
	case !ok:
		return "", fmt.Errorf("no bank holds address %04X", address)
	case bit < 0 || bit >= a.width:
		return "", fmt.Errorf("a word has bits 0 to %d, not bit %d", a.width-1, bit)
	}
	return a.Banks[bank].Chips[bit/a.PerChip], nil
}

// Cell gives the row and column, inside its chips, of an address.
func (a *Array) Cell(address uint64) (row, column uint64, err error) {
	bank, word, ok := a.Locate(address)
	if !ok {
		return 0, 0, fmt.Errorf("no bank holds address %04X", address)
	}
	row, column = a.cell(bank, word)
	return row, column, nil
}

func (a *Array) cell(bank int, word uint64) (row, column uint64) {
	if len(a.Row)+len(a.Column) == 0 {
		n := a.rowLines(bank)
		return word & (1<<n - 1), word >> n
	}
	address := a.Address(bank, word)
	return gather(address, a.Row), gather(address, a.Column)
}

// rowLines is the number of address lines that make the row.
func (a *Array) rowLines(bank int) int {
	if len(a.Row)+len(a.Column) > 0 {
		return len(a.Row)
	}
	return bits.Len64(a.Banks[bank].Words()-1) / 2
}

// gather takes lines out of an address, the first as the lowest bit.
func gather(address uint64, lines []int) uint64 {
	value := uint64(0)
	for i, line := range lines {
		value |= address >> line & 1 << i
	}
	return value
}

// BadBits lists the bits in which two words differ.
func BadBits(expected, read uint64) []int {
	var list []int
	for d := expected ^ read; d != 0; d &= d - 1 {
		list = append(list, bits.TrailingZeros64(d))
	}
	return list
}
