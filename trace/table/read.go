package table

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"sync"
	"time"

	"halfsplit/trace"
)

// setOrigin finds the moment from which time counts: the whole second of the
// first row whose time can be read.
func (r *Reader) setOrigin(lines []string) {
	d := &r.dialect
	if d.Time.Form == Count || d.Time.Form == Elapsed {
		return
	}
	p := newParser(*d, 0)
	for _, line := range lines[d.Skip:] {
		fields := split(line, d.Delimiter)
		if comment(line) || len(fields) < d.Fields {
			continue
		}
		if t, ok := p.slowTime(fields); ok {
			whole := math.Floor(t)
			if math.Abs(whole) > 1e11 { // some three thousand years
				continue
			}
			if d.Time.Form != Clock || d.Time.Date >= 0 {
				r.head.Origin = time.Unix(int64(whole), 0).UTC()
			}
			r.base = int64(whole)
			return
		}
	}
}

// pieceSize is the length of the stretches in which a text is parsed: small
// enough to stay in the cache of a core with what it turns into. longestLine is
// the longest line that is accepted.
const (
	pieceSize   = 256 << 10
	longestLine = pieceSize - 1
)

// piece is a stretch of text in whole lines on its way through the workers.
type piece struct {
	buffer []byte
	text   []byte
	parsed parsed
	done   chan struct{}
}

// Read reads the whole text with so many workers, and hands the readings over
// in blocks, in order. A block is only valid until the function returns; an
// error of the function ends the reading. Read may be called once.
//
// The readings handed over until an error came up are right. The context ends
// the reading with its error.
func (r *Reader) Read(ctx context.Context, workers int, to func(*trace.Block) error) (Summary, error) {
	if r.rest == nil {
		return Summary{}, errors.New("the text was read already")
	}
	workers = min(max(workers, 1), 64)
	ctx, stop := context.WithCancel(ctx)
	var running sync.WaitGroup
	defer running.Wait()
	defer stop()

	text := io.MultiReader(bytes.NewReader(afterLines(r.sample, r.dialect.Skip)), r.rest)
	r.rest, r.sample = nil, nil
	p := newParser(r.dialect, r.base)
	pieces := workers + 2
	free, work, order := make(chan *piece, pieces), make(chan *piece, pieces), make(chan *piece, pieces)
	for range pieces {
		free <- &piece{buffer: make([]byte, pieceSize+1), done: make(chan struct{}, 1)}
	}
	var cutting error
	running.Go(func() {
		defer close(work)
		defer close(order)
		cutting = cut(ctx, text, free, func(one *piece) {
			work <- one
			order <- one
		})
	})
	for range workers {
		running.Go(func() {
			for one := range work {
				if ctx.Err() == nil {
					p.stretch(one.text, &one.parsed)
				}
				one.done <- struct{}{}
			}
		})
	}
	k := keeper{dialect: &r.dialect, to: to, interval: r.head.Interval}
	k.summary.Counts = map[FaultKind]int{}
	k.summary.Lines = r.dialect.Skip
	for one := range order {
		<-one.done
		if ctx.Err() != nil {
			break
		}
		if err := k.take(&one.parsed); err != nil {
			return k.sum(), err
		}
		free <- one
	}
	if err := ctx.Err(); err != nil {
		return k.sum(), err
	}
	if cutting != nil {
		return k.sum(), fmt.Errorf("line %d: %w", k.summary.Lines+1, cutting)
	}
	if k.summary.Rows == 0 {
		return k.sum(), errors.New("no row of it could be used")
	}
	return k.sum(), nil
}

// afterLines is the text after so many lines.
func afterLines(text []byte, lines int) []byte {
	for range lines {
		text = text[bytes.IndexByte(text, '\n')+1:]
	}
	return text
}

// cut cuts a text into pieces of whole lines.
func cut(ctx context.Context, text io.Reader, free <-chan *piece, send func(*piece)) error {
	var rest []byte // of a line, behind the last piece
	for {
		var one *piece
		select {
		case one = <-free:
		case <-ctx.Done():
			return nil
		}
		n := copy(one.buffer, rest)
		m, err := io.ReadFull(text, one.buffer[n:pieceSize])
		n += m
		end := bytes.LastIndexByte(one.buffer[:n], '\n') + 1
		ended := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		switch {
		case ended && end < n: // the last line has no end of its own
			one.buffer[n] = '\n'
			n++
			end = n
		case err == nil && end == 0:
			return fmt.Errorf("the line is longer than %d bytes; no logger writes such lines, so the file is damaged or no text table", longestLine)
		}
		one.text = one.buffer[:end]
		rest = append(rest[:0], one.buffer[end:n]...)
		if end > 0 {
			send(one)
		}
		switch {
		case ended:
			return nil
		case err != nil:
			return err
		}
	}
}

// keeper takes the parsed pieces in order, sees to it that time never runs
// back, and sums up.
type keeper struct {
	dialect  *Dialect
	to       func(*trace.Block) error
	interval float64
	summary  Summary
	block    trace.Block
	begun    bool
	before   float64 // the last time kept
	days     float64 // seconds of the midnights passed
	raw      float64 // the last time of a clock, as it stands
	early    []float64
}

