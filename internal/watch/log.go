package watch

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"time"
)

// Log keeps rows in a file of text: lines of notes that begin with #, a row of
// names, a row of units, and then one row for each Row, its time first. An
// overload is written OL, and NaN stands where there is no value.
//
// Each line goes to the system in one write, before Row or Note returns, so that
// nothing is lost when the program is ended at any moment. At least every
// SyncEvery the system is made to put it on the disk, for when the power
// fails.
type Log struct {
	file   *os.File
	synced time.Time // of the row at which the file was last synced
}

// SyncEvery is the longest time of readings that a power failure may take.
const SyncEvery = 2 * time.Second

// stampForm is how times are written: in UTC, to the millisecond.
const stampForm = "2006-01-02T15:04:05.000Z"

// Create makes a new file and writes its head. A file that exists is left alone,
// with an error.
func Create(name string, begun time.Time, every time.Duration, channels []Channel) (*Log, error) {
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, cannotWrite(err)
	}
	l := &Log{file: file, synced: begun}
	if err := l.write(head(begun, every, channels)); err != nil {
		file.Close()
		return nil, err
	}
	return l, nil
}

// cannotWrite makes clear that opening failed for writing.
func cannotWrite(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return &fs.PathError{Op: "write", Path: p.Path, Err: p.Err}
	}
	return err
}

// head is what stands above the rows.
func head(begun time.Time, every time.Duration, channels []Channel) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# halfsplit watch, begun %s, a row every %v\n", begun.Format(time.RFC3339), every)
	names, units := []string{"time"}, []string{"ISO"}
	for i := range channels {
		fmt.Fprintf(&b, "# %s\n", oneLine(channels[i].Describe()))
		names, units = append(names, channels[i].Name), append(units, string(channels[i].Unit))
	}
	fmt.Fprintf(&b, "%s\n%s\n", strings.Join(names, ","), strings.Join(units, ","))
	return b.String()
}

// Row writes a row.
func (l *Log) Row(r Row) error {
	fields := []string{r.Time.UTC().Format(stampForm)}
	for _, f := range r.Fields {
		fields = append(fields, f.text())
	}
	if err := l.write(strings.Join(fields, ",") + "\n"); err != nil {
		return err
	}
	if r.Time.Sub(l.synced) < SyncEvery {
		return nil
	}
	l.synced = r.Time
	return l.file.Sync()
}

// text is a field as it stands in the file.
func (f Field) text() string {
	switch f.State {
	case Measured:
		return strconv.FormatFloat(f.Value, 'g', -1, 64)
	case Overload:
		return "OL"
	case NegativeOverload:
		return "-OL"
	}
	return "NaN"
}

// Note writes a note.
func (l *Log) Note(n Note) error {
	return l.write(fmt.Sprintf("# %s %s: %s\n", n.Time.UTC().Format(stampForm), n.Channel, oneLine(n.Text)))
}

// oneLine keeps a text from becoming rows.
func oneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, text)
}

// write hands text to the system in one call.
func (l *Log) write(text string) error {
	n, err := l.file.WriteString(text)
	if err == nil && n < len(text) {
		err = &fs.PathError{Op: "write", Path: l.file.Name(), Err: fmt.Errorf("only %d of %d bytes were taken", n, len(text))}
	}
	return err
}

// Close puts everything on the disk and closes the file.
func (l *Log) Close() error {
	err := l.file.Sync()
	if second := l.file.Close(); err == nil {
		err = second
	}
	return err
}
