package bench

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halfsplit/form"
	"halfsplit/internal/record"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// Unfit is an entry that does not go together with the sheet of the job: it
// names something that the sheet does not have, for example because it was
// written before the sheet was chosen. It is kept, but not reasoned with.
type Unfit struct {
	Entry record.ID `json:"entry"`
	Why   string    `json:"why"`
}

// Casework is a job made ready to be reasoned over.
type Casework struct {
	Unit    record.Unit
	Job     record.Job
	Log     []record.Entry
	Version record.Sheet // the version of the sheet
	Sheet   *sheet.Sheet
	Case    *logbook.Case
	Text    string // of the case file
	Unfit   []Unfit

	entry map[int]record.ID
}

// Entry is the entry that stands on a line of the case; 0 when none does.
// Verdicts and reasons of findings name lines.
func (c *Casework) Entry(line int) record.ID { return c.entry[line] }

// ErrNoSheet is the error for reasoning over a job that has no service sheet.
var ErrNoSheet = errors.New("this job has no service sheet yet; choose one, or copy the nearest circuit of the library")

// Casework makes a job ready: its log as a case, read against its sheet. The
// error is ErrNoSheet when the job has none.
func (b *Bench) Casework(ctx context.Context, job record.ID) (*Casework, error) {
	c, meters, mains, err := b.gather(ctx, job)
	if err != nil {
		return nil, err
	}
	if c.Sheet == nil {
		return nil, ErrNoSheet
	}
	return c, c.read(meters, mains)
}

// gather finds what belongs to a job. The sheet is nil when it has none.
func (b *Bench) gather(ctx context.Context, job record.ID) (c *Casework, meters []record.Instrument, mains float64, err error) {
	c = &Casework{}
	if c.Job, err = b.records.Job(ctx, job); err != nil {
		return nil, nil, 0, err
	}
	if c.Unit, err = b.records.Unit(ctx, c.Job.Unit); err != nil {
		return nil, nil, 0, err
	}
	if c.Log, err = b.records.Log(ctx, job); err != nil {
		return nil, nil, 0, err
	}
	if meters, err = b.records.Instruments(ctx); err != nil {
		return nil, nil, 0, err
	}
	settings, err := b.records.Settings(ctx)
	if err != nil {
		return nil, nil, 0, err
	}
	if c.Job.Sheet != 0 {
		if c.Version, err = b.records.Sheet(ctx, c.Job.Sheet); err != nil {
			return nil, nil, 0, err
		}
		if c.Sheet, err = sheet.Parse(c.Version.Name+".sheet.yaml", []byte(c.Version.Text)); err != nil {
			return nil, nil, 0, fmt.Errorf("the sheet of this job, version %d of %q, cannot be read: %w", c.Version.Version, c.Version.Name, err)
		}
	}
	return c, meters, settings.Mains, nil
}

// read reads the case; entries that the sheet does not allow are left out, each
// with the reason, until the rest can be read.
func (c *Casework) read(meters []record.Instrument, mains float64) error {
	log := slices.Clone(c.Log)
	for {
		p := compose(&c.Unit, &c.Job, c.Version.Name+".sheet.yaml", meters, log, mains)
		c.Text, c.entry = p.text.String(), p.entry
		var err error
		c.Case, err = logbook.Parse("case", []byte(c.Text), c.Sheet)
		if err == nil {
			return nil
		}
		var problems form.Problems
		if !errors.As(err, &problems) {
			return err
		}
		bad := map[record.ID]string{}
		badMeter := map[record.ID]bool{}
		for _, q := range problems {
			if id, ok := p.entry[q.Line]; ok && bad[id] == "" {
				bad[id] = told(q)
			}
			if id, ok := p.meter[q.Line]; ok {
				badMeter[id] = true
			}
		}
		if len(bad) == 0 && len(badMeter) == 0 {
			return err
		}
		for _, e := range log {
			if why, ok := bad[e.ID]; ok {
				c.Unfit = append(c.Unfit, Unfit{e.ID, why})
			}
		}
		log = slices.DeleteFunc(log, func(e record.Entry) bool { return bad[e.ID] != "" })
		meters = slices.DeleteFunc(slices.Clone(meters), func(m record.Instrument) bool { return badMeter[m.ID] })
	}
}

// told is a problem in words, without its place.
func told(p form.Problem) string {
	if p.Hint == "" {
		return p.Message
	}
	return p.Message + "; " + p.Hint
}

// Wrong is the error for an entry that cannot go into the logbook: what is
// wrong with it, in the order in which it stands there.
type Wrong []string

// Error lists what is wrong.
func (w Wrong) Error() string { return strings.Join(w, "\n") }

// CheckMeter finds what is wrong with the line of an instrument, nil when it can
// be read.
func CheckMeter(m record.Instrument) error {
	p := compose(&record.Unit{Model: "unit"}, &record.Job{}, "none.sheet.yaml", []record.Instrument{m}, nil, 0)
	s, err := sheet.Parse("none.sheet.yaml", []byte("sheet: 1\n"))
	if err != nil {
		return err
	}
	_, err = logbook.Parse("case", []byte(p.text.String()), s)
	return wrong(err, 0)
}
