package findings

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/experience"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/prediction"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/signal"
	"halfsplit/wiring"
)

// simulated is a circuit of the sheet as a section of the unit.
type simulated struct {
	name    string
	circuit *sheet.Circuit
	wired   *wiring.Circuit
	flow    flow.Section
	solver  *solver
	rails   []prediction.Rail       // what each output should do
	boards  map[string][]string     // the blocks on each board
	bears   map[string]fault.Stress // what each part bears when all is sound
}

// simulate makes a section of every circuit of the sheet that can be solved, and
// says why where one cannot.
func (w *work) simulate(ctx context.Context, d *flow.Description) error {
	if w.with.Circuits == NoCircuits {
		return nil
	}
	for name, c := range w.sheet.Circuits.All() {
		if c == nil {
			continue
		}
		one, err := w.section(ctx, name.Text, c, d)
		var missing form.Problems
		switch {
		case errors.As(err, &missing):
			w.leftOut(name.Text, missing[0].Message)
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			w.leftOut(name.Text, err.Error())
		case one != nil:
			w.sections = append(w.sections, one)
			d.Sections = append(d.Sections, one.flow)
		}
	}
	return nil
}

// leftOut reports a circuit that is not solved.
func (w *work) leftOut(circuit, why string) {
	w.report.NotSolved = append(w.report.NotSolved, NotSolved{Circuit: circuit, Why: why})
}

// errOwnPace says why a circuit is not solved unasked.
var errOwnPace = errors.New("it sets its own pace, so trying each of its faults takes minutes; ask for all circuits to have it solved, once, and kept")

// section makes a section of one circuit, with its sound forecast.
func (w *work) section(ctx context.Context, name string, c *sheet.Circuit, d *flow.Description) (*simulated, error) {
	wired, err := w.sheet.Wire(c, wiring.Running)
	if err != nil {
		return nil, err
	}
	s := &simulated{name: name, circuit: c, wired: wired, boards: map[string][]string{}, flow: flow.Section{Name: "circuit " + name}}
	predictor, err := prediction.New(wired, prediction.Settings{Cache: w.with.Cache})
	if err != nil {
		return nil, err
	}
	if w.with.Circuits == QuickCircuits && predictor.SetsItsOwnPace() {
		return nil, errOwnPace
	}
	s.solver = &solver{ctx: ctx, predictor: predictor, memo: map[string]*solution{}}
	for i := range w.sheet.Blocks {
		if b := &w.sheet.Blocks[i]; b.Board != "" {
			s.boards[b.Board] = append(s.boards[b.Board], b.Name.Text)
		}
	}
	s.nets(d)
	s.parts(w.sheet, w.with.Experience)
	sound, err := predictor.Forecast(ctx, prediction.Bench{}, nil)
	if err != nil {
		return nil, err
	}
	if reason := broken(sound); reason != "" {
		return nil, errors.New(reason)
	}
	w.rails(s, sound)
	s.strain(w.sheet, sound)
	if reason := s.disagrees(w.sheet, sound); reason != "" {
		return nil, errors.New(reason)
	}
	s.solver.section = s
	s.flow.Solver = s.solver
	return s, nil
}

// broken says why a forecast of a sound circuit is of no use; empty when it is.
func broken(f *prediction.Forecast) string {
	for _, way := range f.Ways {
		if way.Behaviour == prediction.NoSolution && way.Weight > 0.5 {
			return "even sound it has no solution: " + way.Why
		}
	}
	return ""
}

// disagrees says where the sound circuit does not keep the limits of the sheet's
// own rails; empty when it keeps them all.
func (s *simulated) disagrees(sh *sheet.Sheet, sound *prediction.Forecast) string {
	for i, name := range s.flow.Outputs {
		r := sh.Rail(name)
		if r == nil || r.Nominal == nil {
			continue
		}
		mean, deviation, ok := sound.Ways[0].Predict(prediction.Observable{Aspect: prediction.Level, Node: name}, nil)
		rail := s.rails[i]
		if ok && (mean < rail.Low-2*deviation || mean > rail.High+2*deviation) {
			limits := quantity.Interval{Low: rail.Low, High: rail.High, Unit: quantity.Volt}
			return fmt.Sprintf("with nothing wrong it gives %s at %s, where the sheet allows %s: one of the two is mistaken",
				quantity.FormatUncertain(mean, 2*deviation, quantity.Volt), name, limits)
		}
	}
	return ""
}

