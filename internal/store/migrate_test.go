package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// slowStep is a migration that takes long, and quickStep one that does not.
const (
	slowStep = "-- +goose Up\nCREATE TABLE later (id INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT;\n" +
		"INSERT INTO later (text) WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 2000000) SELECT hex(randomblob(2000)) FROM n;\n"
	quickStep = "-- +goose Up\nCREATE TABLE later (id INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT;\nINSERT INTO later (text) VALUES ('x');\n"
)

// withStep is the migrations with one more.
func withStep(step string) (fs.FS, error) {
	name := "00001_records.sql"
	first, err := fs.ReadFile(migrations(), name)
	return fstest.MapFS{name: {Data: first}, "00002_later.sql": {Data: []byte(step)}}, err
}

func init() {
	children["migrate slowly"] = func(dir string) error {
		steps, err := withStep(slowStep)
		if err != nil {
			return err
		}
		s, err := Open(dir, Options{migrations: steps})
		if err != nil {
			return err
		}
		return s.Close()
	}
}

func TestAnInterruptedMigrationWasNotDone(t *testing.T) {
	dir, _ := closedRecords(t)
	before := need(exported(dir))(t)
	for round := range 2 {
		c := child(t, "migrate slowly", dir)
		ok(t, c.Start())
		// It is in the middle of it once the copy is made and the log grows.
		deadline := time.Now().Add(2 * time.Minute)
		for {
			copies := need(filepath.Glob(filepath.Join(dir, backupFolder, "records-version-1-*.db")))(t)
			info, err := os.Stat(filepath.Join(dir, fileName+"-wal"))
			if len(copies) > round && err == nil && info.Size() > 1<<20 {
				break
			}
			if time.Now().After(deadline) {
				t.Fatal("the migration never began")
			}
			time.Sleep(5 * time.Millisecond)
		}
		ok(t, c.Process.Kill())
		c.Wait()
		s := need(Open(dir, Options{}))(t)
		whole(t, s)
		if lines(t, s) != before {
			t.Error("the records are others")
		}
		ok(t, s.Close())
	}
	s := need(Open(dir, Options{migrations: need(withStep(quickStep))(t)}))(t)
	ok(t, s.Close())
	// Now it is newer than this program, and left as it is.
	content := need(os.ReadFile(filepath.Join(dir, fileName)))(t)
	for _, o := range []Options{{}, {ReadOnly: true}} {
		if _, err := Open(dir, o); !errors.Is(err, ErrNewer) || !strings.Contains(err.Error(), "nothing was changed") {
			t.Error(err)
		}
	}
	if !bytes.Equal(content, need(os.ReadFile(filepath.Join(dir, fileName)))(t)) {
		t.Error("the newer file was changed")
	}
	// The copy from before is records of the old version.
	copies := need(filepath.Glob(filepath.Join(dir, backupFolder, "records-version-1-*.db")))(t)
	old := t.TempDir()
	ok(t, copyFile(copies[len(copies)-1], filepath.Join(old, fileName)))
	if got := need(exported(old))(t); got != before {
		t.Error("the copy from before is not as it was")
	}
}
