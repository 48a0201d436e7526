package sheet_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf16"

	"halfsplit/form"
	"halfsplit/sheet"
)

// Files that are no sheets at all.
func TestBadFiles(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	garbage := make([]byte, 1<<20)
	for i := range garbage {
		garbage[i] = byte(random.Uint32())
	}
	wide := []byte{0xff, 0xfe}
	for _, c := range utf16.Encode([]rune("sheet: 1\n")) {
		wide = append(wide, byte(c), byte(c>>8))
	}
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", `1:1: the file is empty; a service sheet begins with the line "sheet: 1"`},
		{"only blanks", " \n\n  \n", `1:1: the file is empty; a service sheet begins with the line "sheet: 1"`},
		{"only comments", "# later\n# perhaps\n", `1:1: the file is empty; a service sheet begins with the line "sheet: 1"`},
		{"only dashes", "---\n", `1:1: the file is empty; a service sheet begins with the line "sheet: 1"`},
		{"a case", "# x\ncase: 1\nsheet: a.yaml\n", `2:1: this is a case, not a service sheet; a service sheet begins with the line "sheet: 1"`},
		{"a list", "- sheet: 1\n", "1:1: the page must be a mapping, not a list"},
		{"a word", "VT-9\n", "1:1: the page must be a mapping, not a single value"},
		{"a megabyte of garbage", string(garbage), "1:"},
		{"a megabyte of brackets", strings.Repeat("[", 1<<20), "1:"},
		{"more than four megabytes", "sheet: 1 #" + strings.Repeat("-", 4<<20), "and a page may have 4194304"},
		{"a cyclic alias", "sheet: 1\nparts: &a [*a]\n", "2:12: *a stands within itself"},
		{"a circuit in itself", "sheet: 1\ncircuits: &a {b: *a}\n", "2:18: *a stands within itself"},
		{"deep nesting", "sheet: 1\nparts: " + strings.Repeat("[", 100) + strings.Repeat("]", 100), "more than 64 deep"},
		{"UTF-16", string(wide), "1:1: the file is UTF-16 text; save it as UTF-8"},
		{"NUL", "sheet: 1\nmodel: {name: a\x00b}\n", "2:16: the control character U+0000 cannot stand on a page; delete it"},
		{"Latin-1", "sheet: 1\nrails: [{rail: a, limits: \xb15 %}]\n", `2:27: the byte 0xB1 is not UTF-8 text; in the older Latin-1 encoding it is '±': save the file as UTF-8`},
		{"two pages", "sheet: 1\n---\nsheet: 1\n", "2:1: a second page begins here"},
		{"a tab", "sheet: 1\nmodel:\n\tname: VT-9\n", "3:1: a tab in the indentation; indent with spaces"},
	} {
		s, err := sheet.Parse("x.yaml", []byte(c.text))
		if s != nil || err == nil || !strings.HasPrefix(err.Error(), "x.yaml:") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %.200v; want %q", c.name, s, err, c.want)
		}
		var problems form.Problems
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Errorf("%s: %T", c.name, err)
		}
	}
}

func TestLoad(t *testing.T) {
	if s, err := sheet.Load("testdata/whole.yaml"); err != nil || s.File() != "testdata/whole.yaml" {
		t.Errorf("%v, %v", s, err)
	}
	if s, err := sheet.Load("testdata/nowhere.yaml"); s != nil || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v, %v", s, err)
	}
	if s, err := sheet.Load("testdata"); s != nil || err == nil {
		t.Errorf("a folder: %v, %v", s, err)
	}
}

// Thousands of mistakes end in a list of a thousand, and the last says so.
func TestManyMistakes(t *testing.T) {
	_, err := sheet.Parse("x.yaml", wrong(3000))
	problems, _ := err.(form.Problems)
	if len(problems) != 1001 || !strings.Contains(fmt.Sprint(problems[1000]), "there are more than 1000 mistakes") {
		t.Errorf("%d problems, the last: %v", len(problems), problems[len(problems)-1])
	}
	for _, p := range problems[:50] { // those that are printed
		if p.Hint == "" {
			t.Errorf("no hint: %v", p)
		}
	}
}

// Long names do not make long messages.
func TestLongNames(t *testing.T) {
	long := strings.Repeat("long ", 10000)
	_, err := sheet.Parse("x.yaml", []byte("sheet: 1\nblocks:\n  - {block: "+long+"a, kind: "+long+", in: ["+long+"b, "+long+"c], out: d}\n  - {block: "+long+"a, kind: chip, out: e}\nchecks: [{check: a, answers: [b, c], causes: [{if: "+long+", then: {b: 100 %}}]}]\n"))
	problems, _ := err.(form.Problems)
	if len(problems) != 5 {
		t.Errorf("%d problems: %v", len(problems), problems)
	}
	wellReported(t, err)
}
