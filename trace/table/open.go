package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"halfsplit/quantity"
	"halfsplit/trace"
)

// sampleSize is how much of the beginning of a file is looked at before it is
// read, and sampleLines how many of its lines.
const (
	sampleSize  = 256 << 10
	sampleLines = 400
)

// A Reader reads a text table. Open makes one.
type Reader struct {
	dialect Dialect
	notes   []Note
	head    trace.Head
	sample  []byte // read already
	rest    io.Reader
	base    int64 // whole seconds at which the time is zero
}

// Open looks at the beginning of a text and finds out how it is written. It
// unpacks gzip and reads UTF-8, Latin-1 and UTF-16. An error says why the text
// cannot be read as a table, or which option does not fit it.
func Open(r io.Reader, o Options) (*Reader, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	plain, err := Plain(r)
	if err != nil {
		return nil, err
	}
	sample := make([]byte, sampleSize)
	n, err := io.ReadFull(plain, sample)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	sample = sample[:n]
	if n == 0 {
		return nil, errors.New("it is empty")
	}
	if bytes.IndexByte(sample, 0) >= 0 {
		return nil, errors.New("it holds zero bytes, so it is no text; export it as text (CSV) from the logger or scope")
	}
	g := guesser{options: o}
	lines := strings.Split(strings.ReplaceAll(latin(sample), "\r\n", "\n"), "\n")
	if n == sampleSize && len(lines) > 1 {
		lines = lines[:len(lines)-1] // the last is cut
	}
	if o.Skip != nil && *o.Skip >= len(lines) {
		return nil, fmt.Errorf("skip: there are only %d lines at the beginning of it", len(lines))
	}
	if len(lines) > sampleLines {
		limit := sampleLines
		if o.Skip != nil {
			limit += *o.Skip
		}
		lines = lines[:min(limit, len(lines))]
	}
	if err := g.guess(lines); err != nil {
		return nil, err
	}
	reader := &Reader{dialect: g.dialect, notes: g.notes, head: g.dialect.Head(), sample: sample, rest: plain}
	reader.setOrigin(lines)
	return reader, nil
}

// Dialect says how the file is understood.
func (r *Reader) Dialect() Dialect { return r.dialect }

// Notes lists what was guessed.
func (r *Reader) Notes() []Note { return slices.Clone(r.notes) }

// Head describes the trace that will be read.
func (r *Reader) Head() trace.Head { return r.head }

// check refuses options that fit no file.
func (o *Options) check() error {
	switch {
	case o.Decimal != "" && o.Decimal != "." && o.Decimal != ",":
		return fmt.Errorf("decimal %q: write . or ,", o.Decimal)
	case o.Decimal != "" && o.Decimal == o.Delimiter:
		return errors.New("the decimal sign and the delimiter cannot be the same")
	case o.Skip != nil && *o.Skip < 0:
		return fmt.Errorf("skip %d: a number of lines is not negative", *o.Skip)
	case !(o.Interval >= 0 && o.Interval <= 1e12):
		return fmt.Errorf("interval %v s: write a time above zero", o.Interval)
	case !(o.TimeUnit >= 0 && o.TimeUnit <= 1e9):
		return fmt.Errorf("time unit %v s: write a time above zero", o.TimeUnit)
	case o.TimeForm != "" && !slices.Contains(Forms(), string(o.TimeForm)):
		return fmt.Errorf("time form %q: write one of %s", o.TimeForm, strings.Join(Forms(), ", "))
	}
	return nil
}

// guesser finds out how a text is written.
type guesser struct {
	options Options
	layout  layout
	heading heading
	dialect Dialect
	notes   []Note
	left    []int // fields that hold no channel
}

func (g *guesser) note(what, as, why string) { g.notes = append(g.notes, Note{what, as, why}) }

