package store

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"halfsplit/internal/record"
)

// children are what this test program does instead of testing when it is called
// with the name of one and a folder.
var children = map[string]func(dir string) error{}

const childVariable = "STORE_TEST_CHILD"

func TestMain(m *testing.M) {
	if name := os.Getenv(childVariable); name != "" {
		if err := children[name](os.Getenv(childVariable + "_FOLDER")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// child is a process that does one of them.
func child(t testing.TB, name, dir string) *exec.Cmd {
	t.Helper()
	if children[name] == nil {
		t.Fatalf("there is no child %q", name)
	}
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childVariable+"="+name, childVariable+"_FOLDER="+dir)
	return c
}

// closedRecords makes furnished records that nobody has open.
func closedRecords(t testing.TB) (string, *bench) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "records")
	s := need(Open(dir, Options{}))(t)
	b := furnish(t, s)
	ok(t, s.Close())
	return dir, b
}

// copyRecords copies a folder of records.
func copyRecords(t testing.TB, dir string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "copy")
	ok(t, os.CopyFS(to, os.DirFS(dir)))
	return to
}

// exported is what an export of a folder is, or an error.
func exported(dir string) (string, error) {
	s, err := Open(dir, Options{ReadOnly: true})
	if err != nil {
		return "", err
	}
	defer s.Close()
	var out bytes.Buffer
	err = s.ExportLines(context.Background(), &out)
	return out.String(), err
}

var flips = flag.Int("flips", 40, "bits to flip, one by one")

// TestEveryFlippedBitIsFound flips single bits anywhere in the file. Each must
// be found, or do nothing: the records written out are the same.
func TestEveryFlippedBitIsFound(t *testing.T) {
	dir, _ := closedRecords(t)
	before := need(exported(dir))(t)
	path := filepath.Join(dir, fileName)
	content := need(os.ReadFile(path))(t)
	var used []int // bytes that are not 0
	for i, c := range content {
		if c != 0 {
			used = append(used, i)
		}
	}
	random := rand.New(rand.NewPCG(3, 1))
	found, harmless := 0, 0
	for i := range *flips {
		at, bit := random.IntN(len(content)), random.IntN(8)
		if i%2 == 0 {
			at = used[random.IntN(len(used))]
		}
		flipped := bytes.Clone(content)
		flipped[at] ^= 1 << bit
		ok(t, os.WriteFile(path, flipped, 0o600))
		list, err := VerifyFolder(context.Background(), dir)
		after, exportError := exported(dir)
		switch {
		case err != nil || len(list) > 0:
			found++
		case exportError == nil && after == before:
			harmless++
		default:
			t.Errorf("bit %d of byte %d: not found, and the records are others (%v)", bit, at, exportError)
		}
	}
	t.Logf("%d found, %d in what is not used", found, harmless)
	if found < *flips/5 || harmless < *flips/5 {
		t.Error("these were no flips all over the file")
	}
}

// TestEveryFlippedBitOfARecordIsFound flips bits in what was written by people.
func TestEveryFlippedBitOfARecordIsFound(t *testing.T) {
	dir, _ := closedRecords(t)
	path := filepath.Join(dir, fileName)
	content := need(os.ReadFile(path))(t)
	flips := 0
	for _, words := range []string{"reads: 4.62 V", "325 uF, 3.2 ohm", "harbour office", "goes dark after", "video board", "Harbour Components", "box 7", "bench meter", "model: Ostrel", "phone of Ines", "counts: {}", "image/jpeg", "supply, lid off", "warm-up of"} {
		places := bytes.Count(content, []byte(words))
		if places == 0 {
			t.Fatalf("%q is not in the file", words)
		}
		from := 0
		for range places {
			at := from + bytes.Index(content[from:], []byte(words))
			from = at + len(words)
			flipped := bytes.Clone(content)
			flipped[at+len(words)/2] ^= 1
			ok(t, os.WriteFile(path, flipped, 0o600))
			list, err := VerifyFolder(context.Background(), dir)
			if err == nil && len(list) == 0 {
				t.Errorf("%q at %d: not found", words, at)
			}
			flips++
		}
	}
	t.Logf("%d flips found", flips)
}

