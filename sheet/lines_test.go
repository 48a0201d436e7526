package sheet_test

import (
	"slices"
	"testing"

	"halfsplit/sheet"
)

// TestAddressLines: one line, a run, a run downwards.
func TestAddressLines(t *testing.T) {
	for text, want := range map[string][]int{"A3": {3}, "A0-A3": {0, 1, 2, 3}, "a3 - a1": {3, 2, 1}, "A31": {31}} {
		if got, err := sheet.AddressLines(text); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "A", "3", "A32", "A-1", "A1-", "A1-3", "A1-A2-A3", "A9999999999999999999"} {
		if got, err := sheet.AddressLines(text); err == nil {
			t.Errorf("%q reads as %v", text, got)
		}
	}
}

// FuzzAddressLines reads anything; lines lie between A0 and A31, each once.
func FuzzAddressLines(f *testing.F) {
	for _, text := range []string{"A3", "A0-A6", "A6-A0", "-", "A--1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		lines, err := sheet.AddressLines(text)
		sorted := slices.Sorted(slices.Values(lines))
		if err == nil && (len(lines) == 0 || sorted[0] < 0 || sorted[len(sorted)-1] > 31 || len(slices.Compact(sorted)) != len(lines)) {
			t.Fatalf("%q: %v", text, lines)
		}
		sheet.Address(text)
	})
}
