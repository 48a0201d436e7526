package prediction

import (
	"math"

	"halfsplit/signal"
)

// Read is a reading that was taken.
type Read struct {
	Of    Observable
	Value float64 // as shown
	U     float64 // standard uncertainty of the meter, in the unit of the value
	// Low and High bound a reading that is no figure: over range, "open", "0".
	// When both are zero, Value is the figure.
	Low, High float64
}

// bounded tells whether the reading only bounds the value.
func (r *Read) bounded() bool { return r.Low != 0 || r.High != 0 }

// slip is the chance that a reading is simply wrong: the wrong pin, range or
// state, a bad contact of the probe.
const slip = signal.Slip

// A wrong reading may be anything, and as likely some millivolts as some hundred
// volts: it is spread evenly over the logarithm of its size, from a least to a
// largest one, and evenly below the least. These are common practice, no source.
var wrongs = [Aspects]struct{ least, largest float64 }{
	Level: {10e-3, 1e3}, Ripple: {10e-3, 1e3}, RMS: {10e-3, 1e3}, Frequency: {0.1, 1e6}, Resistance: {10e-3, 3}, Gain: {1e-3, 1e3}, Heat: {10e-3, 1e3},
}

// Wrong readings of resistance, already logarithms, are even between these.
var lowestOhms, highestOhms = math.Log(leastOhms), math.Log(insulated)

// wrong is the density of a wrong reading, as reckoned with.
func wrong(of Observable, x float64) float64 {
	if of.logarithmic() {
		return 1 / (highestOhms - lowestOhms)
	}
	r := wrongs[of.Aspect]
	return 1 / (2 * (math.Abs(x) + r.least) * math.Log1p(r.largest/r.least))
}

// wrongBelow is its distribution function.
func wrongBelow(of Observable, x float64) float64 {
	if of.logarithmic() {
		return min(max((x-lowestOhms)/(highestOhms-lowestOhms), 0), 1)
	}
	r := wrongs[of.Aspect]
	share := math.Log1p(min(math.Abs(x), r.largest)/r.least) / math.Log1p(r.largest/r.least)
	return 0.5 + math.Copysign(share, x)/2
}

