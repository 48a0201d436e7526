package findings

import (
	"context"
	"fmt"
	"math"

	"halfsplit/diagnosis"
	"halfsplit/experience"
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/hazard"
	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// undescribed is the prior chance that the trouble is something the sheet does
// not describe. Common practice, no source.
const undescribed = 0.1

// work is the state of one reasoning.
type work struct {
	sheet   *sheet.Sheet
	logCase *logbook.Case
	model   *flow.Model
	report  *Report

	evidence     *flow.Evidence
	observations []observation // one for each piece of evidence, in its order
	tests        []tested
	checks       map[string]*flow.Check
	proposals    int // the most tests to propose
	surer        *surer
	with         Options
	sections     []*simulated
	replaced     []int
	epoch        int
	moment       int     // how often something came or went by itself
	symptoms     []place // where symptoms were seen
	last         flow.Scene
	problems     form.Problems
	dangers      []hazard.Item // as the report's hazards, in their order

	problem      diagnosis.Problem
	asFound      []diagnosis.Explanation // what was replaced included
	explanations []diagnosis.Explanation // of what remains
}

// Circuits says which circuits of a sheet are solved with each of their parts
// failing.
type Circuits int

// The choices.
const (
	QuickCircuits Circuits = iota // those that take seconds
	AllCircuits                   // all, though some take minutes when nothing of them is kept
	NoCircuits
)

// Options say how a case is reasoned over. The zero value will do.
type Options struct {
	Circuits Circuits
	Cache    prediction.Cache // keeps what circuits were found to do; nothing is kept when nil
	// Experience is what a bench has learned of failing parts, which changes their
	// odds; the usual odds hold when nil.
	Experience *experience.Tally
	// Progress, when not nil, is told how many of the faults of a circuit were
	// tried.
	Progress func(circuit string, done, of int)
}

// Reason draws everything from a case and its sheet. Values in the case that
// cannot be read are form.Problems; the context cancels long searches.
func Reason(ctx context.Context, c *logbook.Case, s *sheet.Sheet, with Options) (*Report, error) {
	return reason(ctx, c, s, with, mostProposals)
}

// reason is Reason with the number of tests to propose.
func reason(ctx context.Context, c *logbook.Case, s *sheet.Sheet, with Options, proposals int) (*Report, error) {
	w := &work{proposals: proposals, with: with, sheet: s, logCase: c, report: &Report{Sheet: s.File(), Covers: s.Model.Covers}}
	w.report.Unit, w.report.Serial = c.Unit.Model, c.Unit.Serial
	if w.report.Unit == "" {
		w.report.Unit = joinWords(s.Model.Maker, s.Model.Name)
	}
	description := network(s, with.Experience)
	if err := w.simulate(ctx, &description); err != nil {
		return nil, err
	}
	var err error
	if w.model, err = flow.Compile(description); err != nil {
		return nil, form.Problems{{File: s.File(), Message: err.Error()}}
	}
	w.evidence = w.model.NewEvidence()
	w.compileChecks()
	w.readLog()
	if err := w.problems.In(c.File()).Err(); err != nil {
		return nil, err
	}
	w.hazards()
	if err := w.tryFaults(ctx); err != nil {
		return nil, err
	}
	if err := w.weigh(ctx); err != nil {
		return nil, err
	}
	w.disputes()
	if err := w.propose(); err != nil {
		return nil, err
	}
	w.prove()
	w.advise()
	return w.report, nil
}

func joinWords(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}

// fail reports a mistake in an entry.
func (w *work) fail(e *logbook.Entry, err error) {
	w.problems.Add(e.Place, err.Error(), "")
}

func (w *work) failAt(word form.Word, err error) {
	w.problems.Add(word.Place, err.Error(), "")
}

// compileChecks turns the tables of the sheet's checks into those of flow.
func (w *work) compileChecks() {
	w.checks = map[string]*flow.Check{}
	for i := range w.sheet.Checks {
		c := &w.sheet.Checks[i]
		check := &flow.Check{Otherwise: make([]float64, len(c.Answers))}
		if len(c.Otherwise) == 0 {
			check.Otherwise[0] = 1
		}
		number := map[string]int{}
		for a, answer := range c.Answers {
			number[answer.Text] = a
			if q, ok := c.Otherwise.Get(answer.Text); ok {
				check.Otherwise[a] = q.Value
			}
		}
		for _, cause := range c.Causes {
			chance := make([]float64, len(c.Answers))
			for answer, q := range cause.Then.All() {
				chance[number[answer.Text]] = q.Value
			}
			for _, word := range cause.If {
				for _, one := range w.causes(word.Text) {
					check.Rows = append(check.Rows, flow.Row{Cause: one, Chance: chance})
				}
			}
		}
		w.checks[c.Name.Text] = check
	}
}

// causes turns a cause of the sheet into those of flow: one for each item.
func (w *work) causes(text string) []flow.Cause {
	cause, err := w.sheet.Cause(text)
	if err != nil {
		return nil
	}
	if cause.Signal != "" {
		net, ok := w.model.Net(cause.Signal)
		if !ok {
			return nil
		}
		return []flow.Cause{{Item: -1, Net: net, State: cause.State, NotGood: cause.Bad}}
	}
	var list []flow.Cause
	for _, item := range w.itemsNamed(cause.Item) {
		list = append(list, flow.Cause{Item: item, Mode: cause.Mode})
	}
	return list
}

// check takes in the answer of a check.
func (w *work) check(e *logbook.Entry) {
	c := w.sheet.Check(e.Check.Text)
	check := w.checks[e.Check.Text]
	for _, read := range e.Reads {
		for a, answer := range c.Answers {
			if answer.Text != read.Text {
				continue
			}
			scene := w.scene(e, flow.Scene{})
			w.evidence.Checked(scene, flow.CheckReading{Check: check, Answer: a})
			w.note(e, fmt.Sprintf("%s: %s", c.Name.Text, read.Text), scene, place{name: c.Name.Text}, math.NaN())
		}
	}
}

// verdict adds the judgement of a measurement to the report.
func (w *work) verdict(e *logbook.Entry, at string, numbers []reading, v metrology.Verdict, meter string) {
	list := ""
	for i, r := range numbers {
		if i > 0 {
			list += ", "
		}
		list += r.text
	}
	unit := numbers[0].quantity.Unit
	one := Verdict{
		Line: e.Place.Line, At: at, Reading: list, Value: v.Estimate.Value, Unit: unit, Uncertainty: v.Expanded,
		Low: finite(v.Limit.Low), High: finite(v.Limit.High), Source: v.Limit.Source, Word: v.Word.String(), Conformity: v.Conformity.Conforming,
		Limit: v.Side.String(), Meter: meter, State: sceneText(e), verdict: v,
	}
	if v.Word == metrology.TooClose {
		one.Settle = settle(v.Settlement, unit)
	}
	w.report.Verdicts = append(w.report.Verdicts, one)
}

// finite gives a limit, or nil for a side that is free.
func finite(x float64) *float64 {
	if math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// settle says what would settle a reading that is too close to call.
func settle(s metrology.Settlement, unit quantity.Unit) string {
	text := ""
	for i, r := range s.Remedies {
		if i > 0 {
			text += ", or "
		}
		switch r {
		case metrology.MoreReadings:
			text += fmt.Sprintf("%d readings", s.Readings)
		case metrology.MoreDigits:
			text += "a last digit of " + quantity.FormatDigits(s.Resolution, unit, 1)
		case metrology.BetterMeter:
			text += "a meter good to ±" + quantity.FormatDigits(s.Bound, unit, 2)
		case metrology.BetterAll:
			text += "a standard uncertainty of " + quantity.FormatDigits(s.U, unit, 2)
		default:
			text += r.String()
		}
	}
	return text
}