func TestATamperedRowIsNamed(t *testing.T) {
	for _, c := range []struct{ change, where, what string }{
		{"DROP TRIGGER entries_stay; UPDATE entries SET line = '{measure: TP3, reads: 5.02 V}' WHERE id = 1", "logbook of job 1", "entry e1 (number 1) is not as it was written"},
		{"DROP TRIGGER entries_last; DROP TRIGGER swaps_last; DROP TRIGGER attachments_last; UPDATE soaks SET entry = NULL; DELETE FROM swaps; DELETE FROM attachments; DELETE FROM entries WHERE id = 2", "logbook of job 1", "ends with entry e1"},
		{"DROP TRIGGER entries_stay; UPDATE entries SET line = '{measure: TP3, reads: 5.02 V}' WHERE id = 1", "records.db", "trigger entries_stay"},
		{"UPDATE units SET maker = 'Tarn' WHERE id = 2", "unit 2", "its seal does not fit"},
		{"DELETE FROM needs", "records.db", `records of the kind "need"`},
		{"UPDATE texts SET body = 'else' WHERE id = 1 << 40 | 1", "unit 1", "own words"},
		{"UPDATE files SET media = 'text/html'", "file ", "its seal does not fit"},
		{"UPDATE origin SET identity = '0123456789abcdef0123456789abcdef'", "records.db", `records of the kind "origin"`},
		{"UPDATE devices SET revoked = NULL, name = 'phone of a thief'", "device 1", "its seal does not fit"},
	} {
		dir, _ := closedRecords(t)
		s := need(Open(dir, Options{}))(t)
		ok(t, second(s.writer.session.conn.ExecContext(context.Background(), c.change)))
		ok(t, s.Close())
		list := need(VerifyFolder(context.Background(), dir))(t)
		named := false
		for _, f := range list {
			named = named || strings.HasPrefix(f.Where, c.where) && strings.Contains(f.What, c.what)
		}
		if !named {
			t.Errorf("%s: %v", c.change, list)
		}
	}
}

func TestATruncatedFileIsFound(t *testing.T) {
	dir, _ := closedRecords(t)
	path := filepath.Join(dir, fileName)
	content := need(os.ReadFile(path))(t)
	for _, share := range []int{1, 10, 50, 90, 99} {
		ok(t, os.WriteFile(path, content[:len(content)*share/100], 0o600))
		list, err := VerifyFolder(context.Background(), dir)
		if err != nil || len(list) == 0 || list[0].Do != doRestore {
			t.Errorf("%d %%: %v %v", share, list, err)
		}
	}
	ok(t, os.WriteFile(path, []byte("this is no database at all, but a text that somebody put here by mistake"), 0o600))
	if _, err := Open(dir, Options{}); err == nil || !strings.Contains(err.Error(), "restore the last backup") {
		t.Error(err)
	}
}

// TestPowerLoss cuts the log of changes wherever a pulled plug may: anywhere
// after what the last acknowledged entry had put on disk, with or without rubbish
// behind.
func TestPowerLoss(t *testing.T) {
	dir, b := closedRecords(t)
	base := copyRecords(t, dir)
	s := freshIn(t, dir, Options{})
	ctx := context.Background()
	var level string
	ok(t, s.writer.session.conn.QueryRowContext(ctx, "PRAGMA synchronous").Scan(&level))
	if level != "2" {
		t.Fatalf("commits are not synced: level %s", level)
	}
	var ends []int64
	var keys []string
	for i := range 15 {
		e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: fmt.Sprintf("{note: entry %d}", i)}
		ok(t, s.AddEntry(ctx, &e))
		keys = append(keys, e.Key)
		ends = append(ends, need(os.Stat(filepath.Join(dir, fileName+"-wal")))(t).Size())
	}
	log := need(os.ReadFile(filepath.Join(dir, fileName+"-wal")))(t)
	if !bytes.Equal(need(os.ReadFile(filepath.Join(dir, fileName)))(t), need(os.ReadFile(filepath.Join(base, fileName)))(t)) {
		t.Fatal("the log was written back already; this test needs fewer entries")
	}
	random := rand.New(rand.NewPCG(5, 5))
	for i := range 12 {
		cut := random.IntN(len(log) + 1)
		acknowledged := 0
		for _, end := range ends {
			if end <= int64(cut) {
				acknowledged++
			}
		}
		left := bytes.Clone(log[:cut])
		switch i % 3 {
		case 1:
			left = append(left, make([]byte, random.IntN(20_000))...)
		case 2:
			rubbish := bytes.Clone(log[cut:])
			for j := range rubbish {
				if random.IntN(50) == 0 {
					rubbish[j] = byte(random.Uint32())
				}
			}
			left = append(left, rubbish...)
		}
		after := copyRecords(t, base)
		ok(t, os.WriteFile(filepath.Join(after, fileName+"-wal"), left, 0o600))
		reopened := need(Open(after, Options{}))(t)
		entries := need(reopened.Log(ctx, b.job.ID))(t)
		if len(entries) < 2+acknowledged {
			t.Errorf("cut at %d: %d entries of %d acknowledged", cut, len(entries)-2, acknowledged)
		}
		for j, e := range entries[2:] {
			if e.Key != keys[j] {
				t.Errorf("cut at %d: entry %d is another", cut, j)
			}
		}
		whole(t, reopened)
		ok(t, reopened.Close())
	}
}

