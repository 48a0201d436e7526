package circuit

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"
)

// poles are the natural frequencies of a linear circuit, in 1/s: s with
// det(G + sC) = 0, from the eigenvalues of G⁻¹C by gonum.
func (b *bench) poles() ([]complex128, error) {
	op, err := b.operating(nil)
	if err != nil {
		return nil, err
	}
	s, n := op.s, len(op.s.unknowns)-1
	g, c := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	for k := 1; k < len(s.row); k++ {
		g.Set(int(s.row[k])-1, int(s.col[k])-1, op.p.g[k])
		c.Set(int(s.row[k])-1, int(s.col[k])-1, op.p.c[k])
	}
	for _, u := range s.ties {
		g.Set(u-1, u-1, g.At(u-1, u-1)+trickle)
	}
	var a mat.Dense
	if err := a.Solve(g, c); err != nil {
		return nil, err
	}
	var eigen mat.Eigen
	if !eigen.Factorize(&a, mat.EigenNone) {
		return nil, fmt.Errorf("no eigenvalues")
	}
	var list []complex128
	most := 0.0
	for _, l := range eigen.Values(nil) {
		most = max(most, cmplx.Abs(l))
	}
	for _, l := range eigen.Values(nil) {
		if cmplx.Abs(l) > 1e-9*most {
			list = append(list, -1/l)
		}
	}
	return list, nil
}

// pole is the complex pole, or the first.
func (b *bench) pole() (complex128, error) {
	list, err := b.poles()
	if err != nil {
		return 0, err
	}
	for _, s := range list {
		if imag(s) != 0 {
			return s, nil
		}
	}
	return list[0], nil
}

// periodic sums up a quantity over the period.
func (b *bench) periodic(q Quantity) (Reading, error) {
	if err := b.settle(); err != nil {
		return Reading{}, err
	}
	return b.steady.Whole(q)
}

// settle finds the periodic state of the case.
func (b *bench) settle() error {
	if b.steady != nil {
		return nil
	}
	set := fine
	if b.c.Analysis == "event" {
		set.Accuracy = 1e-9
	}
	s, err := b.solver(nil, set)
	if err != nil {
		return err
	}
	rep := Repeat{Cold: true, Record: b.recorded()}
	switch b.c.ID {
	case "osc-opamp-relaxation":
		rep.Marker = "U1"
	case "osc-555-astable", "osc-555-diode", "blocking-converter":
		rep.Marker = "S1"
	}
	b.steady, err = s.Steady(background, rep)
	if err == nil {
		b.t.Logf("settled after %d periods, change %.2g, %d samples, %d iterations", b.steady.Periods, b.steady.Change, len(b.steady.Time), s.iterated)
	}
	return err
}

// inPeriod reads a quantity at a time of the period.
func (b *bench) inPeriod(q Quantity, t float64) (float64, error) {
	if err := b.settle(); err != nil {
		return 0, err
	}
	return b.steady.At(q, b.steady.Time[0]+t)
}

// spell is the time from one change of a part to the next within the period:
// how long it was on, or off.
func (b *bench) spell(part string, on bool) (float64, error) {
	if err := b.settle(); err != nil {
		return 0, err
	}
	// The period begins as the marker turns on.
	begin := math.NaN()
	for _, ev := range append(append([]Event{}, b.steady.Events...), shifted(b.steady.Events, b.steady.Period)...) {
		if ev.Part != part {
			continue
		}
		if ev.On == on {
			begin = ev.Time
		} else if !math.IsNaN(begin) {
			return ev.Time - begin, nil
		}
	}
	return 0, fmt.Errorf("part %s does not switch within the period: %v", part, b.steady.Events)
}

func shifted(events []Event, by float64) []Event {
	var list []Event
	for _, ev := range events {
		ev.Time += by
		list = append(list, ev)
	}
	return list
}

func (b *bench) main(ref string) float64 {
	p := b.part(ref)
	return value(p, mainValue[p["kind"].(string)], 0)
}

// crossing is when a quantity passes a level in the run.
func (b *bench) crossing(q Quantity, level float64, up bool) (float64, error) {
	tr, err := b.run(0)
	if err != nil {
		return 0, err
	}
	t, ok, err := tr.Crossing(q, level, up, 0)
	if err == nil && !ok {
		err = fmt.Errorf("the %v does not pass %g", q, level)
	}
	return t, err
}

// turnedOff is when a part turned off for the first time in the run.
func (b *bench) turnedOff(part string, until float64) (float64, error) {
	tr, err := b.run(until)
	if err != nil {
		return 0, err
	}
	for _, ev := range tr.Events {
		if ev.Part == part && !ev.On && ev.Time > 0 {
			return ev.Time, nil
		}
	}
	return 0, fmt.Errorf("part %s does not turn off: %v", part, tr.Events)
}

// threshold is the input voltage at which the comparator of nl-schmitt turns.
func (b *bench) threshold(low, high float64, start float64) (float64, error) {
	from := State{}
	turned := func(v float64) (float64, error) {
		s, err := b.solver(map[string]any{"V1": v}, Settings{})
		if err != nil {
			return 0, err
		}
		op, err := s.OperatingPointFrom(background, from)
		if err != nil {
			return 0, err
		}
		on, err := op.On("U1")
		return float64(b2i(on)) - 0.5, err
	}
	s, err := b.solver(map[string]any{"V1": start}, Settings{})
	if err != nil {
		return 0, err
	}
	op, err := s.OperatingPoint(background)
	if err != nil {
		return 0, err
	}
	from = op.State()
	return bisect(low, high, turned)
}

// duty is the share of the period that a part spends on, or off.
func duty(part string, on bool) special {
	return func(b *bench, _ expectation) (float64, error) {
		spent, err := b.spell(part, on)
		if err != nil {
			return 0, err
		}
		return spent / b.steady.Period, nil
	}
}

// angle is when the diode of rect-half-ideal turns on or off, in degrees of
// the mains.
func (b *bench) angle(on bool) (float64, error) {
	if err := b.settle(); err != nil {
		return 0, err
	}
	for _, ev := range b.steady.Events {
		if ev.Part == "D1" && ev.On == on {
			return math.Mod(ev.Time/b.steady.Period, 1) * 360, nil
		}
	}
	return 0, fmt.Errorf("the diode does not switch")
}

// ripple is how often the output rises through its mean, in hertz.
func (b *bench) ripple() (float64, error) {
	r, err := b.periodic(Voltage("out"))
	if err != nil {
		return 0, err
	}
	count, at := 0.0, b.steady.Time[0]
	for {
		t, ok, err := b.steady.Crossing(Voltage("out"), r.Mean, true, at)
		if err != nil {
			return 0, err
		}
		if !ok {
			return count / b.steady.Period, nil
		}
		count, at = count+1, t+1e-6*b.steady.Period
	}
}
