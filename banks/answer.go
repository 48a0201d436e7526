package banks

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"halfsplit/form"
	"halfsplit/memory"
	"halfsplit/sheet"
)

// Question is what is asked of a memory of a sheet.
type Question struct {
	Array    string             // name of the memory; may be empty when there is one
	Failures io.Reader          // a list of failing accesses, or nil
	Says     []memory.Statement // what self-tests said
	At       []uint64           // addresses to look up
	Test     memory.Test
	Batches  []Batch // of one marking and date; all chips are one batch when there are none
	Costs    memory.SwapCosts
	Service  memory.Service
}

// Batch is a lot of chips with its record.
type Batch struct {
	Mark   string
	Chips  []string
	Failed int // found bad before today
}

// Answer is what is found.
type Answer struct {
	Sheet     string            `json:"sheet"`
	Array     string            `json:"array"`
	Type      string            `json:"type,omitempty"`
	Width     int               `json:"word_bits"`
	Banks     []BankPlace       `json:"banks"`
	Places    []Place           `json:"addresses,omitempty"`
	Rows      int               `json:"failures"`
	Diagnosis *memory.Diagnosis `json:"diagnosis,omitempty"`
	Swaps     *memory.Swaps     `json:"swaps,omitempty"`
	Batches   []BatchRecord     `json:"batches,omitempty"`
	LookAt    []string          `json:"look_at,omitempty"` // signals and rails that every chip needs
	Test      string            `json:"march_test,omitempty"`
	Service   memory.Service    `json:"-"`
	array     *memory.Array
	named     []int // the chips that statements name
}

// Failing tells of each chip whether cells of it failed, or a statement named
// it.
func (r *Answer) Failing() []bool {
	list := make([]bool, r.array.ChipCount())
	for _, n := range r.named {
		list[n] = true
	}
	if r.Diagnosis != nil {
		for i, c := range r.Diagnosis.Chips {
			list[i] = list[i] || c.Failing > 0
		}
	}
	return list
}

// BankPlace is where a bank lies.
type BankPlace struct {
	Name  string   `json:"bank"`
	First string   `json:"from"`
	Last  string   `json:"to"`
	Every uint64   `json:"every"`
	Chips []string `json:"chips"`
}

// Place is where an address lies.
type Place struct {
	Address string   `json:"address"`
	Bank    string   `json:"bank"`
	Row     uint64   `json:"row"`
	Column  uint64   `json:"column"`
	Chips   []string `json:"chips"` // bit 0 first
}

// BatchRecord is what is known of a batch.
type BatchRecord struct {
	Mark   string  `json:"mark"`
	Fitted int     `json:"fitted"`
	Failed int     `json:"failed_before"`
	Rate   float64 `json:"yearly_rate"`
}

// suspected is the chance of being bad from which the banks of a chip are part
// of the plan.
const suspected = 0.05

// Ask answers a question about a memory of a sheet.
func Ask(s *sheet.Sheet, q Question) (*Answer, error) {
	m, err := Find(s, q.Array)
	if err != nil {
		return nil, err
	}
	a, err := Array(m)
	if err != nil {
		return nil, err
	}
	r := &Answer{Sheet: s.File(), Array: a.Name, Type: m.Type, Width: a.Width(), array: a, Service: q.Service, Test: q.Test.March.Name}
	for i := range a.Banks {
		b := &a.Banks[i]
		r.Banks = append(r.Banks, BankPlace{b.Name, hex(b.First), hex(b.Last), b.Every, b.Chips})
	}
	for _, at := range q.At {
		bank, _, ok := a.Locate(at)
		if !ok {
			return nil, fmt.Errorf("no bank of %q holds address %s", a.Name, hex(at))
		}
		row, column, err := a.Cell(at)
		if err != nil {
			return nil, err
		}
		r.Places = append(r.Places, Place{hex(at), a.Banks[bank].Name, row, column, a.Banks[bank].Chips})
	}
	for _, words := range [][]form.Word{m.Inputs, m.Supply} {
		for _, w := range words {
			r.LookAt = append(r.LookAt, w.Text)
		}
	}
	if err := r.diagnose(q); err != nil || r.Diagnosis == nil {
		return r, err
	}
	return r, r.plan(q)
}

func hex(address uint64) string { return fmt.Sprintf("%04X", address) }

// diagnose reads the failures, or else the statements.
func (r *Answer) diagnose(q Question) error {
	var d memory.Diagnosis
	var err error
	switch {
	case q.Failures != nil && len(q.Says) > 0:
		return errors.New("a list of failures says more than a statement; give one of them")
	case q.Failures != nil:
		tally := memory.NewTally(r.array)
		if _, err = memory.Read(q.Failures, tally.Add); err != nil {
			return err
		}
		r.Rows = tally.Rows
		d, err = tally.Diagnose(q.Test)
	case len(q.Says) > 0:
		var all memory.Statement
		if all, err = together(r.array, q.Says); err == nil {
			if d, err = r.array.DiagnoseStatement(all); err == nil {
				r.named, err = r.array.Named(all)
			}
		}
	default:
		return nil
	}
	if err != nil {
		return err
	}
	r.Diagnosis = &d
	return nil
}

