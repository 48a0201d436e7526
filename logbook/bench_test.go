package logbook_test

import (
	"fmt"
	"strings"
	"testing"

	"halfsplit/logbook"
	"halfsplit/sheet"
)

// A logbook of five hundred entries on a sheet of two thousand blocks.
func BenchmarkParse(b *testing.B) {
	var page strings.Builder
	page.WriteString("sheet: 1\noutside: [signal 0]\nblocks:\n")
	for i := range 2000 {
		fmt.Fprintf(&page, "  - {block: U%d, kind: chip, in: signal %d, out: signal %d}\n", i, i, i+1)
	}
	s, err := sheet.Parse("sheet.yaml", []byte(page.String()))
	if err != nil {
		b.Fatal(err)
	}
	page.Reset()
	page.WriteString("case: 1\nsheet: sheet.yaml\nmeters: [{meter: DMM, dc volts: 0.5 % + 2 digits}]\nlog:\n")
	for i := range 250 {
		fmt.Fprintf(&page, "  - {measure: signal %d, reads: 4.62 V, with: DMM, state: {on for: 12 min, warm: yes}}\n", 7*i)
		fmt.Fprintf(&page, "  - {swap: U%d, new: dated 8309, old: dated 8112, took: 20 min}\n", 7*i)
	}
	text := []byte(page.String())
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := logbook.Parse("case.yaml", text, s); err != nil {
			b.Fatal(err)
		}
	}
}
