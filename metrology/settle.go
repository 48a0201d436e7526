package metrology

import (
	"fmt"
	"math"
)

// Remedy is a way to settle a reading that is too close to call.
type Remedy int

// The remedies, from the easiest to none.
const (
	// MoreReadings: repeat the reading until there are
	// [Settlement.Readings] of them.
	MoreReadings Remedy = iota
	// MoreDigits: read with a last digit of [Settlement.Resolution] or finer,
	// by a lower range or by writing down all that is shown.
	MoreDigits
	// BetterMeter: use a meter good to ±[Settlement.Bound].
	BetterMeter
	// BetterAll: no single thing will do; bring the standard uncertainty down
	// to [Settlement.U] by a better meter, more readings and a better known
	// circuit together.
	BetterAll
	// Nothing: the reading lies on the limit.
	Nothing
)

// String returns the remedy in words.
func (r Remedy) String() string {
	switch r {
	case MoreReadings:
		return "more readings"
	case MoreDigits:
		return "more digits"
	case BetterMeter:
		return "a better meter"
	case BetterAll:
		return "a better meter and more readings together"
	case Nothing:
		return "nothing at this reading: it lies on the limit"
	}
	return fmt.Sprintf("Remedy(%d)", int(r))
}

// The bounds of what is proposed. Common practice, no source.
const (
	// MostReadings is the largest number of readings that is proposed.
	MostReadings = 100
	// BestMeter is the accuracy, relative to the reading and the limits, that
	// no meter on a restorer's bench betters: 10 parts in a million. Good
	// 6½-digit meters promise some tens. A reading that would need more lies
	// on the limit for all that can be found out.
	BestMeter = 1e-5
)

// Settlement is what would settle a reading that is too close to call,
// supposing that the value stays what it is. Each remedy is tried alone, the
// rest of the budget unchanged.
type Settlement struct {
	// Remedies lists what would do, the easiest first.
	Remedies []Remedy
	// U is the largest combined standard uncertainty at which this value could
	// be called, degrees of freedom being many; zero for [Nothing]. It may
	// exceed the present one when that rests on few readings.
	U float64
	// Readings is the number of readings that would do, or zero.
	Readings int
	// Resolution is the largest last digit that would do, a power of ten, or
	// zero.
	Resolution float64
	// Bound is the accuracy, last digit included, of a meter that would do:
	// half the width of a rectangular distribution; or zero.
	Bound float64
}

// settle works out what would settle a verdict.
func settle(v Verdict) Settlement {
	value, limit, parts := v.Estimate.Value, v.Limit, v.Measurement.Components
	best := BestMeter * magnitude(value, limit)
	// Half a standard uncertainty from the limit nothing can be called, so the
	// largest usable one lies below twice the margin.
	most := min(2*math.Abs(v.Margin), math.MaxFloat64)
	s := Settlement{U: most * largestShare(func(f float64) bool {
		return decide(Estimate{Value: value, U: f * most}, limit) != TooClose
	})}
	if math.Sqrt(3)*s.U <= best {
		return Settlement{Remedies: []Remedy{Nothing}}
	}
	settled := func(parts []Component) bool {
		u, dof, err := Combine(parts...)
		return err == nil && decide(Estimate{Value: value, U: u, DOF: dof}, limit) != TooClose
	}
	if s.Readings = readingsNeeded(v.Measurement, settled); s.Readings > 0 {
		s.Remedies = append(s.Remedies, MoreReadings)
	}
	digits := largestShare(func(f float64) bool {
		return settled(scale(parts, func(c Component) float64 { return 1 - c.LastDigitShare + f*c.LastDigitShare }))
	})
	if last := digits * v.Measurement.Resolution; last > 0 && last >= best/10 {
		s.Resolution = decadeBelow(last)
		s.Remedies = append(s.Remedies, MoreDigits)
	}
	meter := func(f float64) []Component {
		return scale(parts, func(c Component) float64 {
			if c.Origin == FromInstrument || c.Origin == FromDisplay {
				return f
			}
			return 1
		})
	}
	own := v.Estimate.U
	if rest, _, err := Combine(meter(0)...); err == nil {
		own = math.Sqrt(max(0, (own-rest)*(own+rest)))
	}
	bound := math.Sqrt(3) * own * largestShare(func(f float64) bool { return settled(meter(f)) })
	if bound > 0 && bound >= best {
		s.Bound = bound
		s.Remedies = append(s.Remedies, BetterMeter)
	}
	if len(s.Remedies) == 0 {
		s.Remedies = []Remedy{BetterAll}
	}
	return s
}

// magnitude returns the largest of a value and its finite limits, by size.
func magnitude(value float64, limit Limit) float64 {
	size := math.Abs(value)
	for _, l := range []float64{limit.Low, limit.High} {
		if !math.IsInf(l, 0) {
			size = max(size, math.Abs(l))
		}
	}
	return size
}

// largestShare returns the largest fraction below one that passes, found by
// bisection between zero and one; zero when zero itself does not pass. One
// must not pass.
func largestShare(passes func(fraction float64) bool) float64 {
	if !passes(0) {
		return 0
	}
	low, high := 0.0, 1.0
	for high-low > 1e-12*high {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if passes(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// scale returns the components with each uncertainty multiplied by a factor.
func scale(parts []Component, factor func(Component) float64) []Component {
	scaled := make([]Component, len(parts))
	for i, c := range parts {
		c.U *= factor(c)
		scaled[i] = c
	}
	return scaled
}

// readingsNeeded returns the smallest number of readings that settles a
// measurement whose readings scatter, the scatter being as observed, or zero
// when [MostReadings] do not.
func readingsNeeded(m Measurement, settled func([]Component) bool) int {
	scatters := false
	for _, c := range m.Components {
		scatters = scatters || c.Origin == FromRepeats && c.U > 0
	}
	if !scatters || m.Readings < 2 {
		return 0
	}
	for n := m.Readings + 1; n <= MostReadings; n++ {
		parts := make([]Component, len(m.Components))
		for i, c := range m.Components {
			if c.Origin == FromRepeats {
				c.U *= math.Sqrt(float64(m.Readings) / float64(n))
				c.DOF = float64(n - 1)
			}
			parts[i] = c
		}
		if settled(parts) {
			return n
		}
	}
	return 0
}

// decadeBelow returns the largest power of ten not above x, for x > 0.
func decadeBelow(x float64) float64 {
	exponent := math.Floor(math.Log10(x))
	decade := math.Pow(10, exponent)
	if decade*10 <= x*(1+1e-9) {
		decade *= 10
	}
	return decade
}
