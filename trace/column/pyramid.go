package column

import "math"

// firstStep is how many readings a point of the lowest level of the pyramid
// stands for, and nextStep how many points of one level make one of the next.
const (
	firstStep = 64
	nextStep  = 16
)

// topPoints is the number of points below which no further level is made.
const topPoints = 256

// pieceSpans is the most points of a level that stand in one block, so that a
// window reads only the part of the level that it shows.
const pieceSpans = 4096

// span is the lowest and the highest of some readings; both NaN where none has a
// value.
type span struct{ low, high float64 }

var nothing = span{math.NaN(), math.NaN()}

// spanOf is the span of readings, the missing and the infinite left out.
func spanOf(values []float64) span {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v < low {
			low = v
		}
		if v > high {
			high = v
		}
	}
	if low >= -math.MaxFloat64 && high <= math.MaxFloat64 && low <= high {
		return span{low, high}
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !math.IsInf(v, 0) {
			if v < low {
				low = v
			}
			if v > high {
				high = v
			}
		}
	}
	if low > high {
		return nothing
	}
	return span{low, high}
}

// join is the span of two together.
func (s span) join(o span) span {
	if math.IsNaN(s.low) {
		return o
	}
	if o.low < s.low {
		s.low = o.low
	}
	if o.high > s.high {
		s.high = o.high
	}
	return s
}

// builder grows the lowest level of the pyramid of a column.
type builder struct {
	spans []span
	count int // readings taken into the last span, when it is not full
}

// add takes in the readings that follow.
func (b *builder) add(values []float64) {
	if b.count > 0 {
		n := min(firstStep-b.count, len(values))
		last := &b.spans[len(b.spans)-1]
		*last = last.join(spanOf(values[:n]))
		b.count = (b.count + n) % firstStep
		values = values[n:]
	}
	for ; len(values) >= firstStep; values = values[firstStep:] {
		b.spans = append(b.spans, spanOf(values[:firstStep]))
	}
	if len(values) > 0 {
		b.spans = append(b.spans, spanOf(values))
		b.count = len(values)
	}
}

// levels builds the levels above the lowest, which is the first.
func (b *builder) levels() [][]span {
	levels := [][]span{b.spans}
	for top := b.spans; len(top) > topPoints; top = levels[len(levels)-1] {
		var above []span
		for len(top) > 0 {
			n := min(nextStep, len(top))
			s := top[0]
			for _, o := range top[1:n] {
				s = s.join(o)
			}
			above, top = append(above, s), top[n:]
		}
		levels = append(levels, above)
	}
	return levels
}

// levelStep is how many readings a point of a level stands for.
func levelStep(level int) int64 {
	step := int64(firstStep)
	for range level {
		step *= nextStep
	}
	return step
}

// layout lists the pyramid blocks of a file with so many rows, in their order: by
// column, level and piece. The time has none where it is counted.
func layout(rows int64, columns int, counted bool) [][3]int {
	var list [][3]int
	for column := range columns {
		if column == 0 && counted {
			continue
		}
		points := (rows + firstStep - 1) / firstStep
		for level := 0; ; level++ {
			for piece := range int((points + pieceSpans - 1) / pieceSpans) {
				list = append(list, [3]int{column, level, piece})
			}
			if points <= topPoints {
				break
			}
			points = (points + nextStep - 1) / nextStep
		}
	}
	return list
}
