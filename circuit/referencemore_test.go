package circuit

import (
	"errors"
	"math"
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

type sampled struct{}

func (b *bench) statistic(string) (float64, error) { return 0, errors.New("to come") }
func (b *bench) chance(expectation) float64        { return 1 }
