package cache

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// Folder is a cache in a folder. It is safe for concurrent use, also by several
// programs.
type Folder struct {
	path  string
	bound int64

	mutex sync.Mutex
	size  int64 // of all files, as far as known
}

// Open gives the cache in a folder, which is made when it is not there. Bound is
// how many bytes it may grow to. The error is that of making or listing the
// folder.
func Open(path string, bound int64) (*Folder, error) {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return nil, err
	}
	f := &Folder{path: path, bound: bound}
	files, err := f.files()
	if err != nil {
		return nil, err
	}
	for _, one := range files {
		f.size += one.size
	}
	f.shrink()
	return f, nil
}

// The form of a file: a line that says what it is, the checksum of the value, the
// value.
const (
	heading = "halfsplit cache 1\n"
	suffix  = ".kept"
)

// name is the path of a value. Two letters make a folder of their own, so that none
// grows too long.
func (f *Folder) name(key [32]byte) string {
	text := hex.EncodeToString(key[:])
	return filepath.Join(f.path, text[:2], text[2:]+suffix)
}

// Get gives what was put under a key. A file that is not whole is deleted and
// counts as missing.
func (f *Folder) Get(key [32]byte) ([]byte, bool) {
	name := f.name(key)
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, false
	}
	value, ok := unpack(text)
	if !ok {
		_ = os.Remove(name) // if it cannot be deleted, it will be written over
		return nil, false
	}
	now := time.Now()
	_ = os.Chtimes(name, now, now) // marks it as used; without it goes sooner
	return value, true
}

// Put keeps a value. What cannot be written is lost, as in any cache.
func (f *Folder) Put(key [32]byte, value []byte) {
	name := f.name(key)
	text := pack(value)
	if int64(len(text)) > f.bound {
		return
	}
	before := int64(0)
	if old, err := os.Stat(name); err == nil {
		before = old.Size()
	}
	if write(name, text) != nil {
		return
	}
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.size += int64(len(text)) - before
	if f.size > f.bound {
		f.shrink()
	}
}

// pack puts heading and checksum before a value.
func pack(value []byte) []byte {
	sum := sha256.Sum256(value)
	return slices.Concat([]byte(heading), sum[:], value)
}

// unpack takes them off; ok is false when they do not fit.
func unpack(text []byte) (value []byte, ok bool) {
	rest, ok := bytes.CutPrefix(text, []byte(heading))
	if !ok || len(rest) < sha256.Size {
		return nil, false
	}
	sum, value := rest[:sha256.Size], rest[sha256.Size:]
	want := sha256.Sum256(value)
	return value, bytes.Equal(sum, want[:])
}

// write puts a file in place whole.
func write(name string, text []byte) error {
	folder := filepath.Dir(name)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	temporary, err := os.CreateTemp(folder, "new-*")
	if err != nil {
		return err
	}
	_, err = temporary.Write(text)
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(temporary.Name(), name)
	}
	if err != nil {
		_ = os.Remove(temporary.Name())
	}
	return err
}

// file is one file of the cache.
type file struct {
	name string
	size int64
	used time.Time
}

// files lists what is kept. What was left over while writing, an hour ago or more,
// is deleted.
func (f *Folder) files() ([]file, error) {
	var list []file
	err := filepath.WalkDir(f.path, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return nil // another program deleted it
		}
		switch name := entry.Name(); {
		case strings.HasSuffix(name, suffix):
			list = append(list, file{path, info.Size(), info.ModTime()})
		case strings.HasPrefix(name, "new-") && time.Since(info.ModTime()) > time.Hour:
			_ = os.Remove(path)
		}
		return nil
	})
	return list, err
}

// shrink deletes what was used longest ago until a tenth of the bound is free.
func (f *Folder) shrink() {
	if f.size <= f.bound {
		return
	}
	files, err := f.files()
	if err != nil {
		return
	}
	slices.SortFunc(files, func(a, b file) int { return a.used.Compare(b.used) })
	f.size = 0
	for _, one := range files {
		f.size += one.size
	}
	for _, one := range files {
		if f.size <= f.bound-f.bound/10 {
			break
		}
		if os.Remove(one.name) == nil {
			f.size -= one.size
		}
	}
}
