package banks_test

import (
	"slices"
	"strings"
	"testing"

	"halfsplit/banks"
	"halfsplit/memory"
	"halfsplit/sheet"
)

func parse(t testing.TB, memories string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Parse("bench.yaml", []byte("sheet: 1\nmemories:\n"+memories))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestArray: banks with addresses, banks as large as their chips, interleaved
// banks, chips of several bits.
func TestArray(t *testing.T) {
	for _, c := range []struct {
		what, memories string
		at             uint64
		bit            int
		chip           string
	}{
		{"addresses", "  - {memory: m, banks: [{bank: 0, from: 0000, to: 3FFF, chips: [A, B]}, {bank: 1, from: $8000, to: 0xBFFF, chips: [C, D]}]}", 0x8123, 1, "D"},
		{"one after the other", "  - {memory: m, type: 16K×1, banks: [{bank: 0, chips: [A, B]}, {bank: 1, chips: [C, D]}]}", 0x4000, 0, "C"},
		{"by a type number", "  - {memory: m, type: 4116, banks: [{bank: 0, chips: [A, B]}, {bank: 1, chips: [C, D]}]}", 0x7FFF, 1, "D"},
		{"four bits wide by its type", "  - {memory: m, type: 1K×4, banks: [{bank: 0, chips: [A, B]}]}", 0x3FF, 5, "B"},
		{"interleaved", "  - {memory: m, type: 1K×1, banks: [{bank: even, every: 2, chips: [A]}, {bank: odd, from: 1, every: 2, chips: [B]}]}", 0x7FF, 0, "B"},
	} {
		s := parse(t, c.memories)
		a, err := banks.Array(&s.Memories[0])
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if chip, err := a.Chip(c.at, c.bit); err != nil || chip != c.chip {
			t.Errorf("%s: %s, %v, want %s", c.what, chip, err, c.chip)
		}
	}
}

// TestBatches: chips of one batch, the others taken as one, and what cannot be.
func TestBatches(t *testing.T) {
	s := parse(t, "  - {memory: m, type: 1K×1, banks: [{bank: 0, chips: [A, B, C, D]}]}")
	says, err := memory.ParseStatement("chip B")
	if err != nil {
		t.Fatal(err)
	}
	ask := func(batches ...banks.Batch) (*banks.Answer, error) {
		return banks.Ask(s, banks.Question{Says: []memory.Statement{says}, Batches: batches, Service: memory.Service{Years: 10, Horizon: 5}, Costs: memory.SwapCosts{Minute: 1, Swap: 1}})
	}
	r, err := ask(banks.Batch{Mark: "8112", Chips: []string{"A", "B"}, Failed: 2})
	if err != nil || len(r.Batches) != 2 || r.Batches[0].Fitted != 4 || r.Batches[0].Rate < 3*r.Batches[1].Rate || !slices.Equal(r.Failing(), []bool{false, true, false, false}) {
		t.Errorf("%+v, %v", r, err)
	}
	if _, err = ask(banks.Batch{Mark: "8112", Chips: []string{"A"}}, banks.Batch{Mark: "8113", Chips: []string{"A"}}); err == nil || !strings.Contains(err.Error(), "in two batches") {
		t.Error(err)
	}
	two, _ := memory.ParseStatement("chip C")
	if r, err = banks.Ask(s, banks.Question{Says: []memory.Statement{says, two}}); err != nil || !slices.Equal(r.Failing(), []bool{false, true, true, false}) {
		t.Errorf("two statements: %v, %v", r.Failing(), err)
	}
}

// FuzzParseBatch reads anything; what is read names chips.
func FuzzParseBatch(f *testing.F) {
	for _, text := range []string{"8112=U10,U11", "8112/2=U10", "=", "/=U1", "a/b=U1", "a/-1=U1", "8112=U1 U2", "8112/99999999999=U1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		b, err := banks.ParseBatch(text)
		if err == nil && (b.Mark == "" || len(b.Chips) == 0 || b.Failed < 0) {
			t.Fatalf("%q: %+v", text, b)
		}
	})
}
