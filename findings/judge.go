package findings

import (
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// Judge draws from a case what each entry says by itself, without looking for
// suspects: verdicts, capacitors, memories, hazards and what could not be used.
// It solves no circuit and takes no time to speak of. Values in the case that
// cannot be read are form.Problems.
func Judge(c *logbook.Case, s *sheet.Sheet) (*Report, error) {
	w := &work{sheet: s, logCase: c, report: &Report{Unit: c.Unit.Model, Serial: c.Unit.Serial, Sheet: s.File(), Covers: s.Model.Covers}}
	var err error
	if w.model, err = flow.Compile(network(s, nil)); err != nil {
		return nil, form.Problems{{File: s.File(), Message: err.Error()}}
	}
	w.evidence = w.model.NewEvidence()
	w.compileChecks()
	w.readLog()
	if err := w.problems.In(c.File()).Err(); err != nil {
		return nil, err
	}
	w.hazards()
	return w.report, nil
}
