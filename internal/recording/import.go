package recording

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"halfsplit/trace"
	"halfsplit/trace/column"
	"halfsplit/trace/table"
	"halfsplit/trace/wave"
)

// Imported tells what an import made.
type Imported struct {
	File     string         `json:"file"`
	To       string         `json:"written_to"`
	Channels []string       `json:"channels"`
	Units    []string       `json:"units"`
	Rows     int64          `json:"rows"`
	Bytes    int64          `json:"bytes"`
	Notes    []string       `json:"notes"`
	Summary  *table.Summary `json:"summary,omitempty"`
}

// writeBuffer is through what a trace file is written: a group of rows of a
// column at once.
const writeBuffer = 1 << 20

// Import reads a table or a sound file piece by piece and writes it as a trace
// file, in bounded memory. Until it is whole the file has another name, and when
// the import fails or is cancelled nothing is left of it.
func Import(ctx context.Context, from, to string, how Reading) (*Imported, error) {
	in, err := os.Open(from)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	part, err := os.CreateTemp(filepath.Dir(to), "."+filepath.Base(to)+".part-*")
	if err != nil {
		return nil, unwritten(to, err)
	}
	done := false
	defer func() {
		if !done {
			part.Close()
			os.Remove(part.Name())
		}
	}()
	out := bufio.NewWriterSize(part, writeBuffer)
	result, err := translate(ctx, from, in, out, how)
	var failed *fs.PathError
	switch {
	case errors.As(err, &failed) && failed.Op == "write":
		return nil, unwritten(to, err)
	case err != nil:
		return nil, fmt.Errorf("%s: %w", from, err)
	}
	if err := errors.Join(out.Flush(), part.Chmod(0o644), part.Sync()); err != nil {
		return nil, unwritten(to, err)
	}
	info, err := part.Stat()
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := errors.Join(part.Close(), os.Rename(part.Name(), to)); err != nil {
		return nil, unwritten(to, err)
	}
	done = true
	result.File, result.To, result.Bytes = from, to, info.Size()
	return result, nil
}

// unwritten says that a file could not be written, by its own name rather than
// that of the file it would have become.
func unwritten(name string, err error) error {
	var cause *fs.PathError
	if errors.As(err, &cause) {
		err = cause.Err
	}
	return &fs.PathError{Op: "write", Path: name, Err: err}
}

// translate copies readings from one form to the other.
func translate(ctx context.Context, name string, in io.Reader, out io.Writer, how Reading) (*Imported, error) {
	count := &counted{Reader: in, tell: how.Progress}
	source := bufio.NewReaderSize(count, 1<<16)
	beginning, err := source.Peek(12)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	switch {
	case column.Is(beginning):
		return nil, errors.New("it is a trace file already")
	case wave.Is(beginning):
		r := &Recording{Name: name}
		if err := r.sound(source, how.FullScale); err != nil {
			return nil, err
		}
		w, err := column.NewWriter(out, r.Head)
		if err != nil {
			return nil, err
		}
		if err := w.Append(&trace.Block{Values: r.whole.Values}); err != nil {
			return nil, err
		}
		return finish(w, name, r.Head, r.Notes, nil, int64(len(r.whole.Time)))
	}
	reader, err := table.Open(source, how.Table)
	if err != nil {
		return nil, err
	}
	w, err := column.NewWriter(out, reader.Head())
	if err != nil {
		return nil, err
	}
	summary, err := reader.Read(ctx, runtime.GOMAXPROCS(0), w.Append)
	if err != nil {
		return nil, err
	}
	var notes []string
	for _, n := range reader.Notes() {
		notes = append(notes, n.String())
	}
	return finish(w, name, reader.Head(), append(notes, Remarks(summary)...), &summary, int64(summary.Rows))
}

// finish closes a trace file with its notes.
func finish(w *column.Writer, name string, head trace.Head, notes []string, summary *table.Summary, rows int64) (*Imported, error) {
	w.Note("imported from " + filepath.Base(name))
	for _, n := range notes {
		w.Note(n)
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	r := &Imported{Rows: rows, Notes: notes, Summary: summary, Channels: head.Names()}
	for _, c := range head.Channels {
		r.Units = append(r.Units, string(c.Unit))
	}
	return r, nil
}
