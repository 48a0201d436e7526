package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"pgregory.net/rapid"

	"halfsplit/internal/record"
)

// signed ends lines as an export does, so that a changed one is not refused for
// its sum alone.
func signed(body []byte) []byte {
	body = append(bytes.TrimRight(bytes.Clone(body), "\n"), '\n')
	records := bytes.Count(body, []byte("\n")) - 1
	end, _ := json.Marshal(tail{records, fmt.Sprintf("%x", sha256.Sum256(body))})
	return append(append(body, end...), '\n')
}

// FuzzImport reads lines that may be anything: they are refused and nothing is
// kept, or they become records in which nothing is found wrong.
func FuzzImport(f *testing.F) {
	full := fresh(f)
	b := furnish(f, full)
	files := fstest.MapFS{}
	for _, hash := range []record.Hash{b.photo.File, b.trace.File} {
		r, _, err := full.OpenFile(context.Background(), hash)
		ok(f, err)
		files[filePlace(hash)] = &fstest.MapFile{Data: need(io.ReadAll(r))(f)}
		ok(f, r.Close())
	}
	all := strings.SplitAfter(strings.TrimSpace(lines(f, full)), "\n")
	body := strings.Join(all[:len(all)-1], "")
	f.Add([]byte(body))
	f.Add([]byte(all[0]))
	for _, change := range [][2]string{{"4.62", "5.02"}, {`"id":1`, `"id":7`}, {`"job":1`, `"job":-1`}, {`"kept":"2`, `"kept":"1`}, {`"numbers":{`, `"numbers":{"unit":1e30,`}, {`"revision":1`, `"revision":0`}, {"NaN", "1e999"}} {
		f.Add([]byte(strings.ReplaceAll(body, change[0], change[1])))
	}
	folder := f.TempDir()
	used := 0
	empty := func(t testing.TB) *Store {
		used++
		return need(Open(filepath.Join(folder, fmt.Sprint(os.Getpid(), "-", used)), Options{}))(t)
	}
	target := empty(f)
	nothing := lines(f, target)
	f.Cleanup(func() { target.Close() })
	f.Fuzz(func(t *testing.T, body []byte) {
		ctx := context.Background()
		if err := target.importLines(ctx, bytes.NewReader(signed(body)), files); err != nil {
			if lines(t, target) != nothing {
				t.Fatalf("refused, but something was kept: %v", err)
			}
			return
		}
		read := target
		target = empty(t)
		nothing = lines(t, target)
		defer read.Close()
		whole(t, read)
		again := empty(t)
		defer again.Close()
		ok(t, again.importLines(ctx, strings.NewReader(lines(t, read)), files))
		if lines(t, again) != lines(t, read) {
			t.Error("written out and read again it is something else")
		}
	})
}

// FuzzBackup looks at backups that may be anything.
func FuzzBackup(f *testing.F) {
	s := fresh(f)
	furnish(f, s)
	path := filepath.Join(f.TempDir(), "backup.zip")
	ok(f, s.Backup(context.Background(), path))
	f.Add(need(os.ReadFile(path))(f))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Add(need(os.ReadFile(rezip(f, path, func(name string, c []byte) []byte {
		return map[bool][]byte{true: []byte(`{"backup":1,"members":[{"name":"../x","size":-1}]}`), false: nil}[name == manifestName]
	}, nil)))(f))
	f.Fuzz(func(t *testing.T, content []byte) {
		path := filepath.Join(t.TempDir(), "backup.zip")
		ok(t, os.WriteFile(path, content, 0o600))
		dir := filepath.Join(t.TempDir(), "records")
		_, err := Restore(context.Background(), path, dir)
		if _, missing := os.Stat(dir); (err == nil) != (missing == nil) {
			t.Errorf("restored: %v; folder: %v", err, missing)
		}
	})
}

