package prediction

import "halfsplit/fault"

// Behaviour is how a circuit carries on.
type Behaviour int

// The behaviours.
const (
	Rests       Behaviour = iota // at rest
	Repeats                      // periodic
	Cycles                       // starts and stops over and over
	NeverStarts                  // what should run by itself does not
	StillMoving                  // had not settled when it was left
	NoSolution                   // could not be worked out; predicts little
	Behaviours  = 6
)

// String gives the behaviour in words.
func (b Behaviour) String() string {
	if b < 0 || b >= Behaviours {
		return "unknown"
	}
	return [Behaviours]string{"at rest", "runs", "starts and stops", "never starts", "had not settled", "no solution"}[b]
}

// Forecast is what would be read in one state of the bench with one set of
// troubles: a mixture of ways whose weights add up to one.
type Forecast struct{ Ways []Way }

// Way is one thing that the circuit may do: means of everything that can be read,
// and how they spread together.
type Way struct {
	Weight    float64
	Behaviour Behaviour
	Period    float64  // seconds, when it repeats or cycles
	Why       string   // what kept it from being worked out; else empty
	Blown     []string // fuses
	Hot       []Hot    // parts that bear more than they are made for, worst first
	// Bears tells how hard each part works whose rating is stated: of the sound
	// circuit it is what the odds of its parts follow.
	Bears map[string]fault.Stress

	// All that follows is by place in the layout, and as it is reckoned with:
	// resistances as logarithms.
	layout *layout
	ground string
	mean   []float64
	// factor holds a column for each independent cause of spread: its standard
	// deviation, as each observable follows it. The covariance is F Fᵀ plus the
	// squares of floor, which is the error of the model itself.
	factor [][]float64
	floor  []float64
}

// Hot is a part that bears more than it is made for.
type Hot struct {
	Part  string
	Share float64 // of its rating, over 1
	Of    string  // "power", "voltage" or "current"
}

// Observables lists what the way foretells.
func (w *Way) Observables() []Observable { return w.layout.Of }

// at gives mean and variance of an observable before any reading.
func (w *Way) at(sum []part) (mean, variance float64) {
	for _, p := range sum {
		mean += p.sign * w.mean[p.at]
	}
	return mean, w.covariance(sum, sum)
}

// covariance of two observables.
func (w *Way) covariance(a, b []part) float64 {
	c := 0.0
	for _, p := range a {
		for _, q := range b {
			sign := p.sign * q.sign
			for _, column := range w.factor {
				c += sign * column[p.at] * column[q.at]
			}
			if p.at == q.at {
				c += sign * w.floor[p.at] * w.floor[p.at]
			}
		}
	}
	return c
}
