package metrology

import (
	"fmt"
	"math"
)

// Rectangular returns the standard uncertainty of a quantity known only to
// lie within ±bound, every value in between being as likely as any other:
// bound/√3. This is how the accuracy of a meter is read. The unit is that of
// bound, which must be zero or more; the sign is ignored.
//
// Source: JCGM 100:2008, 4.3.7.
func Rectangular(bound float64) float64 { return math.Abs(bound) / math.Sqrt(3) }

// Triangular returns the standard uncertainty of a quantity within ±bound
// when values near the middle are likelier, falling to nothing at the
// bounds: bound/√6.
//
// Source: JCGM 100:2008, 4.3.9.
func Triangular(bound float64) float64 { return math.Abs(bound) / math.Sqrt(6) }

// Arcsine returns the standard uncertainty of a quantity that swings
// sinusoidally within ±bound, as a room's temperature does under a
// thermostat: bound/√2.
//
// Source: JCGM 100:2008, H.1.3.4 (distribution of a cyclic temperature).
func Arcsine(bound float64) float64 { return math.Abs(bound) / math.Sqrt2 }

// Quadrature returns the root of the sum of squares: the combined standard
// uncertainty of independent contributions, or the rise time seen through a
// chain of scope and probe. It neither overflows nor underflows on the way.
//
// Source: JCGM 100:2008, 5.1.2, with sensitivities of one.
func Quadrature(contributions ...float64) float64 {
	sum := 0.0
	for _, c := range contributions {
		sum = math.Hypot(sum, c)
	}
	return sum
}

// Origin says where a component of uncertainty comes from, and so what would
// make it smaller.
type Origin int

// The origins of uncertainty.
const (
	// FromElsewhere is anything not listed below; nothing at the meter
	// changes it.
	FromElsewhere Origin = iota
	// FromInstrument is the accuracy of the meter: a better meter lowers it.
	FromInstrument
	// FromDisplay is the rounding to the last digit shown or written: a finer
	// resolution lowers it.
	FromDisplay
	// FromRepeats is the scatter of repeated readings: more readings lower it.
	FromRepeats
	// FromLoading is the doubt left after correcting for the load of the
	// meter on the circuit: a better known circuit lowers it.
	FromLoading
)

// String returns the origin in words.
func (o Origin) String() string {
	switch o {
	case FromElsewhere:
		return "other"
	case FromInstrument:
		return "meter accuracy"
	case FromDisplay:
		return "last digit"
	case FromRepeats:
		return "scatter of readings"
	case FromLoading:
		return "loading by the meter"
	}
	return fmt.Sprintf("Origin(%d)", int(o))
}

// Component is one line of a budget of uncertainty.
type Component struct {
	Origin Origin
	// U is the contribution to the standard uncertainty of the result, in the
	// unit of the result: |sensitivity| × standard uncertainty of the input.
	U float64
	// DOF is the number of degrees of freedom, 1 or more. Zero means
	// infinitely many: the component is taken as known.
	DOF float64
	// LastDigitShare is the fraction of U, 0 to 1, that shrinks in proportion
	// to the last digit: 1 for rounding, and for a meter's accuracy the part
	// stated in digits.
	LastDigitShare float64
}

func (c Component) check() error {
	switch {
	case !(c.U >= 0) || math.IsInf(c.U, 0):
		return fmt.Errorf("metrology: the standard uncertainty of the component %q is %g; it must be zero or more, and finite", c.Origin, c.U)
	case !validDOF(c.DOF):
		return fmt.Errorf("metrology: the component %q has %g degrees of freedom; give 1 or more, or 0 for infinitely many", c.Origin, c.DOF)
	case !(c.LastDigitShare >= 0 && c.LastDigitShare <= 1):
		return fmt.Errorf("metrology: the last-digit share of the component %q is %g; it must lie between 0 and 1", c.Origin, c.LastDigitShare)
	}
	return nil
}

// validDOF reports whether d is a usable number of degrees of freedom: 0 for
// infinitely many, or 1 and above.
func validDOF(d float64) bool { return d == 0 || d >= 1 }

// Combine returns the combined standard uncertainty of independent
// components and its effective degrees of freedom by the Welch–Satterthwaite
// formula,
//
//	ν = u⁴ / Σ(uᵢ⁴/νᵢ),
//
// with zero for infinitely many. It returns an error for a negative or
// infinite component or for degrees of freedom below one.
//
// Source: JCGM 100:2008, 5.1.2 and G.4.1 (G.2b).
func Combine(components ...Component) (u, dof float64, err error) {
	for _, c := range components {
		if err := c.check(); err != nil {
			return 0, 0, err
		}
		u = math.Hypot(u, c.U)
	}
	if math.IsInf(u, 0) {
		return 0, 0, fmt.Errorf("metrology: the combined uncertainty is too large for a number; check the units of the components")
	}
	if u == 0 {
		return 0, 0, nil
	}
	sum, least := 0.0, math.Inf(1)
	for _, c := range components {
		if c.DOF == 0 || math.IsInf(c.DOF, 1) {
			continue
		}
		r := c.U / u
		sum += r * r * r * r / c.DOF
		if c.U > 0 {
			least = min(least, c.DOF)
		}
	}
	if sum == 0 {
		return u, 0, nil
	}
	return u, max(1/sum, least), nil
}

// TruncateDOF returns the whole number of degrees of freedom at which a table
// of Student's t is entered: the value rounded to one decimal, as the guide
// prints it, and then cut to an integer. So 16.66 gives 16, and 18.9987,
// printed as 19.0, gives 19. Zero (infinitely many) stays zero.
//
// Source: JCGM 100:2008, G.4.1 and the worked examples there and in H.1.6.
func TruncateDOF(dof float64) float64 {
	if dof > 1e12 {
		return dof
	}
	return math.Floor(math.Round(dof*10) / 10)
}

// CoverageFactor returns the k for which ±k·u holds the value with
// probability level: Student's t at dof degrees of freedom, or the normal
// factor when dof is zero (infinitely many). dof need not be whole; see
// [TruncateDOF]. level must lie strictly between 0 and 1, and dof be 0 or at
// least 1.
//
// Source: JCGM 100:2008, G.3 and Table G.2.
func CoverageFactor(level, dof float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("metrology: coverage probability %g; it must lie between 0 and 1, for instance 0.95", level)
	}
	if !validDOF(dof) {
		return 0, fmt.Errorf("metrology: %g degrees of freedom; give 1 or more, or 0 for infinitely many", dof)
	}
	return spread(dof).factor(level), nil
}

// Expand returns the coverage factor at the truncated degrees of freedom and
// the expanded uncertainty k·u. The errors are those of [CoverageFactor].
//
// Source: JCGM 100:2008, G.6.4.
func Expand(u, dof, level float64) (k, expanded float64, err error) {
	if !(u >= 0) || math.IsInf(u, 0) {
		return 0, 0, fmt.Errorf("metrology: standard uncertainty %g; it must be zero or more, and finite", u)
	}
	k, err = CoverageFactor(level, TruncateDOF(dof))
	if err != nil {
		return 0, 0, err
	}
	return k, k * u, nil
}
