package metrology

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// GuardBandRisk returns the largest chance that an accepted item does not
// conform, when the acceptance limit is drawn in from a single tolerance
// limit by factor × U, and U = coverage × u is the expanded uncertainty. One
// full U with coverage 2 leaves 2.3 %.
//
// Source: JCGM 106:2012, 8.3.2.
func GuardBandRisk(factor, coverage float64) (float64, error) {
	if !finite(factor) || !(coverage > 0) || math.IsInf(coverage, 0) {
		return 0, fmt.Errorf("metrology: guard band factor %g with coverage factor %g; both must be finite and the second above zero, for instance 1 and 2", factor, coverage)
	}
	return spread(0).tail(factor * coverage), nil
}

// GuardBandFactor returns the width of the guard band, as a multiple of the
// expanded uncertainty U = coverage × u, that leaves an accepted item a
// chance of at most risk not to conform to a single limit. It is negative
// for a risk above one half.
//
// Source: JCGM 106:2012, 8.3.2.
func GuardBandFactor(risk, coverage float64) (float64, error) {
	if !(risk > 0 && risk < 1) || !(coverage > 0) || math.IsInf(coverage, 0) {
		return 0, fmt.Errorf("metrology: guard band for risk %g with coverage factor %g; the risk must lie between 0 and 1 and the factor be finite and above zero, for instance 0.05 and 2", risk, coverage)
	}
	return math.Sqrt2 * math.Erfcinv(2*risk) / coverage, nil
}

// Guarded returns acceptance limits drawn in from the limits by width, in
// the unit of the limits. A negative width lets them out, so that only what
// surely fails is rejected. A width that leaves no interval is an error: the
// measurement is then not good enough for the limits.
//
// Source: JCGM 106:2012, 8.3.2 and 8.3.3.
func (l Limit) Guarded(width float64) (Limit, error) {
	if err := l.Check(); err != nil {
		return Limit{}, err
	}
	if !finite(width) {
		return Limit{}, fmt.Errorf("metrology: guard band of %g; its width must be a finite number", width)
	}
	guarded := Limit{Low: l.Low + width, High: l.High - width, Source: l.Source}
	if guarded.Low > guarded.High {
		return Limit{}, fmt.Errorf("metrology: a guard band of %g leaves nothing between %g and %g; a better measurement is needed", width, l.Low, l.High)
	}
	return guarded, nil
}

// Risks are the chances over a whole lot that a test goes wrong.
type Risks struct {
	// Nonconforming is the share of the lot that does not keep the tolerance.
	Nonconforming float64
	// Consumer is the chance that an item is accepted and does not conform.
	Consumer float64
	// Producer is the chance that an item is rejected and does conform: a
	// good part thrown away.
	Producer float64
}

// GlobalRisks returns the risks of testing a lot of parts whose values are
// normal about lot.Mean with lot.Deviation, by a measurement with standard
// uncertainty u, zero or more, when a part counts as good within tolerance
// and is accepted within acceptance. The integrals are taken numerically,
// right to about ten digits.
//
// Source: JCGM 106:2012, 9.3 to 9.5 (17, 19).
func GlobalRisks(lot Prior, u float64, tolerance, acceptance Limit) (Risks, error) {
	if !finite(lot.Mean, lot.Deviation, u) || !(lot.Deviation > 0) || u < 0 {
		return Risks{}, fmt.Errorf("metrology: lot with mean %g and deviation %g, measured with uncertainty %g; all must be finite, the deviation above zero and the uncertainty not negative", lot.Mean, lot.Deviation, u)
	}
	if err := tolerance.Check(); err != nil {
		return Risks{}, fmt.Errorf("%w (tolerance)", err)
	}
	if err := acceptance.Check(); err != nil {
		return Risks{}, fmt.Errorf("%w (acceptance)", err)
	}
	// In units of the lot's deviation from its mean.
	scale := func(v float64) float64 { return (v - lot.Mean) / lot.Deviation }
	good := Limit{Low: scale(tolerance.Low), High: scale(tolerance.High)}
	accepted := Limit{Low: scale(acceptance.Low), High: scale(acceptance.High)}
	w := u / lot.Deviation
	if math.IsInf(w, 0) {
		return Risks{}, fmt.Errorf("metrology: the deviation of the lot, %g, is too small beside the uncertainty %g; check the units", lot.Deviation, u)
	}

	const reach = 38 // the normal density is zero in a float64 beyond this
	edges := []float64{good.Low, good.High}
	for z := -reach; z <= reach; z++ {
		edges = append(edges, float64(z))
	}
	for _, edge := range []float64{accepted.Low, accepted.High} {
		for _, n := range []float64{0, 1, 2, 3, 4, 6, 8, 10} {
			edges = append(edges, edge-n*w, edge+n*w)
		}
	}
	for i, edge := range edges {
		edges[i] = max(-reach, min(reach, edge))
	}
	slices.Sort(edges)

	risks := Risks{Nonconforming: conform(Estimate{U: 1}, good).Nonconforming}
	for i := 1; i < len(edges); i++ {
		low, high := edges[i-1], edges[i]
		if low == high {
			continue
		}
		conforms := good.Contains(low + (high-low)/2)
		share := quad.Fixed(func(z float64) float64 {
			density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
			shown := conform(Estimate{Value: z, U: w}, accepted)
			if conforms {
				return density * shown.Nonconforming
			}
			return density * shown.Conforming
		}, low, high, 20, quad.Legendre{}, 0)
		if conforms {
			risks.Producer += share
		} else {
			risks.Consumer += share
		}
	}
	return risks, nil
}
