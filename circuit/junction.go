package circuit

import "math"

// Physical constants, exact in the SI of 2019 (BIPM, The International System
// of Units, 9th edition).
const (
	boltzmann        = 1.380649e-23    // J/K
	elementaryCharge = 1.602176634e-19 // C
)

// thermalVoltage is kT/q.
func thermalVoltage(kelvin float64) float64 { return boltzmann * kelvin / elementaryCharge }

// exponential is e^u and its derivative; beyond u = 250 it goes on as a
// straight line, so that a wild guess does not overflow. No junction that is
// not long vaporised gets there. Below u = -50 it stays what it is there, far
// less than rounding leaves of the 1 beside it: parts that block are spared the
// work, and keep a trace of conductance.
func exponential(u float64) (value, slope float64) {
	const low, high = -50, 250
	switch {
	case u < low:
		return atLow, atLow
	case u > high:
		return atHigh * (1 + u - high), atHigh
	}
	e := math.Exp(u)
	return e, e
}

// The values of [exponential] at its ends.
var atLow, atHigh = math.Exp(-50), math.Exp(250)

// junction is the exponential law of a p-n junction, i = Is (e^(v/nVt) - 1)
// (W. Shockley, "The theory of p-n junctions in semiconductors and p-n
// junction transistors", Bell System Technical Journal 28 (1949) 435-489),
// with what it takes to approach it by Newton's method.
type junction struct {
	saturation float64 // Is
	swing      float64 // n Vt
	knee       float64 // voltage above which the step is taken along the current
	last       float64 // where it was last evaluated
}

// bend is a junction in its place between two unknowns.
type bend struct {
	*junction
	a, b int
}

// size is the size of a step along the tangent, as a multiple of what a junction
// that conducts allows: a quarter of its swing, of which an error of 3 % in the
// current is left. Next to 300 V the error allowed in a node may be far more.
func (b *bend) size(step []float64) float64 {
	if b.last < b.knee-12*b.swing {
		return 0
	}
	return 4 * math.Abs(step[b.a]-step[b.b]) / b.swing
}

// newJunction derives the knee: where the curvature of the law is greatest.
func newJunction(saturation, swing float64) junction {
	return junction{saturation: saturation, swing: swing, knee: swing * math.Log(swing/(math.Sqrt2*saturation))}
}

// reach returns the voltage at which to evaluate the junction, when the guess
// is v. Above the knee a straight step along the tangent would overshoot by
// many powers of ten, so the step is taken in the current, and the law turned
// round: ln(1 + dv/nVt) in place of dv/nVt. Below it the way up is taken in
// stages, because each nVt too far up costs an iteration on the way back.
func (j *junction) reach(p *point, v float64) float64 {
	if p.eager {
		to := v
		switch {
		case p.first && p.still:
			if v > j.knee+10*j.swing {
				to = j.knee
			}
		case v <= j.last+2*j.swing || v <= 0:
		case j.last < 0:
			to = min(v, 2*j.swing)
		case j.last < j.knee:
			to = min(v, j.last+6*j.swing)
		default:
			to = j.last + j.swing*math.Log1p((v-j.last)/j.swing)
		}
		if to != v {
			v, p.held = to, true
		}
	}
	j.last = v
	return v
}

// at is the current and its derivative at a voltage.
func (j *junction) at(v float64) (i, g float64) {
	e, de := exponential(v / j.swing)
	return j.saturation * (e - 1), j.saturation * de / j.swing
}

// depletion is the charge and capacitance of a junction's depletion layer,
// C = C0 / √(1 - v/0.75 V), carried on as a straight line in v above half of the
// built-in voltage: the abrupt junction of the textbook (S. M. Sze, "Physics of
// Semiconductor Devices", chapter on p-n junctions).
func depletion(c0, v float64) (q, c float64) {
	const built = 0.75
	if c0 == 0 {
		return 0, 0
	}
	if v < built/2 {
		root := math.Sqrt(1 - v/built)
		return c0 * 2 * built * (1 - root), c0 / root
	}
	const edge = math.Sqrt2
	const slope = edge / built
	x := v - built/2
	return c0 * (2*built*(1-1/edge) + edge*x + slope*x*x/2), c0 * (edge + slope*x)
}

// saturationAt moves a saturation current from 300.15 K to another
// temperature: Is ~ T^(3/n) exp(-Eg/nVt), with the 1.11 eV gap of silicon
// (Sze, as above). It is what makes a junction drop 2 mV for each kelvin.
func saturationAt(saturation, ideality, kelvin float64) float64 {
	const standard, gap = 300.15, 1.11
	if kelvin == standard {
		return saturation
	}
	shift := gap / ideality * (1/thermalVoltage(standard) - 1/thermalVoltage(kelvin))
	return saturation * math.Pow(kelvin/standard, 3/ideality) * math.Exp(shift)
}

// hinge is a smooth max(x, 0) with a bend of width w, and its derivative.
func hinge(x, w float64) (value, slope float64) {
	u := x / w
	switch {
	case u > 35:
		return x, 1
	case u < -35:
		e := math.Exp(u)
		return w * e, e
	}
	e := math.Exp(-math.Abs(u))
	value = w * math.Log1p(e)
	if u > 0 {
		return value + x, 1 / (1 + e)
	}
	return value, e / (1 + e)
}
