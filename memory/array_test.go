package memory_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/memory"
)

// TestReferenceDecode checks address to row and column, and address and data to
// chip, against collected cases (testdata/memory.yaml; sources named there).
//
// Outside: cases of testdata/memory.yaml only mem-rowcol*, mem-chip*. Within: exact.
func TestReferenceDecode(t *testing.T) {
	checked := 0
	for _, c := range reference(t).Cases {
		switch c.Checks {
		case "row and column of an address, low half as row":
			lines := int(number(c.Inputs["row_bits"]))
			a, err := memory.NewArray(memory.Array{Banks: []memory.Bank{{Name: "0", Last: 1<<(2*lines) - 1, Chips: []string{"U1"}}}})
			if err != nil {
				t.Fatal(err)
			}
			row, column, err := a.Cell(uint64(number(c.Inputs["address"])))
			if err != nil || float64(row) != number(c.Expected["row"]) || float64(column) != number(c.Expected["column"]) {
				t.Errorf("%s: row %d, column %d, %v", c.ID, row, column, err)
			}
			checked++
		case "failing chip from address and data (x1 parts)":
			size := uint64(number(c.Inputs["bank_size"]))
			a := array(t, 4, size)
			address := uint64(number(c.Inputs["address"]))
			bank, word, ok := a.Locate(address)
			if !ok || float64(bank) != number(c.Expected["bank"]) || float64(word) != number(c.Expected["offset"]) {
				t.Errorf("%s: bank %d, word %d, %v", c.ID, bank, word, ok)
			}
			bits := memory.BadBits(uint64(number(c.Inputs["expected"])), uint64(number(c.Inputs["read"])))
			var want []int
			for _, b := range c.Expected["bad_bits"].([]any) {
				want = append(want, b.(int))
			}
			if !slices.Equal(bits, want) {
				t.Errorf("%s: bits %v, want %v", c.ID, bits, want)
			}
			for _, b := range bits {
				if chip, err := a.Chip(address, b); err != nil || chip != fmt.Sprintf("U%d%d", bank+1, b) {
					t.Errorf("%s: chip %s, %v", c.ID, chip, err)
				}
			}
			checked++
		case "nibble-wide parts":
			a, err := memory.NewArray(memory.Array{PerChip: 4, Banks: []memory.Bank{{Name: "0", Last: 0x3FFF, Chips: []string{"low", "high"}}}})
			if err != nil {
				t.Fatal(err)
			}
			bits := memory.BadBits(uint64(number(c.Inputs["expected"])), uint64(number(c.Inputs["read"])))
			if chip, err := a.Chip(0, bits[0]); err != nil || chip != c.Expected["chip_nibble"] {
				t.Errorf("%s: chip %s, %v", c.ID, chip, err)
			}
			checked++
		}
	}
	if checked != 10 {
		t.Errorf("%d cases checked, want 10", checked)
	}
}

// TestReferenceRefresh: intervals, load and counters of refresh, and sizes of
// erasable memories (testdata/memory.yaml).
//
// Outside: cases of testdata/memory.yaml only mem-refresh*, mem-4164*, mem-eprom*.
// Within: 1e-9.
func TestReferenceRefresh(t *testing.T) {
	checked := 0
	for _, c := range reference(t).Cases {
		var got, want float64
		switch c.Checks {
		case "distributed refresh interval":
			got = memory.Refresh{Rows: int(number(c.Inputs["rows"])), Period: number(c.Inputs["period"]) * 1e-3}.Interval() * 1e6
			want = number(c.Expected["interval"])
		case "share of time spent in refresh":
			got = 100 * memory.Refresh{Rows: int(number(c.Inputs["rows"])), Period: number(c.Inputs["period"])}.Load(number(c.Inputs["cycle"]))
			want = number(c.Expected["percent"])
		case "which 64K parts a 7-bit refresh counter can serve":
			for _, o := range memory.Organisations() {
				if strings.HasPrefix(o.Type, "4164") {
					if served := o.Refresh.ServedBy(7); served != (o.Refresh.Rows == 128) {
						t.Errorf("%s: served %v", o.Type, served)
					}
				}
			}
		case "EPROM type to bytes":
			for i, number := range []int{2708, 2716, 2732, 2764, 27128, 27256, 27512} {
				n, err := memory.EPROMBytes(number)
				if err != nil || n != c.Expected["bytes"].([]any)[i] {
					t.Errorf("%d: %d bytes, %v", number, n, err)
				}
			}
			if _, err := memory.EPROMBytes(2709); err == nil {
				t.Error("2709 is no type")
			}
		default:
			continue
		}
		checked++
		if got < want*(1-1e-9) || got > want*(1+1e-9) {
			t.Errorf("%s: %v, want %v", c.ID, got, want)
		}
	}
	if checked != 8 {
		t.Errorf("%d cases checked, want 8", checked)
	}
	known := reference(t).Tables
	for _, name := range []string{"dram_org", "dram_org_memory"} {
		for i, row := range known[name].Rows {
			o := memory.Organisations()[map[string]int{"dram_org": 0, "dram_org_memory": 3}[name]+i]
			got := fmt.Sprint(o.Words, o.Bits, o.Row, o.Column, o.Refresh.Rows, o.Refresh.Period*1e3)
			if want := fmt.Sprint(row[1:]...); strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(want, " ", "") {
				t.Errorf("%s: %s, want %s", o.Type, got, want)
			}
		}
	}
}

