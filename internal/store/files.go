package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"halfsplit/internal/record"
)

// kindFile is files in the ledger.
const kindFile record.Kind = "file"

// TooLarge is the error for a file that is larger than it may be. Nothing was
// kept.
type TooLarge struct{ Limit int64 } // bytes

// Error says how large it may be.
func (t *TooLarge) Error() string {
	return fmt.Sprintf("the file is larger than the %d bytes that it may have; nothing was kept", t.Limit)
}

var (
	sqlFile    = statement("SELECT hash, size, media FROM files WHERE hash = ?")
	sqlFiles   = statement("SELECT hash, size, media, seal FROM files ORDER BY hash")
	sqlAddFile = statement("INSERT INTO files (hash, size, media, seal) VALUES (?, ?, ?, ?)")
)

// PutFile keeps a file of at most limit bytes, and tells by which name. It is on
// disk when this returns. One that is kept already is not kept twice, and keeps
// its media type. The error is a *TooLarge for one that is larger.
func (s *Store) PutFile(ctx context.Context, from io.Reader, media string, limit int64) (record.File, error) {
	if s.readOnly {
		return record.File{}, errReadOnly
	}
	if !utf8.ValidString(media) || strings.ContainsAny(media, "\x00\n\r") || len(media) > 200 {
		return record.File{}, record.Invalid{{Field: "media", Message: "is no media type, such as image/jpeg"}}
	}
	file, err := s.putFile(from, media, limit)
	if err != nil {
		return record.File{}, explain(err)
	}
	err = s.write(ctx, func(t *transaction) error {
		known, err := fileOf(t.ctx, t, file.Hash)
		if err == nil {
			file = known
			return nil
		}
		if !errors.Is(err, record.ErrNotFound) {
			return err
		}
		return addFile(t, file)
	})
	return file, err
}

// addFile notes a file that is in its place.
func addFile(t *transaction, file record.File) error {
	mark, err := sealOf(file)
	if err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, sqlAddFile, string(file.Hash), file.Size, file.Media, mark[:]); err != nil {
		return err
	}
	return t.count(kindFile, 0, 1, mark)
}

// putFile puts what is read into its place in the folder of files, by way of
// a temporary name, and makes sure that it is on disk.
func (s *Store) putFile(from io.Reader, media string, limit int64) (file record.File, err error) {
	folder := filepath.Join(s.dir, filesFolder)
	temporary, err := os.CreateTemp(folder, ".part-*")
	if err != nil {
		return file, err
	}
	defer func() {
		temporary.Close()
		if err != nil {
			os.Remove(temporary.Name())
		}
	}()
	sum := sha256.New()
	size, err := io.Copy(io.MultiWriter(temporary, sum), io.LimitReader(from, limit+1))
	if err != nil {
		return file, err
	}
	if size > limit {
		return file, &TooLarge{limit}
	}
	file = record.File{Hash: record.Hash(hex.EncodeToString(sum.Sum(nil))), Size: size, Media: media}
	path := s.FilePath(file.Hash)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return file, err
	}
	if err := temporary.Sync(); err != nil {
		return file, err
	}
	if err := temporary.Close(); err != nil {
		return file, err
	}
	if err := os.Rename(temporary.Name(), path); err != nil {
		return file, err
	}
	if err := syncFolder(filepath.Dir(path)); err != nil {
		return file, err
	}
	return file, syncFolder(folder)
}

// leftover is how old a temporary file is that nobody writes any more.
const leftover = 24 * time.Hour

// clean takes away what an interrupted writing of files left.
func (s *Store) clean() {
	parts, err := filepath.Glob(filepath.Join(s.dir, filesFolder, ".part-*"))
	if err != nil {
		return
	}
	for _, part := range parts {
		if info, err := os.Stat(part); err == nil && time.Since(info.ModTime()) > leftover {
			os.Remove(part)
		}
	}
}

// putInPlace makes sure that a file is on disk, and gives it its name.
func putInPlace(temporary, path string) error {
	f, err := os.OpenFile(temporary, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(temporary, path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes sure that the names in a folder are on disk. A system on which
// a folder cannot be synced is taken at its word.
func syncFolder(folder string) error {
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrPermission) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}

// FilePath is where a file is kept, whether or not it is there.
func (s *Store) FilePath(hash record.Hash) string {
	if !hash.Valid() {
		return filepath.Join(s.dir, filesFolder, "none")
	}
	return filepath.Join(s.dir, filepath.FromSlash(filePlace(hash)))
}

// filePlace is where a file is in a folder of records, with slashes.
func filePlace(hash record.Hash) string {
	return filesFolder + "/" + string(hash[:2]) + "/" + string(hash)
}

func fileOf(ctx context.Context, q querier, hash record.Hash) (record.File, error) {
	var file record.File
	err := one(ctx, q, sqlFile, []any{string(hash)}, text(&file.Hash), &file.Size, &file.Media)
	if errors.Is(err, sql.ErrNoRows) {
		err = fmt.Errorf("file %.12s…: %w", string(hash), record.ErrNotFound)
	}
	return file, err
}

// mustFile finds out whether a file that a record names is kept.
func mustFile(t *transaction, wrong *record.Invalid, field string, hash record.Hash) (record.File, error) {
	file, err := fileOf(t.ctx, t, hash)
	if errors.Is(err, record.ErrNotFound) {
		*wrong = append(*wrong, record.Wrong{Field: field, Message: "is not kept yet: keep the file first"})
		err = nil
	}
	return file, err
}

// OpenFile opens a file that is kept; the caller closes it. The error wraps
// record.ErrNotFound when there is none by this name, or when it was taken away
// behind the program's back, and then says so.
func (s *Store) OpenFile(ctx context.Context, hash record.Hash) (io.ReadSeekCloser, record.File, error) {
	file, err := fileOf(ctx, s.readers, hash)
	if err != nil {
		return nil, file, explain(err)
	}
	f, err := os.Open(s.FilePath(hash))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, file, fmt.Errorf("%s is missing in the folder of records; put it back from a backup: %w", filePlace(hash), record.ErrNotFound)
	}
	if err != nil {
		return nil, file, err
	}
	return f, file, nil
}

// File reads what is known of a file that is kept; the error wraps
// record.ErrNotFound when there is none.
func (s *Store) File(ctx context.Context, hash record.Hash) (record.File, error) {
	file, err := fileOf(ctx, s.readers, hash)
	return file, explain(err)
}

// randomName is 128 random bits in hexadecimal.
func randomName() string {
	var bits [16]byte
	rand.Read(bits[:]) // never fails
	return hex.EncodeToString(bits[:])
}
