package store

import (
	"archive/zip"
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"halfsplit/internal/record"
)

// Bounds of what an import reads.
const (
	longestImportLine = 64 << 20 // bytes
	largestFile       = 16 << 30 // bytes of one kept file
)

// Import reads an export, a folder or a zip, into records that hold nothing yet.
// They become the same records, with the same identity: written out again they
// make the same bytes. Every line, seal and file is checked; when anything is
// wrong, the error says where, and nothing is kept.
func (s *Store) Import(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	var source fs.FS
	if info.IsDir() {
		root, err := os.OpenRoot(path) // nothing outside of it is ever read
		if err != nil {
			return err
		}
		defer root.Close()
		source = root.FS()
	} else {
		archive, err := zip.OpenReader(path)
		if err != nil {
			return fmt.Errorf("%s is no export that can be read: %w", path, err)
		}
		defer archive.Close()
		if err := knownMembers(&archive.Reader); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		source = archive
	}
	lines, err := source.Open(linesName)
	if err != nil {
		return fmt.Errorf("%s is no export: it has no %s that can be read: %w", path, linesName, err)
	}
	defer lines.Close()
	if err := s.importLines(ctx, lines, source); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}

// knownMembers refuses an archive with a name that no export has.
func knownMembers(archive *zip.Reader) error {
	if len(archive.File) > mostMembers {
		return fmt.Errorf("it holds %d files, more than an export may", len(archive.File))
	}
	seen := map[string]bool{}
	for _, f := range archive.File {
		if f.FileInfo().IsDir() && strings.HasPrefix(f.Name, filesFolder+"/") && !strings.Contains(f.Name, "..") {
			continue
		}
		if _, known := memberHash(f.Name); !known && f.Name != linesName || f.Name == fileName {
			return fmt.Errorf("it holds %q, which is no name of a file in an export; nothing was read", f.Name)
		}
		if seen[f.Name] {
			return fmt.Errorf("it holds %q twice; nothing was read", f.Name)
		}
		seen[f.Name] = true
	}
	return nil
}

// importer reads the lines of an export.
type importer struct {
	store   *Store
	source  fs.FS
	t       *transaction
	head    head
	count   int
	kind    int           // place of the last kind in order
	order   []record.Kind // of kinds
	written []record.Hash // files that were not there before
}

// importLines reads lines into empty records, all or nothing.
func (s *Store) importLines(ctx context.Context, lines io.Reader, source fs.FS) error {
	in := &importer{store: s, source: source, order: []record.Kind{kindFile}}
	for _, k := range keepers {
		in.order = append(in.order, k.of())
	}
	in.order = append(in.order, record.KindEntry)
	for _, k := range afterEntries {
		in.order = append(in.order, k.of())
	}
	err := s.write(ctx, func(t *transaction) error {
		empty, err := isEmpty(ctx, t)
		if err != nil {
			return err
		}
		if !empty {
			return errors.New("these records hold something already; read an export into new ones")
		}
		t.quiet = true
		in.t = t
		return in.read(lines)
	})
	if err != nil {
		for _, hash := range in.written {
			os.Remove(s.FilePath(hash))
		}
		return err
	}
	s.identity = in.head.Identity
	return nil
}

func (in *importer) read(lines io.Reader) error {
	reader := bufio.NewReaderSize(lines, 1<<16)
	sum := sha256.New()
	for number := 1; ; number++ {
		line, err := readLine(reader)
		at := func(err error) error { return fmt.Errorf("%s, line %d: %w", linesName, number, err) }
		switch {
		case errors.Is(err, io.EOF):
			return at(errors.New("it ends in the middle: the last line, with the sum of all, is missing"))
		case err != nil:
			return at(err)
		}
		if err := in.t.asked.Err(); err != nil {
			return err
		}
		if number == 1 {
			err = in.begin(line)
		} else if isTail(line) {
			if err := in.end(line, hexOf(sum)); err != nil {
				return at(err)
			}
			if _, err := reader.ReadByte(); !errors.Is(err, io.EOF) {
				return at(errors.New("something follows the last line"))
			}
			return nil
		} else {
			err = in.record(line)
		}
		if err != nil {
			return at(err)
		}
		sum.Write(line)
		sum.Write([]byte{'\n'})
	}
}

// readLine reads a line without its end; io.EOF when there is no whole one.
func readLine(reader *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := reader.ReadSlice('\n')
		line = append(line, part...)
		switch {
		case len(line) > longestImportLine:
			return nil, fmt.Errorf("the line is longer than %d bytes", longestImportLine)
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err != nil:
			return nil, err
		}
		return line[:len(line)-1], nil
	}
}

