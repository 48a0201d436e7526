package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"halfsplit/sheet"
)

// large writes a sheet of n parts with what goes with them: a rail for every
// fifty, a block and a test point for every four, a check with a cause for
// every ten, a circuit with a tenth of the parts, and a memory array.
func large(n int) []byte {
	var b strings.Builder
	b.WriteString("sheet: 1\noutside: [mains]\nrails:\n")
	for i := range n / 50 {
		fmt.Fprintf(&b, "  - {rail: \"+%d\", nominal: 5 V, family: TTL, from: mains, through: [F%d], ripple: 50 mV}\n", i, i)
	}
	b.WriteString("parts:\n")
	for i := range n / 50 {
		fmt.Fprintf(&b, "  - {part: F%d, kind: fuse, value: 1 A}\n", i)
	}
	plain := n - n/50 - n/10
	for i := range plain {
		switch i % 4 {
		case 0:
			fmt.Fprintf(&b, "  - {part: R%d, kind: resistor, value: 4k7, tolerance: ±5 %%, power: 0.25 W, near: C%d}\n", i, (i+1)%plain/4*4+1)
		case 1:
			fmt.Fprintf(&b, "  - {part: C%d, kind: electrolytic, value: 2200 uF 25 V, across: \"+%d\", age: 42 y}\n", i, i%(n/50))
		default:
			fmt.Fprintf(&b, "  - {part: Q%d, kind: transistor, type: small NPN, where: \"row %d, beside the edge\"}\n", i, i)
		}
	}
	b.WriteString("blocks:\n")
	for i := range n / 4 {
		fmt.Fprintf(&b, "  - {block: U%d, kind: chip, in: [signal %d], out: [signal %d, spare %d], supply: \"+%d\"}\n", i, (i+n/4-1)%(n/4), i, i, i%(n/50))
	}
	b.WriteString("testpoints:\n")
	for i := range n / 4 {
		fmt.Fprintf(&b, "  - {point: TP%d, signal: signal %d, expect: pulsing, reach: awkward}\n", i, i)
	}
	b.WriteString("circuits:\n  ladder:\n    ground: gnd\n    reach: [n0]\n    parts:\n")
	for i := range n / 10 {
		to := fmt.Sprintf("n%d", i+1)
		if i == n/10-1 {
			to = "gnd"
		}
		fmt.Fprintf(&b, "      - {part: L%d, kind: resistor, value: 1k, nodes: [n%d, %s]}\n", i, i, to)
	}
	b.WriteString("      - {part: LG, kind: resistor, value: 1k, nodes: [n0, gnd]}\n")
	b.WriteString("memories:\n  - memory: main\n    banks:\n")
	for bank := range 4 {
		fmt.Fprintf(&b, "      - {bank: %d, from: %X, to: %X, chips: [", bank, bank<<14, bank<<14|0x3fff)
		for bit := range 16 {
			if bit > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "M%d", bank*16+bit)
		}
		b.WriteString("]}\n")
	}
	b.WriteString("checks:\n  - check: self-test\n    answers: [passes, fails]\n    causes:\n")
	for i := range n / 10 {
		fmt.Fprintf(&b, "      - {if: [U%d output stuck low, signal %d absent, M%d], then: {fails: 90 %%, passes: 10 %%}}\n", i, i, i%64)
	}
	return []byte(b.String())
}

// The goal is 50 ms.
func BenchmarkParse(b *testing.B) {
	text := large(2000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := sheet.Parse("large.yaml", text); err != nil {
			b.Fatal(err)
		}
	}
}

// wrong writes a sheet of n blocks that each need a signal which nobody makes,
// and a check that names as many things that are not there.
func wrong(n int) []byte {
	var b strings.Builder
	b.WriteString("sheet: 1\nblocks:\n")
	for i := range n {
		fmt.Fprintf(&b, "  - {block: U%d, kind: chip, in: qignal %d, out: signal %d}\n", i, i, i)
	}
	b.WriteString("checks:\n  - check: self-test\n    answers: [passes, fails]\n    causes:\n")
	for i := range n {
		fmt.Fprintf(&b, "      - {if: Z%d broken beyond repair, then: {fails: 100 %%}}\n", i)
	}
	return []byte(b.String())
}

// A sheet in which nearly everything is wrong takes no longer than it should.
func BenchmarkParseWrong(b *testing.B) {
	for _, n := range []int{200, 30000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			text := wrong(n)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := sheet.Parse("wrong.yaml", text); err == nil {
					b.Fatal("no mistakes found")
				}
			}
		})
	}
}
