package column

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/trace"
)

// A Writer writes a trace file from beginning to end. It holds one group of rows
// and the lowest level of the pyramid in memory. NewWriter makes one.
type Writer struct {
	to       io.Writer
	head     trace.Head
	offset   int64
	columns  [][]float64 // the rows not yet written: the time, where there is one, then the channels
	builders []builder   // by column as in the file
	groups   []group
	notes    []string
	rows     int64 // written
	buffer   []byte
	err      error
	last     float64 // time of the last row
}

// group is where some rows stand in the file.
type group struct {
	offset      int64
	row         int64
	first, last float64 // times
}

// NewWriter begins a trace file with its head.
func NewWriter(to io.Writer, head trace.Head) (*Writer, error) {
	if err := head.Check(); err != nil {
		return nil, err
	}
	if len(head.Channels) > mostChannels {
		return nil, fmt.Errorf("there are %d channels; a trace file holds %d at most", len(head.Channels), mostChannels)
	}
	w := &Writer{to: to, head: head, builders: make([]builder, 1+len(head.Channels)), columns: make([][]float64, 1+len(head.Channels)), last: math.Inf(-1)}
	payload, err := headBytes(head)
	if err != nil {
		return nil, err
	}
	w.write([]byte(fileMark))
	w.block(header{kind: headBlock}, payload)
	return w, w.err
}

// headBytes writes the head of a trace.
func headBytes(head trace.Head) ([]byte, error) {
	b := binary.LittleEndian.AppendUint32(nil, 1) // version
	b = binary.LittleEndian.AppendUint32(b, uint32(len(head.Channels)))
	origin, known := head.Origin, uint32(1)
	if origin.IsZero() {
		b = binary.LittleEndian.AppendUint64(b, 0)
		b = binary.LittleEndian.AppendUint32(b, 0)
		known = 0
	} else {
		b = binary.LittleEndian.AppendUint64(b, uint64(origin.Unix()))
		b = binary.LittleEndian.AppendUint32(b, uint32(origin.Nanosecond()))
	}
	b = binary.LittleEndian.AppendUint32(b, known)
	b = binary.LittleEndian.AppendUint64(b, math.Float64bits(head.Interval))
	b = binary.LittleEndian.AppendUint64(b, math.Float64bits(head.Start))
	for _, c := range head.Channels {
		for _, text := range []string{c.Name, string(c.Unit)} {
			if len(text) > math.MaxUint16 {
				return nil, fmt.Errorf("the name of a channel is %d bytes long; shorten it", len(text))
			}
			b = binary.LittleEndian.AppendUint16(b, uint16(len(text)))
			b = append(b, text...)
		}
	}
	return b, nil
}

// write writes bytes and keeps the first error.
func (w *Writer) write(b []byte) {
	if w.err != nil {
		return
	}
	n, err := w.to.Write(b)
	w.offset += int64(n)
	w.err = err
}

// block writes a block.
func (w *Writer) block(h header, payload []byte) {
	h.length, h.sum = int64(len(payload)), checksum(payload)
	b := h.bytes()
	w.write(b[:])
	w.write(payload)
}

// Append adds readings. They are written when a group is full, or at Flush.
func (w *Writer) Append(b *trace.Block) error {
	n := b.Rows()
	if len(b.Values) != len(w.head.Channels) {
		return fmt.Errorf("a block of %d channels does not fit a trace of %d", len(b.Values), len(w.head.Channels))
	}
	for _, v := range b.Values {
		if len(v) != n {
			return errors.New("the channels of a block are not all of one length")
		}
	}
	timed := w.head.Interval == 0
	if timed {
		if len(b.Time) != n {
			return fmt.Errorf("a block has %d times for %d rows", len(b.Time), n)
		}
		for _, t := range b.Time {
			if !(t >= w.last) || math.IsInf(t, 0) {
				return fmt.Errorf("time runs back from %v s to %v s; a trace is in order of time", w.last, t)
			}
			w.last = t
		}
	}
	for done := 0; done < n; {
		take := min(n-done, groupRows-len(w.columns[1]))
		if timed {
			w.columns[0] = append(w.columns[0], b.Time[done:done+take]...)
		}
		for i, v := range b.Values {
			w.columns[i+1] = append(w.columns[i+1], v[done:done+take]...)
		}
		done += take
		if len(w.columns[1]) == groupRows {
			w.group()
		}
	}
	return w.err
}

