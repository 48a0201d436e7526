package store

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfsplit/internal/record"
)

func TestAnImportIsTheSameRecords(t *testing.T) {
	ctx := context.Background()
	s := fresh(t)
	b := furnish(t, s)
	spare := record.Bin{Code: "box 8"}
	ok(t, s.SaveBin(ctx, &spare))
	ok(t, s.RemoveBin(ctx, spare.ID))
	better := b.entries[0]
	better.ID, better.Key, better.Corrects = 0, "", b.entries[0].ID
	ok(t, s.AddEntry(ctx, &better))
	for _, name := range []string{"export", "export.zip"} {
		path := filepath.Join(t.TempDir(), name)
		ok(t, s.Export(ctx, path))
		if err := s.Export(ctx, path); err == nil {
			t.Error("an export was overwritten")
		}
		other := fresh(t)
		ok(t, other.Import(ctx, path))
		if got, want := lines(t, other), lines(t, s); got != want {
			t.Errorf("%s: written out again:\n%s\nnot\n%s", name, got, want)
		}
		whole(t, other)
		again := filepath.Join(t.TempDir(), name)
		ok(t, other.Export(ctx, again))
		compareTrees(t, path, again)
		if err := other.Import(ctx, path); err == nil || !strings.Contains(err.Error(), "hold something already") {
			t.Errorf("read over other records: %v", err)
		}
		next := record.Bin{Code: "box 9"}
		ok(t, other.SaveBin(ctx, &next))
		if next.ID <= spare.ID {
			t.Error("a number was given again")
		}
		e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: goes on}"}
		ok(t, other.AddEntry(ctx, &e))
		if e.Number != 4 {
			t.Errorf("the logbook goes on with %d", e.Number)
		}
		whole(t, other)
	}
}

// compareTrees compares two files, or two folders of files, byte for byte.
func compareTrees(t testing.TB, a, b string) {
	t.Helper()
	read := func(root string) map[string]string {
		content := map[string]string{}
		ok(t, filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			name := need(filepath.Rel(root, path))(t)
			content[name] = string(need(os.ReadFile(path))(t))
			return nil
		}))
		return content
	}
	first, other := read(a), read(b)
	if len(first) != len(other) || len(first) == 0 {
		t.Errorf("%d files and %d files", len(first), len(other))
	}
	for name, content := range first {
		if other[name] != content {
			t.Errorf("%s differs", name)
		}
	}
}

func TestWhatAnImportRefuses(t *testing.T) {
	ctx := context.Background()
	s := fresh(t)
	b := furnish(t, s)
	path := filepath.Join(t.TempDir(), "export.zip")
	ok(t, s.Export(ctx, path))
	replace := func(old, new string) string {
		return rezip(t, path, func(name string, c []byte) []byte {
			if name != linesName {
				return c
			}
			if !strings.Contains(string(c), old) {
				t.Fatalf("there is no %q", old)
			}
			return []byte(strings.Replace(string(c), old, new, 1))
		}, nil)
	}
	photo := filePlace(b.photo.File)
	for name, c := range map[string]struct{ path, says string }{
		"tampered entry": {replace("4.62 V", "5.02 V"), "is not as it was written"},
		"tampered unit":  {replace("harbour office", "harbour 0ffice"), "sum of all lines"},
		"cut off":        {replace(`{"end":`, ""), "line"},
		"newer form":     {replace(`"halfsplit_records":1`, `"halfsplit_records":2`), "newer"},
		"unknown key":    {replace(`"maker":"Ostrel"`, `"colour":"grey","maker":"Ostrel"`), `unknown field "colour"`},
		"unknown kind":   {replace(`"kind":"unit"`, `"kind":"tool"`), `kind of record "tool"`},
		"impossible":     {replace(`"standing":"kept"`, `"standing":"lost"`), "is not one of"},
		"other picture": {rezip(t, path, func(name string, c []byte) []byte {
			return map[bool][]byte{true: []byte("a picture of the supplY"), false: c}[name == photo]
		}, nil), "not the file that its name tells"},
		"longer picture": {rezip(t, path, func(name string, c []byte) []byte {
			return map[bool][]byte{true: append(c, 'x'), false: c}[name == photo]
		}, nil), "is larger"},
		"missing picture": {rezip(t, path, func(name string, c []byte) []byte { return map[bool][]byte{true: nil, false: c}[name == photo] }, nil), "is missing"},
		"traversal":       {rezip(t, path, same, map[string]string{"files/../../../evil": "x"}), "no name of a file in an export"},
		"absolute":        {rezip(t, path, same, map[string]string{"/evil": "x"}), "no name of a file in an export"},
		"zip bomb, a file": {rezip(t, path, func(name string, c []byte) []byte {
			return map[bool][]byte{true: make([]byte, 2<<20), false: c}[name == photo]
		}, nil), "is larger"},
		"zip bomb, a line": {rezip(t, path, func(name string, c []byte) []byte {
			return map[bool][]byte{true: make([]byte, 65<<20), false: c}[name == linesName]
		}, nil), "the line is longer"},
		"no zip": {filepath.Join(s.dir, fileName), "is no export"},
	} {
		other := fresh(t)
		before := lines(t, other)
		err := other.Import(ctx, c.path)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
		if lines(t, other) != before {
			t.Errorf("%s: something was kept", name)
		}
		files := 0
		ok(t, filepath.WalkDir(filepath.Join(other.dir, filesFolder), func(path string, d os.DirEntry, err error) error {
			if !d.IsDir() {
				files++
			}
			return err
		}))
		if files > 0 {
			t.Errorf("%s: %d files were left", name, files)
		}
	}
}

func TestAFolderThatLeadsOutIsRefused(t *testing.T) {
	ctx := context.Background()
	s := fresh(t)
	b := furnish(t, s)
	path := filepath.Join(t.TempDir(), "export")
	ok(t, s.Export(ctx, path))
	outside := filepath.Join(t.TempDir(), "outside")
	picture := filepath.Join(path, filepath.FromSlash(filePlace(b.photo.File)))
	ok(t, os.Rename(picture, outside))
	if err := os.Symlink(outside, picture); err != nil {
		ok(t, os.WriteFile(picture, []byte("no links here"), 0o600))
	}
	if err := fresh(t).Import(ctx, path); err == nil {
		t.Error("a file outside of the folder was read")
	}
}
