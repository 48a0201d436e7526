package logbook_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"halfsplit/form"
	"halfsplit/logbook"
)

// Files that are no cases at all.
func TestBadFiles(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	garbage := make([]byte, 1<<20)
	for i := range garbage {
		garbage[i] = byte(random.Uint32())
	}
	wide := []byte{0xfe, 0xff}
	for _, c := range utf16.Encode([]rune("case: 1\n")) {
		wide = append(wide, byte(c>>8), byte(c))
	}
	path := filepath.Join(t.TempDir(), "x.yaml")
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", `1:1: the file is empty; a case begins with the line "case: 1"`},
		{"only comments", "# later\n", `1:1: the file is empty; a case begins with the line "case: 1"`},
		{"a sheet", "sheet: 1\nrails: []\n", `1:8: this is a service sheet, not a case; a case begins with the line "case: 1"`},
		{"a list", "- {note: x}\n", "1:1: the page must be a mapping, not a list"},
		{"a megabyte of garbage", string(garbage), "1:"},
		{"a megabyte of brackets", "log: " + strings.Repeat("{", 1<<20), "1:"},
		{"more than four megabytes", "case: 1 #" + strings.Repeat("-", 4<<20), "and a page may have 4194304"},
		{"a cyclic alias", "case: 1\nsheet: a\nlog: &a [*a]\n", "3:10: *a stands within itself"},
		{"deep nesting", "case: 1\nlog: " + strings.Repeat("[", 100) + strings.Repeat("]", 100), "more than 64 deep"},
		{"UTF-16", string(wide), "1:1: the file is UTF-16 text; save it as UTF-8"},
		{"NUL", "case: 1\nsheet: a\x00\n", "2:9: the control character U+0000 cannot stand on a page; delete it"},
	} {
		if err := os.WriteFile(path, []byte(c.text), 0o644); err != nil {
			t.Fatal(err)
		}
		loaded, s, err := logbook.Load(path)
		if loaded != nil || s != nil || err == nil || !strings.HasPrefix(err.Error(), path+":") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %.200v; want %q", c.name, loaded, err, c.want)
		}
		parsed, err := logbook.Parse("x.yaml", []byte(c.text), bench(t))
		if parsed != nil || err == nil || !strings.HasPrefix(err.Error(), "x.yaml:") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %.200v; want %q", c.name, parsed, err, c.want)
		}
	}
	if _, _, err := logbook.Load("testdata/nowhere.yaml"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
	if _, _, err := logbook.Load("testdata"); err == nil {
		t.Error("a folder was taken for a case")
	}
}

// A sheet is looked for beside the case, unless its whole path is given.
func TestSheetPath(t *testing.T) {
	folder := t.TempDir()
	text, err := os.ReadFile("testdata/bench.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
			t.Fatal(err)
		}
		return path
	}
	sheet := write("sheets/vt9.yaml", string(text))
	for _, named := range []string{"../sheets/vt9.yaml", filepath.ToSlash(sheet)} {
		if _, s, err := logbook.Load(write("cases/a.yaml", "case: 1\nsheet: "+named+"\n")); err != nil || s.File() != sheet {
			t.Errorf("%s: %v, %v", named, s, err)
		}
	}
}

// Long names do not make long messages.
func TestLongNames(t *testing.T) {
	long := strings.Repeat("long ", 10000)
	_, err := logbook.Parse("x.yaml", []byte("case: 1\nsheet: a\nmeters: [{meter: a, dc volts: "+long+"}]\nlog:\n  - {swap: "+long+", with: "+long+"}\n"), bench(t))
	if problems, _ := err.(form.Problems); len(problems) != 3 {
		t.Errorf("%d problems: %v", len(problems), problems)
	}
	wellReported(t, err)
}

// Thousands of mistakes end in a list of a thousand, and the last says so.
func TestManyMistakes(t *testing.T) {
	var b strings.Builder
	b.WriteString("case: 1\nsheet: a\nlog:\n")
	for i := range 3000 {
		fmt.Fprintf(&b, "  - {swap: U%d}\n", i+100)
	}
	_, err := logbook.Parse("x.yaml", []byte(b.String()), bench(t))
	problems, _ := err.(form.Problems)
	if len(problems) != 1001 || !strings.Contains(fmt.Sprint(problems[1000]), "there are more than 1000 mistakes") {
		t.Errorf("%d problems, the last: %v", len(problems), problems[len(problems)-1])
	}
}
