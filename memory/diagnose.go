package memory

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Class is a class of faults of a memory array.
type Class string

// The classes. The first six sit in a chip; the others do not, and no new chip
// cures them.
const (
	StuckCells   Class = "stuck cells"
	StuckOutput  Class = "data output stuck"
	StuckLine    Class = "row or column dead"
	Coupling     Class = "cells that disturb each other"
	ChipDecoder  Class = "decoder inside the chip"
	BadChip      Class = "chip, in whatever way" // when no more can be told
	AddressLine  Class = "address line or multiplexer"
	BankSelect   Class = "bank select or strobe"
	DataLine     Class = "data line or buffer"
	RefreshFault Class = "refresh or timing"
	SupplyFault  Class = "supply"
	Undescribed  Class = "nothing described here"
)

// InChip reports whether a fault of that class sits in a chip.
func (c Class) InChip() bool {
	return slices.Contains([]Class{StuckCells, StuckOutput, StuckLine, Coupling, ChipDecoder, BadChip}, c)
}

// The chances beforehand. Common practice, no source.
const (
	chipBad      = 0.03 // that a chip is bad, when chips are the trouble
	missed       = 0.02 // that the test shows nothing of a chip with bad cells
	priorChips   = 0.70
	priorAddress = 0.08
	priorSelect  = 0.05
	priorData    = 0.03
	priorRefresh = 0.06
	priorSupply  = 0.06
	priorOther   = 0.02
)

// chipClasses are the ways of a bad chip with their shares. Common practice, no
// source.
var chipClasses = []struct {
	class Class
	share float64
}{{StuckCells, 0.3}, {StuckOutput, 0.3}, {StuckLine, 0.15}, {Coupling, 0.1}, {ChipDecoder, 0.15}}

// Test says how failures were found.
type Test struct {
	March March // the zero March when it is not known
	Runs  int   // how often it ran; 1 when zero
}

// Cause is a possible cause with its probability.
type Cause struct {
	Class       Class   `json:"class"`
	What        string  `json:"what"` // the chip, the address line, the bank, the bit; empty for the whole array
	Probability float64 `json:"probability"`
}

// ChipVerdict is how likely a chip is bad.
type ChipVerdict struct {
	Chip    string  `json:"chip"`
	Bank    string  `json:"bank"`
	Bits    string  `json:"bits"`
	Bad     float64 `json:"bad"`
	Failing int     `json:"failing_cells"`
	Cells   int     `json:"cells"`
}

// Diagnosis is what failures mean.
type Diagnosis struct {
	// Causes are sorted, the likeliest first. Several chips may be bad at once,
	// so those in chips can add up to more than one.
	Causes  []Cause       `json:"causes"`
	Chips   []ChipVerdict `json:"chips"`   // in the order of the array
	Outside float64       `json:"outside"` // chance that the trouble is outside the chips
	Remarks []string      `json:"remarks,omitempty"`
}

// ErrNoFailures says that there is nothing to reason from.
var ErrNoFailures = errors.New("no failure lies in the array with a bit that differs: there is nothing to reason from")

// Diagnose weighs what the failures look like. A diagnosis by pattern is as good
// as its test: one that stops at the first failure, or lists failures sorted by
// address rather than in the order of the test, shows less.
//
// The likelihood of a class is that of exactly the failing cells it leads to
// (beta-binomial over the cells it touches and those it does not), of how
// steadily each cell fails (at every read of one value, at some, at both), of
// which side of an address line fails within each run of rising or falling
// addresses, and of how failures crowd in time. Chips fail independently of each
// other; a class outside the chips makes many look bad at once.
func (t *Tally) Diagnose(test Test) (Diagnosis, error) {
	if t.counted() == 0 {
		return Diagnosis{}, ErrNoFailures
	}
	t.endRun()
	runs := max(test.Runs, 1)
	zeros, ones := test.March.Reads()
	w := &weighing{Tally: t, known: zeros+ones > 0, patterns: t.patterns(zeros*runs, ones*runs)}
	w.measure()
	w.chipsAlone()
	w.addressLines()
	w.selects()
	w.dataLines()
	w.everywhere()
	return w.conclude(), nil
}

// conclude turns weights into probabilities.
func (w *weighing) conclude() Diagnosis {
	all := []float64{w.alone}
	for _, c := range w.outside {
		all = append(all, c.Probability)
	}
	total := logSum(all...)
	alone := math.Exp(w.alone - total)
	var d Diagnosis
	n := len(w.array.Banks[0].Chips)
	for i, state := range w.states {
		sum := logSum(state...)
		bad := alone * -math.Expm1(state[0]-sum)
		d.Chips = append(d.Chips, ChipVerdict{
			Chip: w.array.ChipName(i), Bank: w.array.Banks[i/n].Name, Bits: w.array.bitsOf(i % n), Bad: max(bad, 0),
			Failing: w.patterns[i].failing, Cells: w.patterns[i].cells,
		})
		for s, c := range chipClasses {
			d.Causes = append(d.Causes, Cause{c.class, w.array.ChipName(i), alone * math.Exp(state[s+1]-sum)})
		}
	}
	for _, c := range w.outside {
		c.Probability = math.Exp(c.Probability - total)
		d.Outside += c.Probability
		d.Causes = append(d.Causes, c)
	}
	d.sort()
	d.Remarks = w.remarks(&d)
	return d
}

// sort puts the likeliest cause first and drops the hopeless.
func (d *Diagnosis) sort() {
	slices.SortStableFunc(d.Causes, func(a, b Cause) int { return cmp.Compare(b.Probability, a.Probability) })
	d.Causes = slices.DeleteFunc(d.Causes, func(c Cause) bool { return c.Probability < 1e-4 })
}

// remarks say what the failures cannot show.
func (w *weighing) remarks(d *Diagnosis) []string {
	var list []string
	if w.Outside > 0 {
		list = append(list, fmt.Sprintf("%d failures lie at addresses that no bank holds; they were left out", w.Outside))
	}
	if w.Same > 0 {
		list = append(list, fmt.Sprintf("%d lines show no bit that differs; they were left out", w.Same))
	}
	top := d.Causes[0].Class
	if n := w.counted(); 10*w.echo >= 9*n && n >= 8 && top != StuckCells && top != Coupling {
		list = append(list, "the test wrote each address as its own data: a stuck address line then looks the same as a stuck data bit; run one with other data, such as a march test")
	}
	if top == StuckOutput && len(w.array.Banks) == 1 {
		list = append(list, "with a single bank, a stuck data line outside the chip looks the same: look at the data pin with the chip out, or piggyback")
	}
	if top == StuckCells && w.known {
		list = append(list, "a cell held by the state of another one fails as a stuck cell does; either way it is the chip")
	}
	if !w.known {
		list = append(list, "without the test that found them, cells that disturb each other are hard to tell from stuck ones")
	}
	return list
}
