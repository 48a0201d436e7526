package column

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"time"
	"unicode/utf8"

	"halfsplit/quantity"
	"halfsplit/trace"
)

// A File is a trace file that is open for reading. Open makes one. It may be
// used by several goroutines at once.
type File struct {
	r      io.ReaderAt
	size   int64
	head   trace.Head
	rows   int64
	groups []group
	notes  []string
	places map[[3]int]int64  // of pyramid blocks, by column, level and piece
	levels map[[2]int][]span // of a file that was cut off: built on opening
	cutOff bool
}

// Is tells whether a file that begins like this is a trace file.
func Is(beginning []byte) bool {
	return len(beginning) >= len(fileMark) && string(beginning[:len(fileMark)]) == fileMark
}

// Open opens a trace file of the given size. A file whose end is missing is read
// up to the last group of rows that is whole; see CutOff. An error says what the
// file is instead, or a *Damage where it is not as it was written.
func Open(r io.ReaderAt, size int64) (*File, error) {
	f := &File{r: r, size: size, places: map[[3]int]int64{}, levels: map[[2]int][]span{}}
	mark := make([]byte, len(fileMark))
	if size < int64(len(mark)) {
		return nil, errors.New("it is too short for a trace file")
	}
	if _, err := r.ReadAt(mark, 0); err != nil {
		return nil, err
	}
	if !Is(mark) {
		return nil, errors.New("it is no trace file; a table of a logger or scope must be imported first")
	}
	h, err := readHeader(r, int64(len(fileMark)), size)
	if err != nil {
		return nil, err
	}
	payload, err := f.payload(int64(len(fileMark)), h, headBlock)
	if err != nil {
		return nil, err
	}
	if f.head, err = readHead(payload); err != nil {
		return nil, err
	}
	begin := int64(len(fileMark)) + headerSize + h.length
	index, err := f.tail()
	if err != nil {
		f.cutOff = true
		return f, f.recover(begin)
	}
	return f, f.index(index)
}

// payload reads the payload of a block that must be of a kind.
func (f *File) payload(offset int64, h header, want kind) ([]byte, error) {
	if h.kind != want {
		return nil, damaged(offset, fmt.Sprintf("a block of kind %d stands where one of kind %d belongs", h.kind, want))
	}
	return readPayload(f.r, offset, h, nil)
}

// reader takes numbers off a payload; bad is set when there is too little.
type reader struct {
	b   []byte
	bad bool
}

func (r *reader) take(n int) []byte {
	if len(r.b) < n {
		r.bad = true
		return make([]byte, n)
	}
	b := r.b[:n]
	r.b = r.b[n:]
	return b
}

func (r *reader) u16() int       { return int(binary.LittleEndian.Uint16(r.take(2))) }
func (r *reader) u32() uint32    { return binary.LittleEndian.Uint32(r.take(4)) }
func (r *reader) i64() int64     { return int64(binary.LittleEndian.Uint64(r.take(8))) }
func (r *reader) float() float64 { return math.Float64frombits(binary.LittleEndian.Uint64(r.take(8))) }

// count reads a number of things of so many bytes each.
func (r *reader) count(each int) int {
	n := r.i64()
	if n < 0 || n > int64(len(r.b)/each) {
		r.bad = true
		return 0
	}
	return int(n)
}

// readHead reads the head of a trace.
func readHead(payload []byte) (trace.Head, error) {
	r := reader{b: payload}
	if version := r.u32(); version != 1 {
		return trace.Head{}, fmt.Errorf("the trace file is of version %d; this program reads version 1", version)
	}
	n := r.u32()
	if n == 0 || n > mostChannels {
		return trace.Head{}, damaged(int64(len(fileMark)), fmt.Sprintf("it says that there are %d channels", n))
	}
	var head trace.Head
	seconds, nanos, known := r.i64(), r.u32(), r.u32()
	if known == 1 {
		head.Origin = time.Unix(seconds, int64(nanos)).UTC()
	}
	head.Interval, head.Start = r.float(), r.float()
	for range n {
		name := string(r.take(r.u16()))
		unit := quantity.Unit(r.take(r.u16()))
		if !utf8.ValidString(name) {
			name = strings.ToValidUTF8(name, "?")
		}
		head.Channels = append(head.Channels, trace.Channel{Name: name, Unit: unit})
	}
	if r.bad {
		return head, damaged(int64(len(fileMark)), "the head is too short")
	}
	return head, head.Check()
}

// tail gives the place of the index.
func (f *File) tail() (int64, error) {
	if f.size < tailSize {
		return 0, errors.New("no tail")
	}
	b := make([]byte, tailSize)
	if _, err := f.r.ReadAt(b, f.size-tailSize); err != nil {
		return 0, err
	}
	r := reader{b: b[len(tailMark):]}
	index, length := r.i64(), r.i64()
	if string(b[:len(tailMark)]) != tailMark || length != f.size || binary.LittleEndian.Uint32(b[28:]) != checksum(b[:28]) {
		return 0, errors.New("no tail")
	}
	return index, nil
}

