package circuit

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"
)

// bench translates one case of the check data into a circuit and measures it.
// The shorthand of that data stays here.
type bench struct {
	t      *testing.T
	c      referenceCase
	points map[string]*OperatingPoint
	trace  *Trace
	steady *Steady
	steps  []*OperatingPoint
	sample *sampled
}

var background = context.Background()

// fine is the accuracy asked for in time.
var fine = Settings{Accuracy: 1e-7, VoltageFloor: 1e-9, CurrentFloor: 1e-12}

// part returns the entry of a part.
func (b *bench) part(ref string) map[string]any {
	for _, p := range b.c.Parts {
		if p["ref"] == ref {
			return p
		}
	}
	b.t.Fatalf("no part %s", ref)
	return nil
}

func value(p map[string]any, key string, standard float64) float64 {
	if v, ok := p[key]; ok {
		return number(v)
	}
	return standard
}

// circuit builds the case, changed as an expectation says.
func (b *bench) circuit(with map[string]any) *Circuit {
	c := New("0")
	for _, p := range b.c.Parts {
		ref := p["ref"].(string)
		change, changed := with[ref]
		if changed && (change == "open" || change == "removed") {
			continue
		}
		q := map[string]any{}
		for k, v := range p {
			q[k] = v
		}
		if changed {
			if m, ok := change.(map[string]any); ok {
				for k, v := range m {
					q[k] = v
				}
			} else {
				q[mainValue[p["kind"].(string)]] = change
			}
		}
		if b.c.ID == "flyback-dcm-ideal" && ref == "C1" {
			// Its values hold "in the constant-output limit (C large)".
			q["value"], q["ic"] = 0.1, 11.0
		}
		b.add(c, ref, q)
	}
	if b.c.ID == "blocking-converter" {
		// The case has a "large C" and takes the output as constant.
		c.Add("COUT", Capacitor{Capacitance: 1, InitialVoltage: 16.2}, "out", "0")
	}
	return c
}

var mainValue = map[string]string{"resistor": "value", "capacitor": "value", "inductor": "value", "voltage-source": "dc",
	"current-source": "dc", "meter": "rin", "coupling": "k"}

// wave translates the wave of a source.
func wave(p map[string]any) Wave {
	if m, ok := p["sine"].(map[string]any); ok {
		return Sine{Offset: value(m, "offset", 0), Peak: value(m, "amp", 0), Frequency: value(m, "freq", 0), Phase: value(m, "phase_deg", 0)}
	}
	if m, ok := p["step"].(map[string]any); ok {
		return Step{From: value(m, "from", 0), To: value(m, "to", 0), At: value(m, "at", 0)}
	}
	return nil
}

// add translates one part.
func (b *bench) add(c *Circuit, ref string, p map[string]any) {
	var nodes []string
	if list, ok := p["nodes"].([]any); ok {
		for _, n := range list {
			nodes = append(nodes, fmt.Sprint(n))
		}
	}
	v := func(key string, standard float64) float64 { return value(p, key, standard) }
	switch kind := p["kind"].(string); kind {
	case "resistor":
		c.Add(ref, Resistor{Resistance: v("value", 0)}, nodes...)
	case "meter":
		c.Add(ref, Resistor{Resistance: v("rin", 0)}, nodes...)
	case "capacitor":
		c.Add(ref, Capacitor{Capacitance: v("value", 0), InitialVoltage: v("ic", 0)}, nodes...)
	case "inductor":
		c.Add(ref, Inductor{Inductance: v("value", 0), InitialCurrent: v("ic", 0)}, nodes...)
	case "coupling":
		of := p["of"].([]any)
		c.Add(ref, Coupling{First: of[0].(string), Second: of[1].(string), Factor: v("k", 0)})
	case "voltage-source":
		c.Add(ref, VoltageSource{DC: v("dc", 0), AC: v("ac", 0), Wave: wave(p)}, nodes...)
	case "current-source":
		c.Add(ref, CurrentSource{DC: v("dc", 0), AC: v("ac", 0), Wave: wave(p)}, nodes...)
	case "diode":
		c.Add(ref, Diode{SaturationCurrent: v("saturation_current", 0), Ideality: v("ideality", 1), Breakdown: v("breakdown_voltage", 0),
			BreakdownCurrent: v("breakdown_current", 0), BreakdownIdeality: v("breakdown_ideality", 1)}, nodes...)
	case "straight-line-diode":
		c.Add(ref, StraightDiode{ForwardDrop: v("vf", 0), SlopeResistance: v("ron", 0)}, nodes...)
	case "npn", "pnp":
		polarity := N
		if kind == "pnp" {
			polarity = P
		}
		c.Add(ref, Bipolar{Polarity: polarity, SaturationCurrent: v("saturation_current", 0), Gain: v("forward_gain", 0), ReverseGain: v("reverse_gain", 0)}, nodes...)
	case "n-jfet":
		c.Add(ref, JFET{SaturatedCurrent: v("idss", 0), CutOff: -v("vp", 0)}, nodes...)
	case "opamp":
		if _, clamped := p["vmax"]; clamped && p["ideal"] == true {
			c.Add(ref, Comparator{High: v("vmax", 0), Low: v("vmin", 0)}, nodes...)
			return
		}
		c.Add(ref, OpAmp{Ideal: p["ideal"] == true, Gain: v("a0", 0), GainBandwidth: v("gbw", 0), InputResistance: v("rin", 0), OutputResistance: v("rout", 0)}, nodes...)
	case "switch":
		s := Switch{OnResistance: v("ron", 0), OffResistance: v("roff", 0), Period: v("period", 0), Duty: v("duty", 0)}
		b.control(&s)
		c.Add(ref, s, nodes...)
	case "comparator":
		// Its thresholds move the switch; see control.
	case "thyristor":
		c.Add(ref, Thyristor{GateVoltage: v("vgt", 0), GateCurrent: v("igt", 0), HoldingCurrent: v("ih", 0), OnVoltage: v("von", 0), SlopeResistance: v("ron", 0)}, nodes...)
	case "lamp":
		c.Add(ref, Lamp{ColdResistance: v("rcold", 0), Ambient: v("t0", 0), Exponent: v("alpha", 0), Radiation: v("kr", 0), HeatCapacity: v("cth", 0)}, nodes...)
	default:
		b.t.Fatalf("part %s: kind %q is not handled", ref, kind)
	}
}

