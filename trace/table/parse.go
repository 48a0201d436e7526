package table

import (
	"bytes"
	"fmt"
	"math"
)

// task is what is to be done with a field.
type task byte

const (
	pass  task = iota // it holds nothing that is kept
	value             // it holds a channel
	clock             // it holds the time
)

// step is one field of a row.
type step struct {
	task    task
	channel int
	scale   scale
}

// parser turns stretches of text into columns. It is not changed by that, so
// that several goroutines may use it at once.
type parser struct {
	dialect Dialect
	steps   []step
	names   []string // of fields, for messages
	base    int64    // whole seconds at which the time is zero
	simple  bool     // the quick way may be tried
}

func newParser(d Dialect, base int64) *parser {
	p := &parser{dialect: d, steps: make([]step, d.Fields), names: make([]string, d.Fields), base: base}
	for i := range p.names {
		p.names[i] = fmt.Sprintf("field %d", i+1)
	}
	for i, c := range d.Channels {
		if !d.Across {
			p.steps[c.Field] = step{value, i, scaleOf(c.Size)}
			p.names[c.Field] = c.Name
		}
	}
	if t := d.Time; t.Field >= 0 {
		p.steps[t.Field] = step{clock, len(d.Channels), scaleOf(t.Unit)}
		p.names[t.Field] = "time"
		if t.Form == UnixMs {
			p.steps[t.Field].scale = scale{-3, 1}
		}
	}
	p.simple = d.Delimiter != 0 && !d.Across && d.Time.Date < 0 && d.Time.Form != Clock
	return p
}

// parsed is what a stretch of text held.
type parsed struct {
	rows     int
	columns  [][]float64 // of the channels, then of the time where rows have one
	time     []float64   // the last of them; nil where there is none
	values   [][]float64
	lines    int
	without  []int // the number of rows before each line that gave none
	comments int
	missing  int
	overload int
	faults   []Fault // with lines counted from 1 within the stretch
	counts   map[FaultKind]int
}

// reset makes room for the rows of a stretch.
func (o *parsed) reset(rows int, d *Dialect) {
	faults, without, columns := o.faults[:0], o.without[:0], o.columns
	if columns == nil {
		columns = make([][]float64, len(d.Channels)+b2i(d.Time.Form != Count))
	}
	for i := range columns {
		columns[i] = room(columns[i], rows)
	}
	*o = parsed{faults: faults, without: without, counts: map[FaultKind]int{}, columns: columns, values: columns[:len(d.Channels)]}
	if d.Time.Form != Count {
		o.time = columns[len(d.Channels)]
	}
}

func room(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n, n+n/4)
	}
	return s[:n]
}

// line is the line, within the stretch, that gave a row.
func (o *parsed) line(row int) int {
	n := row + 1
	for _, before := range o.without {
		if before <= row {
			n++
		}
	}
	return n
}

func (o *parsed) fault(f Fault) {
	o.counts[f.Kind]++
	if len(o.faults) < mostFaults {
		f.Line = o.lines
		o.faults = append(o.faults, f)
	}
	if f.Kind.LeavesOut() {
		o.without = append(o.without, o.rows)
	}
}

// stretch parses text in whole lines.
func (p *parser) stretch(b []byte, out *parsed) {
	rows := bytes.Count(b, []byte{'\n'})
	if p.dialect.Across {
		rows *= len(b)/max(rows, 1)/2 + 1
		rows = min(rows, len(b)/2+1)
	}
	out.reset(rows, &p.dialect)
	for i := 0; i < len(b); {
		out.lines++
		if p.simple {
			if next, ok := p.quick(b, i, out); ok {
				i = next
				continue
			}
		}
		end := i + bytes.IndexByte(b[i:], '\n')
		p.slow(latin(b[i:end]), out)
		i = end + 1
	}
}

// quick parses the line that begins at b[i] if all of it is plain numbers, and
// gives the place of the next. It leaves no trace where it gives up.
func (p *parser) quick(b []byte, i int, out *parsed) (int, bool) {
	delimiter, point := p.dialect.Delimiter, p.dialect.Decimal
	n, missing := out.rows, 0
	times := len(p.dialect.Channels) // the column of the time is behind those of the channels
	for s := range p.steps {
		if s > 0 {
			if b[i] != delimiter {
				return 0, false
			}
			i++
		}
		for b[i] == ' ' {
			i++
		}
		st := &p.steps[s]
		switch st.task {
		case value, clock:
			if st.task == clock && p.dialect.Time.Form.calendar() {
				t, j, ok := p.date(b, i)
				if !ok {
					return 0, false
				}
				out.columns[times][n] = t
				i = j
				break
			}
			d, j, ok := scan(b, i, point)
			if !ok {
				if b[i] != delimiter || st.task == clock {
					return 0, false
				}
				out.columns[st.channel][n] = math.NaN()
				missing++
				continue
			}
			i = j
			e := d.exponent + st.scale.exponent
			if d.digits < 1<<53 && uint(e+22) <= 44 && d.exponent <= 22 && st.scale.factor == 1 && (st.task == value || p.base == 0) {
				v := float64(int64(d.digits))
				if e < 0 {
					v /= powers[-e]
				} else {
					v *= powers[e]
				}
				if d.negative {
					v = -v
				}
				if st.task == clock && !(math.Abs(v) <= longestTime) {
					return 0, false
				}
				out.columns[st.channel][n] = v
				break
			}
			v := 0.0
			if st.task == clock {
				if v = p.since(d, st.scale); !(math.Abs(v) <= longestTime) {
					return 0, false
				}
			} else {
				v = st.scale.apply(d)
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return 0, false
			}
			out.columns[st.channel][n] = v
		default:
			for b[i] != delimiter && b[i] != '\n' {
				if b[i] == '"' {
					return 0, false
				}
				i++
			}
		}
		for b[i] == ' ' {
			i++
		}
	}
	for b[i] == delimiter || b[i] == ' ' || b[i] == '\r' {
		i++
	}
	if b[i] != '\n' {
		return 0, false
	}
	out.missing += missing
	out.rows++
	return i + 1, true
}

// date reads a date and clock for the quick way.
func (p *parser) date(b []byte, i int) (t float64, next int, ok bool) {
	end := i
	for b[end] != p.dialect.Delimiter && b[end] != '\n' {
		end++
	}
	m, ok := readMoment(string(b[i:end]), p.dialect.Time.Form)
	return m.since(p.base), end, ok
}

// since turns a written number into seconds from the base. The difference is
// taken before the division, so that a time in microseconds since 1970 keeps
// all its digits.
func (p *parser) since(d decimal, s scale) float64 {
	e := d.exponent + s.exponent
	if p.base != 0 && e <= 0 && e >= -9 && d.digits < 1<<62 && s.factor == 1 {
		whole := int64(d.digits)
		if d.negative {
			whole = -whole
		}
		if ahead, over := shifted(p.base, -e); !over {
			return float64(whole-ahead) / powers[-e]
		}
	}
	return s.apply(d) - float64(p.base)
}

// shifted gives base · 10^places, or over where it does not fit.
func shifted(base int64, places int) (n int64, over bool) {
	const most = 1 << 62
	by := int64(powers[places])
	return base * by, base > most/by || base < -most/by
}
