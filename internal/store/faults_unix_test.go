//go:build unix

package store

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"halfsplit/internal/record"
)

func init() {
	// A disk that is full is played by a limit on the size of files.
	children["fill the disk"] = func(dir string) error {
		signal.Ignore(syscall.SIGXFSZ)
		s, err := Open(dir, Options{})
		if err != nil {
			return err
		}
		defer s.Close()
		var usual syscall.Rlimit
		if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &usual); err != nil {
			return err
		}
		add := func(i int) error {
			return s.AddEntry(context.Background(), &record.Entry{Job: 1, Key: fmt.Sprint("full", i), At: monday, Verb: "note", Line: "{note: " + strings.Repeat("long ", 300) + "}"})
		}
		full := syscall.Rlimit{Cur: 500_000, Max: usual.Max}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &full); err != nil {
			return err
		}
		kept := 0
		for ; kept < 5000; kept++ {
			if err = add(kept); err != nil {
				break
			}
		}
		fmt.Println("entries:", kept)
		fmt.Println("error:", err)
		_, err = s.PutFile(context.Background(), strings.NewReader(strings.Repeat("x", 600_000)), "text/plain", 1<<20)
		fmt.Println("file:", err)
		full.Cur = 100_000
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &full); err != nil {
			return err
		}
		fmt.Println("backup:", s.Backup(context.Background(), filepath.Join(dir, "full.zip")))
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &usual); err != nil {
			return err
		}
		// There is room again.
		fmt.Println("again:", add(kept))
		return nil
	}
}

func TestAFullDisk(t *testing.T) {
	dir, b := closedRecords(t)
	c := child(t, "fill the disk", dir)
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	kept := 0
	for line := range strings.Lines(string(out)) {
		what, says, _ := strings.Cut(strings.TrimSpace(line), ": ")
		switch what {
		case "entries":
			fmt.Sscan(says, &kept)
		case "error", "file", "backup":
			if !strings.Contains(says, "nothing of this was saved") {
				t.Errorf("%s: %s", what, says)
			}
		case "again":
			if says != "<nil>" {
				t.Errorf("with room again: %s", says)
			}
		}
	}
	if kept < 2 || kept == 5000 {
		t.Fatalf("%d entries fitted\n%s", kept, out)
	}
	s := freshIn(t, dir, Options{})
	if got := need(s.Log(context.Background(), b.job.ID))(t); len(got) != 2+kept+1 {
		t.Errorf("%d entries are there, %d were acknowledged", len(got), 2+kept+1)
	}
	whole(t, s)
	for _, pattern := range []string{"*.zip", ".backup-*", "files/.part-*"} {
		if left := need(filepath.Glob(filepath.Join(dir, pattern)))(t); len(left) > 0 {
			t.Errorf("%v was left", left)
		}
	}
}

// TestAReadOnlyFolder looks at records that may not be written, as somebody who
// is not root.
func TestAReadOnlyFolder(t *testing.T) {
	dir, _ := closedRecords(t)
	nobody := &syscall.SysProcAttr{}
	if os.Geteuid() == 0 {
		nobody.Credential = &syscall.Credential{Uid: 65534, Gid: 65534}
		for parent := dir; len(parent) > len(os.TempDir()); parent = filepath.Dir(parent) {
			ok(t, os.Chmod(parent, 0o755))
		}
		program := filepath.Dir(os.Args[0])
		for ; len(program) > 1; program = filepath.Dir(program) {
			if info := need(os.Stat(program))(t); info.Mode()&0o005 != 0o005 {
				ok(t, os.Chmod(program, info.Mode()|0o055))
			}
		}
	}
	ok(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if d.IsDir() {
			return os.Chmod(path, 0o555)
		}
		return os.Chmod(path, 0o444)
	}))
	t.Cleanup(func() {
		filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error { return os.Chmod(path, 0o755) })
	})
	before := need(os.ReadFile(filepath.Join(dir, fileName)))(t)
	write := child(t, "open", dir)
	write.SysProcAttr = nobody
	out, err := write.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "see the permissions of the folder") {
		t.Errorf("opened for writing: %v\n%s", err, out)
	}
	read := child(t, "read", dir)
	read.SysProcAttr = nobody
	if out, err := read.CombinedOutput(); err != nil || strings.TrimSpace(string(out)) != "2" {
		t.Errorf("opened for reading: %v\n%s", err, out)
	}
	if string(before) != string(need(os.ReadFile(filepath.Join(dir, fileName)))(t)) {
		t.Error("the file was changed")
	}
}
