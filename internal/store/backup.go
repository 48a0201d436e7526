package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/internal/record"
)

// The name of the list of contents in a backup.
const manifestName = "manifest.json"

// manifest is the list of contents of a backup.
type manifest struct {
	Backup   int       `json:"backup"` // 1, the version of the form of backups
	Identity string    `json:"identity"`
	Made     time.Time `json:"made"`
	Members  []member  `json:"members"`
	// Missing files could not be put in.
	Missing []string `json:"missing,omitempty"`
}

// member is a file in a backup.
type member struct {
	Name   string `json:"name"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// Incomplete is the error for a backup or export that was made, but without
// files that were missing or damaged in the folder of records.
type Incomplete struct{ Files []string } // each with what is wrong

// Error lists the files.
func (i *Incomplete) Error() string {
	return fmt.Sprintf("it was made, but %d files could not be put in, for they are not as they were kept:\n%s", len(i.Files), strings.Join(i.Files, "\n"))
}

// Backup writes everything as it is at one moment into one archive, a zip with
// checksums, while others may go on writing. A file that is there already is left
// alone, and is an error. The archive is on disk when this returns. The error is
// an *Incomplete when some kept files were missing.
func (s *Store) Backup(ctx context.Context, path string) error {
	return explain(s.backup(ctx, path))
}

func (s *Store) backup(ctx context.Context, path string) error {
	if err := absent(path); err != nil {
		return err
	}
	folder, err := os.MkdirTemp(filepath.Dir(path), ".backup-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	copied := filepath.Join(folder, fileName)
	db, err := sql.Open("sqlite", s.copyName())
	if err != nil {
		return err
	}
	err = vacuumInto(ctx, db, copied)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	incomplete := &Incomplete{}
	archive := filepath.Join(folder, "archive")
	if err := s.pack(ctx, archive, copied, incomplete); err != nil {
		return err
	}
	if err := absent(path); err != nil {
		return err
	}
	if err := putInPlace(archive, path); err != nil {
		return err
	}
	if len(incomplete.Files) > 0 {
		return incomplete
	}
	return nil
}

// copyName is the data source for copying the file.
func (s *Store) copyName() string {
	path := filepath.Join(s.dir, fileName)
	if s.readOnly {
		return strings.ReplaceAll(s.readerName(path), url.QueryEscape("query_only(1)"), url.QueryEscape("query_only(0)"))
	}
	return dataSource(path, url.Values{})
}

// absent makes sure that nothing would be overwritten.
func absent(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; choose another name, nothing was overwritten", path)
	}
	return nil
}

// pack writes the archive of a copy of the file and all that is kept with it.
func (s *Store) pack(ctx context.Context, path, copied string, incomplete *Incomplete) error {
	out, err := os.Create(path)
	if err != nil {
		return err
	}
	defer out.Close()
	archive := zip.NewWriter(out)
	list := manifest{Backup: 1, Identity: s.identity, Made: s.now().UTC().Truncate(time.Second)}
	f, err := os.Open(copied)
	if err != nil {
		return err
	}
	defer f.Close()
	m, err := pour(archive, fileName, zip.Deflate, f)
	if err != nil {
		return err
	}
	list.Members = append(list.Members, m)
	// The files of the copy, not of now: others may have been kept meanwhile.
	db, err := sql.Open("sqlite", dataSource(copied, url.Values{"mode": {"ro"}, "immutable": {"1"}}))
	if err != nil {
		return err
	}
	p := &pool{db: db}
	defer p.close()
	err = eachFile(ctx, p, func(file record.File) error {
		if err := s.checkFile(file); err != nil {
			list.Missing = append(list.Missing, placeOf(file.Hash))
			incomplete.Files = append(incomplete.Files, placeOf(file.Hash)+" "+err.Error())
			return nil
		}
		f, err := os.Open(s.FilePath(file.Hash))
		if err != nil {
			return err
		}
		defer f.Close()
		m, err := pour(archive, filePlace(file.Hash), zip.Store, f)
		list.Members = append(list.Members, m)
		return err
	})
	if err != nil {
		return err
	}
	w, err := archive.Create(manifestName)
	if err != nil {
		return err
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", " ")
	return errors.Join(encoder.Encode(list), archive.Close(), out.Close())
}

// eachFile goes through the files that are known.
func eachFile(ctx context.Context, q querier, visit func(record.File) error) error {
	return each(ctx, q, sqlFiles, nil, func(scan func(...any) error) error {
		var file record.File
		var kept seal
		if err := scan(text(&file.Hash), &file.Size, &file.Media, &kept); err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		return visit(file)
	})
}

// pour writes a member of an archive.
func pour(archive *zip.Writer, name string, method uint16, from io.Reader) (member, error) {
	w, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: method})
	if err != nil {
		return member{}, err
	}
	sum := sha256.New()
	size, err := io.Copy(io.MultiWriter(w, sum), from)
	return member{name, size, hexOf(sum)}, err
}

func hexOf(sum hash.Hash) string { return hex.EncodeToString(sum.Sum(nil)) }
