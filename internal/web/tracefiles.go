package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"

	"halfsplit/internal/record"
	"halfsplit/trace"
	"halfsplit/trace/column"
)

// Limits of what is drawn of a trace.
const (
	openMost    = 8    // trace files that are kept open
	channelMost = 8    // channels of one window
	pointsMost  = 4000 // stretches of one channel in a window
)

// traceFiles keeps the files of traces open that were looked at last, so that a
// window costs no more than the readings in it. The zero value is ready.
type traceFiles struct {
	mutex sync.Mutex
	list  []*traceFile // the latest first
}

type traceFile struct {
	hash record.Hash
	*column.File
	disk  *os.File
	users int
	out   bool // no longer in the list
}

// open gives a file; done says that it is no longer used.
func (f *traceFiles) open(hash record.Hash, path string) (file *column.File, done func(), err error) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	at := slices.IndexFunc(f.list, func(one *traceFile) bool { return one.hash == hash })
	var one *traceFile
	if at >= 0 {
		one = f.list[at]
		f.list = slices.Delete(f.list, at, at+1)
	} else if one, err = openTrace(hash, path); err != nil {
		return nil, nil, err
	}
	f.list = slices.Insert(f.list, 0, one)
	one.users++
	for len(f.list) > openMost {
		last := f.list[len(f.list)-1]
		f.list = f.list[:len(f.list)-1]
		last.out = true
		last.closeUnused()
	}
	return one.File, func() {
		f.mutex.Lock()
		defer f.mutex.Unlock()
		one.users--
		one.closeUnused()
	}, nil
}

// openTrace opens a file.
func openTrace(hash record.Hash, path string) (*traceFile, error) {
	disk, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	info, err := disk.Stat()
	if err != nil {
		return nil, errors.Join(err, disk.Close())
	}
	file, err := column.Open(disk, info.Size())
	if err != nil {
		return nil, errors.Join(err, disk.Close())
	}
	return &traceFile{hash: hash, File: file, disk: disk}, nil
}

// closeUnused closes a file that is neither kept nor used.
func (t *traceFile) closeUnused() {
	if t.out && t.users == 0 {
		t.disk.Close() // it was only read
	}
}

// close closes every file that is kept.
func (f *traceFiles) close() {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	for _, one := range f.list {
		one.out = true
		one.closeUnused()
	}
	f.list = nil
}

// traceHead is what a trace is made of.
type traceHead struct {
	record.Trace
	Begin float64        `json:"begin_seconds" doc:"Time of the first reading, on the clock of the trace."`
	End   float64        `json:"end_seconds" doc:"Time of the last reading."`
	Shown []traceChannel `json:"channel_units"`
	Notes []string       `json:"notes" doc:"How the table was understood, and what in it could not be used."`
}

type traceChannel struct {
	Name string `json:"name"`
	Unit string `json:"unit" doc:"In SI units without prefix; degrees Celsius for temperatures."`
}

// traceWindow is a stretch of a trace as it is drawn.
type traceWindow struct {
	From     float64         `json:"from_seconds"`
	To       float64         `json:"to_seconds"`
	Channels []windowChannel `json:"channels"`
}

// windowChannel is one channel of a window. All lists are of one length.
type windowChannel struct {
	Name string     `json:"name"`
	Unit string     `json:"unit"`
	From []float64  `json:"from" doc:"Beginning of each stretch, in seconds."`
	To   []float64  `json:"to" doc:"Time of the last reading of each stretch."`
	Low  []*float64 `json:"low" doc:"Lowest reading; null where there is none, or an overload."`
	High []*float64 `json:"high" doc:"Highest reading; null where there is none, or an overload."`
	Over []int      `json:"overloads" doc:"Stretches, counted from 0, in which the meter was overloaded."`
}

// traceOf gives the head of a trace.
func (s *Server) traceOf(ctx context.Context, id record.ID) (*traceHead, error) {
	t, err := s.records.Trace(ctx, id)
	if err != nil {
		return nil, err
	}
	file, done, err := s.traces.open(t.File, s.records.FilePath(t.File))
	if err != nil {
		return nil, lostTrace(&t, err)
	}
	defer done()
	h := &traceHead{Trace: t, Begin: file.Begin(), End: file.End(), Notes: file.Notes()}
	for _, c := range file.Head().Channels {
		h.Shown = append(h.Shown, traceChannel{c.Name, string(c.Unit)})
	}
	return h, nil
}

// lostTrace is the error for a trace whose file cannot be read, by its own name.
func lostTrace(t *record.Trace, err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return fmt.Errorf("the file of the trace %q cannot be read: %w; check the records, and restore it from a backup", t.Name, err)
}

// channelOf finds a channel by its name, or by its number from 1.
func channelOf(head trace.Head, name string) (int, error) {
	if i, ok := head.Channel(name); ok {
		return i, nil
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= len(head.Channels) {
		return n - 1, nil
	}
	return 0, fmt.Errorf("there is no channel %q; it has %s", name, strings.Join(head.Names(), ", "))
}

// windowOf gives a stretch of some channels of a trace, all when none is named, as
// about so many points each. The error is a channelError for a channel that is not
// there.
func (s *Server) windowOf(ctx context.Context, id record.ID, names []string, from, to float64, points int) (*traceWindow, error) {
	t, err := s.records.Trace(ctx, id)
	if err != nil {
		return nil, err
	}
	file, done, err := s.traces.open(t.File, s.records.FilePath(t.File))
	if err != nil {
		return nil, lostTrace(&t, err)
	}
	defer done()
	head := file.Head()
	var chosen []int
	for _, name := range names {
		c, err := channelOf(head, name)
		if err != nil {
			return nil, channelError{err}
		}
		chosen = append(chosen, c)
	}
	if len(names) == 0 {
		for c := range min(len(head.Channels), channelMost) {
			chosen = append(chosen, c)
		}
	}
	w := &traceWindow{From: max(from, file.Begin()), To: min(to, file.End()), Channels: []windowChannel{}}
	for _, c := range chosen {
		found, err := file.Window(c, from, to, points)
		if err != nil {
			return nil, lostTrace(&t, err)
		}
		w.Channels = append(w.Channels, windowChannelOf(head.Channels[c], found))
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// channelError says that a channel is not there.
type channelError struct{ error }

// windowChannelOf puts the points of a channel into lists.
func windowChannelOf(c trace.Channel, points []column.Point) windowChannel {
	w := windowChannel{Name: c.Name, Unit: string(c.Unit), From: make([]float64, len(points)), To: make([]float64, len(points)),
		Low: make([]*float64, len(points)), High: make([]*float64, len(points)), Over: []int{}}
	for i := range points {
		p := &points[i]
		w.From[i], w.To[i] = p.From, p.To
		w.Low[i], w.High[i] = finite(&p.Low), finite(&p.High)
		if math.IsInf(p.Low, 0) || math.IsInf(p.High, 0) {
			w.Over = append(w.Over, i)
		}
	}
	return w
}

// finite gives nil for what JSON cannot hold.
func finite(v *float64) *float64 {
	if math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	return v
}
