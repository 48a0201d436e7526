package column

import (
	"fmt"
	"math"
)

// A Point is a stretch of a channel as it is drawn: from one time to another, in
// seconds, with its lowest and highest value. Both values are NaN where there is
// no reading.
type Point struct {
	From, To  float64
	Low, High float64
}

// level gives points of a level of the pyramid of a column, from one to before
// another.
func (f *File) level(column, level, from, to int) ([]span, error) {
	if f.cutOff {
		return f.levels[[2]int{column, level}][from:to], nil
	}
	spans := make([]span, 0, to-from)
	var buffer []byte
	for piece := from / pieceSpans; piece*pieceSpans < to; piece++ {
		first := piece * pieceSpans
		all := int((f.rows + levelStep(level) - 1) / levelStep(level))
		offset := f.places[[3]int{column, level, piece}]
		h, err := readHeader(f.r, offset, f.size)
		if err != nil {
			return nil, err
		}
		want := header{kind: pyramidBlock, column: column, level: byte(level), row: int64(first) * levelStep(level), length: 16 * int64(min(pieceSpans, all-first)), sum: h.sum}
		if h != want {
			return nil, damaged(offset, "it is not the block of the pyramid that the index names")
		}
		if buffer, err = readPayload(f.r, offset, h, buffer); err != nil {
			return nil, err
		}
		for i := max(from, first) - first; i < min(to-first, int(h.length/16)); i++ {
			pair := buffer[16*i:]
			spans = append(spans, span{float(pair), float(pair[8:])})
		}
	}
	return spans, nil
}

// Window gives a channel between two times as not many more than twice so many
// points, each the lowest and highest of a stretch, and each reading by itself
// where there are no more than that.
func (f *File) Window(channel int, from, to float64, points int) ([]Point, error) {
	if channel < 0 || channel >= len(f.head.Channels) {
		return nil, fmt.Errorf("there is no channel %d; the trace has %d", channel, len(f.head.Channels))
	}
	if points < 1 {
		return nil, fmt.Errorf("%d points: ask for at least one", points)
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
		return nil, nil
	}
	// The coarsest level that still has enough points; below it, the readings.
	level, step := -1, int64(1)
	for next := 0; levelStep(next)*int64(points) <= last-first; next++ {
		if next > 0 && (f.rows+levelStep(next-1)-1)/levelStep(next-1) <= topPoints {
			break // the level above was not made
		}
		level, step = next, levelStep(next)
	}
	var fine []Point
	if level < 0 {
		fine, err = f.readings(channel, first, last)
	} else {
		fine, err = f.spans(channel, level, step, first, last)
	}
	return merged(fine, points), err
}

// readings gives readings as points.
func (f *File) readings(channel int, first, last int64) ([]Point, error) {
	points := make([]Point, 0, last-first)
	var buffer []byte
	var times, values []float64
	var err error
	for g := range f.groups {
		begin, end := f.groups[g].row, f.end(g)
		if end <= first || begin >= last {
			continue
		}
		if times, err = f.column(g, 0, times[:0], &buffer); err != nil {
			return nil, err
		}
		if values, err = f.column(g, channel+1, values[:0], &buffer); err != nil {
			return nil, err
		}
		for i := max(first, begin) - begin; i < min(last, end)-begin; i++ {
			v := values[i]
			if math.IsInf(v, 0) {
				v = math.NaN()
			}
			points = append(points, Point{times[i], times[i], v, v})
		}
	}
	return points, nil
}

// spans gives points of a level of the pyramid.
func (f *File) spans(channel, level int, step, first, last int64) ([]Point, error) {
	a, b := first/step, (last+step-1)/step
	values, err := f.level(channel+1, level, int(a), int(b))
	if err != nil {
		return nil, err
	}
	var times []span
	if f.head.Interval == 0 {
		if times, err = f.level(0, level, int(a), int(b)); err != nil {
			return nil, err
		}
	}
	points := make([]Point, 0, b-a)
	for i := a; i < b; i++ {
		p := Point{Low: values[i-a].low, High: values[i-a].high}
		if times != nil {
			p.From, p.To = times[i-a].low, times[i-a].high
		} else {
			p.From, p.To = f.time(i*step), f.time(min((i+1)*step, f.rows)-1)
		}
		points = append(points, p)
	}
	return points, nil
}

// merged joins neighbouring points until there are at most twice so many.
func merged(fine []Point, points int) []Point {
	each := len(fine) / points
	if each <= 1 {
		return fine
	}
	out := fine[:0]
	for begin := 0; begin < len(fine); begin += each {
		end := min(begin+each, len(fine))
		s := span{fine[begin].Low, fine[begin].High}
		for _, p := range fine[begin+1 : end] {
			s = s.join(span{p.Low, p.High})
		}
		out = append(out, Point{fine[begin].From, fine[end-1].To, s.low, s.high})
	}
	return out
}
