package prediction

// Settings say how closely to work. The zero value stands for the defaults named
// with each field.
type Settings struct {
	Cache Cache // none when nil
	// Version is that of the program, or empty: what is kept in a cache is used
	// by the same version only.
	Version string
	// Samples is how many times a circuit is solved anew with parts within their
	// tolerances, where it has to be followed over time; 12 when zero.
	Samples int
	// Accuracy is the relative error allowed in each step of time; 1e-3 when
	// zero. FreeAccuracy is the same for circuits that set their own pace, which
	// take longest; 3e-3 when zero.
	Accuracy, FreeAccuracy float64
	// Longest is for how many seconds in the circuit one that sets its own pace
	// is followed when it does not settle; 40 ms when zero. MostSteps bounds the
	// steps that it may take; 600,000 when zero.
	Longest   float64
	MostSteps int
	// Pairs are nodes between which the ohmmeter is put, beside each and ground.
	Pairs [][2]string
	// Hertz are frequencies at which the gain from the one source that puts in a
	// signal to every node is worked out.
	Hertz []float64
	// ModelError multiplies what is allowed for the drawing and the models of the
	// parts not being quite the unit; 1 when zero, next to nothing when below
	// zero.
	ModelError float64
}

func (s *Settings) withDefaults() {
	fallback := func(f *float64, standard float64) {
		if *f == 0 {
			*f = standard
		}
	}
	fallback(&s.Accuracy, 1e-3)
	fallback(&s.FreeAccuracy, 3e-3)
	fallback(&s.Longest, 40e-3)
	fallback(&s.ModelError, 1)
	if s.ModelError < 0 {
		s.ModelError = 1e-6
	}
	if s.Samples == 0 {
		s.Samples = 12
	}
	if s.MostSteps == 0 {
		s.MostSteps = 600_000
	}
}
