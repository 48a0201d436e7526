package store

import (
	"errors"
	"strings"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// explained is an error with what it means to a restorer.
type explained struct {
	meaning string
	cause   error
}

func (e *explained) Error() string { return e.meaning + ": " + e.cause.Error() }
func (e *explained) Unwrap() error { return e.cause }

// explain puts before an error of the database or the disk what it means and
// what to do.
func explain(err error) error {
	var already *explained
	if err == nil || errors.As(err, &already) {
		return err
	}
	if meaning := meaningOf(err); meaning != "" {
		return &explained{meaning, err}
	}
	return err
}

func meaningOf(err error) string {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EFBIG) {
		return "the disk is full, nothing of this was saved; make room and try again"
	}
	var problem *sqlite.Error
	if !errors.As(err, &problem) {
		return ""
	}
	switch problem.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return "the disk is full, nothing of this was saved; make room and try again"
	case sqlite3.SQLITE_IOERR:
		return "the disk did not read or write as it should (is it full, or failing?); nothing of this was saved"
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return "another program has held the records for too long; nothing of this was saved, try again"
	case sqlite3.SQLITE_READONLY:
		return "the records may not be written here (see the permissions of the folder)"
	case sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH:
		return "records.db cannot be opened (see the permissions of the folder)"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT:
		return "records.db is damaged; keep it as it is, and restore the last backup into another folder"
	}
	return ""
}

// isNoTransaction reports whether there was nothing to undo.
func isNoTransaction(err error) bool {
	return err != nil && strings.Contains(err.Error(), "no transaction is active")
}
