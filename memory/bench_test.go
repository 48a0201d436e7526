package memory_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"

	"halfsplit/memory"
)

// twoBanks is an array of sixteen 16K chips in two banks.
func twoBanks(t testing.TB) *memory.Array {
	t.Helper()
	var banks []memory.Bank
	for b := range 2 {
		bank := memory.Bank{Name: fmt.Sprint(b), First: uint64(b) << 14, Last: uint64(b)<<14 | 0x3FFF}
		for bit := range 8 {
			bank.Chips = append(bank.Chips, fmt.Sprintf("U%d%d", b+1, bit))
		}
		banks = append(banks, bank)
	}
	a, err := memory.NewArray(memory.Array{Name: "main", Banks: banks})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// rows writes a list of so many failures.
func rows(n int) []byte {
	r := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	b.WriteString("address,expected,read\n")
	for range n {
		fmt.Fprintf(&b, "%04X,%02X,%02X\n", r.IntN(1<<15), 0x55, 0x55^1<<r.IntN(8))
	}
	return b.Bytes()
}

// BenchmarkMillionRows reads and counts a list of a million failures; the goal
// is 150 MB/s with memory that does not grow.
func BenchmarkMillionRows(b *testing.B) {
	text := rows(1_000_000)
	a := twoBanks(b)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		t := memory.NewTally(a)
		if n, err := memory.Read(bytes.NewReader(text), t.Add); n != 1_000_000 || err != nil {
			b.Fatal(n, err)
		}
	}
}

// TestMemoryIsFlat: ten times the rows take no more memory.
func TestMemoryIsFlat(t *testing.T) {
	a := twoBanks(t)
	taken := func(n int) uint64 {
		text := rows(n)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		tally := memory.NewTally(a)
		if got, err := memory.Read(bytes.NewReader(text), tally.Add); got != n || err != nil {
			t.Fatal(got, err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	few, many := taken(50_000), taken(500_000)
	if many > few+few/10 {
		t.Errorf("50 000 rows took %d bytes, 500 000 took %d", few, many)
	}
}
