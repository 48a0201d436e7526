package circuit

import (
	"math"
	"strings"
	"testing"
)

// watched follows a circuit from cold until it is known what it does.
func watched(t *testing.T, c *Circuit, accuracy, until float64, record ...Quantity) (*Trace, Behaviour) {
	t.Helper()
	s, err := c.Solver(Settings{Accuracy: accuracy})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: until, Cold: true, Record: record, Watch: 0.01, Enough: true})
	if err != nil {
		t.Fatal(err)
	}
	b, ok := tr.Behaviour()
	if !ok {
		t.Fatal("nobody watched")
	}
	t.Logf("%v, known at %g s; %d strokes, mover %q by %g", b, b.Known, b.Strokes, b.Mover, b.Drift)
	return tr, b
}

// relaxation is an op-amp that charges a capacitor to and fro between two
// thresholds, ±half of its output of ±10 V: a period of 2 RC ln 3 (any textbook,
// astable with β = 1/2).
func relaxation(resistance, capacitance float64) *Circuit {
	c := New("gnd")
	c.Add("U1", Comparator{High: 10, Low: -10, OutputResistance: 1}, "half", "v", "out")
	c.Add("R1", Resistor{Resistance: 10e3}, "out", "half")
	c.Add("R2", Resistor{Resistance: 10e3}, "half", "gnd")
	c.Add("R3", Resistor{Resistance: resistance}, "out", "v")
	c.Add("C1", Capacitor{Capacitance: capacitance}, "v", "gnd")
	return c
}

// TestFrequencyFound: nobody says how fast it is; the waveform does. From 20 Hz to
// 2 MHz the frequency is that of the formula, within the uncertainty that is stated
// and the accuracy of the steps.
func TestFrequencyFound(t *testing.T) {
	for _, capacitance := range []float64{2e-6, 20e-9, 200e-12, 20e-12} {
		want := 1 / (2 * 10e3 * capacitance * math.Log(3))
		_, b := watched(t, relaxation(10e3, capacitance), 1e-5, 1000/want, Voltage("v"), Voltage("out"))
		if b.Habit != Repeating || !b.Started() || math.Abs(b.Frequency-want) > 3*b.FrequencyUncertainty+3e-4*want {
			t.Errorf("%v, want %.6g Hz", b, want)
		}
		if b.Known > 110/want { // an eleventh of the time allowed
			t.Errorf("%.4g Hz is known only after %.0f periods", want, b.Known*want)
		}
	}
}

// TestSteadyStretch: the stretch to take readings over is whole strokes, so that
// mean and RMS are those of the triangle-like wave: mean 0, the square ±10 V.
func TestSteadyStretch(t *testing.T) {
	tr, b := watched(t, relaxation(10e3, 20e-9), 1e-4, 1, Voltage("v"), Voltage("out"))
	v, err1 := tr.Over(Voltage("v"), b.From, b.To)
	out, err2 := tr.Over(Voltage("out"), b.From, b.To)
	if err := first(err1, err2); err != nil {
		t.Fatal(err)
	}
	if math.Abs(v.Mean) > 5e-3 || math.Abs(out.Mean) > 2e-2 || math.Abs(out.RMS-10) > 1e-2 || math.Abs(v.Max-5) > 1e-2 {
		t.Errorf("v %+v, out %+v", v, out)
	}
}

// hiccup is a supply that tries, trips and tries again: a capacitor charges
// through a resistor, and at 16 V lets an oscillator run, which empties it at 10 V.
// Charging from 10 V to 16 V off 30 V takes 10 kΩ·C·ln(20/14); running, 9.8 mA
// more flow than the resistor brings.
func hiccup(storage float64) *Circuit {
	c := relaxation(10e3, 1e-9) // of 45.5 kHz
	c.Add("V1", VoltageSource{DC: 30}, "in", "gnd")
	c.Add("R4", Resistor{Resistance: 10e3}, "in", "store")
	c.Add("C2", Capacitor{Capacitance: storage}, "store", "gnd")
	c.Add("S1", Switch{OnResistance: 1, OffResistance: 1e9,
		CloseWhen: &Condition{Of: Voltage("store"), Level: 16}, OpenWhen: &Condition{Of: Voltage("store"), Level: 10, Falling: true}}, "store", "run")
	c.Add("R5", Resistor{Resistance: 1e3}, "run", "gnd")
	// While it does not run, the oscillator is held.
	c.Add("S2", Switch{OnResistance: 1, OffResistance: 1e9, Closed: true,
		OpenWhen: &Condition{Of: Voltage("run"), Level: 5}, CloseWhen: &Condition{Of: Voltage("run"), Level: 5, Falling: true}}, "v", "gnd")
	return c
}

// TestHiccup: the time from try to try is that of the capacitor, and the strokes
// within a try have the frequency of the oscillator.
func TestHiccup(t *testing.T) {
	const storage = 1e-6
	charge := 10e3 * storage * math.Log(20.0/14)
	// Running: 30 V through 10 kΩ against 1001 Ω, from 16 V towards 2.73 V.
	rest, tau := 30*1001.0/11001, storage*10e3*1001/11001
	run := tau * math.Log((16-rest)/(10-rest))
	tr, b := watched(t, hiccup(storage), 1e-4, 0.2, Voltage("store"), Voltage("v"), Voltage("out"))
	if want := charge + run; b.Habit != Cycling || math.Abs(b.Cycle-want) > 3*b.CycleUncertainty+5e-3*want {
		t.Errorf("%v, want a cycle of %g s", b, want)
	}
	if want := 1 / (2 * 10e3 * 1e-9 * math.Log(3)); math.Abs(b.Frequency-want) > 3*b.FrequencyUncertainty+0.02*want {
		t.Errorf("strokes at %g Hz ± %g Hz, want %g Hz", b.Frequency, b.FrequencyUncertainty, want)
	}
	if end := tr.Time[len(tr.Time)-1]; end > 0.1 {
		t.Errorf("took until %g s", end)
	}
	// The voltage alone tells it too.
	if _, b := watched(t, hiccup(storage), 1e-4, 0.2, Voltage("store")); b.Habit == Moving || b.Habit == Resting {
		t.Errorf("by the voltage of the capacitor alone: %v", b)
	}
}

// TestNeverStarted: without its start-up resistor the flyback stays dead, and says
// so; with a start-up capacitor that takes long to charge it is not called dead
// while that charges.
func TestNeverStarted(t *testing.T) {
	nodes := []Quantity{Voltage("hv"), Voltage("out"), Voltage("x"), Voltage("b")}
	dead, err := flyback().Remove("RST")
	if err != nil {
		t.Fatal(err)
	}
	if _, b := watched(t, dead, 1e-3, 0.2, nodes...); b.Habit != Resting || b.Started() || b.Frequency != 0 {
		t.Errorf("without its start-up resistor: %v", b)
	}
	late := flyback()
	late.Add("CST", Capacitor{Capacitance: 1e-6}, "b", "gnd") // 330 kΩ·1 µF·(0.6 V / 160 V) = 1.2 ms to charge
	_, b := watched(t, late, 1e-3, 6e-3, nodes...)
	if b.Habit == Resting && !b.Started() && b.Known < 1.2e-3 {
		t.Errorf("called dead while it charges: %v", b)
	}
}

// TestFlybackBehaves: the sound supply is in regulation before all of 12 ms are
// over: bursts at some kHz that keep the output at 5 V.
func TestFlybackBehaves(t *testing.T) {
	tr, b := watched(t, flyback(), 1e-3, 12e-3, Voltage("hv"), Voltage("out"), Voltage("aux"), Voltage("b"), Voltage("x"))
	if b.Habit != Cycling && b.Habit != Repeating || !b.Started() || b.Frequency < 20e3 || b.Frequency > 200e3 {
		t.Fatalf("%v", b)
	}
	out, err := tr.Over(Voltage("out"), b.From, b.To)
	if err != nil || out.Mean < 4.9 || out.Mean > 5.1 {
		t.Errorf("output %+v (%v)", out, err)
	}
	if end := tr.Time[len(tr.Time)-1]; end > 11e-3 {
		t.Errorf("followed until %g s", end)
	}
}

// TestStillMoving: a capacitor that charges for longer than one looks is named,
// with how far it still has to go; one that has charged rests.
func TestStillMoving(t *testing.T) {
	charging := func() *Circuit {
		c := New("gnd")
		c.Add("V1", VoltageSource{DC: 10}, "in", "gnd")
		c.Add("R1", Resistor{Resistance: 1e3}, "in", "top")
		c.Add("C1", Capacitor{Capacitance: 1e-3}, "top", "gnd") // 1 s
		return c
	}
	if _, b := watched(t, charging(), 1e-4, 1, Voltage("top")); b.Habit != Moving || b.Mover != "node top" || b.Drift < 0.1 {
		t.Errorf("after one time constant: %v by %g", b, b.Drift)
	}
	tr, b := watched(t, charging(), 1e-4, 100, Voltage("top"))
	v, err := tr.Over(Voltage("top"), b.From, b.To)
	if b.Habit != Resting || err != nil || math.Abs(v.Mean-10) > 0.1 || b.Known > 20 {
		t.Errorf("%v: %+v (%v)", b, v, err)
	}
}

// TestWaitsForTheClock: a circuit at rest is not done while something is bound to
// happen by the clock.
func TestWaitsForTheClock(t *testing.T) {
	c := New("gnd")
	c.Add("V1", VoltageSource{Wave: Step{To: 5, At: 0.8}}, "in", "gnd")
	c.Add("R1", Resistor{Resistance: 1e3}, "in", "gnd")
	tr, b := watched(t, c, 1e-4, 1, Voltage("in"))
	if v, err := tr.At(Voltage("in"), 1); err != nil || v != 5 || b.Habit == Repeating {
		t.Errorf("ends with %g V, %v (%v)", v, b, err)
	}
}

// TestMainsFrequency: what the mains drives repeats with the mains.
func TestMainsFrequency(t *testing.T) {
	core := func(c *Circuit, primary, a, b, x string) {
		c.Add("T1", Transformer{Magnetizing: 12, Windings: []Winding{{Turns: 1150, Resistance: 40}, {Turns: 85, Resistance: 0.4}, {Turns: 60, Resistance: 1.5}}}, primary, "gnd", a, b, x, "gnd")
	}
	_, b := watched(t, twoSecondaries(core), 1e-4, 2, Voltage("live"), Voltage("raw"), Voltage("minus"))
	if b.Habit != Repeating || math.Abs(b.Frequency-50) > 0.1 && math.Abs(b.Frequency-100) > 0.2 || !strings.Contains(b.String(), "repeating at") {
		t.Errorf("%v", b)
	}
}
