package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sync"

	"halfsplit/internal/record"
)

// Finding is something that is not as it was written.
type Finding struct {
	Where string `json:"where"` // records.db, a record, or a file
	What  string `json:"what"`
	Do    string `json:"do"`
}

// String is the finding in one line.
func (f Finding) String() string { return f.Where + ": " + f.What + ". " + f.Do + "." }

// What to do.
const (
	doRestore = "Keep the folder as it is, restore the last good backup into another one, and compare"
	doFile    = "Put the file back from a backup; restoring into another folder shows it"
	doIndex   = "The records themselves are whole: write them out and read them into new records (export, import)"
)

// findings gathers what is found; after the first of one kind many alike are
// counted.
type findings struct {
	list []Finding
	like map[string]int
}

// mostAlike is how many findings that are alike are listed.
const mostAlike = 20

func (f *findings) add(alike, where, do, what string, arguments ...any) {
	if f.like == nil {
		f.like = map[string]int{}
	}
	f.like[alike]++
	if f.like[alike] <= mostAlike {
		f.list = append(f.list, Finding{where, fmt.Sprintf(what, arguments...), do})
	}
}

// all is the list, with a line for those that were left out.
func (f *findings) all() []Finding {
	list := f.list
	for alike, n := range f.like {
		if n > mostAlike {
			list = append(list, Finding{alike, fmt.Sprintf("%d more are like those above", n-mostAlike), doRestore})
		}
	}
	return list
}

// Verify reads everything and tells what is not as it was written: the file
// itself, its references, the seal of each record, the chain of each logbook, the
// words for searching, and each file that is kept. Nothing is changed. No finding
// means that every record is whole.
func (s *Store) Verify(ctx context.Context) ([]Finding, error) {
	var f findings
	err := s.snapshot(ctx, func(q *session) error {
		f.database(ctx, q)
		return f.files(ctx, q, s.checkFile)
	})
	if err == nil && s.writer != nil {
		s.verifyIndex(ctx, &f)
	}
	return f.all(), err
}

// VerifyFolder verifies the records in a folder, also those that cannot be
// opened; nothing is changed.
func VerifyFolder(ctx context.Context, dir string) ([]Finding, error) {
	if _, err := os.Stat(filepath.Join(dir, fileName)); err != nil {
		return nil, fmt.Errorf("there are no records in %s: %w", dir, err)
	}
	s, err := Open(dir, Options{ReadOnly: true})
	if errors.Is(err, ErrNewer) || errors.Is(err, errForeign) {
		return nil, err
	}
	if err != nil {
		return []Finding{{fileName, err.Error(), doRestore}}, nil
	}
	defer s.Close()
	list, err := s.Verify(ctx)
	if err != nil && ctx.Err() == nil {
		list, err = append(list, Finding{fileName, err.Error(), doRestore}), nil
	}
	return list, err
}

// database verifies the file.
func (f *findings) database(ctx context.Context, q *session) {
	unread := func(what string, err error) {
		if err != nil && ctx.Err() == nil {
			f.add("unread", fileName, doRestore, "%s cannot be read: %v", what, err)
		}
	}
	unread("the file", each(ctx, q, "PRAGMA integrity_check(20)", nil, func(scan func(...any) error) error {
		var line string
		if err := scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			f.add("structure", fileName, doRestore, "its structure is damaged: %s", line)
		}
		return nil
	}))
	unread("references", each(ctx, q, "PRAGMA foreign_key_check", nil, func(scan func(...any) error) error {
		var table, parent string
		var row, key sql.NullInt64
		if err := scan(&table, &row, &parent, &key); err != nil {
			return err
		}
		f.add("references", fmt.Sprintf("%s %d", table, row.Int64), doRestore, "refers to something in %s that is not there", parent)
		return nil
	}))
	unread("the layout", f.layout(ctx, q))
	for _, list := range [][]keeper{keepers, afterEntries, unwritten} {
		for _, k := range list {
			unread(k.table(), f.table(ctx, q, k))
		}
	}
	unread("the identity", f.identity(ctx, q))
	unread("files", f.fileRows(ctx, q))
	unread("logbooks", f.logbooks(ctx, q))
	unread("words", f.texts(ctx, q))
}

var sqlLayout = statement("SELECT type, name, coalesce(sql, '') FROM sqlite_schema WHERE name NOT LIKE 'sqlite_stat%' ORDER BY type, name")

// layout compares tables, constraints and triggers with those that this program
// makes.
func (f *findings) layout(ctx context.Context, q querier) error {
	expected, err := freshLayout()
	if err != nil {
		return err
	}
	found, err := layoutOf(ctx, q)
	if err != nil {
		return err
	}
	for name, made := range expected {
		if now, ok := found[name]; !ok || now != made {
			f.add("layout", fileName, doIndex, "%s is not as this program makes it", name)
		}
		delete(found, name)
	}
	for name := range found {
		f.add("layout", fileName, doIndex, "%s is not of this program", name)
	}
	return nil
}