// control gives a switch its conditions where the case describes them in words.
func (b *bench) control(s *Switch) {
	if b.c.IPeak > 0 {
		s.Closed = true
		s.OpenWhen = &Condition{Of: Current("L1"), Level: b.c.IPeak}
		s.CloseWhen = &Condition{Of: Current("D1"), Level: 0, Falling: true}
	}
	for _, p := range b.c.Parts {
		if p["kind"] == "comparator" {
			node, supply := fmt.Sprint(p["nodes"].([]any)[0]), value(b.part("VCC"), "dc", 0)
			s.CloseWhen = &Condition{Of: Voltage(node), Level: value(p, "high", 0) * supply}
			s.OpenWhen = &Condition{Of: Voltage(node), Level: value(p, "low", 0) * supply, Falling: true}
		}
	}
}

// quantity reads the grammar of the check data. Sign is -1 where the current
// is counted the other way round.
func (b *bench) quantity(of string) (Quantity, float64, error) {
	open := strings.IndexByte(of, '(')
	if open < 0 || !strings.HasSuffix(of, ")") {
		return Quantity{}, 0, fmt.Errorf("%q is not handled", of)
	}
	names := strings.Split(of[open+1:len(of)-1], ",")
	switch what := of[:open]; {
	case what == "v" && len(names) == 2:
		return VoltageBetween(names[0], names[1]), 1, nil
	case what == "v":
		return Voltage(names[0]), 1, nil
	case what == "i":
		return Current(names[0]), 1, nil
	case what == "p":
		return Power(names[0]), 1, nil
	case what == "ic":
		return PinCurrent(names[0], "collector"), 1, nil
	case what == "ib":
		return PinCurrent(names[0], "base"), 1, nil
	case what == "ie":
		return PinCurrent(names[0], "emitter"), 1, nil
	case what == "temperature_k":
		return Temperature(names[0]), 1, nil
	}
	return Quantity{}, 0, fmt.Errorf("%q is not handled", of)
}

func (b *bench) solver(with map[string]any, set Settings) (*Solver, error) {
	return b.circuit(with).Solver(set)
}

// operating finds the operating point of the case, changed as asked.
func (b *bench) operating(with map[string]any) (*OperatingPoint, error) {
	key := fmt.Sprint(with)
	if op, ok := b.points[key]; ok {
		return op, nil
	}
	s, err := b.solver(with, Settings{})
	if err != nil {
		return nil, err
	}
	op, err := s.OperatingPoint(background)
	if err == nil {
		b.points[key] = op
		b.t.Logf("%s after %d iterations", op.Help, op.Iterations)
	}
	return op, err
}

