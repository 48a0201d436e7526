package circuit

// A Rating is what a part is made for. Zero means not stated.
type Rating struct {
	Power   float64 // watt
	Voltage float64 // volt, between any two pins
	Current float64 // ampere, into any pin
}