// nets says which nodes feed the circuit and which it makes. A source stands for
// what feeds it where its node is a signal of the unit.
func (s *simulated) nets(d *flow.Description) {
	known := map[string]bool{}
	for _, b := range d.Blocks {
		for _, n := range slices.Concat(b.Inputs, b.Outputs, b.Supplies) {
			known[n] = true
		}
	}
	for _, source := range d.Sources {
		known[source.Net] = true
	}
	for _, p := range s.wired.Parts {
		if !strings.HasSuffix(p.Is.Name, "source") || !slices.Contains(p.Nodes, s.wired.Ground) {
			continue
		}
		for _, n := range p.Nodes {
			if n == s.wired.Ground || !known[n] {
				continue
			}
			at := slices.Index(s.flow.Inputs, n)
			if at < 0 {
				at = len(s.flow.Inputs)
				s.flow.Inputs = append(s.flow.Inputs, n)
				s.solver.sources = append(s.solver.sources, nil)
			}
			s.solver.sources[at] = append(s.solver.sources[at], p.Name)
		}
	}
	for _, p := range s.wired.Parts {
		for _, n := range p.Nodes {
			if n != s.wired.Ground && !slices.Contains(s.flow.Inputs, n) && !slices.Contains(s.flow.Outputs, n) {
				s.flow.Outputs = append(s.flow.Outputs, n)
			}
		}
		if p.Is.Name == "load" {
			s.solver.loads = append(s.solver.loads, p.Name)
		}
	}
}

// parts lists the parts with what their faults do. A part called after another
// one and a blank ("U1 R3") is inside of it.
func (s *simulated) parts(sh *sheet.Sheet, learned *experience.Tally) {
	names := map[string]bool{}
	for _, p := range s.wired.Parts {
		names[p.Name] = true
	}
	for _, p := range s.wired.Parts {
		if p.Is.FailsAs == "" {
			continue
		}
		kind, _ := fault.Find(p.Is.FailsAs)
		one := flow.SectionPart{Part: flow.Part{Name: p.Name, Kind: kind}}
		if factor, _ := seen(nil, kind, learned); factor != 1 {
			one.Odds = factor
		}
		if known := sh.Part(p.Name); known != nil && known.Kind.Text != "" {
			one.Part = partItem(known, learned)
			one.Kind.Modes = kind.Modes // as the circuit takes it
		}
		if of, _, inside := strings.Cut(p.Name, " "); inside && (sh.Part(of) != nil || sh.Block(of) != nil) {
			one.Of = of
		}
		acts := fault.Acts(p.Is.Name, len(p.Nodes))
		for _, act := range acts {
			one.Acts = append(one.Acts, flow.Act{Mode: act.Mode, Name: act.String(), Share: act.Share})
		}
		s.flow.Parts = append(s.flow.Parts, one)
		s.solver.acts = append(s.solver.acts, acts)
	}
}

// rails works out what each output should do: as the sheet says, and otherwise
// as the sound circuit does.
func (w *work) rails(s *simulated, sound *prediction.Forecast) {
	for _, name := range s.flow.Outputs {
		mean, deviation, ok := sound.Ways[0].Predict(prediction.Observable{Aspect: prediction.Level, Node: name}, nil)
		ripple, spread, moves := sound.Ways[0].Predict(prediction.Observable{Aspect: prediction.Ripple, Node: name}, nil)
		if !ok {
			mean, deviation = 0, 1
		}
		half := math.Max(3*deviation, math.Max(0.05*math.Abs(mean), 0.05))
		rail := prediction.Rail{Expectation: signal.Expectation{Nominal: mean, Low: mean - half, High: mean + half}}
		if moves && ripple > leastRipple*math.Max(math.Abs(mean), 1) {
			rail.Ripple = math.Max(1.5*ripple+3*spread, 0.01*math.Abs(mean))
			if ripple > leastSignal && s.carriesSignal() {
				rail.Signal = math.Max(ripple/2-3*spread, 0)
			}
		}
		if r := w.sheet.Rail(name); r != nil && r.Nominal != nil {
			x := expected{value: r.Nominal, rail: true}
			if limit, err := w.limit(x, r.Limits, "the sheet", r); err == nil {
				rail.Expectation = signal.Expectation{Nominal: r.Nominal.Value, Low: limit.Low, High: limit.High}
			}
			if r.Ripple != nil {
				rail.Ripple = r.Ripple.Value
			}
		}
		s.rails = append(s.rails, rail)
	}
}