// take takes in a piece.
func (k *keeper) take(o *parsed) error {
	s := &k.summary
	k.count(o)
	if o.time != nil {
		k.unwrap(o)
		k.order(o)
	}
	s.Lines += o.lines
	if o.rows == 0 {
		return nil
	}
	k.block.Values = k.block.Values[:0]
	for _, v := range o.values {
		k.block.Values = append(k.block.Values, v[:o.rows])
	}
	if o.time != nil {
		k.block.Time = o.time[:o.rows]
	}
	s.Rows += o.rows
	return k.to(&k.block)
}

// count adds up what was met in a piece.
func (k *keeper) count(o *parsed) {
	s := &k.summary
	s.Comments, s.Missing, s.Overloads = s.Comments+o.comments, s.Missing+o.missing, s.Overloads+o.overload
	for kind, n := range o.counts {
		s.Counts[kind] += n
		if kind.LeavesOut() {
			s.Refused += n
		}
	}
	for _, f := range o.faults {
		if len(s.Faults) < mostFaults {
			f.Line += s.Lines
			s.Faults = append(s.Faults, f)
		}
	}
}

// unwrap lets a clock go on past midnight: a clock that jumps back by more than
// half a day has begun again.
func (k *keeper) unwrap(o *parsed) {
	if k.dialect.Time.Form != Clock {
		return
	}
	const day = 86400
	for i, t := range o.time[:o.rows] {
		if (k.begun || i > 0) && t < k.raw-day/2 {
			k.days += day
			k.summary.Midnights++
		}
		k.raw = t
		o.time[i] = t + k.days
	}
}

// order leaves out rows whose time runs back, and looks for repeats and gaps.
func (k *keeper) order(o *parsed) {
	s := &k.summary
	rows, kept := o.rows, 0
	typical := s.Typical
	limit := gapFactor * typical
	if typical == 0 {
		limit = math.Inf(1)
	}
	for i := range rows {
		t := o.time[i]
		if !k.begun {
			k.begun, s.First = true, t
		} else {
			step := t - k.before
			switch {
			case step < 0 || math.IsNaN(step):
				s.refuse(RunsBack, func() Fault {
					return Fault{Kind: RunsBack, Line: s.Lines + o.line(i), Field: "time", Text: fmt.Sprintf("%.9g s", step), Want: "each row is as late as the one before or later"}
				})
				continue
			case step == 0:
				s.Repeated++
			case len(k.early) < earlyIntervals:
				k.early = append(k.early, step)
			}
			if step > limit {
				k.gap(Gap{From: k.before, Length: step})
			}
		}
		k.before = t
		if kept < i {
			o.time[kept] = t
			for _, v := range o.values {
				v[kept] = v[i]
			}
		}
		kept++
	}
	o.rows = kept
	if typical == 0 && len(k.early) > 0 {
		k.settle(o.time[:kept])
	}
}

// earlyIntervals is how many intervals the ordinary one is judged by.
const earlyIntervals = 4096

// settle takes the ordinary interval from the first piece, and looks for the
// gaps in it.
func (k *keeper) settle(times []float64) {
	early := slices.Clone(k.early)
	slices.Sort(early)
	k.summary.Typical = early[len(early)/2]
	for i := 1; i < len(times); i++ {
		if step := times[i] - times[i-1]; step > gapFactor*k.summary.Typical {
			k.gap(Gap{From: times[i-1], Length: step})
		}
	}
}

// mostGaps is how many of the gaps are listed.
const mostGaps = 10

// gap takes in a gap; of many the longest are kept.
func (k *keeper) gap(g Gap) {
	s := &k.summary
	s.Gaps++
	s.Longest = append(s.Longest, g)
	if len(s.Longest) > mostGaps {
		shortest := 0
		for i, have := range s.Longest {
			if have.Length < s.Longest[shortest].Length {
				shortest = i
			}
		}
		s.Longest = slices.Delete(s.Longest, shortest, shortest+1)
	}
}

// sum closes the summary.
func (k *keeper) sum() Summary {
	s := k.summary
	if k.dialect.Time.Form == Count {
		s.First, s.Last, s.Typical = k.dialect.Time.Start, k.dialect.Time.Start+float64(max(s.Rows-1, 0))*k.interval, k.interval
	} else {
		s.Last = k.before
	}
	slices.SortStableFunc(s.Faults, func(a, b Fault) int { return a.Line - b.Line })
	s.Faults = s.Faults[:min(len(s.Faults), mostFaults)]
	return s
}

// All reads a whole text into memory with one worker.
func (r *Reader) All(ctx context.Context) (*trace.Trace, Summary, error) {
	g := trace.Gather{Trace: trace.Trace{Head: r.head}}
	s, err := r.Read(ctx, 1, g.Append)
	if err != nil {
		return nil, s, err
	}
	return &g.Trace, s, nil
}
