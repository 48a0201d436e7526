package store

import (
	"archive/zip"
	"bufio"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"strings"

	"halfsplit/internal/record"
)

// The name of the file of records in an export; docs/records.md says what stands
// in it.
const linesName = "records.jsonl"

// exportForm is the version of the form of exports.
const exportForm = 1

// The lines of an export.
type (
	// head is the first line.
	head struct {
		Records  int                       `json:"halfsplit_records"` // exportForm
		Identity string                    `json:"identity"`
		Numbers  map[record.Kind]record.ID `json:"numbers"` // highest ever given
	}
	// item is a line with a record.
	item struct {
		Kind   record.Kind     `json:"kind"`
		Chain  string          `json:"chain,omitempty"` // of an entry
		Record json.RawMessage `json:"record"`
	}
	// tail is the last line.
	tail struct {
		End    int    `json:"end"`    // lines with a record
		SHA256 string `json:"sha256"` // of all before, with their line ends
	}
)

// Export writes everything as plain lines of JSON, with the files beside them:
// into a new folder, or a zip when the name ends so. The same records make the
// same bytes. Devices that were let in are left out. What is there already is
// left alone, and is an error. The error is an *Incomplete when some kept files
// were missing.
func (s *Store) Export(ctx context.Context, path string) error {
	return explain(s.export(ctx, path))
}

func (s *Store) export(ctx context.Context, path string) error {
	if err := absent(path); err != nil {
		return err
	}
	path = filepath.Clean(path)
	folder, err := os.MkdirTemp(filepath.Dir(path), ".export-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	incomplete := &Incomplete{}
	if strings.HasSuffix(path, ".zip") {
		archive := filepath.Join(folder, "archive")
		if err := s.exportArchive(ctx, archive, incomplete); err != nil {
			return err
		}
		if err := putInPlace(archive, path); err != nil {
			return err
		}
	} else {
		if err := s.exportFolder(ctx, folder, incomplete); err != nil {
			return err
		}
		if err := errors.Join(os.Chmod(folder, 0o700), os.Rename(folder, path), syncFolder(filepath.Dir(path))); err != nil {
			return err
		}
	}
	if len(incomplete.Files) > 0 {
		return incomplete
	}
	return nil
}

// exportFolder writes an export into a folder.
func (s *Store) exportFolder(ctx context.Context, folder string, incomplete *Incomplete) error {
	f, err := os.Create(filepath.Join(folder, linesName))
	if err != nil {
		return err
	}
	defer f.Close()
	return s.snapshot(ctx, func(q *session) error {
		if err := s.lines(ctx, q, f); err != nil {
			return err
		}
		if err := errors.Join(f.Sync(), f.Close()); err != nil {
			return err
		}
		return s.exportFiles(ctx, q, incomplete, func(file record.File, from io.Reader) error {
			to := filepath.Join(folder, filepath.FromSlash(filePlace(file.Hash)))
			if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
				return err
			}
			out, err := os.Create(to)
			if err != nil {
				return err
			}
			_, err = io.Copy(out, from)
			return errors.Join(err, out.Close())
		})
	})
}