// TestInterleave: even and odd addresses in two banks, row and column lines as
// the board multiplexes them.
func TestInterleave(t *testing.T) {
	a, err := memory.NewArray(memory.Array{
		Row: []int{1, 2, 3, 4}, Column: []int{8, 7, 6, 5},
		Banks: []memory.Bank{
			{Name: "even", First: 0x4000, Last: 0x41FE, Every: 2, Chips: []string{"U1", "U2"}},
			{Name: "odd", First: 0x4001, Last: 0x41FF, Every: 2, Chips: []string{"U3", "U4"}},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		address     uint64
		chip        string
		row, column uint64
	}{{0x4000, "U2", 0, 0}, {0x4001, "U4", 0, 0}, {0x4002, "U2", 1, 0}, {0x411F, "U4", 15, 1}, {0x41FE, "U2", 15, 15}, {0x4020, "U2", 0, 8}} {
		chip, err := a.Chip(c.address, 1)
		row, column, err2 := a.Cell(c.address)
		if err != nil || err2 != nil || chip != c.chip || row != c.row || column != c.column {
			t.Errorf("%04X: %s row %d column %d, %v %v, want %+v", c.address, chip, row, column, err, err2, c)
		}
	}
	if _, err := a.Chip(0x4200, 0); err == nil {
		t.Error("4200 is in no bank")
	}
}

// TestArrayRefused: what no array can be is refused, with the reason.
func TestArrayRefused(t *testing.T) {
	one := []string{"U1"}
	for _, c := range []struct {
		array memory.Array
		want  string
	}{
		{memory.Array{}, "0 banks"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", First: 5, Last: 4, Chips: one}}}, "down to"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", Last: 7}}}, "0 chips"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", Last: 7, Chips: one}, {Name: "1", First: 8, Last: 15, Chips: []string{"U2", "U3"}}}}, "same number"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", Last: 7, Chips: one}, {Name: "1", First: 7, Last: 15, Chips: one}}}, "both hold address 0007"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", Last: 14, Every: 2, Chips: one}, {Name: "1", First: 3, Last: 15, Every: 3, Chips: one}}}, "both hold address 0006"},
		{memory.Array{PerChip: 16, Banks: []memory.Bank{{Name: "0", Last: 7, Chips: []string{"a", "b", "c"}}}}, "48 bits"},
		{memory.Array{Banks: []memory.Bank{{Name: "0", Last: 1 << 28, Chips: one}}}, "at most"},
		{memory.Array{Row: []int{0, 1}, Column: []int{1}, Banks: []memory.Bank{{Name: "0", Last: 7, Chips: one}}}, "A1 is named twice"},
		{memory.Array{Row: []int{0}, Column: []int{1}, Banks: []memory.Bank{{Name: "0", Last: 7, Chips: one}}}, "needs 3"},
	} {
		if _, err := memory.NewArray(c.array); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// TestLocateInverts: every word of every bank is found again by its address.
func TestLocateInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ways := rapid.Uint64Range(1, 4).Draw(t, "ways")
		words := rapid.Uint64Range(1, 300).Draw(t, "words")
		from := rapid.Uint64Range(0, 1000).Draw(t, "from")
		var a memory.Array
		for w := range ways {
			a.Banks = append(a.Banks, memory.Bank{Name: fmt.Sprint(w), First: from + w, Last: from + w + (words-1)*ways, Every: ways, Chips: []string{fmt.Sprint("U", w)}})
		}
		made, err := memory.NewArray(a)
		if err != nil {
			t.Fatal(err)
		}
		for bank := range int(ways) {
			word := rapid.Uint64Range(0, words-1).Draw(t, "word")
			b, w, ok := made.Locate(made.Address(bank, word))
			if !ok || b != bank || w != word {
				t.Fatalf("bank %d word %d found as %d, %d, %v", bank, word, b, w, ok)
			}
		}
		if _, _, ok := made.Locate(from + words*ways); ok {
			t.Fatal("found beyond the end")
		}
	})
}
