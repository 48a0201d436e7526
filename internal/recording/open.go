package recording

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"

	"halfsplit/trace"
	"halfsplit/trace/column"
	"halfsplit/trace/table"
	"halfsplit/trace/wave"
)

// A Recording is a trace from a file: a trace file, a table or a sound file.
type Recording struct {
	Name string
	Head trace.Head
	// Notes says how a table was understood, or what a trace file says of itself.
	Notes []string
	// Summary tells what became of the lines of a table; nil for other files.
	Summary *table.Summary

	file  *column.File
	disk  *os.File
	whole *trace.Trace
}

// Reading says how to read a file that is no trace file yet.
type Reading struct {
	Table     table.Options
	FullScale float64           // of a sound file, in volts; 0 where it is not known
	Progress  func(bytes int64) // of the file, read so far; may be nil
}

// counted counts what is read through it.
type counted struct {
	io.Reader
	n    int64
	tell func(int64)
}

func (c *counted) Read(b []byte) (int, error) {
	n, err := c.Reader.Read(b)
	c.n += int64(n)
	if c.tell != nil {
		c.tell(c.n)
	}
	return n, err
}

// Open opens a recording. A table or a sound file is read into memory; a trace
// file is read as needed, and stays open until Close.
func Open(ctx context.Context, name string, how Reading) (*Recording, error) {
	disk, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	beginning := make([]byte, 12)
	n, err := io.ReadFull(disk, beginning)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		disk.Close()
		return nil, err
	}
	r := &Recording{Name: name}
	if column.Is(beginning[:n]) {
		info, err := disk.Stat()
		if err == nil {
			r.disk = disk
			r.file, err = column.Open(disk, info.Size())
		}
		if err != nil {
			disk.Close()
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		r.Head, r.Notes = r.file.Head(), r.file.Notes()
		if r.file.CutOff() {
			r.Notes = append(r.Notes, "the writing of this file was cut off; it is whole up to its last reading")
		}
		return r, nil
	}
	defer disk.Close()
	in := &counted{Reader: io.MultiReader(bytes.NewReader(beginning[:n]), disk), tell: how.Progress}
	if wave.Is(beginning[:n]) {
		err = r.sound(in, how.FullScale)
	} else {
		err = r.table(ctx, in, how.Table)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// sound reads a sound file.
func (r *Recording) sound(in io.Reader, fullScale float64) error {
	whole, err := wave.Read(bufio.NewReaderSize(in, 1<<16))
	if err != nil {
		return err
	}
	r.whole = whole
	if fullScale > 0 {
		for i := range whole.Channels {
			whole.Channels[i].Unit = "V"
			for j := range whole.Values[i] {
				whole.Values[i][j] *= fullScale
			}
		}
		r.Notes = append(r.Notes, "sound file; full scale is "+strconv.FormatFloat(fullScale, 'g', -1, 64)+" V")
	} else {
		r.Notes = append(r.Notes, "sound file; values are shares of full scale (say what full scale is in volts, if you know)")
	}
	r.Head = whole.Head
	return nil
}

// table reads a table.
func (r *Recording) table(ctx context.Context, in io.Reader, o table.Options) error {
	reader, err := table.Open(in, o)
	if err != nil {
		return err
	}
	for _, n := range reader.Notes() {
		r.Notes = append(r.Notes, n.String())
	}
	g := trace.Gather{Trace: trace.Trace{Head: reader.Head()}}
	summary, err := reader.Read(ctx, runtime.GOMAXPROCS(0), g.Append)
	if err != nil {
		return err
	}
	r.whole, r.Head, r.Summary = &g.Trace, g.Head, &summary
	r.Notes = append(r.Notes, Remarks(summary)...)
	return nil
}

// Close closes the file beneath.
func (r *Recording) Close() error {
	if r.disk == nil {
		return nil
	}
	return r.disk.Close()
}

// Begin and End are the times of the first and last reading, in seconds.
func (r *Recording) Begin() float64 {
	if r.file != nil {
		return r.file.Begin()
	}
	return r.whole.Time[0]
}

// End is the time of the last reading, in seconds.
func (r *Recording) End() float64 {
	if r.file != nil {
		return r.file.End()
	}
	return r.whole.Time[len(r.whole.Time)-1]
}

// Rows is the number of readings of each channel.
func (r *Recording) Rows() int64 {
	if r.file != nil {
		return r.file.Rows()
	}
	return int64(len(r.whole.Time))
}

// Verify checks a trace file throughout.
func (r *Recording) Verify(ctx context.Context) error {
	if r.file == nil {
		return errors.New("only a trace file has checksums to verify; import this one first")
	}
	return r.file.Verify(ctx)
}

// Channel finds a channel by its name or its number from 1; with an empty name
// the only one.
func (r *Recording) Channel(name string) (int, error) {
	list := strings.Join(r.Head.Names(), ", ")
	if name == "" {
		if len(r.Head.Channels) == 1 {
			return 0, nil
		}
		return 0, fmt.Errorf("%s has several channels; choose one with --channel: %s", r.Name, list)
	}
	if i, ok := r.Head.Channel(name); ok {
		return i, nil
	}
	for i, have := range r.Head.Names() {
		if strings.EqualFold(have, name) {
			return i, nil
		}
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= len(r.Head.Channels) {
		return n - 1, nil
	}
	return 0, fmt.Errorf("%s has no channel %q; it has %s", r.Name, name, list)
}

// Load reads channels between two times, in seconds, into memory.
func (r *Recording) Load(ctx context.Context, from, to float64, channels ...int) (*trace.Trace, error) {
	if r.file != nil {
		return r.file.Read(ctx, from, to, channels...)
	}
	part := r.whole.Between(from, to)
	if len(part.Time) == 0 {
		return nil, fmt.Errorf("there is no reading from %.6g s to %.6g s; the trace runs from %.6g s to %.6g s", from, to, r.Begin(), r.End())
	}
	some := &trace.Trace{Head: part.Head}
	some.Time, some.Channels = part.Time, nil
	for _, c := range channels {
		some.Channels = append(some.Channels, part.Channels[c])
		some.Values = append(some.Values, part.Values[c])
	}
	if r.Head.Interval > 0 {
		some.Interval, some.Start = r.Head.Interval, part.Time[0]
	}
	return some, nil
}

// drawnPoints is into how many stretches a window is drawn.
const drawnPoints = 1500

// Course gives a channel between two times as it is drawn: the lowest and highest
// of each stretch in turn, with a break where there is a gap.
func (r *Recording) Course(channel int, from, to float64) (x, y []float64, err error) {
	if r.file == nil {
		part := r.whole.Between(from, to)
		return part.Time, part.Values[channel], nil
	}
	points, err := r.file.Window(channel, from, to, drawnPoints)
	for _, p := range points {
		x, y = append(x, p.From), append(y, p.Low)
		if p.High != p.Low || p.To != p.From {
			x, y = append(x, p.To), append(y, p.High)
		}
	}
	return x, y, err
}

// Remarks puts a summary into sentences: what could not be used, and where.
func Remarks(s table.Summary) []string {
	var list []string
	say := func(format string, values ...any) { list = append(list, fmt.Sprintf(format, values...)) }
	say("%d rows of %d lines", s.Rows, s.Lines)
	if s.Refused > 0 {
		say("%s left out", plural(s.Refused, "row was", "rows were"))
	}
	for _, k := range []table.FaultKind{table.NoNumber, table.WrongCount, table.NoTime, table.RunsBack} {
		if n := s.Counts[k]; n > 0 {
			say("fault: %s, %s", k, plural(n, "time", "times"))
		}
	}
	if s.Missing > 0 {
		say("%s blank or without a reading", plural(s.Missing, "field is", "fields are"))
	}
	if s.Overloads > 0 {
		say("%s an overload", plural(s.Overloads, "field is", "fields are"))
	}
	if s.Repeated > 0 {
		say("%s the time of the row before", plural(s.Repeated, "row has", "rows have"))
	}
	if s.Midnights > 0 {
		say("the clock passed midnight %s", plural(s.Midnights, "time", "times"))
	}
	if s.Gaps > 0 {
		longest := s.Longest[0]
		for _, g := range s.Longest {
			if g.Length > longest.Length {
				longest = g
			}
		}
		say("%s, the longest of %s from %s on", plural(s.Gaps, "gap", "gaps"), duration(longest.Length), stamps(s.First, s.Last)(longest.From))
	}
	for i, f := range s.Faults {
		if i == mostFaultsShown {
			say("and %d more", len(s.Faults)-i)
			break
		}
		say("%s", f)
	}
	return list
}

// mostFaultsShown is how many faults are listed in text.
const mostFaultsShown = 10

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// finiteOrNil makes what JSON cannot hold into nothing.
func finiteOrNil(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
