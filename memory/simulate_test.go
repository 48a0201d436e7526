package memory_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"halfsplit/memory"
)

// trial makes a defect of one kind by chance, with the classes that name it
// rightly and what they should name.
type trial struct {
	kind string
	make func(a *memory.Array, r *rand.Rand) (memory.Defect, string)
	want []memory.Class
}

var trials = []trial{
	{"stuck cells", func(a *memory.Array, r *rand.Rand) (memory.Defect, string) {
		d := memory.CellsStuck{Chip: r.IntN(a.ChipCount()), One: r.IntN(2) == 1}
		for range 1 + r.IntN(3) {
			d.Words = append(d.Words, r.Uint64N(a.Banks[0].Words()))
		}
		return d, a.ChipName(d.Chip)
	}, []memory.Class{memory.StuckCells}},
	{"stuck output", func(a *memory.Array, r *rand.Rand) (memory.Defect, string) {
		d := memory.OutputStuck{Chip: r.IntN(a.ChipCount()), One: r.IntN(2) == 1}
		return d, a.ChipName(d.Chip)
	}, []memory.Class{memory.StuckOutput}},
	{"row or column", func(a *memory.Array, r *rand.Rand) (memory.Defect, string) {
		d := memory.RowDead{Chip: r.IntN(a.ChipCount()), Row: r.Uint64N(16), Column: r.IntN(2) == 1, One: r.IntN(2) == 1}
		return d, a.ChipName(d.Chip)
	}, []memory.Class{memory.StuckLine}},
	{"coupling", func(a *memory.Array, r *rand.Rand) (memory.Defect, string) {
		n := a.Banks[0].Words()
		d := memory.Coupled{Chip: r.IntN(a.ChipCount()), Disturbs: r.Uint64N(n), Falls: r.IntN(2) == 1, Inverts: r.IntN(2) == 1, One: r.IntN(2) == 1}
		d.Suffers = (d.Disturbs + 1 + r.Uint64N(n-1)) % n
		return d, a.ChipName(d.Chip)
	}, []memory.Class{memory.Coupling}},
	{"decoder in a chip", func(a *memory.Array, r *rand.Rand) (memory.Defect, string) {
		d := memory.LineStuck{Chip: r.IntN(a.ChipCount()), Lines: []int{r.IntN(8)}, High: r.IntN(2) == 1}
		return d, a.ChipName(d.Chip)
	}, []memory.Class{memory.ChipDecoder}},
	{"address line", func(_ *memory.Array, r *rand.Rand) (memory.Defect, string) {
		line := r.IntN(9) // the last selects the bank
		return memory.LineStuck{Chip: -1, Lines: []int{line}, High: r.IntN(2) == 1}, fmt.Sprintf("A%d", line)
	}, []memory.Class{memory.AddressLine}},
	{"bank select", func(_ *memory.Array, r *rand.Rand) (memory.Defect, string) {
		bank := r.IntN(2)
		return memory.BankDead{Bank: bank, One: r.IntN(2) == 1}, fmt.Sprintf("bank %d", bank)
	}, []memory.Class{memory.BankSelect}},
	{"data line", func(_ *memory.Array, r *rand.Rand) (memory.Defect, string) {
		bit := r.IntN(8)
		return memory.DataStuck{Bit: bit, One: r.IntN(2) == 1}, fmt.Sprintf("bit %d", bit)
	}, []memory.Class{memory.DataLine}},
	{"refresh", func(_ *memory.Array, r *rand.Rand) (memory.Defect, string) {
		return memory.RefreshLost{Weak: 0.01 + 0.9*r.Float64()*r.Float64()}, ""
	}, []memory.Class{memory.RefreshFault}},
	{"supply", func(_ *memory.Array, r *rand.Rand) (memory.Defect, string) {
		return memory.SupplyDips{Dips: 1 + r.IntN(4), Accesses: 20 + r.IntN(200)}, ""
	}, []memory.Class{memory.SupplyFault}},
}

// TestRightClass simulates faults under March C− and asks for the right class,
// and the right chip, line, bank or bit, in 95 % of the trials of every kind.
// The chance of the trials is fixed by their seeds.
func TestRightClass(t *testing.T) {
	a := array(t, 2, 256)
	m, err := memory.FindMarch("March C-")
	if err != nil {
		t.Fatal(err)
	}
	const runs = 100
	for k, trial := range trials {
		t.Run(trial.kind, func(t *testing.T) {
			right, wrong := 0, map[string]int{}
			for n := range runs {
				r := rand.New(rand.NewPCG(uint64(k), uint64(n)))
				defect, what := trial.make(a, r)
				tally := memory.NewTally(a)
				for tally.Rows == 0 { // a dip may fall where nothing is read
					if err := memory.Simulate(a, m, 0, r, []memory.Defect{defect}, tally.Add); err != nil {
						t.Fatal(err)
					}
				}
				d, err := tally.Diagnose(memory.Test{March: m})
				if err != nil {
					wrong[fmt.Sprintf("%v: %+v", err, defect)]++
					continue
				}
				if top := d.Causes[0]; slices.Contains(trial.want, top.Class) && top.What == what {
					right++
				} else {
					wrong[fmt.Sprintf("%s %s, not %s: %+v", top.Class, top.What, what, defect)]++
				}
			}
			t.Logf("%d of %d right", right, runs)
			if right < runs*95/100 {
				i := 0
				for w := range wrong {
					if i++; i < 6 {
						t.Log(w)
					}
				}
				t.Errorf("%d of %d right, want 95 %%", right, runs)
			}
		})
	}
}

// array makes an array of so many banks of eight chips.
func array(t testing.TB, banks int, words uint64) *memory.Array {
	t.Helper()
	var a memory.Array
	for b := range banks {
		bank := memory.Bank{Name: fmt.Sprint(b), First: uint64(b) * words, Last: uint64(b+1)*words - 1}
		for bit := range 8 {
			bank.Chips = append(bank.Chips, fmt.Sprintf("U%d%d", b+1, bit))
		}
		a.Banks = append(a.Banks, bank)
	}
	made, err := memory.NewArray(a)
	if err != nil {
		t.Fatal(err)
	}
	return made
}