// Flush writes what has been added so far, so that a file that is cut off later
// still holds it.
func (w *Writer) Flush() error {
	if len(w.columns[1]) > 0 {
		w.group()
	}
	return w.err
}

// group writes the rows at hand.
func (w *Writer) group() {
	rows := int64(len(w.columns[1]))
	g := group{offset: w.offset, row: w.rows}
	if times := w.columns[0]; w.head.Interval == 0 {
		g.first, g.last = times[0], times[rows-1]
	} else {
		g.first, g.last = w.head.Start+float64(w.rows)*w.head.Interval, w.head.Start+float64(w.rows+rows-1)*w.head.Interval
	}
	for i, values := range w.columns {
		if len(values) == 0 {
			continue // no time of its own
		}
		w.builders[i].add(values)
		w.buffer = putFloats(w.buffer, values)
		w.block(header{kind: columnBlock, column: i, row: w.rows}, w.buffer)
		w.columns[i] = values[:0]
	}
	w.groups = append(w.groups, g)
	w.rows += rows
}

// Note adds a line of text to what the file says of itself: where it comes from,
// and what of the source could not be used.
func (w *Writer) Note(line string) { w.notes = append(w.notes, strings.ReplaceAll(line, "\n", " ")) }

// Close writes the rest, the pyramid and the index. It does not close what the
// file is written to.
func (w *Writer) Close() error {
	if err := w.Flush(); err != nil {
		return err
	}
	if w.rows == 0 {
		return errors.New("there is no reading; a trace file needs at least one")
	}
	index := binary.LittleEndian.AppendUint64(nil, uint64(w.rows))
	index = binary.LittleEndian.AppendUint64(index, uint64(len(w.groups)))
	for _, g := range w.groups {
		index = binary.LittleEndian.AppendUint64(index, uint64(g.offset))
		index = binary.LittleEndian.AppendUint64(index, uint64(g.row))
		index = binary.LittleEndian.AppendUint64(index, math.Float64bits(g.first))
		index = binary.LittleEndian.AppendUint64(index, math.Float64bits(g.last))
	}
	var places []int64
	for i := range w.builders {
		if len(w.builders[i].spans) == 0 {
			continue
		}
		for level, spans := range w.builders[i].levels() {
			for first := 0; first < len(spans); first += pieceSpans {
				places = append(places, w.offset)
				row := int64(first) * levelStep(level)
				w.block(header{kind: pyramidBlock, column: i, level: byte(level), row: row}, spanBytes(&w.buffer, spans[first:min(first+pieceSpans, len(spans))]))
			}
		}
	}
	notes := w.offset
	w.block(header{kind: notesBlock}, []byte(strings.Join(w.notes, "\n")))
	index = binary.LittleEndian.AppendUint64(index, uint64(len(places)))
	for _, p := range places {
		index = binary.LittleEndian.AppendUint64(index, uint64(p))
	}
	index = binary.LittleEndian.AppendUint64(index, uint64(notes))
	at := w.offset
	w.block(header{kind: indexBlock}, index)
	w.write(tailBytes(at, w.offset+tailSize))
	return w.err
}

// spanBytes writes spans as bytes, the low one first.
func spanBytes(buffer *[]byte, spans []span) []byte {
	b := (*buffer)[:0]
	for _, s := range spans {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(s.low))
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(s.high))
	}
	*buffer = b
	return b
}

// tailBytes writes the tail: where the index is, and how long the file is.
func tailBytes(index, length int64) []byte {
	b := append(make([]byte, 0, tailSize), tailMark...)
	b = binary.LittleEndian.AppendUint64(b, uint64(index))
	b = binary.LittleEndian.AppendUint64(b, uint64(length))
	b = binary.LittleEndian.AppendUint32(b, 0)
	return binary.LittleEndian.AppendUint32(b, checksum(b))
}
