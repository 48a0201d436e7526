package store

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"halfsplit/internal/record"
)

// Bounds of what is read from an archive that may not be ours.
const (
	mostMembers   = 2_000_000
	largestList   = 1 << 30 // bytes of the list of contents
	largestMember = 1 << 40 // bytes
)

// Damaged is the error for a backup that is not as it was made.
type Damaged []Finding

// Error lists what is wrong.
func (d Damaged) Error() string {
	lines := make([]string, len(d))
	for i, f := range d {
		lines[i] = f.String()
	}
	return "the backup is not as it was made, nothing was replaced:\n" + strings.Join(lines, "\n")
}

const doOther = "Take another backup"

// VerifyBackup reads a whole backup and tells what is not as it was made. The
// error is for one that cannot be read at all.
func VerifyBackup(ctx context.Context, path string) ([]Finding, error) {
	folder, err := os.MkdirTemp("", "halfsplit-backup-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	return unpack(ctx, path, folder, false)
}

// Restore puts the records of a backup into a folder. The backup is unpacked
// beside it and verified first; what is in the folder is not thrown away but set
// aside under another name, which is returned ("" when there was nothing). When
// an error is returned nothing was replaced; it is Damaged when the backup is not
// as it was made. Records that a program has open are not replaced.
func Restore(ctx context.Context, path, dir string) (aside string, err error) {
	dir = filepath.Clean(dir)
	if err := os.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
		return "", err
	}
	folder, err := os.MkdirTemp(filepath.Dir(dir), ".restore-*")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(folder)
	list, err := unpack(ctx, path, folder, true)
	if err != nil {
		return "", explain(err)
	}
	if len(list) > 0 {
		return "", Damaged(list)
	}
	for _, name := range []string{filesFolder, backupFolder} {
		if err := os.MkdirAll(filepath.Join(folder, name), 0o700); err != nil {
			return "", err
		}
	}
	if err := errors.Join(os.Chmod(folder, 0o700), syncFolder(filepath.Join(folder, filesFolder)), syncFolder(folder)); err != nil {
		return "", err
	}
	if _, err := os.Lstat(dir); err == nil {
		if err := closed(ctx, filepath.Join(dir, fileName)); err != nil {
			return "", err
		}
		aside = dir + "-before-restore-" + time.Now().UTC().Format("20060102T150405Z")
		if err := absent(aside); err != nil {
			return "", err
		}
		if err := os.Rename(dir, aside); err != nil {
			return "", err
		}
	}
	if err := os.Rename(folder, dir); err != nil {
		if aside != "" {
			err = errors.Join(err, os.Rename(aside, dir))
		}
		return "", err
	}
	return aside, syncFolder(filepath.Dir(dir))
}

// closed makes sure that no program has the records open, and that nothing of
// them is left in a log beside the file.
func closed(ctx context.Context, path string) error {
	if _, err := os.Stat(path); err != nil {
		return nil
	}
	db, err := sql.Open("sqlite", dataSource(path, url.Values{}, "busy_timeout(1000)"))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	mode := ""
	err = db.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode)
	var problem *sqlite.Error
	if errors.As(err, &problem) && (problem.Code()&0xff == sqlite3.SQLITE_BUSY || problem.Code()&0xff == sqlite3.SQLITE_LOCKED) {
		return fmt.Errorf("another program has these records open; close it and try again, nothing was replaced: %w", err)
	}
	return nil // a file that is damaged is set aside all the same
}

// unpack puts the contents of a backup into a folder, the kept files only when
// they are wanted, and verifies them.
func unpack(ctx context.Context, path, folder string, wanted bool) ([]Finding, error) {
	archive, err := zip.OpenReader(path)
	if err != nil {
		return nil, fmt.Errorf("%s is no backup that can be read (%w); take another one", path, err)
	}
	defer archive.Close()
	list, err := contents(&archive.Reader)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	members := map[string]*zip.File{}
	for _, f := range archive.File {
		members[f.Name] = f
	}
	var f findings
	if len(members) != len(archive.File) || len(members) != len(list.Members)+1 {
		f.add("members", path, doOther, "it holds %d files, by its list it should be %d", len(archive.File), len(list.Members)+1)
	}
	good := map[record.Hash]member{}
	whole := false
	for _, m := range list.Members {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		hash, known := memberHash(m.Name)
		switch {
		case !known:
			f.add("members", m.Name, doOther, "is no name of a file in a backup")
			continue
		case members[m.Name] == nil:
			f.add("members", m.Name, doOther, "is missing")
			continue
		case hash != "" && string(hash) != m.SHA256:
			f.add("members", m.Name, doOther, "is not the file that its name tells")
			continue
		}
		to := ""
		if hash == "" || wanted {
			to = filepath.Join(folder, filepath.FromSlash(m.Name))
		}
		if err := take(members[m.Name], m, to); err != nil {
			f.add("members", m.Name, doOther, "%v", err)
			continue
		}
		good[hash] = m
		whole = whole || hash == ""
	}
	if len(f.list) > 0 || !whole {
		if !whole {
			f.add("members", fileName, doOther, "is not in the backup as it was made")
		}
		return f.all(), nil
	}
	missing := map[string]bool{}
	for _, name := range list.Missing {
		missing[name] = true
	}
	err = verifyCopy(ctx, filepath.Join(folder, fileName), list.Identity, &f, func(file record.File) error {
		if m, ok := good[file.Hash]; ok && m.Size == file.Size || missing[placeOf(file.Hash)] {
			return nil
		}
		return errors.New("is not in the backup")
	})
	return f.all(), err
}

