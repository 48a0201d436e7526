package column

import (
	"context"
	"fmt"
	"math"
	"sort"

	"halfsplit/trace"
)

// column reads the stretch of a column that belongs to a group, and appends it.
func (f *File) column(g, column int, to []float64, buffer *[]byte) ([]float64, error) {
	rows := f.end(g) - f.groups[g].row
	if column == 0 && f.head.Interval > 0 {
		for row := range rows {
			to = append(to, f.time(f.groups[g].row+row))
		}
		return to, nil
	}
	skip := int64(column)
	if f.head.Interval > 0 {
		skip--
	}
	offset := f.groups[g].offset + skip*(headerSize+8*rows)
	h, err := readHeader(f.r, offset, f.size)
	if err != nil {
		return to, f.affected(err, g, column)
	}
	if h.kind != columnBlock || h.column != column || h.row != f.groups[g].row || h.length != 8*rows {
		return to, f.affected(damaged(offset, "it is not the block that the index names"), g, column)
	}
	if *buffer, err = readPayload(f.r, offset, h, *buffer); err != nil {
		return to, f.affected(err, g, column)
	}
	return floats(to, *buffer), nil
}

// affected says which readings an error concerns.
func (f *File) affected(err error, g, column int) error {
	name := "the time"
	if column > 0 {
		name = fmt.Sprintf("channel %q", f.head.Channels[column-1].Name)
	}
	return fmt.Errorf("%w; this affects %s from %.6g s to %.6g s", err, name, f.groups[g].first, f.groups[g].last)
}

// rowOf is the first row at or after a time.
func (f *File) rowOf(t float64) (int64, error) {
	if f.head.Interval > 0 {
		row := int64(math.Ceil(min(max((t-f.head.Start)/f.head.Interval, 0), float64(f.rows))))
		for row > 0 && f.time(row-1) >= t {
			row--
		}
		for row < f.rows && f.time(row) < t {
			row++
		}
		return row, nil
	}
	g := sort.Search(len(f.groups), func(i int) bool { return f.groups[i].last >= t })
	if g == len(f.groups) {
		return f.rows, nil
	}
	var buffer []byte
	times, err := f.column(g, 0, nil, &buffer)
	if err != nil {
		return 0, err
	}
	return f.groups[g].row + int64(sort.SearchFloat64s(times, t)), nil
}

// Read reads some channels between two times, both included, into memory. With
// no channel named it reads all.
func (f *File) Read(ctx context.Context, from, to float64, channels ...int) (*trace.Trace, error) {
	if len(channels) == 0 {
		for i := range f.head.Channels {
			channels = append(channels, i)
		}
	}
	part := &trace.Trace{Head: f.head}
	part.Interval, part.Start, part.Channels = 0, 0, nil
	for _, c := range channels {
		if c < 0 || c >= len(f.head.Channels) {
			return nil, fmt.Errorf("there is no channel %d; the trace has %d", c, len(f.head.Channels))
		}
		part.Channels = append(part.Channels, f.head.Channels[c])
	}
	first, err := f.rowOf(from)
	if err != nil {
		return nil, err
	}
	last, err := f.rowOf(math.Nextafter(to, math.Inf(1)))
	if err != nil {
		return nil, err
	}
	if last <= first {
		return nil, fmt.Errorf("there is no reading from %.6g s to %.6g s; the trace runs from %.6g s to %.6g s", from, to, f.Begin(), f.End())
	}
	if f.head.Interval > 0 {
		part.Interval, part.Start = f.head.Interval, f.time(first)
	}
	part.Values = make([][]float64, len(channels))
	part.Time = make([]float64, 0, last-first)
	for i := range channels {
		part.Values[i] = make([]float64, 0, last-first)
	}
	return part, f.rowsInto(ctx, part, first, last, channels)
}

// rowsInto reads rows.
func (f *File) rowsInto(ctx context.Context, part *trace.Trace, first, last int64, channels []int) error {
	var buffer []byte
	var values []float64
	var err error
	for g := range f.groups {
		begin, end := f.groups[g].row, f.end(g)
		if end <= first || begin >= last {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		a, b := max(first, begin)-begin, min(last, end)-begin
		if values, err = f.column(g, 0, values[:0], &buffer); err != nil {
			return err
		}
		part.Time = append(part.Time, values[a:b]...)
		for i, c := range channels {
			if values, err = f.column(g, c+1, values[:0], &buffer); err != nil {
				return err
			}
			part.Values[i] = append(part.Values[i], values[a:b]...)
		}
	}
	return nil
}

// Verify reads the whole file and checks all of it, the pyramid against the
// readings too. It returns the first damage found.
func (f *File) Verify(ctx context.Context) error {
	builders := make([]builder, 1+len(f.head.Channels))
	var buffer []byte
	var values []float64
	var err error
	before := math.Inf(-1)
	for g := range f.groups {
		if err := ctx.Err(); err != nil {
			return err
		}
		for c := range builders {
			if values, err = f.column(g, c, values[:0], &buffer); err != nil {
				return err
			}
			if c == 0 {
				for _, t := range values {
					if !(t >= before) {
						return damaged(f.groups[g].offset, fmt.Sprintf("time runs back to %v s", t))
					}
					before = t
				}
				if f.groups[g].first != values[0] || f.groups[g].last != values[len(values)-1] {
					return damaged(f.groups[g].offset, "the times do not agree with the index")
				}
			}
			builders[c].add(values)
		}
	}
	for c := range builders {
		if c == 0 && f.head.Interval > 0 {
			continue
		}
		for level, want := range builders[c].levels() {
			have, err := f.level(c, level, 0, len(want))
			if err != nil {
				return err
			}
			for i := range want {
				if i >= len(have) || !same(have[i], want[i]) {
					return damaged(f.places[[3]int{c, level, i / pieceSpans}], "the pyramid does not agree with the readings")
				}
			}
		}
	}
	return nil
}

func same(a, b span) bool {
	equal := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return equal(a.low, b.low) && equal(a.high, b.high)
}