// exportArchive writes an export into a zip.
func (s *Store) exportArchive(ctx context.Context, path string, incomplete *Incomplete) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	archive := zip.NewWriter(f)
	return s.snapshot(ctx, func(q *session) error {
		w, err := archive.CreateHeader(&zip.FileHeader{Name: linesName, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if err := s.lines(ctx, q, w); err != nil {
			return err
		}
		err = s.exportFiles(ctx, q, incomplete, func(file record.File, from io.Reader) error {
			_, err := pour(archive, filePlace(file.Hash), zip.Store, from)
			return err
		})
		return errors.Join(err, archive.Close(), f.Close())
	})
}

// exportFiles hands over each file that is as it was kept.
func (s *Store) exportFiles(ctx context.Context, q querier, incomplete *Incomplete, put func(record.File, io.Reader) error) error {
	return eachFile(ctx, q, func(file record.File) error {
		if err := s.checkFile(file); err != nil {
			incomplete.Files = append(incomplete.Files, placeOf(file.Hash)+" "+err.Error())
			return nil
		}
		f, err := os.Open(s.FilePath(file.Hash))
		if err != nil {
			return err
		}
		defer f.Close()
		return put(file, f)
	})
}

// ExportLines writes the lines of an export, without the files.
func (s *Store) ExportLines(ctx context.Context, w io.Writer) error {
	return s.snapshot(ctx, func(q *session) error { return s.lines(ctx, q, w) })
}

// lineWriter writes lines and adds them up.
type lineWriter struct {
	out   *bufio.Writer
	sum   hash.Hash
	count int
}

func (w *lineWriter) line(value any) error {
	plain, err := canonical(value)
	if err != nil {
		return err
	}
	plain = append(plain, '\n')
	w.sum.Write(plain)
	_, err = w.out.Write(plain)
	return err
}

func (w *lineWriter) record(kind record.Kind, chain string, value any) error {
	plain, err := canonical(value)
	if err != nil {
		return err
	}
	w.count++
	return w.line(item{kind, chain, plain})
}

var (
	sqlNumbers       = statement("SELECT kind, last FROM ledger WHERE last > 0 ORDER BY kind")
	sqlEntriesInTime = statement("SELECT " + entrySelection + ", entries.chain FROM entries ORDER BY entries.id")
)

// lines writes every record.
func (s *Store) lines(ctx context.Context, q querier, to io.Writer) error {
	w := &lineWriter{out: bufio.NewWriterSize(to, 1<<16), sum: sha256.New()}
	first := head{Records: exportForm, Identity: s.identity, Numbers: map[record.Kind]record.ID{}}
	err := each(ctx, q, sqlNumbers, nil, func(scan func(...any) error) error {
		var kind record.Kind
		var last record.ID
		err := scan(text(&kind), integer(&last))
		if kind != record.KindDevice {
			first.Numbers[kind] = last
		}
		return err
	})
	if err != nil {
		return err
	}
	if err := w.line(first); err != nil {
		return err
	}
	if err := eachFile(ctx, q, func(file record.File) error { return w.record(kindFile, "", file) }); err != nil {
		return err
	}
	write := func(list []keeper) error {
		for _, k := range list {
			err := k.walk(ctx, q, func(v visited) error {
				if v.made != v.kept {
					return notAsWritten(k.of(), v.id)
				}
				return w.record(k.of(), "", v.plain)
			})
			if err != nil {
				return err
			}
		}
		return nil
	}
	if err := write(keepers); err != nil {
		return err
	}
	if err := lineEntries(ctx, q, w); err != nil {
		return err
	}
	if err := write(afterEntries); err != nil {
		return err
	}
	if err := w.line(tail{w.count, hexOf(w.sum)}); err != nil {
		return err
	}
	return w.out.Flush()
}

// notAsWritten is the error for writing out a record that is damaged: read in
// elsewhere it would pass for whole.
func notAsWritten(kind record.Kind, id record.ID) error {
	return fmt.Errorf("%s %d is not as it was written (verify tells more), so nothing was written out; restore the last good backup", kind, id)
}

// lineEntries writes the logbooks, in the order in which they were written.
func lineEntries(ctx context.Context, q querier, w *lineWriter) error {
	ends := map[record.ID]seal{}
	return each(ctx, q, sqlEntriesInTime, nil, func(scan func(...any) error) error {
		var e record.Entry
		var chain seal
		more, err := scanEntry(scan, &e, &chain)
		if err == nil && more {
			err = loadEntry(ctx, q, &e)
		}
		if err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		made, err := ends[e.Job].follow(e)
		if err != nil {
			return err
		}
		if made != chain {
			return notAsWritten(record.KindEntry, e.ID)
		}
		ends[e.Job] = chain
		return w.record(record.KindEntry, hex.EncodeToString(chain[:]), e)
	})
}

// isEmpty reports whether nothing was ever saved in these records.
func isEmpty(ctx context.Context, q querier) (bool, error) {
	var kind string
	err := one(ctx, q, sqlAnything, nil, &kind)
	if errors.Is(err, sql.ErrNoRows) {
		return true, nil
	}
	return false, err
}

var sqlAnything = statement("SELECT kind FROM ledger WHERE kind NOT IN ('origin', 'device') LIMIT 1")
