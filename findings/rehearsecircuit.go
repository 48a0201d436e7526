package findings

import (
	"context"
	"errors"
	"math"
	"slices"

	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/metrology"
	"halfsplit/prediction"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
	"halfsplit/signal"
)

// Benches are those of the circuits of a sheet.
type Benches struct {
	Names     []string // of the circuits
	Benches   []*rehearsal.CircuitBench
	NotSolved []NotSolved
}

// CircuitBenches makes the bench of each circuit of a sheet for a rehearsal: every
// act of every part of it, with every reading in it within reach and every test of
// a part by itself. Where a circuit cannot be solved, or sets its own pace so that
// each unit of it would take minutes to make, the reason is given. The error is
// that of the context, which bounds the making of units too.
func CircuitBenches(ctx context.Context, s *sheet.Sheet, with Options) (*Benches, error) {
	list := &Benches{}
	for name, c := range s.Circuits.All() {
		if c == nil {
			continue
		}
		bench, err := circuitBench(ctx, s, name.Text, c, with)
		var missing form.Problems
		why := ""
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case errors.As(err, &missing):
			why = missing[0].Message
		case errors.Is(err, errOwnPace):
			why = "it sets its own pace, so each of the units that a rehearsal makes would take minutes"
		case err != nil:
			why = err.Error()
		default:
			list.Names, list.Benches = append(list.Names, name.Text), append(list.Benches, bench)
			continue
		}
		list.NotSolved = append(list.NotSolved, NotSolved{Circuit: name.Text, Why: why})
	}
	return list, nil
}

// circuitBench makes the bench of one circuit.
func circuitBench(ctx context.Context, s *sheet.Sheet, name string, c *sheet.Circuit, with Options) (*rehearsal.CircuitBench, error) {
	with.Circuits = QuickCircuits
	w := &work{sheet: s, logCase: &logbook.Case{}, report: &Report{}, with: with}
	description := network(s, with.Experience)
	one, err := w.section(ctx, name, c, &description)
	if err != nil {
		return nil, err
	}
	description.Sections = []flow.Section{one.flow}
	w.sections = []*simulated{one}
	if w.model, err = flow.Compile(description); err != nil {
		return nil, err
	}
	bench := rehearsal.Circuit{
		Predictor: one.solver.predictor, Nodes: one.wired.Nodes(), Outputs: one.noticed(s), Meter: meterOf(usualMeter),
		Lost: lostMinutes, Undescribed: undescribed, Slips: signal.Slip,
	}
	if with.Progress != nil {
		bench.Progress = func(done, of int) { with.Progress(name, done, of) }
	}
	candidates := w.sectionFaults(one, &bench)
	if len(candidates) == 0 {
		return nil, errors.New("no part of it can fail in a way that can be solved")
	}
	w.sectionTests(one, candidates, &bench, positions(description))
	return rehearsal.FromCircuit(ctx, bench)
}

// sectionFaults enters the suspects and what can be wrong with them, and gives
// the candidates that stand for it.
func (w *work) sectionFaults(one *simulated, bench *rehearsal.Circuit) (candidates []int) {
	costs := w.swapCosts()
	suspects := map[int]int{} // by item
	for i := range w.model.Candidates {
		c := &w.model.Candidates[i]
		_, failing, ok := w.model.Failing(i)
		if !ok {
			continue
		}
		suspect, known := suspects[c.Item]
		if !known {
			suspect = len(bench.Suspects)
			suspects[c.Item] = suspect
			bench.Suspects = append(bench.Suspects, rehearsal.Suspect{Name: w.model.Items[c.Item].Name, Replace: costs[c.Item]})
		}
		bench.Faults = append(bench.Faults, rehearsal.CircuitFault{
			Suspect: suspect, Name: c.Name, Prior: c.Prior,
			Trouble: prediction.Trouble{Part: one.flow.Parts[failing.Part].Name, Act: one.solver.acts[failing.Part][failing.Act]},
		})
		candidates = append(candidates, i)
	}
	return candidates
}

// sectionTests enters the readings in the circuit and the tests of its parts.
func (w *work) sectionTests(one *simulated, candidates []int, bench *rehearsal.Circuit, places map[string]int) {
	add := func(c *candidate) *rehearsal.CircuitTest {
		bench.Tests = append(bench.Tests, rehearsal.CircuitTest{Name: c.what, Cost: c.minutes + setUp, Position: -1})
		return &bench.Tests[len(bench.Tests)-1]
	}
	for n, name := range w.model.Nets() {
		at, solved := w.spot(place{net: n, ok: true})
		if !solved {
			continue
		}
		for _, c := range w.numberTests(n, name, at, w.now()) {
			t := add(&c)
			t.Of, t.Bench = one.observable(c.test.Number), prediction.Bench{Off: c.test.Scene.Off}
			if place, known := places[name]; known && t.Of.Aspect == prediction.Level {
				t.Position = place
			}
		}
	}
	showing := w.model.Showing()
	for i, item := range w.model.Items {
		if !slices.ContainsFunc(candidates, func(c int) bool { return w.model.Candidates[c].Item == i }) {
			continue
		}
		for _, c := range w.itemTests(i, item, w.now(), place{}, false) {
			t := add(&c)
			for _, fault := range candidates {
				t.Bad = append(t.Bad, showing.Chances(&c.test, []int{fault})[0])
			}
			t.Bad = append(t.Bad, showing.Undescribed(&c.test)[0])
		}
	}
}

// noticed lists the outputs of a circuit at which its troubles are noticed: the
// rails that no other rail in it lives on; where it makes no rail, the nodes
// within reach.
func (s *simulated) noticed(sh *sheet.Sheet) []rehearsal.CircuitOutput {
	feeds := map[string]bool{}
	for _, r := range sh.Rails {
		if slices.Contains(s.flow.Outputs, r.Name.Text) {
			for _, from := range r.From {
				feeds[from.Text] = true
			}
		}
	}
	var rails, reached []rehearsal.CircuitOutput
	for i, node := range s.flow.Outputs {
		one := rehearsal.CircuitOutput{Node: node, Rail: s.rails[i]}
		switch {
		case sh.Rail(node) != nil && !feeds[node]:
			rails = append(rails, one)
		case s.reached(node):
			reached = append(reached, one)
		}
	}
	if len(rails) == 0 {
		return reached
	}
	return rails
}

// meterOf gives the standard uncertainty of readings with a meter; where it has
// no range, 3 % (common practice, no source).
func meterOf(name string) func(of prediction.Observable, value float64) float64 {
	meter, known := metrology.InstrumentByName(name)
	functions := map[prediction.Aspect]metrology.Function{
		prediction.Level: metrology.DCVolts, prediction.RMS: metrology.ACVolts, prediction.Resistance: metrology.Ohms, prediction.Frequency: metrology.Frequency,
	}
	return func(of prediction.Observable, value float64) float64 {
		if known == nil {
			m, err := meter.Evaluate(metrology.Reading{Function: functions[of.Aspect], Values: []float64{value}})
			if err == nil {
				if estimate, err := m.Estimate(); err == nil && estimate.U > 0 {
					return estimate.U
				}
			}
		}
		return math.Max(0.03*math.Abs(value)/math.Sqrt(3), 1e-3)
	}
}
