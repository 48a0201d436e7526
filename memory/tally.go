package memory

import (
	"math/bits"
)

// Tally counts failures of an array. Its memory depends on the array, not on the
// number of failures.
type Tally struct {
	array *Array
	chips []chipTally

	Rows      int // failures counted
	Outside   int // at addresses that no bank holds
	Same      int // with no difference in the bits of the array
	wrongBits int
	ones      [mostWidth + 1]int // failures by the number of bits wrong
	adjacent  int                // at the address beside the one before
	echo      int                // whose expected word equals the low bits of its address

	last     uint64
	rising   int       // 1 or −1: how addresses run at the moment
	run      int       // failures in the run
	lanes    [4]uint64 // of the run: eight counters of eight bits each, one for each address line
	pending  int       // failures in the lanes
	runOnes  [32]int   // of the run: failures with that address line high, without those in the lanes
	sided    [32]int   // failures on the larger side of each address line, summed over runs
	highs    [32]int   // of those, with that address line high
	inRuns   int       // failures in those runs
	segments int       // runs
}

// shortestRun is the length below which a run says nothing of address lines.
const shortestRun = 4

// spread puts each bit of a byte into a byte of its own.
var spread = func() (table [256]uint64) {
	for i := range table {
		for bit := range 8 {
			table[i] |= uint64(i>>bit&1) << (8 * bit)
		}
	}
	return table
}()

// chipTally counts the failures of one chip.
type chipTally struct {
	events [2]int // read 0 for 1, read 1 for 0
	// cells counts by cell: low nibble 0 for 1, high nibble 1 for 0, each up to
	// 15. Nil while nothing failed.
	cells []uint8
}

// NewTally makes an empty tally.
func NewTally(a *Array) *Tally {
	return &Tally{array: a, chips: make([]chipTally, a.ChipCount())}
}

// Add counts a failure. It never fails, so that it may be handed to Read.
func (t *Tally) Add(f Failure) error {
	bank, word, ok := t.array.Locate(f.Address)
	if !ok {
		t.Rows++
		t.Outside++
		return nil
	}
	t.Rows++
	wrong := (f.Expected ^ f.Read) & (1<<t.array.width - 1)
	if wrong == 0 {
		t.Same++
		return nil
	}
	n := bits.OnesCount64(wrong)
	t.ones[n]++
	t.wrongBits += n
	if f.Expected == f.Address&(1<<t.array.width-1) {
		t.echo++
	}
	t.follow(f.Address, t.array.Banks[bank].Every)
	per := t.array.PerChip
	base := bank * len(t.array.Banks[0].Chips)
	for ; wrong != 0; wrong &= wrong - 1 {
		bit := bits.TrailingZeros64(wrong)
		chip, index := base+bit, word
		if per != 1 {
			chip, index = base+bit/per, word*uint64(per)+uint64(bit%per)
		}
		c := &t.chips[chip]
		if c.cells == nil {
			c.cells = make([]uint8, t.array.Banks[bank].Words()*uint64(per))
		}
		one := f.Read >> bit & 1
		c.events[one]++
		c.cells[index] = count[one][c.cells[index]]
	}
	return nil
}

// count counts up one of the two nibbles of a cell, up to 15.
var count = func() (table [2][256]uint8) {
	for i := range 256 {
		table[0][i], table[1][i] = uint8(i), uint8(i)
		if i&0x0f != 0x0f {
			table[0][i]++
		}
		if i&0xf0 != 0xf0 {
			table[1][i] += 0x10
		}
	}
	return table
}()

// follow keeps track of runs in which addresses only rise or only fall: the
// elements of a march test. Of an address line that is stuck each such run
// shows one side only.
func (t *Tally) follow(address, every uint64) {
	if t.run > 0 {
		way := 0
		switch {
		case address > t.last:
			way = 1
			if address-t.last == every {
				t.adjacent++
			}
		case address < t.last:
			way = -1
			if t.last-address == every {
				t.adjacent++
			}
		}
		if way != 0 && t.rising != 0 && way != t.rising {
			t.endRun()
			way = 0
		}
		if way != 0 {
			t.rising = way
		}
	}
	t.run++
	t.last = address
	t.lanes[0] += spread[address&0xff]
	t.lanes[1] += spread[address>>8&0xff]
	if address>>16 != 0 {
		t.lanes[2] += spread[address>>16&0xff]
		t.lanes[3] += spread[address>>24&0xff]
	}
	if t.pending++; t.pending == 255 {
		t.flush()
	}
}

// flush empties the lanes before they run over.
func (t *Tally) flush() {
	for i := range t.runOnes {
		t.runOnes[i] += int(t.lanes[i/8] >> (i % 8 * 8) & 0xff)
	}
	t.lanes, t.pending = [4]uint64{}, 0
}

func (t *Tally) endRun() {
	if t.run >= shortestRun {
		t.flush()
		for i, n := range t.runOnes {
			t.sided[i] += max(n, t.run-n)
			t.highs[i] += n
		}
		t.inRuns += t.run
		t.segments++
		t.runOnes = [32]int{}
	}
	t.lanes, t.pending, t.run, t.rising = [4]uint64{}, 0, 0, 0
}

// counted gives the failures that were placed.
func (t *Tally) counted() int { return t.Rows - t.Outside - t.Same }
