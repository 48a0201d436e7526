package bench

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/internal/record"
	"halfsplit/logbook"
)

// Write puts an entry into the logbook of its job, once it is found right: its
// line can be read, what it names is on the sheet of the job, and no hazard
// holds it up. Verb, instrument, key, time and what the sheet knows of swapped
// parts are filled in where they are missing. It gives what the entry was
// judged, as Judge does. The error is Wrong when the line is not right; then
// nothing was written.
func (b *Bench) Write(ctx context.Context, e *record.Entry) (r *findings.Report, line int, err error) {
	if e.At.IsZero() {
		e.At = b.now()
	}
	if r, line, err = b.judge(ctx, e); err != nil {
		return nil, 0, err
	}
	return r, line, b.records.AddEntry(ctx, e)
}

// Judge tells what an entry would be judged, without writing it: the findings
// that need no search, with the entry as the last of the case; Line is where it
// stands there. The report is nil when the job has no sheet. The error is as of
// Write.
func (b *Bench) Judge(ctx context.Context, e *record.Entry) (r *findings.Report, line int, err error) {
	trial := *e
	if trial.At.IsZero() {
		trial.At = b.now()
	}
	return b.judge(ctx, &trial)
}

// judge reads the case with the entry at its end, and fills in what follows from
// its line.
func (b *Bench) judge(ctx context.Context, e *record.Entry) (*findings.Report, int, error) {
	c, meters, mains, err := b.gather(ctx, e.Job)
	if err != nil {
		return nil, 0, err
	}
	if strings.ContainsAny(e.Line, "\n\r") {
		return nil, 0, Wrong{"an entry stands on one line"}
	}
	read, err := logbook.ParseEntry(e.Line)
	if err != nil {
		return nil, 0, wrong(err, 0)
	}
	e.Verb = read.Verb()
	if e.Instrument == 0 {
		for _, m := range meters {
			if m.Name == read.With.Text {
				e.Instrument = m.ID
			}
		}
	}
	e.Swaps = completed(e.Swaps, Swaps(read, c.Sheet))
	if c.Sheet == nil {
		return nil, 0, nil
	}
	if err := c.read(meters, mains); err != nil { // finds the entries that do not fit
		return nil, 0, err
	}
	log := slices.DeleteFunc(slices.Clone(c.Log), func(x record.Entry) bool {
		return slices.ContainsFunc(c.Unfit, func(u Unfit) bool { return u.Entry == x.ID })
	})
	trial := *e
	trial.ID, trial.Number = unwritten, len(c.Log)+1
	p := compose(&c.Unit, &c.Job, c.Version.Name+".sheet.yaml", meters, append(log, trial), mains)
	line := p.lineOf[unwritten]
	c.Case, err = logbook.Parse("case", []byte(p.text.String()), c.Sheet)
	if err != nil {
		return nil, 0, wrong(err, line)
	}
	report, err := findings.Judge(c.Case, c.Sheet)
	if err != nil {
		return nil, 0, wrong(err, line)
	}
	return report, line, nil
}

// completed gives the swaps with what the sheet knows of the parts where it was
// not said.
func completed(said, known []record.Swap) []record.Swap {
	if len(said) == 0 {
		return known
	}
	said = slices.Clone(said)
	for i := range said {
		s := &said[i]
		for _, k := range known {
			if k.Part != s.Part {
				continue
			}
			s.Kind, s.OutFamily, s.OutBatch = cmp.Or(s.Kind, k.Kind), cmp.Or(s.OutFamily, k.OutFamily), cmp.Or(s.OutBatch, k.OutBatch)
			s.OutMarking, s.InMarking = cmp.Or(s.OutMarking, k.OutMarking), cmp.Or(s.InMarking, k.InMarking)
		}
	}
	return said
}

// unwritten stands for an entry that is not in the records yet.
const unwritten record.ID = -1

// wrong gives what is wrong with an entry; at is its line in the case, 0 when it
// was read by itself. Other errors are left as they are.
func wrong(err error, at int) error {
	var problems form.Problems
	if !errors.As(err, &problems) {
		return err
	}
	var list Wrong
	for _, p := range problems {
		if at == 0 || p.Line == at {
			list = append(list, told(p))
		}
	}
	if len(list) == 0 {
		return err
	}
	return list
}
