package prediction

import "math"

// Aspect is what of a node or part is looked at.
type Aspect int

// The aspects.
const (
	Level      Aspect = iota // mean voltage of Node against To: what a DC meter shows, in volt
	Ripple                   // peak to peak, in volt
	RMS                      // of the alternating part: what an AC meter shows, in volt
	Frequency                // of the alternating part, in hertz; 0 when there is none
	Resistance               // what an ohmmeter shows with power off, in ohm
	Gain                     // of a small signal from the source that drives it, as a factor, at Hertz
	Heat                     // what the part named by Node dissipates, in watt
	Aspects    = 7
)

// String gives the aspect in words.
func (a Aspect) String() string {
	if a < 0 || a >= Aspects {
		return "unknown"
	}
	return [Aspects]string{"level", "ripple", "AC voltage", "frequency", "resistance", "gain", "heat"}[a]
}

// Observable is something that can be read.
type Observable struct {
	Aspect Aspect
	Node   string // or the part, for Heat
	// To is the other node, at which the black lead is; ground when empty. Only a
	// Level is known between any two; a Resistance where [Settings] asks for it.
	To    string
	Hertz float64 // for Gain: one of those in [Settings]
	// Diode is for Resistance: what the diode range shows, in volt, with the red
	// lead at Node; it turns junctions on, which the low voltage of the ranges
	// for resistance does not.
	Diode bool
}

// layout lists what a forecast is about, with the place of each. What is not in
// it but can be worked out from it (the level between two nodes) has a few places.
type layout struct {
	Of    []Observable
	place map[Observable]int
}

// newLayout files the observables.
func newLayout(of []Observable) *layout {
	l := &layout{Of: of, place: make(map[Observable]int, len(of))}
	for i, o := range of {
		l.place[o] = i
	}
	return l
}

// part is one summand of an observable.
type part struct {
	at   int
	sign float64
}

// find gives the summands of an observable; ok is false when nothing is known of
// it. ground is the name of the node that others are measured against.
func (l *layout) find(o Observable, ground string) (sum [2]part, n int, ok bool) {
	if o.To == ground && (o.Aspect != Resistance || o.Node != ground) {
		o.To = ""
	}
	if at, ok := l.place[o]; ok {
		return [2]part{{at, 1}}, 1, true
	}
	if o.Aspect != Level || o.Diode || o.Hertz != 0 {
		return sum, 0, false
	}
	for i, node := range [2]string{o.Node, o.To} {
		if node == "" || node == ground {
			continue
		}
		at, ok := l.place[Observable{Aspect: Level, Node: node}]
		if !ok {
			return sum, 0, false
		}
		sum[n] = part{at, 1 - 2*float64(i)}
		n++
	}
	return sum, n, true
}

// Resistances are reckoned with as logarithms, since tolerances and errors of
// them are shares; everything else as it is.

// inside turns a value as shown into what is reckoned with.
func (o Observable) inside(value float64) float64 {
	if o.logarithmic() {
		return math.Log(max(value, leastOhms))
	}
	return value
}

// shown turns back.
func (o Observable) shown(value float64) float64 {
	if o.logarithmic() {
		return math.Exp(value)
	}
	return value
}

// deviation turns the standard deviation about a value as shown into that of what
// is reckoned with.
func (o Observable) deviation(value, u float64) float64 {
	if o.logarithmic() {
		return u / max(math.Abs(value), leastOhms)
	}
	return u
}

func (o Observable) logarithmic() bool { return o.Aspect == Resistance && !o.Diode }

// leastOhms is the finest resistance that matters on a bench.
const leastOhms = 0.01
