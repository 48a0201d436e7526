package store

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfsplit/internal/record"
)

// lines is an export without its files.
func lines(t testing.TB, s *Store) string {
	t.Helper()
	var out bytes.Buffer
	ok(t, s.ExportLines(context.Background(), &out))
	return out.String()
}

// whole makes sure that nothing is found.
func whole(t testing.TB, s *Store) {
	t.Helper()
	for _, f := range need(s.Verify(context.Background()))(t) {
		t.Error(f)
	}
}

func TestNothingIsFoundInWholeRecords(t *testing.T) {
	s := fresh(t)
	whole(t, s)
	b := furnish(t, s)
	whole(t, s)
	ctx := context.Background()
	// Each way of changing something.
	b.terminal.Note = "changed"
	ok(t, s.SaveUnit(ctx, &b.terminal))
	next := record.Sheet{Name: "vt9", Title: "Ostrel VT-9", Text: "sheet: 1\n"}
	ok(t, s.SaveSheet(ctx, &next))
	spare := record.Stock{Part: "1N4148", Count: 20}
	ok(t, s.SaveStock(ctx, &spare))
	ok(t, s.RemoveStock(ctx, spare.ID))
	better := b.entries[0]
	better.ID, better.Key, better.Corrects = 0, "", b.entries[0].ID
	ok(t, s.AddEntry(ctx, &better))
	r := record.Report{Bench: strings.Repeat("0", 32), Text: "counts: {more: 1}\n"}
	ok(t, s.SaveReport(ctx, &r))
	ok(t, s.RemovePhoto(ctx, b.photo.ID))
	whole(t, s)
	if list, err := VerifyFolder(ctx, s.dir); err != nil || len(list) > 0 {
		t.Error(list, err)
	}
}

func TestBackupAndRestore(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "records")
	s := need(Open(dir, Options{}))(t)
	b := furnish(t, s)
	before := lines(t, s)
	path := filepath.Join(t.TempDir(), "monday.zip")
	ok(t, s.Backup(ctx, path))
	if err := s.Backup(ctx, path); err == nil || !strings.Contains(err.Error(), "is there already") {
		t.Errorf("a backup was overwritten: %v", err)
	}
	if list, err := VerifyBackup(ctx, path); err != nil || len(list) > 0 {
		t.Fatal(list, err)
	}
	later := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: after the backup}"}
	ok(t, s.AddEntry(ctx, &later))
	if _, err := Restore(ctx, path, dir); err == nil || !strings.Contains(err.Error(), "open") {
		t.Fatalf("records were replaced while they were open: %v", err)
	}
	ok(t, s.Close())
	aside := need(Restore(ctx, path, dir))(t)
	restored := freshIn(t, dir, Options{})
	if lines(t, restored) != before {
		t.Error("other records came back")
	}
	whole(t, restored)
	kept := freshIn(t, aside, Options{})
	if got := need(kept.Log(ctx, b.job.ID))(t); len(got) != 3 {
		t.Errorf("%d entries were set aside", len(got))
	}
	// Into a folder that is not there yet.
	elsewhere := filepath.Join(t.TempDir(), "a", "b")
	if aside := need(Restore(ctx, path, elsewhere))(t); aside != "" {
		t.Error(aside)
	}
	if copied := freshIn(t, elsewhere, Options{}); lines(t, copied) != before || copied.Identity() != s.Identity() {
		t.Error("other records came back")
	}
}

// rezip writes a zip anew; change may change a member, or leave it out by nil.
func rezip(t testing.TB, from string, change func(name string, content []byte) []byte, more map[string]string) string {
	t.Helper()
	in := need(zip.OpenReader(from))(t)
	defer in.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	put := func(name string, content []byte) {
		ok(t, second(need(w.Create(name))(t).Write(content)))
	}
	for _, f := range in.File {
		r := need(f.Open())(t)
		if content := change(f.Name, need(io.ReadAll(r))(t)); content != nil {
			put(f.Name, content)
		}
	}
	for name, content := range more {
		put(name, []byte(content))
	}
	ok(t, w.Close())
	to := filepath.Join(t.TempDir(), "changed.zip")
	ok(t, os.WriteFile(to, out.Bytes(), 0o600))
	return to
}

func same(_ string, content []byte) []byte { return content }

func TestADamagedBackupIsNotRestored(t *testing.T) {
	ctx := context.Background()
	s := fresh(t)
	furnish(t, s)
	path := filepath.Join(t.TempDir(), "monday.zip")
	ok(t, s.Backup(ctx, path))
	flip := func(which string) func(string, []byte) []byte {
		return func(name string, content []byte) []byte {
			if strings.HasPrefix(name, which) {
				content[len(content)/2] ^= 4
			}
			return content
		}
	}
	cut := filepath.Join(t.TempDir(), "cut.zip")
	content := need(os.ReadFile(path))(t)
	ok(t, os.WriteFile(cut, content[:len(content)*2/3], 0o600))
	for name, damaged := range map[string]string{
		"records": rezip(t, path, flip("records.db"), nil),
		"file":    rezip(t, path, flip("files/"), nil),
		"missing file": rezip(t, path, func(name string, c []byte) []byte {
			return map[bool][]byte{true: nil, false: c}[strings.HasPrefix(name, "files/")]
		}, nil),
		"more": rezip(t, path, same, map[string]string{"files/../../evil": "x"}),
		"list": rezip(t, path, flip("manifest.json"), nil),
		"list of others": rezip(t, path, func(name string, c []byte) []byte {
			return bytes.Replace(c, []byte(`"name": "files/`), []byte(`"name": "../../x/`), 1)
		}, nil),
		"cut off": cut,
		"none":    filepath.Join(t.TempDir(), "none.zip"),
	} {
		dir := filepath.Join(t.TempDir(), "records")
		ok(t, os.Mkdir(dir, 0o700))
		ok(t, os.WriteFile(filepath.Join(dir, "mine"), nil, 0o600))
		_, err := Restore(ctx, damaged, dir)
		if err == nil {
			t.Errorf("%s: restored", name)
			continue
		}
		t.Logf("%s: %v", name, err)
		names := need(filepath.Glob(filepath.Dir(dir) + "/*"))(t)
		hidden := need(filepath.Glob(filepath.Dir(dir) + "/.*"))(t)
		if _, err := os.Stat(filepath.Join(dir, "mine")); err != nil || len(names) != 1 || len(hidden) != 0 {
			t.Errorf("%s: something is left or lost: %v %v %v", name, names, hidden, err)
		}
	}
}

func TestABackupWithoutAFileSaysSo(t *testing.T) {
	ctx := context.Background()
	s := fresh(t)
	b := furnish(t, s)
	ok(t, os.Remove(s.FilePath(b.photo.File)))
	path := filepath.Join(t.TempDir(), "monday.zip")
	var incomplete *Incomplete
	if err := s.Backup(ctx, path); !errors.As(err, &incomplete) || len(incomplete.Files) != 1 {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "records")
	ok(t, second(Restore(ctx, path, dir)))
	list := need(freshIn(t, dir, Options{}).Verify(ctx))(t)
	if len(list) != 1 || !strings.Contains(list[0].What, "missing") {
		t.Error(list)
	}
	if _, _, err := s.OpenFile(ctx, b.photo.File); !errors.Is(err, record.ErrNotFound) {
		t.Error(err)
	}
	// Kept once more it is there again.
	ok(t, second(s.PutFile(ctx, strings.NewReader("a picture of the supply"), "image/jpeg", 1000)))
	whole(t, s)
}
