package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// The names in a folder of records.
const (
	fileName     = "records.db"
	filesFolder  = "files"
	backupFolder = "backups"
)

// Options say how records are opened; the zero value is the usual way.
type Options struct {
	// ReadOnly opens records without a way to change them; nothing is made or
	// migrated, and a folder that cannot be written will do.
	ReadOnly bool
	// Now is the clock; time.Now when nil.
	Now func() time.Time
	// NoBackup leaves out the copy that is made before an older file is brought
	// up to date.
	NoBackup bool

	migrations fs.FS // of tests; nil for those of this program
}

// Store is the records of one workshop, open. It is safe for use by several
// goroutines at once; other programs may have the same records open.
type Store struct {
	dir      string
	readOnly bool
	now      func() time.Time
	identity string

	writer  *writer
	readers *pool
	watch   watchers

	closing sync.Once
	closed  error // of closing
}

// Open opens the records in a folder, which is made when it is missing. A file
// of an older program is brought up to date, after a copy was put into backups;
// one of a newer program is refused and left as it is.
func Open(dir string, options Options) (*Store, error) {
	s, err := open(dir, options)
	if err != nil {
		return nil, fmt.Errorf("records in %s: %w", dir, explain(err))
	}
	return s, nil
}

func open(dir string, options Options) (*Store, error) {
	ctx := context.Background()
	s := &Store{dir: dir, readOnly: options.ReadOnly, now: options.Now}
	if s.now == nil {
		s.now = time.Now
	}
	if options.migrations == nil {
		options.migrations = migrations()
	}
	path := filepath.Join(dir, fileName)
	if err := s.makeFolders(); err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); options.ReadOnly && err != nil {
		return nil, fmt.Errorf("there are none: %w", err)
	}
	if err := s.migrate(ctx, path, options); err != nil {
		return nil, err
	}
	if !s.readOnly {
		w, err := openWriter(ctx, path)
		if err != nil {
			return nil, err
		}
		s.writer = w
	}
	if !s.readOnly {
		s.clean()
	}
	readers, err := sql.Open("sqlite", s.readerName(path))
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	readers.SetMaxOpenConns(6)
	readers.SetMaxIdleConns(6)
	s.readers = &pool{db: readers}
	err = one(ctx, s.readers, sqlIdentity, nil, &s.identity)
	if errors.Is(err, sql.ErrNoRows) && !s.readOnly {
		s.identity, err = s.begin(ctx)
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// makeFolders makes the folder of records and those in it.
func (s *Store) makeFolders() error {
	if s.readOnly {
		return nil
	}
	made := false
	for _, folder := range []string{s.dir, filepath.Join(s.dir, filesFolder), filepath.Join(s.dir, backupFolder)} {
		if _, err := os.Stat(folder); err == nil {
			continue
		}
		if err := os.MkdirAll(folder, 0o700); err != nil {
			return err
		}
		made = true
	}
	if !made {
		return nil
	}
	return errors.Join(syncFolder(filepath.Dir(s.dir)), syncFolder(s.dir))
}

// Close closes the records; once more does nothing. What was acknowledged is kept whether or not it is
// called.
func (s *Store) Close() error {
	s.closing.Do(func() { s.closed = s.close() })
	return s.closed
}

func (s *Store) close() error {
	s.watch.close()
	var problems []error
	if s.readers != nil {
		problems = append(problems, s.readers.close())
	}
	if s.writer != nil {
		problems = append(problems, s.writer.close())
	}
	return errors.Join(problems...)
}

// Identity is a random name of these records, the same for good; also of a
// restored or imported copy of them.
func (s *Store) Identity() string { return s.identity }

// Folder is where the records are.
func (s *Store) Folder() string { return s.dir }

// pragmas are those of every connection, in order.
var pragmas = []string{"busy_timeout(15000)", "foreign_keys(1)", "recursive_triggers(1)", "trusted_schema(0)", "cell_size_check(1)"}

// dataSource names a database for the driver.
func dataSource(path string, query url.Values, more ...string) string {
	for _, p := range append(append([]string{}, pragmas...), more...) {
		query.Add("_pragma", p)
	}
	// As a file: address, so that any sign may stand in the path.
	if absolute, err := filepath.Abs(path); err == nil {
		path = absolute
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	address := url.URL{Scheme: "file", Path: path, RawQuery: query.Encode()}
	return address.String()
}

// writerName is the data source of the one connection that writes: a commit
// returns when it is on disk.
func writerName(path string) string {
	return dataSource(path, url.Values{"_txlock": {"immediate"}}, "journal_mode(WAL)", "synchronous(FULL)", "cache_size(-16000)", "journal_size_limit(67108864)")
}

// readerName is the data source of connections that only read.
func (s *Store) readerName(path string) string {
	query := url.Values{}
	if s.readOnly {
		query.Set("mode", "ro")
		if lonely(path) {
			query.Set("immutable", "1")
		}
	}
	return dataSource(path, query, "query_only(1)", "cache_size(-6000)")
}

// lonely reports whether nobody writes a file, and nobody may: its folder is
// not to be written, and no log of changes lies beside it.
func lonely(path string) bool {
	if log, err := os.Stat(path + "-wal"); err == nil && log.Size() > 0 {
		return false
	}
	probe, err := os.CreateTemp(filepath.Dir(path), ".probe-*")
	if err != nil {
		return true
	}
	probe.Close()
	os.Remove(probe.Name())
	return false
}