// value reads a quantity of the operating point.
func (b *bench) value(q Quantity, with map[string]any) (float64, error) {
	op, err := b.operating(with)
	if err != nil {
		return 0, err
	}
	return op.Value(q)
}

// phasor reads a small signal.
func (b *bench) phasor(q Quantity, freq float64) (complex128, error) {
	op, err := b.operating(nil)
	if err != nil {
		return 0, err
	}
	r, err := op.s.AC(background, op, []float64{freq})
	if err != nil {
		return 0, err
	}
	return r.Value(0, q)
}

// recorded lists the quantities that the expectations name.
func (b *bench) recorded() []Quantity {
	var list []Quantity
	seen := map[Quantity]bool{}
	add := func(q Quantity) {
		if !seen[q] {
			seen[q] = true
			list = append(list, q)
		}
	}
	for _, e := range b.c.expectations() {
		of := e.of
		if i := strings.IndexByte(of, ' '); i > 0 {
			of = of[i+1:]
		}
		if strings.HasPrefix(of, "lossless") {
			continue
		}
		if q, _, err := b.quantity(of); err == nil {
			add(q)
		}
	}
	for _, p := range b.c.Parts {
		if kind := p["kind"]; kind == "inductor" || kind == "straight-line-diode" {
			add(Current(p["ref"].(string)))
		}
	}
	return list
}

// run follows the case in time, cold, until the last time asked for.
func (b *bench) run(until float64) (*Trace, error) {
	if b.trace != nil {
		return b.trace, nil
	}
	run := Run{Cold: true, Record: b.recorded(), Until: until}
	// Long enough for what happens after the last time asked for.
	run.Until = max(until, map[string]float64{"tr-resonant-charge": 0.0015, "tr-relay-freewheel": 0.01}[b.c.ID])
	for _, e := range b.c.expectations() {
		if e.timed {
			run.At = append(run.At, e.t)
			run.Until = max(run.Until, e.t*1.01)
		}
	}
	sort.Float64s(run.At)
	set := fine
	set.Accuracy = 5e-11
	s, err := b.solver(nil, set)
	if err != nil {
		return nil, err
	}
	b.trace, err = s.Transient(background, run)
	b.t.Logf("%d steps, %d iterations", s.stepper.steps, s.iterated)
	return b.trace, err
}

// timed reads a quantity at a time of the run. At time zero itself it is what
// the sources have just jumped to.
func (b *bench) timed(q Quantity, sign, at float64) (float64, error) {
	tr, err := b.run(0)
	if err != nil {
		return 0, err
	}
	v, err := tr.At(q, at)
	return sign * v, err
}

// sequence takes the source through its listed values; each operating point
// begins where the last one ended.
func (b *bench) sequence(q Quantity, step int) (float64, error) {
	op, err := b.inSequence(step)
	if err != nil {
		return 0, err
	}
	return op.Value(q)
}

func (b *bench) inSequence(step int) (*OperatingPoint, error) {
	from := State{}
	for i := len(b.steps); i <= step; i++ {
		if i > 0 {
			from = b.steps[i-1].State()
		}
		s, err := b.solver(map[string]any{"V1": b.c.Sequence[i]}, Settings{})
		if err != nil {
			return nil, err
		}
		op, err := s.OperatingPointFrom(background, from)
		if err != nil {
			return nil, err
		}
		b.steps = append(b.steps, op)
	}
	return b.steps[step], nil
}

// bisect finds where f changes sign.
func bisect(low, high float64, f func(float64) (float64, error)) (float64, error) {
	at, err := f(low)
	if err != nil {
		return 0, err
	}
	for range 200 {
		half := (low + high) / 2
		if half == low || half == high {
			break
		}
		v, err := f(half)
		if err != nil {
			return 0, err
		}
		if (v > 0) == (at > 0) {
			low = half
		} else {
			high = half
		}
	}
	return (low + high) / 2, nil
}

// peak finds the maximum of f by golden section.
func peak(low, high float64, f func(float64) (float64, error)) (float64, error) {
	g := (math.Sqrt(5) - 1) / 2
	a, b := high-g*(high-low), low+g*(high-low)
	fa, err := f(a)
	if err != nil {
		return 0, err
	}
	fb, err := f(b)
	for range 90 {
		if err != nil {
			return 0, err
		}
		if fa < fb {
			low, a, fa = a, b, fb
			b = low + g*(high-low)
			fb, err = f(b)
		} else {
			high, b, fb = b, a, fa
			a = high - g*(high-low)
			fa, err = f(a)
		}
	}
	return (low + high) / 2, nil
}
