package solution

import "halfsplit/wiring"

// Answer is what was found. Quantities are in SI units.
type Answer struct {
	Circuit  string   `json:"circuit"`
	Analysis Analysis `json:"analysis"`
	Remarks  []string `json:"remarks,omitempty"`
	Period   float64  `json:"period_seconds,omitempty"`
	From     float64  `json:"from_seconds,omitempty"`  // begin and end of what the readings are over
	To       float64  `json:"until_seconds,omitempty"` //
	Settled  *bool    `json:"settled,omitempty"`
	// Behaviour is what a circuit came to do that was followed from switching on.
	Behaviour *Behaviour `json:"behaviour,omitempty"`
	Nodes     []Node     `json:"nodes,omitempty"`
	Parts     []Bearing  `json:"parts,omitempty"`
	Events    []Event    `json:"events,omitempty"`
	Response  *Response  `json:"response,omitempty"`
	Warnings  []string   `json:"warnings,omitempty"`
	// Stopped says why the answer is not complete; empty when it is.
	Stopped string `json:"stopped,omitempty"`

	curves []curve
}

// Behaviour is what a circuit came to do by itself.
type Behaviour struct {
	Is                   string  `json:"is"` // at rest, repeating, cycling, still moving
	Started              bool    `json:"started"`
	Strokes              int     `json:"strokes"`
	Frequency            float64 `json:"hertz,omitempty"`
	FrequencyUncertainty float64 `json:"hertz_uncertainty,omitempty"`
	Jitter               float64 `json:"jitter,omitempty"`
	Cycle                float64 `json:"cycle_seconds,omitempty"`
	CycleUncertainty     float64 `json:"cycle_seconds_uncertainty,omitempty"`
	Moving               string  `json:"moving,omitempty"`
	Drift                float64 `json:"drift,omitempty"`
}

// Analysis is the question that was asked.
type Analysis string

// The analyses.
const (
	AtRest            Analysis = "at rest"
	Repeating         Analysis = "running"
	FromSwitchingOn   Analysis = "from switching on"
	FrequencyResponse Analysis = "frequency response"
)

// Node is what a meter or scope reads at a node. At rest all but the mean and
// the ripple are the same.
type Node struct {
	Name   string  `json:"node"`
	Mean   float64 `json:"mean"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
	Ripple float64 `json:"ripple_peak_to_peak"`
	RMS    float64 `json:"rms"`
	// Spread is how far the mean, and the ripple, may be off because parts have
	// tolerances; only when asked for.
	Spread       *Spread `json:"spread,omitempty"`
	RippleSpread *Spread `json:"ripple_spread,omitempty"`
	// Highest is the voltage furthest from zero since switching on.
	Highest *float64 `json:"furthest_since_switching_on,omitempty"`
}

// Spread is what tolerances make of a reading.
type Spread struct {
	Deviation float64 `json:"standard_deviation"`
	Lowest    float64 `json:"lowest"` // when every part lies at the worse end of its tolerance
	Highest   float64 `json:"highest"`
	Shares    []Share `json:"shares,omitempty"` // the largest first
}

// Share is what the tolerance of one part contributes to a spread.
type Share struct {
	Part      string  `json:"part"`
	Deviation float64 `json:"standard_deviation"`
	Share     float64 `json:"share_of_variance"`
}

// Bearing is what a part bears.
type Bearing = wiring.Bearing

// Event is a change of a contact, fuse or thyristor.
type Event struct {
	Time float64 `json:"seconds"`
	Part string  `json:"part"`
	What string  `json:"what"`
}

// Response is how a small signal passes.
type Response struct {
	Drive       string      `json:"drive"`
	Size        float64     `json:"size"`
	Frequencies []float64   `json:"hertz"`
	Nodes       []NodeSweep `json:"nodes"`
}

// NodeSweep is the response at a node: gain in decibels over the drive, phase in
// degrees, one for each frequency.
type NodeSweep struct {
	Name  string    `json:"node"`
	Gain  []float64 `json:"gain_decibels"`
	Phase []float64 `json:"phase_degrees"`
	// Where the gain is highest, and where it has fallen by 3 dB from there on
	// either side; 0 where it does not within the range.
	Highest      float64 `json:"highest_at_hertz"`
	Lower, Upper float64 `json:"-"`
}

// curve is a line of the picture.
type curve struct {
	name string
	x, y []float64
}
