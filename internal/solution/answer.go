package solution

// Answer is what was found. Quantities are in SI units.
type Answer struct {
	Circuit  string    `json:"circuit"`
	Analysis Analysis  `json:"analysis"`
	Remarks  []string  `json:"remarks,omitempty"`
	Period   float64   `json:"period_seconds,omitempty"`
	From     float64   `json:"from_seconds,omitempty"`  // begin and end of what the readings are over
	To       float64   `json:"until_seconds,omitempty"` //
	Settled  *bool     `json:"settled,omitempty"`
	Nodes    []Node    `json:"nodes,omitempty"`
	Parts    []Bearing `json:"parts,omitempty"`
	Events   []Event   `json:"events,omitempty"`
	Response *Response `json:"response,omitempty"`
	Warnings []string  `json:"warnings,omitempty"`
	// Stopped says why the answer is not complete; empty when it is.
	Stopped string `json:"stopped,omitempty"`

	curves []curve
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
	// Highest is the voltage furthest from zero since switching on.
	Highest *float64 `json:"furthest_since_switching_on,omitempty"`
}

// Bearing is what a part bears. A share of its rating is 0 where none is stated.
type Bearing struct {
	Part        string  `json:"part"`
	Kind        string  `json:"kind"`
	Current     float64 `json:"current"` // at rest, into its first node; else the greatest into any
	Mean        float64 `json:"mean_current,omitempty"`
	Voltage     float64 `json:"greatest_voltage"`
	Dissipation float64 `json:"dissipation"`
	// RMS is the ripple current of a polarised capacitor, and Hertz how often it
	// comes.
	RMS   float64 `json:"rms_current,omitempty"`
	Hertz float64 `json:"ripple_hertz,omitempty"`
	// Headroom is the least voltage between input and output of a regulator.
	Headroom  float64 `json:"least_headroom,omitempty"`
	OfPower   float64 `json:"of_rated_power,omitempty"`
	OfVoltage float64 `json:"of_rated_voltage,omitempty"`
	OfCurrent float64 `json:"of_rated_current,omitempty"`
}

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
