package cache

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

func open(t *testing.T, path string, bound int64) *Folder {
	t.Helper()
	f, err := Open(path, bound)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func key(i int) [32]byte { return sha256.Sum256(fmt.Append(nil, i)) }

// What was kept is there after the program was closed; what was not is missing.
func TestKeeps(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "cache")
	f := open(t, path, 1e6)
	f.Put(key(1), []byte("one"))
	f.Put(key(2), nil)
	f.Put(key(1), []byte("one again"))
	f = open(t, path, 1e6)
	if got, ok := f.Get(key(1)); !ok || string(got) != "one again" {
		t.Errorf("read %q, %v", got, ok)
	}
	if got, ok := f.Get(key(2)); !ok || len(got) != 0 {
		t.Errorf("read %q, %v for an empty value", got, ok)
	}
	if got, ok := f.Get(key(3)); ok {
		t.Errorf("read %q that was never kept", got)
	}
}

// Whatever happens to a file, what is read is what was written or nothing.
func TestDamage(t *testing.T) {
	value := []byte("a value of some length")
	for name, damage := range map[string]func([]byte) []byte{
		"cut short":      func(b []byte) []byte { return b[:len(b)-1] },
		"emptied":        func([]byte) []byte { return nil },
		"only a heading": func(b []byte) []byte { return b[:len(heading)+5] },
		"a bit turned":   func(b []byte) []byte { b[len(b)-3] ^= 4; return b },
		"sum turned":     func(b []byte) []byte { b[len(heading)] ^= 1; return b },
		"other version":  func(b []byte) []byte { b[len(heading)-2] = '9'; return b },
		"longer":         func(b []byte) []byte { return append(b, 0) },
	} {
		t.Run(name, func(t *testing.T) {
			f := open(t, t.TempDir(), 1e6)
			f.Put(key(1), value)
			text, err := os.ReadFile(f.name(key(1)))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(f.name(key(1)), damage(bytes.Clone(text)), 0o644); err != nil {
				t.Fatal(err)
			}
			if got, ok := f.Get(key(1)); ok {
				t.Errorf("read %q", got)
			}
			if _, err := os.Stat(f.name(key(1))); err == nil {
				t.Error("the damaged file is still there")
			}
			f.Put(key(1), value)
			if got, ok := f.Get(key(1)); !ok || !bytes.Equal(got, value) {
				t.Errorf("after writing again: %q, %v", got, ok)
			}
		})
	}
}

// The folder stays below its bound; what was used last stays longest, and what was
// left over by a crash goes.
func TestBound(t *testing.T) {
	path := t.TempDir()
	f := open(t, path, 20_000)
	old := time.Now().Add(-24 * time.Hour)
	for i := range 15 {
		f.Put(key(i), make([]byte, 1000))
		used := old.Add(time.Duration(i) * time.Minute)
		if err := os.Chtimes(f.name(key(i)), used, used); err != nil {
			t.Fatal(err)
		}
	}
	if _, ok := f.Get(key(0)); !ok { // used now
		t.Fatal("the first is gone already")
	}
	left := filepath.Join(path, "new-123")
	if err := os.WriteFile(left, make([]byte, 100), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(left, old, old); err != nil {
		t.Fatal(err)
	}
	for i := 15; i < 25; i++ {
		f.Put(key(i), make([]byte, 1000))
	}
	files, err := f.files()
	if err != nil {
		t.Fatal(err)
	}
	sum := int64(0)
	for _, one := range files {
		sum += one.size
	}
	if sum > 20_000 || sum != f.size || len(files) < 15 {
		t.Errorf("%d files of %d bytes (%d counted)", len(files), sum, f.size)
	}
	for i, want := range map[int]bool{0: true, 1: false, 24: true} {
		if _, ok := f.Get(key(i)); ok != want {
			t.Errorf("value %d is there: %v", i, ok)
		}
	}
	if _, err := os.Stat(left); err == nil {
		t.Error("what a crash left over is still there")
	}
	f.Put(key(99), make([]byte, 30_000))
	if _, ok := f.Get(key(99)); ok {
		t.Error("a value beyond the bound was kept")
	}
	if f = open(t, path, 5_000); f.size > 5_000 {
		t.Errorf("with a smaller bound it still holds %d bytes", f.size)
	}
}

// Several may write and read the same at once.
func TestTogether(t *testing.T) {
	f := open(t, t.TempDir(), 100_000)
	var wait sync.WaitGroup
	for g := range 4 {
		wait.Go(func() {
			for i := range 50 {
				k := key(i % 7)
				f.Put(k, bytes.Repeat([]byte{byte(i % 7)}, 300+g))
				if got, ok := f.Get(k); ok && (len(got) < 300 || got[0] != byte(i%7)) {
					t.Errorf("read %d bytes of %d", len(got), got[0])
				}
			}
		})
	}
	wait.Wait()
}

// No folder can be made where a file stands.
func TestNoFolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path, 1000); err == nil {
		t.Error("a file was taken for a folder")
	}
}
