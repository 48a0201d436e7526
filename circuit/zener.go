package circuit

// A Zener is a diode used in breakdown, given as its data sheet does: the
// voltage and the slope resistance at a test current. It is a [Diode] whose
// breakdown law passes through that point with that slope:
//
//	nb Vt = slope resistance × test current
type Zener struct {
	Voltage         float64 // volt at TestCurrent, greater than 0
	TestCurrent     float64 // ampere; 5 mA when zero
	SlopeResistance float64 // ohm at TestCurrent; 10 when zero
	ForwardDrop     float64 // volt at 10 mA; 0.75 when zero
	Capacitance     float64 // farad at no voltage; 0 means none
}

func (Zener) pins() []string { return []string{"anode", "cathode"} }

func (z Zener) wire(w *wiring) (device, error) {
	fallback(&z.TestCurrent, 5e-3)
	fallback(&z.SlopeResistance, 10)
	fallback(&z.ForwardDrop, 0.75)
	if err := w.check(above("zener voltage", z.Voltage, 0), above("test current", z.TestCurrent, 0), above("slope resistance", z.SlopeResistance, 0)); err != nil {
		return nil, err
	}
	return Diode{
		ForwardDrop: z.ForwardDrop, Ideality: 1.2,
		Breakdown: z.Voltage, BreakdownCurrent: z.TestCurrent,
		BreakdownIdeality:   z.SlopeResistance * z.TestCurrent / thermalVoltage(300.15),
		JunctionCapacitance: z.Capacitance,
	}.wire(w)
}