func init() {
	children["write 40 entries"] = func(dir string) error {
		s, err := Open(dir, Options{})
		if err != nil {
			return err
		}
		defer s.Close()
		for i := range 40 {
			e := record.Entry{Job: 1, At: monday, Verb: "note", Line: fmt.Sprintf("{note: %d of %d}", i, os.Getpid())}
			if err := s.AddEntry(context.Background(), &e); err != nil {
				return err
			}
		}
		return nil
	}
}

func TestTwoProgramsOnOneFile(t *testing.T) {
	dir, b := closedRecords(t)
	s := freshIn(t, dir, Options{})
	var writers []*exec.Cmd
	for range 3 {
		c := child(t, "write 40 entries", dir)
		c.Stderr = os.Stderr
		ok(t, c.Start())
		writers = append(writers, c)
	}
	for i := range 40 {
		e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: fmt.Sprintf("{note: %d}", i)}
		ok(t, s.AddEntry(context.Background(), &e))
	}
	for _, c := range writers {
		ok(t, c.Wait())
	}
	if got := need(s.Log(context.Background(), b.job.ID))(t); len(got) != 2+160 || got[161].Number != 162 {
		t.Errorf("%d entries", len(got))
	}
	whole(t, s)
}

func TestSeveralProgramsBeginRecordsAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "records")
	var openers []*exec.Cmd
	for range 4 {
		c := child(t, "open", dir)
		c.Stderr = os.Stderr
		ok(t, c.Start())
		openers = append(openers, c)
	}
	for _, c := range openers {
		ok(t, c.Wait())
	}
	whole(t, freshIn(t, dir, Options{}))
}

func init() {
	children["open"] = func(dir string) error {
		s, err := Open(dir, Options{})
		if err != nil {
			return err
		}
		return s.Close()
	}
	children["read"] = func(dir string) error {
		s, err := Open(dir, Options{ReadOnly: true})
		if err != nil {
			return err
		}
		defer s.Close()
		log, err := s.Log(context.Background(), 1)
		fmt.Println(len(log))
		return err
	}
}

func TestFiftyWritersAtOnce(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	failed := make(chan error, 50)
	for w := range 50 {
		go func() {
			var err error
			for i := range 4 {
				e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: " + strconv.Itoa(w*100+i) + "}"}
				err = errors.Join(err, s.AddEntry(context.Background(), &e), second(s.Entries(context.Background(), record.EntryFilter{Job: b.job.ID})))
			}
			failed <- err
		}()
	}
	for range 50 {
		ok(t, <-failed)
	}
	if got := need(s.Entries(context.Background(), record.EntryFilter{Job: b.job.ID}))(t); got.Total != 202 {
		t.Errorf("%d entries", got.Total)
	}
	whole(t, s)
}

func TestWhoLeavesInTheMiddleLeavesNothingHalfDone(t *testing.T) {
	s := fresh(t)
	b := furnish(t, s)
	kept := 0
	for i := range 120 {
		ctx, leave := context.WithTimeout(context.Background(), time.Duration(i)*40*time.Microsecond)
		e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: in a hurry}"}
		err := s.AddEntry(ctx, &e)
		leave()
		switch {
		case err == nil:
			kept++
		case !errors.Is(err, context.DeadlineExceeded) && !strings.Contains(err.Error(), "interrupted"):
			t.Errorf("%v", err)
		}
	}
	if got := need(s.Log(context.Background(), b.job.ID))(t); len(got) != 2+kept {
		t.Errorf("%d entries were acknowledged, %d are there", kept, len(got)-2)
	}
	e := record.Entry{Job: b.job.ID, At: monday, Verb: "note", Line: "{note: with time}"}
	ok(t, s.AddEntry(context.Background(), &e))
	whole(t, s)
}

func TestAFileThatIsTooLarge(t *testing.T) {
	s := fresh(t)
	var large *TooLarge
	if _, err := s.PutFile(context.Background(), io.LimitReader(zeros{}, 1<<30), "image/jpeg", 1<<16); !errors.As(err, &large) {
		t.Error(err)
	}
	if left := need(filepath.Glob(filepath.Join(s.dir, filesFolder, "*")))(t); len(left) > 0 {
		t.Errorf("%v was left", left)
	}
	if left := need(filepath.Glob(filepath.Join(s.dir, filesFolder, ".*")))(t); len(left) > 0 {
		t.Errorf("%v was left", left)
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }
