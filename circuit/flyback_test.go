package circuit

import "testing"

// flyback is an invented self-oscillating supply for 5 V, as small sets of the
// 1980s had: a ringing-choke converter with a start-up resistor, a current
// limit in the emitter and an optocoupler that shortens the strokes once the
// output is up.
func flyback() *Circuit {
	c := New("gnd")
	c.Add("VB", VoltageSource{Wave: Step{To: 160}, Resistance: 2}, "hv", "gnd")
	c.Add("CB", Capacitor{Capacitance: 47e-6, SeriesResistance: 0.5}, "hv", "gnd")
	c.Add("RST", Resistor{Resistance: 330e3}, "hv", "b")
	c.Add("T1", Transformer{Magnetizing: 1.2e-3, Windings: []Winding{
		{Turns: 90, Resistance: 1, Leakage: 20e-6}, {Turns: 5, Resistance: 0.1}, {Turns: 5, Resistance: 0.02},
	}}, "hv", "x", "f", "gnd", "gnd", "s")
	c.Add("Q1", HighVoltageSwitch(), "x", "b", "e")
	c.Add("RE", Resistor{Resistance: 0.82}, "e", "gnd")
	c.Add("RF", Resistor{Resistance: 47}, "f", "f1")
	c.Add("CF", Capacitor{Capacitance: 100e-9}, "f1", "b")
	c.Add("DB", SmallSignalDiode(), "gnd", "b")
	c.Add("RL2", Resistor{Resistance: 330}, "e", "b2")
	c.Add("Q2", SmallTransistor(N), "b", "b2", "gnd")
	c.Add("CL2", Capacitor{Capacitance: 1e-9}, "b2", "gnd")
	// Clamp of the leakage inductance.
	c.Add("DC", FastRectifier(1, 600), "x", "cl")
	c.Add("CC", Capacitor{Capacitance: 4.7e-9}, "cl", "hv")
	c.Add("RC", Resistor{Resistance: 33e3}, "cl", "hv")
	c.Add("CX", Capacitor{Capacitance: 220e-12, SeriesResistance: 47}, "x", "gnd")
	// Output.
	c.Add("D1", SchottkyRectifier(5, 40), "s", "out")
	c.Add("CO", Capacitor{Capacitance: 470e-6, SeriesResistance: 0.03}, "out", "gnd")
	c.Add("RL", Resistor{Resistance: 5}, "out", "gnd")
	// Regulation: the light of OC1 holds Q2 on from an auxiliary supply.
	c.Add("DA", SmallSignalDiode(), "f", "aux")
	c.Add("CA", Capacitor{Capacitance: 1e-6}, "aux", "gnd")
	c.Add("RA", Resistor{Resistance: 10e3}, "aux", "gnd")
	c.Add("OC1", Optocoupler{Bandwidth: 30e3}, "la", "lk", "oc", "b2")
	c.Add("ROC", Resistor{Resistance: 470}, "aux", "oc")
	c.Add("RLED", Resistor{Resistance: 150}, "out", "la")
	c.Add("U1", Reference{}, "lk", "gnd", "ref")
	c.Add("R1", Resistor{Resistance: 10e3}, "out", "ref")
	c.Add("R2", Resistor{Resistance: 10e3}, "ref", "gnd")
	c.Add("C2", Capacitor{Capacitance: 10e-9}, "lk", "ref")
	return c
}

// TestFlybackFromCold: the supply starts by itself, oscillates and comes into
// regulation.
func TestFlybackFromCold(t *testing.T) {
	s, err := flyback().Solver(Settings{Accuracy: 1e-3})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: 8e-3, Cold: true, Record: []Quantity{Voltage("out"), Voltage("x"), PinCurrent("Q1", "collector")}})
	if err != nil {
		t.Fatal(err)
	}
	start, err1 := tr.Over(Voltage("out"), 0, 50e-6)
	end, err2 := tr.Over(Voltage("out"), 7e-3, 8e-3)
	if err := first(err1, err2); err != nil {
		t.Fatal(err)
	}
	strokes := 0
	for at := 7e-3; ; strokes++ {
		next, ok, err := tr.Crossing(Voltage("x"), 100, true, at)
		if err != nil {
			t.Fatal(err)
		}
		if !ok {
			break
		}
		at = next + 1e-7
	}
	t.Logf("output %+v, %.0f kHz, %d steps of %d tried, %d iterations", end, float64(strokes), s.stepper.steps, s.stepper.tried, s.iterated)
	if start.Max > 0.5 || end.Mean < 4.8 || end.Mean > 5.2 || end.PeakToPeak > 1 || strokes < 20 {
		t.Errorf("begins with %g V, ends with %+v and %d strokes in 1 ms", start.Max, end, strokes)
	}
}