// normal is the normal density at a distance.
func normal(distance, variance float64) float64 {
	return math.Exp(-distance*distance/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

// below is the normal distribution function; it keeps small tails.
func below(x, deviation float64) float64 {
	return math.Erfc(-x/(deviation*math.Sqrt2)) / 2
}

// joint is the joint distribution of some readings, conditioned on one after the
// other. Wrong readings are told apart as they come: each has a density
//
//	p(x) = (1 - s) N(x; m, v) + s t(x),  t: see [wrong]
//
// with m and v given what was read before, and then counts with the weight
// w = (1 - s) N / p that it belongs to the first term, as a reading with 1/w of
// its variance would (one step of expectation and maximisation for a normal
// distribution with outliers; K. L. Lange, R. J. A. Little, J. M. G. Taylor,
// "Robust statistical modeling using the t distribution", J. American Statistical
// Association 84 (1989) 881-896, for the idea of such weights). What fits best is
// taken first, so that the result does not depend on the order of the readings.
type joint struct {
	distance []float64   // reading less mean, as reckoned with
	cov      [][]float64 // without what the meters add
	noise    []float64   // variance that each meter adds
}

// condition takes in reading k with a weight.
func (j *joint) condition(k int, weight float64) {
	if weight < 1e-6 {
		return
	}
	v := j.cov[k][k] + j.variance(k)/weight
	distance := j.distance[k]
	row := append([]float64(nil), j.cov[k]...)
	for i := range j.cov {
		share := row[i] / v
		j.distance[i] -= share * distance
		for m := range j.cov[i] {
			j.cov[i][m] -= share * row[m]
		}
	}
}

// variance of a meter, with a trace of what lets any two readings differ.
func (j *joint) variance(k int) float64 { return max(j.noise[k], 1e-12) }

// reads turns readings into a joint distribution. Those of which nothing is known
// are left out and counted.
func (w *Way) reads(list []Read) (j *joint, kept []int, sums [][]part) {
	j = &joint{}
	for i := range list {
		r := &list[i]
		sum, n, ok := w.layout.find(r.Of, w.ground)
		if !ok {
			continue
		}
		kept, sums = append(kept, i), append(sums, append([]part(nil), sum[:n]...))
	}
	j.cov = make([][]float64, len(kept))
	for a, i := range kept {
		r := &list[i]
		mean, _ := w.at(sums[a])
		u := r.Of.deviation(r.Value, r.U)
		j.distance = append(j.distance, r.Of.inside(r.Value)-mean)
		j.noise = append(j.noise, u*u)
		j.cov[a] = make([]float64, len(kept))
	}
	for a := range kept {
		for b := range a + 1 {
			j.cov[a][b] = w.covariance(sums[a], sums[b])
			j.cov[b][a] = j.cov[a][b]
		}
	}
	return j, kept, sums
}

// LogDensity is the logarithm of the joint density of readings taken in the state
// of the bench that was foretold. Each reading has a meter of its own, and a
// chance to be simply wrong, so that no reading kills what explains all others.
// What the circuit says nothing of counts as nothing. Resistances have densities
// by their logarithm; of a bounded reading it is the chance.
func (w *Way) LogDensity(list []Read) float64 {
	j, kept, _ := w.reads(list)
	return w.logDensity(j, list, kept)
}

// logDensity conditions j on all readings.
func (w *Way) logDensity(j *joint, list []Read, kept []int) float64 {
	total := 0.0
	left := make([]int, 0, len(kept))
	for k, i := range kept {
		if !list[i].bounded() {
			left = append(left, k)
		}
	}
	for len(left) > 0 {
		best, nearest := 0, math.Inf(1)
		for at, k := range left {
			if z := j.distance[k] * j.distance[k] / (j.cov[k][k] + j.variance(k)); z < nearest {
				best, nearest = at, z
			}
		}
		k := left[best]
		left = append(left[:best], left[best+1:]...)
		r := &list[kept[k]]
		fits := (1 - slip) * normal(j.distance[k], j.cov[k][k]+j.variance(k))
		broad := wrong(r.Of, r.Of.inside(r.Value))
		if w.Behaviour == NoSolution { // anything is as likely as in a wrong reading
			fits, broad = 0, broad/slip
		}
		density := fits + slip*broad
		total += math.Log(density)
		j.condition(k, fits/density)
	}
	for k, i := range kept { // bounds say little that others would follow from
		r := &list[i]
		if !r.bounded() {
			continue
		}
		mean := r.Of.inside(r.Value) - j.distance[k]
		deviation := math.Sqrt(j.cov[k][k] + j.variance(k))
		low, high := w.bounds(r)
		chance := below(high-mean, deviation) - below(low-mean, deviation)
		if low > mean { // keeps what rounding would lose
			chance = below(mean-low, deviation) - below(mean-high, deviation)
		}
		broad := max(wrongBelow(r.Of, high)-wrongBelow(r.Of, low), 0)
		if w.Behaviour == NoSolution {
			chance = broad
		}
		total += math.Log((1-slip)*max(chance, 0) + slip*broad + 1e-12)
	}
	return total
}

// bounds are those of a bounded reading, as reckoned with.
func (w *Way) bounds(r *Read) (low, high float64) {
	low, high = r.Of.inside(r.Low), r.Of.inside(r.High)
	if r.Of.logarithmic() && r.Low <= leastOhms {
		low = math.Inf(-1)
	}
	return low, high
}

// Predict gives mean and standard deviation of an observable in this way, after
// the readings that were taken in the same state of the bench; without what the
// meter of the new reading adds. The mean of a resistance is its median. ok is
// false when the circuit says nothing of it.
func (w *Way) Predict(of Observable, taken []Read) (mean, deviation float64, ok bool) {
	sum, n, ok := w.layout.find(of, w.ground)
	if !ok {
		return 0, 0, false
	}
	target := sum[:n]
	mean, variance := w.at(target)
	if len(taken) > 0 {
		// The target stands among the readings as one that was not taken: with
		// a distance that is minus its shift and no weight of its own.
		j, kept, sums := w.reads(taken)
		last := len(kept)
		j.distance = append(j.distance, 0)
		j.noise = append(j.noise, 0)
		row := make([]float64, last+1)
		for k := range kept {
			row[k] = w.covariance(sums[k], target)
			j.cov[k] = append(j.cov[k], row[k])
		}
		row[last] = variance
		j.cov = append(j.cov, row)
		w.logDensity(j, taken, kept)
		mean -= j.distance[last]
		variance = max(j.cov[last][last], 0)
	}
	deviation = math.Sqrt(variance)
	shown := of.shown(mean)
	if of.logarithmic() {
		deviation *= shown
	}
	return shown, deviation, true
}

// LogDensity is the logarithm of the joint density of readings taken in the state
// of the bench of this forecast: the mixture over its ways.
func (f *Forecast) LogDensity(list []Read) float64 {
	most, terms := math.Inf(-1), make([]float64, len(f.Ways))
	for i := range f.Ways {
		terms[i] = math.Log(f.Ways[i].Weight) + f.Ways[i].LogDensity(list)
		most = max(most, terms[i])
	}
	if math.IsInf(most, -1) {
		return most
	}
	sum := 0.0
	for _, t := range terms {
		sum += math.Exp(t - most)
	}
	return most + math.Log(sum)
}

// Weights gives the weight of each way after the readings that were taken.
func (f *Forecast) Weights(taken []Read) []float64 {
	whole := f.LogDensity(taken)
	list := make([]float64, len(f.Ways))
	for i := range f.Ways {
		list[i] = math.Exp(math.Log(f.Ways[i].Weight) + f.Ways[i].LogDensity(taken) - whole)
	}
	return list
}

// Plausible is the density of a reading of which nothing is known but how large
// such things can be in the circuit: half even up to that size either way, half
// even over the logarithm, as a wrong reading. Of a resistance it is by its
// logarithm, as everywhere.
func Plausible(of Observable, value, size float64) float64 {
	thin := wrong(of, of.inside(value))
	if of.logarithmic() {
		return thin
	}
	even := 0.0
	if math.Abs(value) <= size {
		even = 1 / (2 * size)
	}
	return (even + thin) / 2
}
