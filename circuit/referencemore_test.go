package circuit

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
)

// magnetising sums up the current seen from the primary, i1 + n i2.
func (b *bench) magnetising(pick func(Reading) float64) (float64, error) {
	if err := b.settle(); err != nil {
		return 0, err
	}
	n := math.Sqrt(b.main("L2") / b.main("L1"))
	tr := b.steady.Trace
	i, err1 := tr.find(Current("L1"))
	j, err2 := tr.find(Current("L2"))
	if err := first(err1, err2); err != nil {
		return 0, err
	}
	sum := &Trace{Time: tr.Time, quantities: []Quantity{Current("sum")}, end: [][]float64{nil}, mid: [][]float64{nil}}
	for k := range tr.Time {
		sum.end[0] = append(sum.end[0], tr.end[i][k]+n*tr.end[j][k])
		sum.mid[0] = append(sum.mid[0], tr.mid[i][k]+n*tr.mid[j][k])
	}
	r, err := sum.Whole(Current("sum"))
	return pick(r), err
}

// critical is the load of buck-ideal at which the current of the inductor just
// touches zero: half its ripple is then its mean.
func (b *bench) critical() (float64, error) {
	if err := b.settle(); err != nil {
		return 0, err
	}
	v, err1 := b.steady.Whole(Voltage("out"))
	i, err2 := b.steady.Whole(Current("L1"))
	return v.Mean / (i.PeakToPeak / 2), first(err1, err2)
}

// lossless is the output of the same converter without any loss.
func (b *bench) lossless() (float64, error) {
	c := b.circuit(nil)
	for _, name := range []string{"R1", "R2", "RC"} {
		d, err := c.Replace(name, Resistor{Resistance: 1e-6})
		if err != nil {
			return 0, err
		}
		c = d
	}
	period, share := value(b.part("S1"), "period", 0), value(b.part("S1"), "duty", 0)
	c, err1 := c.Replace("S1", Switch{Period: period, Duty: share})
	if err1 != nil {
		return 0, err1
	}
	c, err1 = c.Replace("D1", StraightDiode{})
	if err1 != nil {
		return 0, err1
	}
	// Without loss nothing but the load damps, and the ripple at the output
	// matters less the larger the capacitor.
	c, err1 = c.Replace("C1", Capacitor{Capacitance: 0.01, InitialVoltage: 9})
	if err1 != nil {
		return 0, err1
	}
	s, err1 := c.Solver(fine)
	if err1 != nil {
		return 0, err1
	}
	steady, err1 := s.Steady(background, Repeat{Cold: true, Record: []Quantity{Voltage("out")}})
	if err1 != nil {
		return 0, err1
	}
	r, err1 := steady.Whole(Voltage("out"))
	return r.Mean, err1
}

// samples is how many circuits are drawn for a tolerance case.
const samples = 40000

// sampled holds what the draws gave.
type sampled struct {
	values             []float64
	mean, sd, kurtosis float64
	spread             Spread
	nominal            float64
}

// moments are the mean, the standard deviation and the kurtosis.
func moments(values []float64) (mean, sd, kurtosis float64) {
	n := float64(len(values))
	for _, v := range values {
		mean += v / n
	}
	var m2, m4 float64
	for _, v := range values {
		d := (v - mean) * (v - mean)
		m2, m4 = m2+d/n, m4+d*d/n
	}
	return mean, math.Sqrt(m2), m4 / (m2 * m2)
}

// draw samples the tolerance case.
func (b *bench) draw() (*sampled, error) {
	if b.sample != nil {
		return b.sample, nil
	}
	c := b.circuit(nil)
	for _, p := range b.c.Parts {
		m, ok := p["spread"].(map[string]any)
		if !ok {
			continue
		}
		t := Tolerance{Spread: value(m, "half", 0)}
		if m["dist"] == "normal" {
			t = Tolerance{Spread: value(m, "sd", 0), Distribution: Normal}
		}
		name := map[string]string{"resistor": "resistance", "capacitor": "capacitance", "voltage-source": "voltage"}[p["kind"].(string)]
		c.Spread(p["ref"].(string), name, t)
	}
	corner := strings.HasPrefix(b.c.Output, "corner_hz")
	if corner {
		c.Add("VIN", VoltageSource{AC: 1}, "in", "0")
	}
	s, err := c.Solver(Settings{})
	if err != nil {
		return nil, err
	}
	q := Voltage("out")
	if !corner {
		if q, _, err = b.quantity(b.c.Output); err != nil {
			return nil, err
		}
	}
	measure := func() (float64, error) {
		op, err := s.OperatingPoint(background)
		if err != nil {
			return 0, err
		}
		if !corner {
			return op.Value(q)
		}
		// A first-order low-pass lags by the arctangent of f over the corner.
		const f = 1000
		r, err := s.AC(background, op, []float64{f})
		if err != nil {
			return 0, err
		}
		z, err := r.Value(0, q)
		return f / math.Tan(-cmplx.Phase(z)), err
	}
	result := &sampled{}
	if result.nominal, err = measure(); err != nil {
		return nil, err
	}
	if !corner {
		op, err := s.OperatingPoint(background)
		if err != nil {
			return nil, err
		}
		if result.spread, err = s.Spread(background, op, q); err != nil {
			return nil, err
		}
	}
	if result.values, err = s.Sample(background, samples, rand.New(rand.NewPCG(1, 2)), measure); err != nil {
		return nil, err
	}
	result.mean, result.sd, result.kurtosis = moments(result.values)
	if again, err := measure(); err != nil || again != result.nominal {
		b.t.Errorf("sampling left the circuit changed: %g, before %g (%v)", again, result.nominal, err)
	}
	b.sample = result
	return result, nil
}

// statistic reads one figure of a tolerance case.
func (b *bench) statistic(name string) (float64, error) {
	d, err := b.draw()
	if err != nil {
		return 0, err
	}
	return map[string]float64{"mean": d.mean, "sd": d.sd, "kurtosis": d.kurtosis, "nominal": d.nominal,
		"worst_low": d.spread.Low, "worst_high": d.spread.High, "sd_first_order": d.spread.Deviation}[name], nil
}

// chance is four standard errors of the sample, for what was sampled.
func (b *bench) chance(e expectation) float64 {
	d, err := b.draw()
	if err != nil {
		return 0
	}
	n := float64(samples)
	switch e.of {
	case "mean":
		return 4 * d.sd / math.Sqrt(n)
	case "sd":
		return 4 * d.sd / 2 * math.Sqrt((d.kurtosis-1)/n)
	case "kurtosis":
		// From the scatter of forty parts of the sample.
		const parts = 40
		var each []float64
		for i := range parts {
			_, _, k := moments(d.values[i*samples/parts : (i+1)*samples/parts])
			each = append(each, k)
		}
		_, scatter, _ := moments(each)
		return 4 * scatter / math.Sqrt(parts)
	}
	return 1e-8 * math.Abs(e.value)
}