// together makes one statement of several: the chips that any of them names.
func together(a *memory.Array, says []memory.Statement) (memory.Statement, error) {
	if len(says) == 1 {
		return says[0], nil
	}
	var all memory.Statement
	for _, s := range says {
		if s.Passes {
			return all, errors.New("a test that passed cannot be put together with one that failed; ask of the one that failed alone")
		}
		named, err := a.Named(s)
		if err != nil {
			return all, err
		}
		for _, n := range named {
			all.Chips = append(all.Chips, a.ChipName(n))
		}
		all.FirstOnly = all.FirstOnly || s.FirstOnly
	}
	return all, nil
}

// plan compares ways to replace chips, given that the trouble is in the chips.
func (r *Answer) plan(q Question) error {
	inside := 1 - r.Diagnosis.Outside
	if inside < 0.01 {
		return nil
	}
	batches, of, err := r.batches(q.Batches)
	if err != nil {
		return err
	}
	perBank := len(r.array.Banks[0].Chips)
	var list []memory.SwapChip
	for bank := range r.array.Banks {
		chips := r.Diagnosis.Chips[bank*perBank : (bank+1)*perBank]
		if !slices.ContainsFunc(chips, func(c memory.ChipVerdict) bool { return c.Bad/inside >= suspected }) {
			continue
		}
		for _, c := range chips {
			list = append(list, memory.SwapChip{Name: c.Chip, Bad: min(c.Bad/inside, 1), Batch: of[c.Chip]})
		}
	}
	swaps, err := memory.PlanSwaps(list, batches, q.Costs, q.Service)
	if errors.Is(err, memory.ErrNoSuspect) {
		return nil
	}
	if err != nil {
		return err
	}
	r.Swaps = &swaps
	for i, b := range batches {
		r.Batches = append(r.Batches, BatchRecord{b.Mark, b.Fitted, b.Failed, swaps.Rates[i]})
	}
	return nil
}

// batches gives the batches and the number of each chip's. Chips that no batch
// names are one of their own.
func (r *Answer) batches(given []Batch) ([]memory.Batch, map[string]int, error) {
	of := map[string]int{}
	var list []memory.Batch
	for n, b := range given {
		for _, chip := range b.Chips {
			if _, twice := of[chip]; twice {
				return nil, nil, fmt.Errorf("chip %s is in two batches", chip)
			}
			if !slices.ContainsFunc(r.Diagnosis.Chips, func(c memory.ChipVerdict) bool { return c.Chip == chip }) {
				var known []string
				for _, c := range r.Diagnosis.Chips {
					known = append(known, c.Chip)
				}
				return nil, nil, fmt.Errorf("batch %q: the memory has no chip %q; %s", b.Mark, chip, form.Suggest(chip, known))
			}
			of[chip] = n
		}
		list = append(list, memory.Batch{Mark: b.Mark, Fitted: len(b.Chips) + b.Failed, Failed: b.Failed})
	}
	rest := 0
	for _, c := range r.Diagnosis.Chips {
		if _, ok := of[c.Chip]; !ok {
			of[c.Chip] = len(given)
			rest++
		}
	}
	if rest > 0 {
		mark := "all chips, taken as one batch"
		if len(given) > 0 {
			mark = "the others, taken as one batch"
		}
		list = append(list, memory.Batch{Mark: mark, Fitted: rest})
	}
	return list, of, nil
}

// ParseBatch reads "8112=U10,U11,U12" with, at choice, "/2" for two of that
// batch found bad before: "8112/2=U10,U11".
func ParseBatch(text string) (Batch, error) {
	mark, chips, ok := strings.Cut(text, "=")
	b := Batch{Mark: strings.TrimSpace(mark)}
	if name, failed, given := strings.Cut(b.Mark, "/"); given {
		b.Mark = strings.TrimSpace(name)
		if _, err := fmt.Sscanf(failed+"\n", "%d\n", &b.Failed); err != nil || b.Failed < 0 || b.Failed > 1_000_000 {
			return b, fmt.Errorf("%.40q: after the stroke stands how many of the batch were found bad before, as in 8112/2=U10,U11", text)
		}
	}
	b.Chips = strings.FieldsFunc(chips, func(r rune) bool { return r == ',' || r == ' ' })
	if !ok || b.Mark == "" || len(b.Chips) == 0 {
		return b, fmt.Errorf("%.40q is no batch; write its marking and its chips, as in 8112=U10,U11,U12", text)
	}
	return b, nil
}
