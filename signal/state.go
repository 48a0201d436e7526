package signal

// State is what a signal or rail is truly doing.
type State int

// The states. For a rail, StuckLow and StuckHigh hardly occur; for a logic
// line, Low and High hardly occur.
const (
	Good      State = iota // as it should be
	Absent                 // nothing there: no voltage, no sound, no picture
	Low                    // there, but too small: a sagging rail, a weak signal
	High                   // too large: an over-voltage, a value drifted up
	StuckLow               // held at its low level, does not move
	StuckHigh              // held at its high level, does not move
	Floating               // driven by nobody
	Clamped                // held near one level, between the two, or fought over
	Wrong                  // moves, but wrongly: wrong rate, shape or data; cycling
	Noisy                  // right on average, with hum, ripple or noise on it
	States    = 10         // the number of states
)

var stateNames = [States]string{"good", "absent", "low", "high", "stuck low", "stuck high", "floating", "clamped", "wrong", "noisy"}

// String gives the state's name in lower case words.
func (s State) String() string {
	if s < 0 || s >= States {
		return "unknown"
	}
	return stateNames[s]
}

// Spread holds a probability for each state; the ten add up to one. The zero
// Spread means "not said".
type Spread [States]float64

// Likelihood holds, for one reading, the chance (or density) of that reading
// in each state. Only ratios matter: the ten need not add up to anything.
type Likelihood [States]float64

// Pure is the spread of a signal whose state is certain.
func Pure(s State) Spread {
	var spread Spread
	spread[s] = 1
	return spread
}

// Said reports whether the spread holds anything.
func (p Spread) Said() bool { return p != Spread{} }

// Bad is the probability that the signal is not good.
func (p Spread) Bad() float64 { return 1 - p[Good] }

// Normal scales the spread so that it adds up to one. The zero Spread stays.
func (p Spread) Normal() Spread {
	sum := 0.0
	for _, x := range p {
		sum += x
	}
	if sum == 0 {
		return p
	}
	for s := range p {
		p[s] /= sum
	}
	return p
}

// Mix is the spread that is p with probability share and q otherwise.
func (p Spread) Mix(share float64, q Spread) Spread {
	for s := range p {
		p[s] = share*p[s] + (1-share)*q[s]
	}
	return p
}

// Of is the chance (or density) of the reading under the spread.
func (l Likelihood) Of(p *Spread) float64 {
	sum := 0.0
	for s, x := range p {
		sum += x * l[s]
	}
	return sum
}

// Best is the largest value over the states: what a perfect explanation of
// the reading could reach.
func (l Likelihood) Best() float64 {
	best := l[0]
	for _, x := range l[1:] {
		best = max(best, x)
	}
	return best
}

// Agnostic is the spread of a signal in a unit whose fault the sheet does not
// describe: as likely good as not, and then in any state alike.
func Agnostic() Spread {
	spread := Spread{Good: 0.5}
	for s := Absent; s < States; s++ {
		spread[s] = 0.5 / (States - 1)
	}
	return spread
}
