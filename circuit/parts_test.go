package circuit

import (
	"math"
	"sync"
	"testing"
)

// fed is a part between a source behind a resistance and ground.
func fed(volts, ohms float64, part Part, nodes ...string) *Circuit {
	c := New("gnd")
	c.Add("V", VoltageSource{DC: volts}, "in", "gnd")
	c.Add("R", Resistor{Resistance: ohms}, "in", "x")
	c.Add("PART", part, nodes...)
	return c
}

// TestDataSheetFigures: each part shows the figures it was given, read the way
// a data sheet states them.
func TestDataSheetFigures(t *testing.T) {
	cases := []struct {
		name  string
		c     *Circuit
		read  Quantity
		want  float64
		share float64 // relative error allowed
	}{
		{"forward drop at its current", func() *Circuit {
			c := New("gnd")
			c.Add("I", CurrentSource{DC: 1}, "gnd", "x")
			c.Add("PART", Rectifier(1, 400), "x", "gnd")
			return c
		}(), Voltage("x"), 0.95, 1e-6},
		{"zener at its test current", func() *Circuit {
			c := New("gnd")
			c.Add("I", CurrentSource{DC: 5e-3}, "gnd", "x")
			c.Add("PART", Zener{Voltage: 9.1}, "gnd", "x")
			return c
		}(), Voltage("x"), 9.1, 1e-6},
		{"regulator at no load", fed(15, 1, Regulator{Output: 12}, "x", "o", "gnd"), Voltage("o"), 12, 5e-3},
		{"regulator in dropout", fed(10, 0.1, Regulator{Output: 12}, "x", "o", "gnd"), Voltage("o"), 8, 5e-3},
		{"regulator in limit", func() *Circuit {
			c := fed(15, 0.1, Regulator{Output: 12, CurrentLimit: 1}, "x", "o", "gnd")
			c.Add("RL", Resistor{Resistance: 2}, "o", "gnd")
			return c
		}(), Current("RL"), 1, 1e-2},
		{"negative regulator", fed(-15, 1, Regulator{Output: 12, Negative: true}, "x", "o", "gnd"), Voltage("o"), -12, 5e-3},
		{"shunt reference as its own zener", fed(10, 1000, Reference{}, "x", "gnd", "x"), Voltage("x"), 2.495, 2e-3},
		{"optocoupler with a transfer ratio of 0.5", func() *Circuit {
			c := fed(11.2, 1000, Optocoupler{TransferRatio: 0.5}, "x", "gnd", "o", "gnd")
			c.Add("V2", VoltageSource{DC: 10}, "o", "gnd")
			return c
		}(), PinCurrent("PART", "collector"), 5e-3, 0.15},
		{"potentiometer at a quarter", func() *Circuit {
			c := New("gnd")
			c.Add("V", VoltageSource{DC: 10}, "a", "gnd")
			c.Add("PART", Potentiometer{Resistance: 10e3, Position: 0.25}, "a", "x", "gnd")
			return c
		}(), Voltage("x"), 7.5, 2e-3},
		{"MOSFET on", func() *Circuit {
			c := fed(10, 10, MOSFET{OnResistance: 0.5}, "x", "g", "gnd")
			c.Add("VG", VoltageSource{DC: 10}, "g", "gnd")
			return c
		}(), Voltage("x"), 10 * 0.5 / 10.5, 5e-2},
		{"op-amp follower", func() *Circuit {
			c := New("gnd")
			c.Add("V", VoltageSource{DC: 3}, "i", "gnd")
			c.Add("VP", VoltageSource{DC: 15}, "p", "gnd")
			c.Add("VN", VoltageSource{DC: -15}, "n", "gnd")
			c.Add("PART", GeneralOpAmp(), "i", "x", "x", "p", "n")
			return c
		}(), Voltage("x"), 3, 1e-4},
		{"op-amp at its rail", func() *Circuit {
			c := New("gnd")
			c.Add("V", VoltageSource{DC: 3}, "i", "gnd")
			c.Add("VP", VoltageSource{DC: 15}, "p", "gnd")
			c.Add("VN", VoltageSource{DC: -15}, "n", "gnd")
			c.Add("PART", GeneralOpAmp(), "i", "gnd", "x", "p", "n")
			return c
		}(), Voltage("x"), 13.5, 1e-2},
		{"op-amp in its current limit", func() *Circuit {
			c := New("gnd")
			c.Add("V", VoltageSource{DC: 3}, "i", "gnd")
			c.Add("VP", VoltageSource{DC: 15}, "p", "gnd")
			c.Add("VN", VoltageSource{DC: -15}, "n", "gnd")
			c.Add("PART", GeneralOpAmp(), "i", "gnd", "x", "p", "n")
			c.Add("RL", Resistor{Resistance: 100}, "x", "gnd")
			return c
		}(), Current("RL"), 25e-3, 2e-2},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			got, err := solve(t, tc.c, State{}).Value(tc.read)
			if err != nil || math.Abs(got-tc.want) > tc.share*math.Abs(tc.want) {
				t.Errorf("%v is %g, want %g (%v)", tc.read, got, tc.want, err)
			}
		})
	}
}

