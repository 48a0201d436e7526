package prediction

import (
	"context"
	"math"
	"slices"

	"halfsplit/circuit"
	"halfsplit/wiring"
)

// The meters. On the ranges for resistance the open leads show too little to turn
// silicon on; the diode range pushes about a milliampere and shows the voltage
// across it. Common practice of digital multimeters, no single source.
const (
	lowVolts, lowOhms     = 0.2, 10.0
	diodeVolts, diodeOhms = 2.5, 2.5e3
	// insulated is the resistance that a meter shows at most, in ohm: what the
	// board itself lets pass.
	insulated = 1e9
)

// dead lists what is foretold of a circuit with power off: between each node and
// ground, and the pairs asked for, in both directions on the diode range.
func dead(ground string, nodes []string, pairs [][2]string) []Observable {
	var list []Observable
	add := func(a, b string) {
		list = append(list, Observable{Aspect: Resistance, Node: a, To: b}, Observable{Aspect: Resistance, Node: a, To: b, Diode: true})
		if b == "" {
			b = ground
		}
		list = append(list, Observable{Aspect: Resistance, Node: b, To: a}, Observable{Aspect: Resistance, Node: b, To: a, Diode: true})
	}
	for _, n := range nodes {
		add(n, "")
	}
	for _, p := range pairs {
		add(p[0], p[1])
	}
	return list
}

// ohms works out what the meters show between all points of the layout, and how
// that follows the tolerances of the parts. What has no solution is left broad.
func (p *Predictor) ohms(ctx context.Context, c *wiring.Circuit) (*Forecast, error) {
	w := Way{Weight: 1, Behaviour: Rests, layout: p.dead, ground: c.Ground}
	n := len(p.dead.Of)
	w.mean, w.floor = make([]float64, n), make([]float64, n)
	columns := map[[2]string][]float64{}
	for at, of := range p.dead.Of {
		if err := p.meter(ctx, c, of, at, &w, columns); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			w.mean[at], w.floor[at], w.Why = of.inside(1e3), 3, err.Error()
			if of.Diode {
				w.mean[at], w.floor[at] = 1, 1
			}
		}
	}
	w.factor = prune(columns, w.floor)
	return &Forecast{Ways: []Way{w}}, nil
}

// shown is a reading of the ohmmeter.
type shown struct {
	value   float64 // ohm, or volt on the diode range
	current float64 // ampere that the meter drives
	solver  *circuit.Solver
	point   *circuit.OperatingPoint
	of      circuit.Quantity // what the reading comes from
}

// probe puts the ohmmeter on a circuit with knobs turned.
func (p *Predictor) probe(ctx context.Context, c *wiring.Circuit, of Observable, settings []setting) (*shown, error) {
	to := of.To
	if to == "" {
		to = c.Ground
	}
	volts, inner := lowVolts, lowOhms
	if of.Diode {
		volts, inner = diodeVolts, diodeOhms
	}
	const name = "meter"
	probed := *c
	probed.Circuit = c.Clone()
	probed.Add(name, circuit.VoltageSource{DC: volts, Resistance: inner}, of.Node, to)
	s, err := solver(&probed, circuit.Settings{}, slices.DeleteFunc(slices.Clone(settings), func(k setting) bool { return k.parameter == amplitude }))
	if err != nil {
		return nil, err
	}
	op, err := s.OperatingPoint(ctx)
	if err != nil {
		return nil, err
	}
	one := &shown{solver: s, point: op, of: circuit.Current(name)}
	if of.Diode {
		one.of = circuit.VoltageBetween(of.Node, to)
	}
	value, err := op.Value(one.of)
	if err != nil {
		return nil, err
	}
	if of.Diode {
		one.value = min(value, diodeVolts)
		return one, nil
	}
	one.current = -value // out of its first pin
	one.value = max(volts/max(one.current, volts/insulated)-inner, leastOhms)
	return one, nil
}

// meter takes one reading, into place at of the way.
func (p *Predictor) meter(ctx context.Context, c *wiring.Circuit, of Observable, at int, w *Way, columns map[[2]string][]float64) error {
	one, err := p.probe(ctx, c, of, nil)
	if err != nil {
		return err
	}
	slopes, err := one.solver.Sensitivities(one.point, one.of)
	if err != nil {
		return err
	}
	by := 1.0 // from the slope of the reading to that of what is reckoned with
	if of.Diode {
		w.mean[at] = one.value
		w.floor[at] = p.set.ModelError * math.Hypot(0.01, 0.02*one.value)
	} else {
		w.mean[at] = of.inside(one.value)
		w.floor[at] = p.set.ModelError * math.Hypot(0.02, min(0.1/one.value, 2))
		by = lowVolts / (one.current * one.current) / one.value
		if one.current <= lowVolts/insulated {
			by, w.floor[at] = 0, p.set.ModelError*1
		}
	}
	byName := map[[2]string]float64{}
	for _, slope := range slopes {
		byName[[2]string{slope.Part, slope.Name}] = slope.Value
	}
	for _, k := range knobs(c, one.solver) {
		moved := by * byName[[2]string{k.part, k.parameter}] * k.step()
		if moved == 0 || math.IsNaN(moved) || math.IsInf(moved, 0) {
			continue
		}
		key := [2]string{k.part, k.parameter}
		if columns[key] == nil {
			columns[key] = make([]float64, len(p.dead.Of))
		}
		columns[key][at] = moved
	}
	return nil
}

// step is how far one deviation moves a knob.
func (k knob) step() float64 {
	if k.nominal == 0 {
		return k.deviation
	}
	return k.nominal * k.deviation
}
