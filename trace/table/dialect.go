package table

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/trace"
)

// A Dialect is how a file is written. Open finds it out.
type Dialect struct {
	Delimiter byte // between fields; 0 stands for any number of blanks
	Decimal   byte // '.' or ','
	Skip      int  // lines before the first row of readings
	Fields    int  // fields in a row
	Time      TimeColumn
	Channels  []Column
	Across    bool // the rows of one channel's readings run across the lines
}

// A TimeColumn says where the time of a row stands and how.
type TimeColumn struct {
	Form     Form
	Field    int     // counted from 0; -1 where there is none
	Date     int     // the field of the date where it stands apart from the clock; else -1
	Unit     float64 // of an elapsed time, in seconds: 0.001 for milliseconds
	Interval float64 // between counted readings, seconds
	Start    float64 // of counted readings, seconds
}

// A Column is a field that holds a channel.
type Column struct {
	trace.Channel
	Field int     // counted from 0
	Size  float64 // of the unit in which it is written: 0.001 for millivolts
}

// Options overrule guesses. What is left empty is guessed.
type Options struct {
	Delimiter string            // ",", ";", "|", "tab" or "blank"
	Decimal   string            // "." or ","
	Skip      *int              // lines before the first row
	Time      string            // name or number of the time's field, or "none"
	TimeForm  Form              //
	TimeUnit  float64           // of an elapsed time, in seconds
	Interval  float64           // between readings, seconds; overrules any time
	Channels  []string          // names or numbers of the fields to keep
	Units     map[string]string // unit in which a field is written, by its name or number
	Across    bool              // one channel whose readings run across the lines
}

// A Note is one thing that was guessed, or left out, and why.
type Note struct {
	What string // "delimiter"
	As   string // "comma"
	Why  string
}

// String writes the note as one line.
func (n Note) String() string {
	if n.Why == "" {
		return n.What + ": " + n.As
	}
	return n.What + ": " + n.As + " (" + n.Why + ")"
}

// delimiters are the signs between fields with their names.
var delimiters = []struct {
	sign byte
	name string
}{{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {'|', "bar"}, {0, "blank"}}

func delimiterName(sign byte) string {
	for _, d := range delimiters {
		if d.sign == sign {
			return d.name
		}
	}
	return fmt.Sprintf("%q", string(rune(sign)))
}

// delimiterSign reads the option.
func delimiterSign(text string) (byte, error) {
	for _, d := range delimiters {
		if text == d.name || d.sign != 0 && text == string(rune(d.sign)) {
			return d.sign, nil
		}
	}
	if text == " " {
		return 0, nil
	}
	if text == `\t` {
		return '\t', nil
	}
	if len(text) == 1 && text[0] > ' ' && !strings.ContainsAny(text, `0123456789.+-"`) {
		return text[0], nil
	}
	return 0, fmt.Errorf("delimiter %q: write one sign, or a word: comma, semicolon, tab, bar or blank", text)
}

// Head gives the head of the trace; the origin is left to the reader.
func (d *Dialect) Head() trace.Head {
	h := trace.Head{}
	for _, c := range d.Channels {
		h.Channels = append(h.Channels, c.Channel)
	}
	if d.Time.Form == Count {
		h.Interval, h.Start = d.Time.Interval, d.Time.Start
	}
	return h
}

// check refuses a dialect that could not be read.
func (d *Dialect) check() error {
	if d.Time.Form == Count && !(d.Time.Interval > 0 && d.Time.Interval <= 1e12) {
		return fmt.Errorf("the interval between readings is %v s; write a time above zero", d.Time.Interval)
	}
	if d.Time.Form == Elapsed && !(d.Time.Unit > 0 && d.Time.Unit <= 1e9) {
		return fmt.Errorf("the unit of the time is %v s; write one above zero", d.Time.Unit)
	}
	for _, c := range d.Channels {
		if math.IsNaN(c.Size) || math.IsInf(c.Size, 0) || c.Size == 0 {
			return fmt.Errorf("the unit of %q has the size %v; write one above zero", c.Name, c.Size)
		}
	}
	h := d.Head()
	return h.Check()
}

// split cuts a line into its fields. Quotation marks around a field are taken
// off, and within them the delimiter is an ordinary sign.
func split(line string, delimiter byte) []string {
	line = strings.TrimRight(line, "\r")
	if delimiter == 0 {
		if !strings.Contains(line, `"`) {
			return strings.Fields(line)
		}
		line = strings.Trim(line, " \t")
	}
	var fields []string
	for {
		var field string
		trimmed := strings.TrimLeft(line, " ")
		if strings.HasPrefix(trimmed, `"`) {
			if end := strings.IndexByte(trimmed[1:], '"'); end >= 0 {
				field, line = trimmed[1:1+end], trimmed[2+end:]
				more := next(line, delimiter)
				field, line = field+line[:more], line[more:]
				fields = append(fields, strings.TrimSpace(field))
				if line == "" {
					return fields
				}
				line = after(line, delimiter)
				continue
			}
		}
		at := next(line, delimiter)
		field, line = line[:at], line[at:]
		fields = append(fields, strings.TrimSpace(field))
		if line == "" {
			return fields
		}
		line = after(line, delimiter)
	}
}

// next is the place of the next delimiter, or the end.
func next(line string, delimiter byte) int {
	at := strings.IndexByte(line, delimiter)
	if delimiter == 0 {
		at = strings.IndexAny(line, " \t")
	}
	if at < 0 {
		return len(line)
	}
	return at
}

// after is what follows the delimiter with which the line begins.
func after(line string, delimiter byte) string {
	if delimiter == 0 {
		return strings.TrimLeft(line, " \t")
	}
	return line[1:]
}

// trimmed takes the empty fields off the end, which delimiters at the end of a
// line leave.
func trimmed(fields []string) []string {
	for len(fields) > 1 && fields[len(fields)-1] == "" {
		fields = fields[:len(fields)-1]
	}
	return fields
}
