package bench

import (
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"halfsplit/internal/record"
)

// Field is one key of an entry or a meter with what was typed for it.
type Field struct {
	Key   string
	Value string   // one value
	List  []string // or several
	In    []Field  // or keys within, as of state
}

// Line writes fields as one entry in short form, {measure: "TP3", reads:
// "4.62 V"}. Fields without a value are left out. What was typed stands in it
// as it was typed.
func Line(fields ...Field) string {
	var out strings.Builder
	out.WriteByte('{')
	for _, f := range fields {
		value := f.text()
		if value == "" {
			continue
		}
		if out.Len() > 1 {
			out.WriteString(", ")
		}
		out.WriteString(f.Key + ": " + value)
	}
	out.WriteByte('}')
	return out.String()
}

// text is the value of a field as it stands on the page, "" for none.
func (f Field) text() string {
	switch {
	case len(f.In) > 0:
		if inner := Line(f.In...); inner != "{}" {
			return inner
		}
		return ""
	case len(f.List) == 1:
		return quote(f.List[0])
	case len(f.List) > 1:
		quoted := make([]string, len(f.List))
		for i, v := range f.List {
			quoted[i] = quote(v)
		}
		return "[" + strings.Join(quoted, ", ") + "]"
	case f.Value == "":
		return ""
	}
	return quote(f.Value)
}

// quote puts a text in double quotes, as JSON and therefore YAML 1.2 read it.
func quote(text string) string {
	var out strings.Builder
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(text); err != nil { // a string can always be written
		return strconv.Quote(text)
	}
	return strings.TrimSuffix(out.String(), "\n")
}

// inner is what stands between the braces of a line in short form.
func inner(line string) string {
	line = strings.TrimSpace(line)
	line = strings.TrimPrefix(line, "{")
	line = strings.TrimSuffix(line, "}")
	return strings.TrimSuffix(strings.TrimSpace(line), ",")
}

// timeForm is how a case file writes when.
const timeForm = "2006-01-02 15:04"

// page is a case as text, with the line of each entry and meter.
type page struct {
	text   strings.Builder
	lines  int
	entry  map[int]record.ID // by line
	lineOf map[record.ID]int // by entry
	meter  map[int]record.ID // by line
}

// add writes a line of the page and gives its number.
func (p *page) add(line string) int {
	p.text.WriteString(line)
	p.text.WriteByte('\n')
	p.lines++
	return p.lines
}

// percent writes a share as people do.
func percent(share float64) string {
	return strconv.FormatFloat(100*share, 'g', 6, 64) + " %"
}

// compose writes the case of a job.
func compose(u *record.Unit, j *record.Job, sheetFile string, meters []record.Instrument, log []record.Entry, mains float64) *page {
	p := &page{entry: map[int]record.ID{}, lineOf: map[record.ID]int{}, meter: map[int]record.ID{}}
	p.add("case: 1")
	year := ""
	if u.Year != 0 {
		year = strconv.Itoa(u.Year)
	}
	if u.Mains != 0 {
		mains = u.Mains
	}
	volts := ""
	if mains != 0 {
		volts = strconv.FormatFloat(mains, 'g', -1, 64) + " V"
	}
	unit := Line(Field{Key: "model", Value: u.Name()}, Field{Key: "serial", Value: u.Serial}, Field{Key: "owner", Value: u.Owner},
		Field{Key: "history", Value: u.History}, Field{Key: "mains", Value: volts}, Field{Key: "note", Value: u.Note})
	if year != "" { // a number stands without quotes
		unit = strings.TrimSuffix(unit, "}") + ", year: " + year + "}"
	}
	p.add("unit: " + unit)
	p.add("sheet: " + quote(sheetFile))
	if len(meters) > 0 {
		p.add("meters:")
		for i := range meters {
			m := &meters[i]
			line := "meter: " + quote(m.Name)
			if in := inner(m.Line); in != "" {
				line += ", " + in
			}
			if m.Calibrated != "" && !strings.Contains(m.Line, "calibrated:") {
				line += ", calibrated: " + quote(string(m.Calibrated))
			}
			p.meter[p.add("  - {"+line+"}")] = m.ID
		}
	}
	proof := []Field{{Key: "done when", Value: j.DoneWhen}}
	if j.Sure > 0 {
		proof = append(proof, Field{Key: "sure", Value: percent(j.Sure)})
	}
	if j.RepairRight > 0 {
		proof = append(proof, Field{Key: "repair right", Value: percent(j.RepairRight)})
	}
	if line := Line(proof...); line != "{}" {
		p.add("proof: " + line)
	}
	if len(log) == 0 {
		return p
	}
	names := map[record.ID]string{}
	p.add("log:")
	for i := range log {
		e := &log[i]
		names[e.ID] = e.Name()
		n := p.add("  - " + entryLine(e, names[e.Corrects]))
		p.entry[n] = e.ID
		p.lineOf[e.ID] = n
	}
	return p
}

// entryLine is an entry as it stands in a case file.
func entryLine(e *record.Entry, corrects string) string {
	line := inner(e.Line)
	with := func(key, value string) {
		if value != "" {
			line += ", " + key + ": " + quote(value)
		}
	}
	with("when", written(e.At))
	with("who", e.Who)
	if e.Seconds > 0 {
		with("took", strconv.FormatFloat(e.Seconds, 'g', -1, 64)+" s")
	}
	with("entry", e.Name())
	with("corrects", corrects)
	return "{" + line + "}"
}

// written is a moment as a case file writes it.
func written(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(timeForm)
}