// TestWhateverIsDoneTheRecordsStayWhole does anything that the store offers, in
// any order, and then looks whether something is found, and whether an export
// comes back the same.
func TestWhateverIsDoneTheRecordsStayWhole(t *testing.T) {
	words := rapid.StringOfN(rapid.RuneFrom([]rune("aB4µΩ <&>\"'–ß\n\x01")), 0, 12, -1)
	line := rapid.Map(words, func(s string) string { return "x" + strings.ReplaceAll(s, "\n", " ") })
	if checks := flag.Lookup("rapid.checks"); checks.Value.String() == checks.DefValue {
		// Each opens two files of records: a hundred take too long for every day.
		ok(t, flag.Set("rapid.checks", "8"))
		defer flag.Set("rapid.checks", checks.DefValue)
	}
	rapid.Check(t, func(r *rapid.T) {
		folder := need(os.MkdirTemp(t.TempDir(), "any-*"))(t)
		c := &clock{monday}
		s := need(Open(filepath.Join(folder, "records"), Options{Now: c.now}))(t)
		defer s.Close()
		ctx := context.Background()
		var nUnits, nJobs, nEntries, nStocks int
		one := func(n int, name string) record.ID { return record.ID(rapid.IntRange(1, max(n, 1)).Draw(r, name)) }
		for range rapid.IntRange(1, 25).Draw(r, "steps") {
			c.at = c.at.Add(time.Duration(rapid.IntRange(-1000, 100000).Draw(r, "later")) * time.Millisecond)
			switch rapid.IntRange(0, 6).Draw(r, "do") {
			case 0:
				u := record.Unit{Model: line.Draw(r, "model"), Note: words.Draw(r, "note"), Standing: record.Kept, Mains: rapid.Float64Range(0, 400).Draw(r, "mains"),
					Fitted: []record.Fitted{{Name: line.Draw(r, "fitted")}}}
				ok(t, s.SaveUnit(ctx, &u))
				nUnits++
			case 1:
				if u, err := s.Unit(ctx, one(nUnits, "unit")); err == nil {
					u.History = words.Draw(r, "history")
					ok(t, s.SaveUnit(ctx, &u))
				}
			case 2:
				j := record.Job{Unit: one(nUnits, "unit"), Title: line.Draw(r, "title"), Stage: record.Intake}
				if s.SaveJob(ctx, &j) == nil {
					nJobs++
				}
			case 3:
				k := record.Stock{Part: line.Draw(r, "part"), Count: rapid.IntRange(0, 2).Draw(r, "count")}
				ok(t, s.SaveStock(ctx, &k))
				nStocks++
			case 4, 5:
				e := record.Entry{Job: one(nJobs, "job"), At: c.at, Verb: "swap", Line: line.Draw(r, "line"), Seconds: rapid.Float64Range(0, 1e6).Draw(r, "seconds"),
					Corrects: record.ID(rapid.IntRange(0, nEntries).Draw(r, "corrects"))}
				if rapid.Bool().Draw(r, "swap") {
					e.Swaps = []record.Swap{{Part: "C1", Condition: record.ConditionGood, Stock: one(nStocks, "stock"), Measured: line.Draw(r, "measured")}}
				}
				if s.AddEntry(ctx, &e) == nil {
					nEntries++
				}
			case 6:
				if s.RemoveStock(ctx, one(nStocks, "stock")) == nil {
					k := record.Stock{Part: "another"}
					ok(t, s.SaveStock(ctx, &k))
				}
			}
		}
		for _, f := range need(s.Verify(ctx))(t) {
			r.Errorf("%s", f)
		}
		other := need(Open(filepath.Join(folder, "other"), Options{}))(t)
		defer other.Close()
		ok(t, other.importLines(ctx, strings.NewReader(lines(t, s)), fstest.MapFS{}))
		if lines(t, other) != lines(t, s) {
			r.Error("an import is something else")
		}
		for _, f := range need(other.Verify(ctx))(t) {
			r.Errorf("imported: %s", f)
		}
	})
}

// TestSealsStay holds the seals that were worked out by another program (Python's
// hashlib) from the JSON as docs/records.md describes it. Were they made
// otherwise later, all that was ever kept would be found damaged.
func TestSealsStay(t *testing.T) {
	u := record.Unit{ID: 1, Revision: 2, Code: "SSA-0017", Maker: "Ostrel", Model: "VT-9", Standing: record.Kept, Created: monday, Changed: monday}
	e := record.Entry{ID: 1, Job: 1, Number: 1, Key: "k", At: monday, Kept: monday, Verb: "note", Line: "{note: <x>}"}
	chain := need(seal{}.follow(e))(t)
	for _, c := range []struct {
		name      string
		got, want string
	}{
		{"unit", fmt.Sprintf("%x", need(units.seal(&u))(t)), "11d6d1b79223719e532dfcdce9942a24f8b83944b4ed7171f8062d75d94ea851"},
		{"first entry", fmt.Sprintf("%x", chain), "720188a479397a38fa6b86fa08f6c3e0e4b18ba243c23dd92ed6d93fee19e200"},
		{"second entry", fmt.Sprintf("%x", need(chain.follow(e))(t)), "ba0da0d93c41ac035530369928c4dee1b7f31553d77054076505c8407940007a"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, not %s", c.name, c.got, c.want)
		}
	}
}
