package prediction

import (
	"context"

	"halfsplit/fault"
	"halfsplit/signal"
	"halfsplit/wiring"
)

// Bench is the state in which readings are taken. The zero value is: everything
// connected, mains on.
type Bench struct {
	Off     bool     // mains off and stored charge gone, for the ohmmeter
	Lifted  []string // parts out of circuit
	Without []string // loads disconnected
	// Sources are shares of what the named sources give: 0.5 is half of it, 0 is
	// unplugged.
	Sources map[string]float64
}

// Trouble is a part that fails by an act, or, when Part is empty, a resistance
// from a node to ground.
type Trouble struct {
	Part string
	Act  fault.Act
	Node string
	Ohms float64
}

// Aspect is what of a node or part is looked at.
type Aspect int

// The aspects.
const (
	Level      Aspect = iota // mean voltage of Node against To: what a DC meter shows, in volt
	Ripple                   // peak to peak, in volt
	RMS                      // of the alternating part: what an AC meter shows, in volt
	Frequency                // of the alternating part, in hertz
	Resistance               // what an ohmmeter shows with power off, in ohm
	Gain                     // of a small signal from the source that drives it, as a factor, at Hertz
	Heat                     // what the part named by Node dissipates, in watt
	Aspects    = 7
)

// Observable is something that can be read.
type Observable struct {
	Aspect Aspect
	Node   string  // or the part, for Heat
	To     string  // the other node; ground when empty
	Hertz  float64 // for Gain
	// Diode is for Resistance: with the test voltage of the diode range, which
	// turns junctions on, in place of the low one, which does not.
	Diode bool
}

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

// Forecast is what would be read in one state of the bench with one set of
// troubles: a mixture of ways whose weights add up to one.
type Forecast struct{ Ways []Way }

// Way is one thing that the circuit may do.
type Way struct {
	Weight    float64
	Behaviour Behaviour
	Period    float64  // seconds, when it repeats or cycles
	Why       string   // what kept it from being worked out; else empty
	Blown     []string // fuses
	Hot       []Hot    // parts beyond their rating

	model // means and spreads of every observable
}

// Hot is a part that bears more than it is made for.
type Hot struct {
	Part  string
	Share float64 // of its rating
	Of    string  // "power", "voltage" or "current"
}

// model holds means and spreads.
type model struct{}

// Read is a reading that was taken.
type Read struct {
	Of    Observable
	Value float64 // as shown
	U     float64 // standard uncertainty of the meter, in the unit of the value
	// Low and High bound a reading that is no figure: over range, "open", "0".
	// Both zero: Value is the figure.
	Low, High float64
}

// Predict gives mean and standard deviation of an observable in this way, after
// the readings that were taken in the same state of the bench. ok is false when
// the circuit says nothing of it.
func (w *Way) Predict(of Observable, taken []Read) (mean, deviation float64, ok bool) {
	return 0, 0, false
}

// LogDensity is the logarithm of the joint density of readings in this way.
func (w *Way) LogDensity(reads []Read) float64 { return 0 }

// Rail says what a node should be, for State.
type Rail struct {
	signal.Expectation
	Ripple float64 // limit, peak to peak in volt; 0 when none is stated
}

// State is what a node truly does in this way, as package signal tells it.
func (w *Way) State(node string, rail Rail) signal.Spread { return signal.Spread{} }

// State is that of the whole mixture.
func (f *Forecast) State(node string, rail Rail) signal.Spread { return signal.Spread{} }

// LogDensity is the logarithm of the joint density of readings taken in the
// state of the bench of this forecast.
func (f *Forecast) LogDensity(reads []Read) float64 { return 0 }

// Cache keeps forecasts. It may lose them at any time.
type Cache interface {
	Get(key [32]byte) ([]byte, bool)
	Put(key [32]byte, value []byte)
}

// Settings say how closely to work. The zero value stands for the defaults
// named with each field.
type Settings struct {
	Cache    Cache   // none when nil
	Samples  int     // of tolerances, for what is followed over time; 12 when zero
	Longest  float64 // seconds in the circuit to follow what sets its own pace; 60 ms when zero
	Accuracy float64 // relative error allowed in each step of time; 1e-3 when zero
}

// Predictor foretells readings of one circuit. It is safe for concurrent use.
type Predictor struct{ sound *wiring.Circuit }

// New makes a predictor of a circuit.
func New(c *wiring.Circuit, set Settings) (*Predictor, error) { return &Predictor{c}, nil }

// Forecast works out one state of the bench with a set of troubles (none: the
// sound circuit). What has no solution is a way of its own, not an error; errors
// are names that do not exist, and that of ctx.
func (p *Predictor) Forecast(ctx context.Context, bench Bench, troubles []Trouble) (*Forecast, error) {
	return &Forecast{}, nil
}

// Case is one state of the bench with one set of troubles.
type Case struct {
	Bench    Bench
	Troubles []Trouble
}

// ForecastAll works out many cases on all processors, in their order. Progress,
// when not nil, is told how many of them are done; it is called from one
// goroutine at a time.
func (p *Predictor) ForecastAll(ctx context.Context, cases []Case, progress func(done, of int)) ([]*Forecast, error) {
	return make([]*Forecast, len(cases)), nil
}