// contents reads the list of contents.
func contents(archive *zip.Reader) (manifest, error) {
	var list manifest
	if len(archive.File) > mostMembers {
		return list, fmt.Errorf("it holds %d files, more than a backup may", len(archive.File))
	}
	f, err := archive.Open(manifestName)
	if err != nil {
		return list, fmt.Errorf("it is no backup: it has no %s", manifestName)
	}
	defer f.Close()
	plain, err := io.ReadAll(io.LimitReader(f, largestList+1))
	if err != nil || len(plain) > largestList {
		return list, fmt.Errorf("its %s cannot be read (%w); take another backup", manifestName, err)
	}
	if err := json.Unmarshal(plain, &list); err != nil {
		return list, fmt.Errorf("its %s is damaged (%w); take another backup", manifestName, err)
	}
	if list.Backup != 1 {
		return list, fmt.Errorf("its form is %d, this program reads 1: use the program that made it, or a newer one", list.Backup)
	}
	return list, nil
}

// memberHash tells which file a name in an archive stands for: "" for the
// records themselves. Any other name is not known, so that nothing is ever
// written elsewhere.
func memberHash(name string) (record.Hash, bool) {
	if name == fileName {
		return "", true
	}
	hash := record.Hash(name[strings.LastIndexByte(name, '/')+1:])
	return hash, hash.Valid() && name == filePlace(hash)
}

// take reads a member of an archive, bounded by its size, and writes it to
// a file unless that is "".
func take(from *zip.File, m member, to string) error {
	if m.Size < 0 || m.Size > largestMember {
		return fmt.Errorf("cannot have %d bytes", m.Size)
	}
	r, err := from.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	out := io.Discard
	var f *os.File
	if to != "" {
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return err
		}
		if f, err = os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600); err != nil {
			return err
		}
		defer f.Close()
		out = f
	}
	sum := sha256.New()
	size, err := io.Copy(io.MultiWriter(out, sum), io.LimitReader(r, m.Size+1))
	switch {
	case err != nil:
		return fmt.Errorf("cannot be read: %w", err)
	case size != m.Size:
		return fmt.Errorf("has not the %d bytes that it should have", m.Size)
	case hexOf(sum) != m.SHA256:
		return errors.New("is not what was put there: its SHA-256 is another")
	case f != nil:
		return errors.Join(f.Sync(), f.Close(), syncFolder(filepath.Dir(to)))
	}
	return nil
}

// verifyCopy verifies a file of records that nobody has open.
func verifyCopy(ctx context.Context, path, identity string, f *findings, check func(record.File) error) error {
	s := &Store{dir: filepath.Dir(path), readOnly: true}
	steps := migrations()
	latest, err := latestVersion(steps)
	if err != nil {
		return err
	}
	version, err := s.version(ctx, path)
	switch {
	case err != nil:
		f.add("file", fileName, doOther, "cannot be opened: %v", err)
		return nil
	case version > latest:
		return fmt.Errorf("%w (version %d, this program knows %d): use the newer program", ErrNewer, version, latest)
	case version < latest:
		// Of an older program: its seals are looked at once it is brought up to date.
		scratch, err := os.MkdirTemp(filepath.Dir(path), ".older-*")
		if err != nil {
			return err
		}
		defer os.RemoveAll(scratch)
		newer := filepath.Join(scratch, fileName)
		if err := copyFile(path, newer); err != nil {
			return err
		}
		if err := stepUp(ctx, newer, steps); err != nil {
			f.add("file", fileName, doOther, "cannot be brought up to date: %v", err)
			return nil
		}
		path = newer
	}
	s.dir = filepath.Dir(path)
	return s.snapshot(ctx, func(q *session) error {
		found := ""
		if err := one(ctx, q, sqlIdentity, nil, &found); err != nil || found != identity {
			f.add("file", fileName, doOther, "belongs to other records than the list of contents says")
		}
		f.database(ctx, q)
		return f.files(ctx, q, check)
	})
}

// copyFile copies a file.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}
