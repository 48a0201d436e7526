package circuit

// A Tolerance is how far a parameter may be off, relative to its value.
type Tolerance struct {
	Spread       float64 // half width when uniform, standard deviation when normal
	Distribution Distribution
}

// Distribution is how values lie within a tolerance.
type Distribution int

const (
	Uniform Distribution = iota // anywhere between the limits: what a bare "±5 %" says
	Normal                      // around the middle
)
