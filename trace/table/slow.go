package table

import (
	"fmt"
	"math"
)

// slow parses a line with whatever may stand in it.
func (p *parser) slow(line string, out *parsed) {
	if comment(line) {
		out.comments++
		out.without = append(out.without, out.rows)
		return
	}
	fields := split(line, p.dialect.Delimiter)
	if p.dialect.Across {
		p.lineAcross(trimmed(fields), out)
		return
	}
	if len(fields) < len(p.steps) || len(fields) > len(p.steps) && len(trimmed(fields)) > len(p.steps) {
		out.fault(Fault{Kind: WrongCount, Text: clip(line), Want: fmt.Sprintf("it has %d fields where %d belong", len(fields), len(p.steps))})
		return
	}
	n := out.rows
	if at := p.dialect.Time.Field; at >= 0 {
		t, ok := p.slowTime(fields)
		if !ok {
			out.fault(Fault{Kind: NoTime, Field: "time", Text: clip(fields[at]), Want: "a time as in the rows before, " + string(p.dialect.Time.Form)})
			return
		}
		out.time[n] = t
	}
	for i, st := range p.steps {
		if st.task == value {
			out.values[st.channel][n] = p.slowValue(fields[i], st.scale, p.names[i], out)
		}
	}
	out.rows++
}

// slowValue reads a field, and counts what it is.
func (p *parser) slowValue(text string, s scale, name string, out *parsed) float64 {
	v, ok := field(text, p.dialect.Decimal, s)
	switch {
	case !ok:
		out.fault(Fault{Kind: NoNumber, Field: name, Text: clip(text), Want: "a number, or nothing where there was no reading"})
		return math.NaN()
	case math.IsNaN(v):
		out.missing++
	case math.IsInf(v, 0):
		out.overload++
	}
	return v
}

// lineAcross takes in a line all of whose fields are readings of one channel.
func (p *parser) lineAcross(fields []string, out *parsed) {
	s := scaleOf(p.dialect.Channels[0].Size)
	for i, text := range fields {
		if text == "" {
			continue // blanks that set off the columns
		}
		out.values[0][out.rows] = p.slowValue(text, s, fmt.Sprintf("field %d", i+1), out)
		out.rows++
	}
}

// slowTime reads the time of a row.
func (p *parser) slowTime(fields []string) (float64, bool) {
	t := p.dialect.Time
	text := fields[t.Field]
	switch {
	case t.Date >= 0:
		m, ok := readMoment(fields[t.Date], t.Form)
		if !ok {
			return 0, false
		}
		clock, ok := readMoment(text, Clock)
		m.whole += clock.whole
		m.fraction += clock.fraction
		return m.since(p.base), ok
	case t.Form == Clock || t.Form.calendar():
		m, ok := readMoment(text, t.Form)
		return m.since(p.base), ok
	}
	if d, end, ok := scan(append([]byte(text), 0), 0, p.dialect.Decimal); ok && end == len(text) {
		v := p.since(d, p.steps[t.Field].scale)
		return v, math.Abs(v) <= longestTime
	}
	v, ok := field(text, p.dialect.Decimal, p.steps[t.Field].scale)
	return v - float64(p.base), ok && math.Abs(v) <= longestTime
}

// longestTime is the largest time that is taken for one, in seconds: beyond it
// milliseconds can no longer be told apart.
const longestTime = 1e13