// index reads the index.
func (f *File) index(offset int64) error {
	h, err := readHeader(f.r, offset, f.size)
	if err != nil {
		return err
	}
	payload, err := f.payload(offset, h, indexBlock)
	if err != nil {
		return err
	}
	r := reader{b: payload}
	f.rows = r.i64()
	for range r.count(32) {
		f.groups = append(f.groups, group{r.i64(), r.i64(), r.float(), r.float()})
	}
	places := make([]int64, r.count(8))
	for i := range places {
		places[i] = r.i64()
	}
	notes := r.i64()
	if r.bad || len(f.groups) == 0 {
		return damaged(offset, "the index is too short")
	}
	for i, g := range f.groups {
		if next := f.end(i); g.row < 0 || next <= g.row || next-g.row > groupRows || i == 0 && g.row != 0 {
			return damaged(offset, "the rows of the index do not follow each other")
		}
	}
	blocks := layout(f.rows, 1+len(f.head.Channels), f.head.Interval > 0)
	if len(blocks) != len(places) {
		return damaged(offset, fmt.Sprintf("the index names %d blocks of the pyramid where %d belong", len(places), len(blocks)))
	}
	for i, key := range blocks {
		f.places[key] = places[i]
	}
	if h, err = readHeader(f.r, notes, f.size); err != nil {
		return err
	}
	text, err := f.payload(notes, h, notesBlock)
	if err == nil && len(text) > 0 {
		f.notes = strings.Split(string(text), "\n")
	}
	return err
}

// end is the row behind the last of a group.
func (f *File) end(group int) int64 {
	if group+1 < len(f.groups) {
		return f.groups[group+1].row
	}
	return f.rows
}

// Head describes the trace.
func (f *File) Head() trace.Head { return f.head }

// Rows is the number of readings of each channel.
func (f *File) Rows() int64 { return f.rows }

// Notes lists what the file says of itself.
func (f *File) Notes() []string { return f.notes }

// CutOff tells whether the end of the file is missing, because its writing was
// cut off; what it holds is whole all the same.
func (f *File) CutOff() bool { return f.cutOff }

// Begin and End are the times of the first and the last reading, in seconds.
func (f *File) Begin() float64 { return f.groups[0].first }

// End is the time of the last reading, in seconds.
func (f *File) End() float64 { return f.groups[len(f.groups)-1].last }

// recover goes through the blocks of a file without an end, and takes the groups
// that are whole.
func (f *File) recover(offset int64) error {
	firstColumn := 1
	if f.head.Interval == 0 {
		firstColumn = 0
	}
	builders := make([]builder, 1+len(f.head.Channels))
	var buffer []byte
	columns := make([][]float64, len(builders))
	for {
		g := group{offset: offset, row: f.rows}
		rows := int64(-1)
		at := offset
		for column := firstColumn; column < len(builders); column++ {
			h, err := readHeader(f.r, at, f.size)
			if err != nil || h.kind != columnBlock || h.column != column || h.row != f.rows || rows >= 0 && h.length != rows*8 || h.length%8 != 0 || h.length == 0 || h.length > groupRows*8 {
				return f.recovered(builders)
			}
			if buffer, err = readPayload(f.r, at, h, buffer); err != nil {
				return f.recovered(builders)
			}
			rows = h.length / 8
			columns[column] = floats(columns[column][:0], buffer)
			at += headerSize + h.length
		}
		for column := firstColumn; column < len(builders); column++ {
			builders[column].add(columns[column])
		}
		if firstColumn == 0 {
			if !sort.Float64sAreSorted(columns[0]) || math.IsNaN(columns[0][0]) {
				return damaged(offset, "time runs back within a group of rows")
			}
			g.first, g.last = columns[0][0], columns[0][rows-1]
		} else {
			g.first, g.last = f.time(f.rows), f.time(f.rows+rows-1)
		}
		f.groups, f.rows, offset = append(f.groups, g), f.rows+rows, at
	}
}

// recovered keeps the pyramid that was built on the way.
func (f *File) recovered(builders []builder) error {
	if f.rows == 0 {
		return damaged(f.size, "the file was cut off before the first group of readings was written")
	}
	for i := range builders {
		if len(builders[i].spans) > 0 {
			for level, spans := range builders[i].levels() {
				f.levels[[2]int{i, level}] = spans
			}
		}
	}
	return nil
}

// time is the time of a counted row.
func (f *File) time(row int64) float64 { return f.head.Start + float64(row)*f.head.Interval }
