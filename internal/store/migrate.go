package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var embedded embed.FS

// migrations are the steps from an empty file to this program's.
func migrations() fs.FS {
	steps, err := fs.Sub(embedded, "migrations")
	if err != nil {
		panic(err) // the folder is embedded above
	}
	return steps
}

// applicationID marks a file as records, in its header.
const applicationID = 1751938163

// ErrNewer is wrapped by the error for records that a newer program wrote.
var ErrNewer = errors.New("written by a newer halfsplit")

// errForeign is for a file that is no records.
var errForeign = errors.New("records.db is a database of another program; it was left as it is")

// migrate brings the file up to date, step by step, each in a transaction of its
// own; a step that was interrupted was not done.
func (s *Store) migrate(ctx context.Context, path string, options Options) error {
	latest, err := latestVersion(options.migrations)
	if err != nil {
		return err
	}
	// Another program may do the same at this moment: look again, then.
	for try := 0; ; try++ {
		version, err := s.version(ctx, path)
		switch {
		case err != nil:
			return err
		case version > latest:
			return fmt.Errorf("%w (version %d of the file, this program knows %d): use the newer program; nothing was changed", ErrNewer, version, latest)
		case version == latest:
			return nil
		case s.readOnly:
			return fmt.Errorf("written by an older halfsplit (version %d of the file, this program has %d): open them once without read-only, so that they are brought up to date", version, latest)
		}
		if version > 0 && !options.NoBackup {
			if err := s.copyBefore(ctx, path, version); err != nil {
				return fmt.Errorf("copy before bringing the file up to date: %w", err)
			}
		}
		if err := stepUp(ctx, path, options.migrations); err != nil {
			if try == 20 {
				return fmt.Errorf("bringing the file up to date: %w", err)
			}
			time.Sleep(50 * time.Millisecond)
		}
	}
}

// latestVersion is that of the last step.
func latestVersion(steps fs.FS) (int64, error) {
	names, err := fs.Glob(steps, "*.sql")
	if err != nil {
		return 0, err
	}
	latest := int64(0)
	for _, name := range names {
		version, err := goose.NumericComponent(name)
		if err != nil {
			return 0, err
		}
		latest = max(latest, version)
	}
	return latest, nil
}

// version is how far a file has come; 0 for one that is empty or missing. It
// changes nothing.
func (s *Store) version(ctx context.Context, path string) (int64, error) {
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return 0, nil
	} else if err != nil {
		return 0, err
	}
	db, err := sql.Open("sqlite", s.readerName(path))
	if err != nil {
		return 0, err
	}
	defer db.Close()
	var application, tables, version int64
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&application); err != nil {
		return 0, err
	}
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE name = 'goose_db_version'").Scan(&tables); err != nil {
		return 0, err
	}
	if tables > 0 {
		if err := db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied").Scan(&version); err != nil {
			return 0, err
		}
	} else if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return 0, err
	} else if tables > 0 {
		return 0, errForeign
	}
	if version > 0 && application != applicationID {
		return 0, errForeign
	}
	return version, nil
}

// stepUp does the steps that were not done.
func stepUp(ctx context.Context, path string, steps fs.FS) error {
	db, err := sql.Open("sqlite", writerName(path))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	provider, err := goose.NewProvider(goose.DialectSQLite3, db, steps, goose.WithDisableGlobalRegistry(true), goose.WithLogger(goose.NopLogger()))
	if err != nil {
		return err
	}
	if _, err := provider.Up(ctx); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// copyBefore puts a copy of the file, as it is, into backups.
func (s *Store) copyBefore(ctx context.Context, path string, version int64) error {
	db, err := sql.Open("sqlite", dataSource(path, url.Values{}))
	if err != nil {
		return err
	}
	defer db.Close()
	name := fmt.Sprintf("records-version-%d-%s.db", version, s.now().UTC().Format("20060102T150405.000Z"))
	to := filepath.Join(s.dir, backupFolder, name)
	if err := vacuumInto(ctx, db, to+".part"); err != nil {
		return err
	}
	return putInPlace(to+".part", to)
}

// vacuumInto writes a consistent copy of a database to a new file.
func vacuumInto(ctx context.Context, db interface {
	ExecContext(context.Context, string, ...any) (sql.Result, error)
}, to string) error {
	os.Remove(to)
	_, err := db.ExecContext(ctx, "VACUUM INTO '"+strings.ReplaceAll(to, "'", "''")+"'")
	return err
}
