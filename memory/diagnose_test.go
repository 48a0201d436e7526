package memory_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/memory"
)

// checkDiagnosis checks what holds of every diagnosis.
func checkDiagnosis(t interface{ Fatalf(string, ...any) }, d memory.Diagnosis) {
	outside := 0.0
	for i, c := range d.Causes {
		if !(c.Probability >= 0 && c.Probability <= 1+1e-9) || i > 0 && c.Probability > d.Causes[i-1].Probability {
			t.Fatalf("cause %+v after %+v", c, d.Causes[max(i-1, 0)])
		}
		if !c.Class.InChip() {
			outside += c.Probability
		}
	}
	if len(d.Causes) == 0 || outside > d.Outside+1e-9 || d.Outside > 1+1e-9 || math.IsNaN(d.Outside) {
		t.Fatalf("outside %g, of causes %g, %d causes", d.Outside, outside, len(d.Causes))
	}
	for _, c := range d.Chips {
		if !(c.Bad >= 0 && c.Bad <= 1-d.Outside+1e-6) {
			t.Fatalf("%+v with %g outside", c, d.Outside)
		}
	}
}

// TestOtherConditions: other tests, other data, other sizes and wider chips give
// the right class too, as far as each test can show it.
func TestOtherConditions(t *testing.T) {
	wide, err := memory.NewArray(memory.Array{PerChip: 4, Banks: []memory.Bank{{Name: "0", Last: 0x3FF, Chips: []string{"U1", "U2"}}, {Name: "1", First: 0x400, Last: 0x7FF, Chips: []string{"U3", "U4"}}}})
	if err != nil {
		t.Fatal(err)
	}
	interleaved, err := memory.NewArray(memory.Array{Banks: []memory.Bank{
		{Name: "even", Last: 0x7FE, Every: 2, Chips: []string{"U10", "U11", "U12", "U13", "U14", "U15", "U16", "U17"}},
		{Name: "odd", First: 1, Last: 0x7FF, Every: 2, Chips: []string{"U20", "U21", "U22", "U23", "U24", "U25", "U26", "U27"}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, march string
		array       *memory.Array
		background  uint64
		told        bool // the test is told to the diagnosis
		defect      memory.Defect
		class       memory.Class
		what        string
	}{
		{"MATS+, stuck cells", "MATS+", array(t, 2, 1024), 0, true, memory.CellsStuck{Chip: 3, Words: []uint64{5}, One: true}, memory.StuckCells, "U13"},
		{"checkerboard data, output", "March C-", array(t, 2, 1024), 0x55, true, memory.OutputStuck{Chip: 9}, memory.StuckOutput, "U21"},
		{"MATS+, address line", "MATS+", array(t, 2, 1024), 0, true, memory.LineStuck{Chip: -1, Lines: []int{4}}, memory.AddressLine, "A4"},
		{"checkerboard data, address line", "March C-", array(t, 2, 1024), 0xAA, true, memory.LineStuck{Chip: -1, Lines: []int{7}, High: true}, memory.AddressLine, "A7"},
		{"test not told, column", "March C-", array(t, 2, 1024), 0, false, memory.RowDead{Chip: 2, Row: 7, Column: true}, memory.StuckLine, "U12"},
		{"test not told, inversion", "March C-", array(t, 2, 1024), 0, false, memory.Coupled{Chip: 2, Disturbs: 9, Suffers: 800, Inverts: true}, memory.Coupling, "U12"},
		{"16K, dip of the supply", "March C-", twoBanks(t), 0, true, memory.SupplyDips{Dips: 2, Accesses: 700}, memory.SupplyFault, ""},
		{"16K, refresh", "March Y", twoBanks(t), 0, true, memory.RefreshLost{Weak: 0.02}, memory.RefreshFault, ""},
		{"one bank, refresh", "March C-", array(t, 1, 1024), 0, true, memory.RefreshLost{Weak: 0.3}, memory.RefreshFault, ""},
		{"four bits a chip, output", "March C-", wide, 0, true, memory.OutputStuck{Chip: 1, One: true}, memory.StuckOutput, "U2"},
		{"interleaved, stuck cell", "March C-", interleaved, 0, true, memory.CellsStuck{Chip: 12, Words: []uint64{77}}, memory.StuckCells, "U24"},
		{"interleaved, select", "March C-", interleaved, 0, true, memory.BankDead{Bank: 1, One: true}, memory.BankSelect, "bank odd"},
	} {
		m, err := memory.FindMarch(c.march)
		if err != nil {
			t.Fatal(err)
		}
		tally := memory.NewTally(c.array)
		if err := memory.Simulate(c.array, m, c.background, rand.New(rand.NewPCG(3, 4)), []memory.Defect{c.defect}, tally.Add); err != nil {
			t.Fatal(err)
		}
		test := memory.Test{}
		if c.told {
			test.March = m
		}
		d, err := tally.Diagnose(test)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		checkDiagnosis(t, d)
		if top := d.Causes[0]; top.Class != c.class || top.What != c.what {
			t.Errorf("%s: %+v", c.name, d.Causes[:min(3, len(d.Causes))])
		}
	}
}

// TestTwoBadChips: chips fail independently, each in its own way.
func TestTwoBadChips(t *testing.T) {
	a := array(t, 2, 1024)
	m, _ := memory.FindMarch("March C-")
	tally := memory.NewTally(a)
	defects := []memory.Defect{memory.OutputStuck{Chip: 3, One: true}, memory.CellsStuck{Chip: 12, Words: []uint64{1, 99}}}
	if err := memory.Simulate(a, m, 0, rand.New(rand.NewPCG(5, 6)), defects, tally.Add); err != nil {
		t.Fatal(err)
	}
	d, err := tally.Diagnose(memory.Test{March: m})
	if err != nil {
		t.Fatal(err)
	}
	checkDiagnosis(t, d)
	for i, c := range d.Chips {
		if bad := i == 3 || i == 12; bad != (c.Bad > 0.9) || !bad && c.Bad > 0.01 {
			t.Errorf("%+v", c)
		}
	}
}

// TestManyChipsAtOnce: failures strewn over every chip, one bit at a time, are
// not sixteen bad chips.
func TestManyChipsAtOnce(t *testing.T) {
	a := array(t, 2, 1024)
	r := rand.New(rand.NewPCG(9, 10))
	tally := memory.NewTally(a)
	for range 200_000 {
		if err := tally.Add(memory.Failure{Address: r.Uint64N(2048), Expected: 0xFF, Read: 0xFF ^ 1<<r.IntN(8)}); err != nil {
			t.Fatal(err)
		}
	}
	d, err := tally.Diagnose(memory.Test{})
	if err != nil || d.Outside < 0.9 {
		t.Errorf("outside %g, %v: %+v", d.Outside, err, d.Causes[:2])
	}
}

// TestAddressAsData: a test that writes each address as its own data cannot tell
// a stuck address line from a stuck data bit, and is said not to.
func TestAddressAsData(t *testing.T) {
	a := array(t, 2, 1024)
	tally := memory.NewTally(a)
	for at := range uint64(2048) {
		if at&8 == 0 {
			if err := tally.Add(memory.Failure{Address: at, Expected: at & 0xFF, Read: at&0xFF | 8}); err != nil {
				t.Fatal(err)
			}
		}
	}
	d, err := tally.Diagnose(memory.Test{})
	if err != nil || !strings.Contains(strings.Join(d.Remarks, "\n"), "wrote each address as its own data") {
		t.Errorf("%v, %q", err, d.Remarks)
	}
}

// TestNothingToReason: a list without a failure in the array is refused, and
// what lies outside is counted.
func TestNothingToReason(t *testing.T) {
	a := array(t, 1, 16)
	tally := memory.NewTally(a)
	for _, f := range []memory.Failure{{1, 5, 5}, {99, 0, 1}, {2, 0, 0x100}} {
		if err := tally.Add(f); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := tally.Diagnose(memory.Test{}); !errors.Is(err, memory.ErrNoFailures) || tally.Outside != 1 || tally.Same != 2 {
		t.Errorf("%v, outside %d, same %d", err, tally.Outside, tally.Same)
	}
}

// TestAnyList: any failures at all give a diagnosis whose numbers hold together.
func TestAnyList(t *testing.T) {
	a := array(t, 2, 64)
	rapid.Check(t, func(t *rapid.T) {
		tally := memory.NewTally(a)
		wrong := false
		for range rapid.IntRange(1, 300).Draw(t, "rows") {
			f := memory.Failure{
				Address: rapid.Uint64Range(0, 140).Draw(t, "address"), Expected: rapid.Uint64Range(0, 255).Draw(t, "expected"), Read: rapid.Uint64Range(0, 255).Draw(t, "read"),
			}
			wrong = wrong || f.Address < 128 && f.Expected != f.Read
			if err := tally.Add(f); err != nil {
				t.Fatal(err)
			}
		}
		d, err := tally.Diagnose(memory.Test{})
		if wrong != (err == nil) {
			t.Fatalf("wrong %v, %v", wrong, err)
		}
		if err == nil {
			checkDiagnosis(t, d)
		}
	})
}

// TestClasses: each class says where it sits.
func TestClasses(t *testing.T) {
	in := []memory.Class{memory.StuckCells, memory.StuckOutput, memory.StuckLine, memory.Coupling, memory.ChipDecoder, memory.BadChip}
	for _, c := range []memory.Class{memory.AddressLine, memory.BankSelect, memory.DataLine, memory.RefreshFault, memory.SupplyFault, memory.Undescribed} {
		if c.InChip() {
			t.Errorf("%s sits in no chip", c)
		}
	}
	if slices.ContainsFunc(in, func(c memory.Class) bool { return !c.InChip() }) {
		t.Error("a class in a chip is said to be outside")
	}
}
