package sparse

import "fmt"

// A Pattern lists the coefficients of an n by n matrix that may be non-zero.
// Each has a slot: its index in the slice of values that is handed to [Factor]
// and [LU.Refactor]. Slots are numbered from zero in the order in which the
// coefficients were first named, and never change.
//
// A frozen Pattern is read only and may be shared by any number of goroutines.
type Pattern struct {
	n      int
	rows   []int32 // row of each slot
	cols   []int32 // column of each slot
	slotOf map[uint64]int32
	frozen bool

	analysis *analysis // once frozen
}

// NewPattern returns an empty pattern for an n by n matrix. It panics when n
// is negative.
func NewPattern(n int) *Pattern {
	if n < 0 {
		panic(fmt.Sprintf("sparse: NewPattern: size %d is negative", n))
	}
	return &Pattern{n: n, slotOf: make(map[uint64]int32)}
}

// Entry returns the slot of the coefficient in the given row and column, both
// counted from zero, and makes one when there is none yet. Values that several
// parts contribute to one coefficient are summed by the caller in its slot.
//
// Entry panics when row or column lies outside the matrix, and when it would
// have to add a coefficient to a frozen pattern.
func (p *Pattern) Entry(row, col int) int {
	if row < 0 || row >= p.n || col < 0 || col >= p.n {
		panic(fmt.Sprintf("sparse: Entry(%d, %d): outside a matrix of size %d", row, col, p.n))
	}
	key := uint64(row)<<32 | uint64(col)
	if slot, ok := p.slotOf[key]; ok {
		return int(slot)
	}
	if p.frozen {
		panic(fmt.Sprintf("sparse: Entry(%d, %d): not in the pattern, which is frozen", row, col))
	}
	slot := int32(len(p.rows))
	p.slotOf[key] = slot
	p.rows = append(p.rows, int32(row))
	p.cols = append(p.cols, int32(col))
	return int(slot)
}

// Freeze closes the pattern and works out the order of elimination. Later
// calls do nothing.
func (p *Pattern) Freeze() {
	if p.frozen {
		return
	}
	p.frozen = true
	p.analysis = analyse(p.n, p.rows, p.cols)
}

// Size returns the number of rows, which is the number of columns.
func (p *Pattern) Size() int { return p.n }

// Slots returns the number of coefficients, which is the length of every slice
// of values for this pattern.
func (p *Pattern) Slots() int { return len(p.rows) }

// Position returns the row and column of a slot.
func (p *Pattern) Position(slot int) (row, col int) {
	return int(p.rows[slot]), int(p.cols[slot])
}
