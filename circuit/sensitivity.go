package circuit

// A Parameter is a value of a part that a tolerance or a fault may change.
type Parameter struct {
	Part, Name string
	at         *float64
}

// Value is the present value, in SI units.
func (p Parameter) Value() float64 { return *p.at }

// Parameters lists every parameter of every part.
func (s *Solver) Parameters() []Parameter {
	var all []Parameter
	for i, p := range s.devices {
		for _, q := range p.parameters() {
			q.Part = s.nameOf(i)
			all = append(all, q)
		}
	}
	return all
}