func isTail(line []byte) bool { return strings.HasPrefix(string(line), `{"end":`) }

// begin reads the first line.
func (in *importer) begin(line []byte) error {
	if err := json.Unmarshal(line, &in.head); err != nil || in.head.Records == 0 {
		return errors.New(`is not the first line of an export, {"halfsplit_records":1,...}`)
	}
	if in.head.Records != exportForm {
		return fmt.Errorf("its form is %d, this program reads %d: use the program that made it, or a newer one", in.head.Records, exportForm)
	}
	if bits, err := hex.DecodeString(in.head.Identity); err != nil || len(bits) != 16 || strings.ToLower(in.head.Identity) != in.head.Identity {
		return fmt.Errorf("%q is no identity of records", in.head.Identity)
	}
	if err := in.t.identify(in.head.Identity); err != nil {
		return err
	}
	for kind, last := range in.head.Numbers {
		if !slices.Contains(in.order, kind) || last < 0 || last >= 1<<kindShift {
			return fmt.Errorf("%q has no highest number %d", kind, last)
		}
	}
	return nil
}

// record reads a line with a record.
func (in *importer) record(line []byte) error {
	var i item
	if err := strict(line, &i); err != nil {
		return fmt.Errorf("is no record: %w", err)
	}
	place := slices.Index(in.order, i.Kind)
	switch {
	case place < 0:
		return fmt.Errorf("there is no kind of record %q (was it written by a newer program?)", i.Kind)
	case place < in.kind:
		return fmt.Errorf("a record of the kind %q comes after one of the kind %q", i.Kind, in.order[in.kind])
	}
	in.kind = place
	in.count++
	if i.Kind == kindFile {
		return in.file(i.Record)
	}
	if i.Kind == record.KindEntry {
		return in.entry(i)
	}
	for _, k := range slices.Concat(keepers, afterEntries) {
		if k.of() == i.Kind {
			if err := k.take(in.t, i.Record); err != nil {
				return fmt.Errorf("%s: %w", i.Kind, err)
			}
		}
	}
	return nil
}

// file puts a file into its place.
func (in *importer) file(plain []byte) error {
	var file record.File
	if err := strict(plain, &file); err != nil {
		return err
	}
	if !file.Hash.Valid() || file.Size < 0 || file.Size > largestFile {
		return fmt.Errorf("%q with %d bytes is no file that is kept", file.Hash, file.Size)
	}
	from, err := in.source.Open(filePlace(file.Hash))
	if err != nil {
		return fmt.Errorf("%s is missing: %w", filePlace(file.Hash), err)
	}
	defer from.Close()
	_, missing := os.Stat(in.store.FilePath(file.Hash))
	found, err := in.store.putFile(from, file.Media, file.Size)
	var large *TooLarge
	if err == nil && missing != nil {
		in.written = append(in.written, found.Hash)
	}
	switch {
	case errors.As(err, &large):
		return fmt.Errorf("%s is larger than its %d bytes", filePlace(file.Hash), file.Size)
	case err != nil:
		return err
	case found != file:
		return fmt.Errorf("%s is not the file that its name tells", filePlace(file.Hash))
	}
	return addFile(in.t, file)
}

// entry reads an entry; its chain must come out.
func (in *importer) entry(i item) error {
	var e record.Entry
	if err := strict(i.Record, &e); err != nil {
		return fmt.Errorf("entry: %w", err)
	}
	bits, err := hex.DecodeString(i.Chain)
	if err != nil || len(bits) != len(seal{}) {
		return fmt.Errorf("entry %d has no chain", e.ID)
	}
	if err := e.Check(); err != nil {
		return fmt.Errorf("entry %d: %w", e.ID, err)
	}
	if e.ID <= 0 || e.ID >= 1<<kindShift || e.Number <= 0 || e.Kept.IsZero() || e.Key == "" {
		return fmt.Errorf("entry %d lacks its number, key, or when it was kept", e.ID)
	}
	unit, err := unitOf(in.t.ctx, in.t, e.Job)
	if err != nil {
		return fmt.Errorf("entry %d: there is no job %d", e.ID, e.Job)
	}
	return putEntry(in.t, &e, unit, seal(bits))
}

// end reads the last line, and gives the numbers that were given.
func (in *importer) end(line []byte, sum string) error {
	var last tail
	if err := strict(line, &last); err != nil {
		return err
	}
	if last.End != in.count || last.SHA256 != sum {
		return errors.New("the sum of all lines is another: some were changed since they were written out")
	}
	for kind, number := range in.head.Numbers {
		if err := in.t.count(kind, number, 0, seal{}); err != nil {
			return err
		}
	}
	return nil
}