// TestTemperature: a silicon junction drops about 2 mV less for each kelvin
// (common practice), and a resistor follows its coefficient.
func TestTemperature(t *testing.T) {
	at := func(kelvin float64) (junction, divider float64) {
		c := New("gnd")
		c.Add("I", CurrentSource{DC: 1e-3}, "gnd", "x")
		c.Add("Q", Bipolar{}, "x", "x", "gnd")
		c.Add("V", VoltageSource{DC: 1}, "a", "gnd")
		c.Add("R1", Resistor{Resistance: 1e3}, "a", "m")
		c.Add("R2", Resistor{Resistance: 1e3, TemperatureCoefficient: 4e-3}, "m", "gnd")
		s, err := c.Solver(Settings{Temperature: kelvin})
		if err != nil {
			t.Fatal(err)
		}
		op, err := s.OperatingPoint(background)
		if err != nil {
			t.Fatal(err)
		}
		return volts(t, op, "x"), volts(t, op, "m")
	}
	cool, even := at(300.15)
	warm, tilted := at(310.15)
	if slope := (warm - cool) / 10; slope > -1.5e-3 || slope < -2.5e-3 {
		t.Errorf("%g V per kelvin", slope)
	}
	if even != 0.5 || !near(tilted, 1.04/2.04, 1e-9, 0) {
		t.Errorf("divider %g and %g", even, tilted)
	}
}

// timedEvents runs a circuit from cold and returns what switched.
func timedEvents(t *testing.T, c *Circuit, until float64) []Event {
	t.Helper()
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: until, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	return tr.Events
}

// TestFuse melts at its melting integral: t = I²t / i² far above its rating,
// never at the rating (IEC 60127-1).
//
// Outside: IEC 60127-1, melting integral: t = I²t / i². Within: 2 %.
func TestFuse(t *testing.T) {
	events := timedEvents(t, fed(100, 9.9, Fuse{Rated: 1, MeltingIntegral: 2, Resistance: 0.1}, "x", "gnd"), 1)
	if want := 2.0 / 100; len(events) != 1 || !near(events[0].Time, want, 2e-2, 0) {
		t.Errorf("%v, want one at %g s", events, want)
	}
	if events := timedEvents(t, fed(10, 9.9, Fuse{Rated: 1, MeltingIntegral: 2, Resistance: 0.1}, "x", "gnd"), 100); len(events) != 0 {
		t.Errorf("melts at its rated current: %v", events)
	}
}

// TestRelay pulls in when the exponential of its coil current gets there.
func TestRelay(t *testing.T) {
	c := New("gnd")
	c.Add("V", VoltageSource{Wave: Step{To: 12}}, "in", "gnd")
	c.Add("K", Relay{CoilResistance: 300, CoilInductance: 0.6, PullIn: 25e-3}, "in", "gnd", "in", "o")
	c.Add("RL", Resistor{Resistance: 100}, "o", "gnd")
	want := -0.6 / 300 * math.Log(1-25e-3*300/12)
	if events := timedEvents(t, c, 0.05); len(events) != 1 || !events[0].On || !near(events[0].Time, want, 1e-3, 0) {
		t.Errorf("%v, want one at %g s", events, want)
	}
}

// TestTriacDimmer: fired by a pulse in each half wave, the triac holds until
// the current ends, both ways.
func TestTriacDimmer(t *testing.T) {
	c := New("gnd")
	c.Add("V", VoltageSource{Wave: Mains{RMS: 230}}, "l", "gnd")
	c.Add("RL", Resistor{Resistance: 100}, "l", "a")
	c.Add("TR", Triac{}, "a", "gnd", "g")
	c.Add("VG", VoltageSource{Wave: Pulse{High: 5, Delay: 3e-3, Rise: 1e-6, Fall: 1e-6, Width: 100e-6, Period: 10e-3}}, "gg", "gnd")
	c.Add("RG", Resistor{Resistance: 47}, "gg", "g")
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: 40e-3, Cold: true, Record: []Quantity{Current("RL")}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := tr.Over(Current("RL"), 20e-3, 40e-3)
	if err != nil {
		t.Fatal(err)
	}
	// Fired at 3 ms of each 10 ms: the sine squared from 54° to 180°.
	angle := 0.3 * math.Pi
	want := 2.3 * math.Sqrt((math.Pi-angle+math.Sin(2*angle)/2)/math.Pi)
	if !near(r.RMS, want, 2e-2, 0) || math.Abs(r.Mean) > 0.02 {
		t.Errorf("%+v, want %g A RMS; %v", r, want, tr.Events)
	}
}

// TestSlewRate: a step through a follower takes the slope of the data sheet.
func TestSlewRate(t *testing.T) {
	c := New("gnd")
	c.Add("V", VoltageSource{Wave: Step{To: 5, At: 1e-6}}, "i", "gnd")
	c.Add("U", OpAmp{GainBandwidth: 1e6, SlewRate: 0.5e6}, "i", "o", "o")
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Transient(background, Run{Until: 20e-6, Record: []Quantity{Voltage("o")}})
	if err != nil {
		t.Fatal(err)
	}
	a, ok1, err1 := tr.Crossing(Voltage("o"), 1, true, 0)
	b, ok2, err2 := tr.Crossing(Voltage("o"), 3, true, 0)
	if !ok1 || !ok2 || err1 != nil || err2 != nil || !near(2/(b-a), 0.5e6, 5e-2, 0) {
		t.Errorf("from %g s to %g s: %g V/s", a, b, 2/(b-a))
	}
}

// TestParallel: solvers of one circuit do not share anything that changes.
func TestParallel(t *testing.T) {
	c := linearSupply()
	want, err := study(c, change{}, State{})
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			got, err := study(c, change{}, State{})
			if err != nil || got.Change != want.Change || got.Periods != want.Periods {
				t.Errorf("%v %v: a second solver came out otherwise", got, err)
			}
		})
	}
	wait.Wait()
}