func layoutOf(ctx context.Context, q querier) (map[string]string, error) {
	layout := map[string]string{}
	err := each(ctx, q, sqlLayout, nil, func(scan func(...any) error) error {
		var kind, name, made string
		err := scan(&kind, &name, &made)
		layout[kind+" "+name] = made
		return err
	})
	return layout, err
}

// freshLayout is the layout of new records, made once.
var freshLayout = sync.OnceValues(func() (map[string]string, error) {
	ctx := context.Background()
	folder, err := os.MkdirTemp("", "halfsplit-layout-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, fileName)
	if err := stepUp(ctx, path, migrations()); err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", dataSource(path, url.Values{}))
	if err != nil {
		return nil, err
	}
	p := &pool{db: db}
	defer p.close()
	return layoutOf(ctx, p)
})

// table verifies the seals of a table and its line in the ledger.
func (f *findings) table(ctx context.Context, q querier, k keeper) error {
	var now account
	err := k.walk(ctx, q, func(v visited) error {
		now.count++
		now.sum = now.sum.add(v.made)
		now.last = max(now.last, v.id)
		where := fmt.Sprintf("%s %d", k.of(), v.id)
		if v.made != v.kept {
			f.add(string(k.of())+"s", where, doRestore, "is not as it was written: its seal does not fit")
		}
		if v.words {
			f.wordsOf(ctx, q, k.of(), v.id, v.about)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return f.ledger(ctx, q, k.of(), now)
}

// identity verifies the identity of the records.
func (f *findings) identity(ctx context.Context, q querier) error {
	identity := ""
	if err := one(ctx, q, sqlIdentity, nil, &identity); err != nil {
		return err
	}
	made, err := sealOf(identity)
	if err != nil {
		return err
	}
	return f.ledger(ctx, q, kindOrigin, account{0, 1, made})
}

// ledger compares what is there with the ledger.
func (f *findings) ledger(ctx context.Context, q querier, kind record.Kind, now account) error {
	var a account
	err := one(ctx, q, sqlLedger, []any{string(kind)}, &a.last, &a.count, &a.sum)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	switch {
	case a.count != now.count:
		f.add("ledger", fileName, doRestore, "there are %d records of the kind %q, by the ledger it should be %d", now.count, kind, a.count)
	case a.sum != now.sum:
		f.add("ledger", fileName, doRestore, "the records of the kind %q are not those that the ledger counted", kind)
	case a.last < now.last:
		f.add("ledger", fileName, doRestore, "a record of the kind %q has the number %d, which was not given by the ledger", kind, now.last)
	}
	return nil
}

// fileRows verifies what is known of files.
func (f *findings) fileRows(ctx context.Context, q querier) error {
	var now account
	err := each(ctx, q, sqlFiles, nil, func(scan func(...any) error) error {
		var file record.File
		var kept seal
		if err := scan(text(&file.Hash), &file.Size, &file.Media, &kept); err != nil {
			return err
		}
		made, err := sealOf(file)
		if err != nil {
			return err
		}
		if made != kept {
			f.add("file rows", "file "+string(file.Hash), doRestore, "what is known of it is not as it was written: its seal does not fit")
		}
		now.count++
		now.sum = now.sum.add(made)
		return nil
	})
	if err != nil {
		return err
	}
	return f.ledger(ctx, q, kindFile, now)
}

// files verifies each file that is kept, by a check of one.
func (f *findings) files(ctx context.Context, q querier, check func(record.File) error) error {
	return each(ctx, q, sqlFiles, nil, func(scan func(...any) error) error {
		var file record.File
		var kept seal
		if err := scan(text(&file.Hash), &file.Size, &file.Media, &kept); err != nil {
			return err
		}
		if err := check(file); err != nil {
			f.add("files", placeOf(file.Hash), doFile, "%v", err)
		}
		return ctx.Err()
	})
}

// placeOf is filePlace for a name that may be damaged.
func placeOf(hash record.Hash) string {
	if !hash.Valid() {
		return fmt.Sprintf("file %q", string(hash))
	}
	return filePlace(hash)
}

// checkFile reads a file and compares it with its name and size.
func (s *Store) checkFile(file record.File) error {
	if !file.Hash.Valid() {
		return errors.New("its name is damaged")
	}
	f, err := os.Open(s.FilePath(file.Hash))
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("is missing")
	}
	if err != nil {
		return err
	}
	defer f.Close()
	return checkContent(f, file)
}

// checkContent compares what is read with the name and size of a file.
func checkContent(from io.Reader, file record.File) error {
	sum := sha256.New()
	size, err := io.Copy(sum, from)
	switch {
	case err != nil:
		return fmt.Errorf("cannot be read: %w", err)
	case size != file.Size:
		return fmt.Errorf("has %d bytes, not %d", size, file.Size)
	case hex.EncodeToString(sum.Sum(nil)) != string(file.Hash):
		return errors.New("is not what was put there: its SHA-256 is another")
	}
	return nil
}