// leastSignal is the signal, peak to peak in volt, that a hand-held meter shows.
// Common practice, no source.
const leastSignal = 10e-3

// carriesSignal reports whether a signal drives the circuit, so that what moves in
// it should move. What is less than half as large as it should be is missed
// (6 dB, common practice, no source).
func (s *simulated) carriesSignal() bool {
	return slices.ContainsFunc(s.wired.Parts, func(p wiring.Placed) bool {
		return p.Is.Name == "sine source" || p.Is.Name == "pulse source"
	})
}

// strain lets what the parts bear in the sound circuit have its part in their
// odds, beyond what their age has.
func (s *simulated) strain(sh *sheet.Sheet, sound *prediction.Forecast) {
	s.bears = sound.Ways[0].Bears
	for i := range s.flow.Parts {
		p := &s.flow.Parts[i]
		bears, ok := sound.Ways[0].Bears[p.Name]
		if !ok {
			continue
		}
		known := sh.Part(p.Name)
		without, _ := worn(known, p.Kind, fault.Stress{}, nil)
		with, _ := worn(known, p.Kind, bears, nil)
		p.Strain = with / without
	}
}

// pulled reports whether a load of the circuit stands for something that is
// disconnected: a block, or a board all of whose blocks are.
func (s *simulated) pulled(load string, without []string) bool {
	if slices.Contains(without, load) {
		return true
	}
	blocks := s.boards[load]
	return len(blocks) > 0 && !slices.ContainsFunc(blocks, func(b string) bool { return !slices.Contains(without, b) })
}

// leastRipple is the ripple, as a share of the voltage, below which a rail counts as
// one that does not move.
const leastRipple = 1e-6

// reached reports whether a node of a circuit can be probed by what the circuit
// says.
func (s *simulated) reached(node string) bool {
	return slices.ContainsFunc(s.circuit.Reach, func(n form.Word) bool { return n.Text == node })
}

// tryFaults works out what every fault does to the circuits, in every state of
// the bench in which something was read and in which the next test would be made.
func (w *work) tryFaults(ctx context.Context) error {
	scenes := []flow.Scene{w.now()}
	for i := range w.observations {
		scenes = append(scenes, w.observations[i].scene)
	}
	for number, s := range w.sections {
		var wanted []*flow.Circumstances
		seen := map[string]bool{}
		for i := range scenes {
			bench := w.model.Circumstances(number, &scenes[i])
			if key := fmt.Sprint(bench); seen[key] {
				continue
			} else {
				seen[key] = true
			}
			wanted = append(wanted, &bench)
			for part := range s.flow.Parts {
				for act := range s.flow.Parts[part].Acts {
					one := bench
					one.Failing = []flow.Failing{{Part: part, Act: act}}
					wanted = append(wanted, &one)
				}
			}
		}
		faults := 0
		for _, p := range s.flow.Parts {
			faults += len(p.Acts)
		}
		w.report.Solved = append(w.report.Solved, Solved{Circuit: s.name, Faults: faults})
		var progress func(done, of int)
		if w.with.Progress != nil {
			progress = func(done, of int) { w.with.Progress(s.name, done, of) }
		}
		if err := s.solver.foresee(ctx, wanted, progress); err != nil {
			return err
		}
	}
	return nil
}