func (g *guesser) guess(lines []string) error {
	var err error
	if g.layout, err = guessLayout(lines, g.options); err != nil {
		return err
	}
	l := g.layout
	g.dialect = Dialect{Delimiter: l.delimiter, Decimal: l.point, Skip: l.first, Fields: len(l.kinds), Across: g.options.Across}
	if len(l.kinds) > 1 {
		g.note("delimiter", delimiterName(l.delimiter), "")
	}
	if l.point == ',' {
		g.note("decimal sign", "comma", "")
	}
	if l.first > 0 {
		g.note("lines before the readings", fmt.Sprint(l.first), "")
	}
	g.heading = readHeading(lines[:l.first], l.delimiter, len(l.kinds))
	if err := g.timing(); err != nil {
		return err
	}
	if err := g.channels(); err != nil {
		return err
	}
	return g.dialect.check()
}

// channels lists the fields that hold readings.
func (g *guesser) channels() error {
	keep, units, err := g.chosen()
	if err != nil {
		return err
	}
	taken := map[string]bool{}
	t := g.dialect.Time
	for i, k := range g.layout.kinds {
		switch {
		case i == t.Field || i == t.Date:
			continue
		case len(keep) > 0 && !slices.Contains(keep, i):
			continue
		case len(keep) == 0 && slices.Contains(g.left, i):
			g.note("left out", "field "+g.name(i), "it only counts the rows")
			continue
		case k != isNumber:
			if len(keep) > 0 {
				return fmt.Errorf("channel: field %s holds no numbers", g.name(i))
			}
			g.note("left out", "field "+g.name(i), "it holds no numbers")
			continue
		}
		c := Column{Field: i, Size: 1}
		var q quantity.Quantity
		known := false
		if i < len(g.heading.names) {
			c.Name, q, known = nameAndUnit(g.heading.names[i])
		}
		if i < len(g.heading.units) {
			if u, ok := unitOf(strings.Trim(g.heading.units[i], "()[]{}")); ok {
				q, known = u, true
			}
		}
		if given, ok := units[i]; ok {
			q, known = given, true
		}
		if known {
			c.Unit, c.Size = q.Unit, q.Value
			if q.Unit != quantity.None {
				written := q.String()
				g.note("unit of "+g.name(i), strings.TrimPrefix(written, "1 "), "")
			}
		}
		c.Name = channelName(c.Name, i, taken)
		g.dialect.Channels = append(g.dialect.Channels, c)
	}
	if g.options.Across {
		return g.across(taken)
	}
	if len(g.dialect.Channels) == 0 {
		return errors.New("there is no field with readings beside the time")
	}
	return nil
}

// across makes one channel of all fields.
func (g *guesser) across(map[string]bool) error {
	if g.dialect.Time.Form != Count {
		return errors.New("readings that run across the lines have no times of their own; give the interval between them")
	}
	c := Column{Size: 1}
	c.Name = "channel 1"
	if len(g.dialect.Channels) > 0 {
		c.Unit, c.Size = g.dialect.Channels[0].Unit, g.dialect.Channels[0].Size
	}
	g.dialect.Channels = []Column{c}
	return nil
}

// chosen reads the options about channels.
func (g *guesser) chosen() (keep []int, units map[int]quantity.Quantity, err error) {
	fields := len(g.layout.kinds)
	for _, name := range g.options.Channels {
		i, err := find(name, g.heading.names, fields)
		if err != nil {
			return nil, nil, fmt.Errorf("channel: %w", err)
		}
		keep = append(keep, i)
	}
	units = map[int]quantity.Quantity{}
	for name, text := range g.options.Units {
		i, err := find(name, g.heading.names, fields)
		if err != nil {
			return nil, nil, fmt.Errorf("unit: %w", err)
		}
		q, ok := unitOf(text)
		if !ok {
			return nil, nil, fmt.Errorf("unit of %q: %q is no unit; write one such as V, mV, uA, ohm, degC or Hz", name, text)
		}
		units[i] = q
	}
	return keep, units, nil
}
