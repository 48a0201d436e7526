package circuit_test

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"

	"halfsplit/circuit"
)

// A meter of 10 MΩ across the lower half of a divider of megohms reads low.
func Example() {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{DC: 100}, "in", "gnd")
	c.Add("R1", circuit.Resistor{Resistance: 1e6}, "in", "mid")
	c.Add("R2", circuit.Resistor{Resistance: 2.2e6}, "mid", "gnd")
	c.Add("METER", circuit.Resistor{Resistance: 10e6}, "mid", "gnd")
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	op, err := s.OperatingPoint(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	volts, err := op.Value(circuit.Voltage("mid"))
	fmt.Printf("%.2f V %v\n", volts, err)
	// Output: 64.33 V <nil>
}

// A mistake in the circuit is an error that names it.
func ExampleCircuit_Solver() {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{DC: 5}, "a", "gnd")
	c.Add("R1", circuit.Resistor{Resistance: 1e3}, "a", "gnd")
	c.Add("R2", circuit.Resistor{Resistance: 1e3}, "b", "c")
	_, err := c.Solver(circuit.Settings{})
	fmt.Println(err)
	// Output: nodes b, c float together: no part ties them to gnd; check the names, or tie one of them (two isolated sides need a common ground to be measured against)
}

// The corner of a low-pass is where the output is 3 dB down and 45° behind.
func ExampleSolver_AC() {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{AC: 1}, "in", "gnd")
	c.Add("R1", circuit.Resistor{Resistance: 10e3}, "in", "out")
	c.Add("C1", circuit.Capacitor{Capacitance: 10e-9}, "out", "gnd")
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	ctx := context.Background()
	op, err := s.OperatingPoint(ctx)
	if err != nil {
		fmt.Println(err)
		return
	}
	response, err := s.AC(ctx, op, []float64{1591.549})
	if err != nil {
		fmt.Println(err)
		return
	}
	out, err := response.Value(0, circuit.Voltage("out"))
	fmt.Printf("%.2f dB, %.1f° %v\n", 20*math.Log10(cmplx.Abs(out)), cmplx.Phase(out)*180/math.Pi, err)
	// Output: -3.01 dB, -45.0° <nil>
}

// A reservoir charges through a resistor from the moment of switching on.
func ExampleSolver_Transient() {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{Wave: circuit.Step{To: 9}}, "in", "gnd")
	c.Add("R1", circuit.Resistor{Resistance: 100e3}, "in", "out")
	c.Add("C1", circuit.Capacitor{Capacitance: 10e-6}, "out", "gnd")
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	trace, err := s.Transient(context.Background(), circuit.Run{Until: 5, Record: []circuit.Quantity{circuit.Voltage("out")}})
	if err != nil {
		fmt.Println(err)
		return
	}
	at, _, err := trace.Crossing(circuit.Voltage("out"), 6, true, 0)
	fmt.Printf("6 V after %.2f s %v\n", at, err)
	// Output: 6 V after 1.10 s <nil>
}

// The ripple of a supply, sound and with its reservoir dried out.
func ExampleSolver_Steady() {
	for _, farads := range []float64{2200e-6, 47e-6} {
		c := circuit.New("gnd")
		c.Add("T1", circuit.VoltageSource{Wave: circuit.Mains{RMS: 12}, Resistance: 0.8}, "s", "t")
		for name, pins := range map[string][2]string{"D1": {"s", "out"}, "D2": {"t", "out"}, "D3": {"gnd", "s"}, "D4": {"gnd", "t"}} {
			c.Add(name, circuit.Rectifier(1, 200), pins[0], pins[1])
		}
		c.Add("C1", circuit.Capacitor{Capacitance: farads}, "out", "gnd")
		c.Add("RL", circuit.Resistor{Resistance: 22}, "out", "gnd")
		s, err := c.Solver(circuit.Settings{})
		if err != nil {
			fmt.Println(err)
			return
		}
		steady, err := s.Steady(context.Background(), circuit.Repeat{Record: []circuit.Quantity{circuit.Voltage("out")}})
		if err != nil {
			fmt.Println(err)
			return
		}
		out, err := steady.Whole(circuit.Voltage("out"))
		fmt.Printf("%.0f µF: %.0f V with %.0f V of ripple %v\n", farads*1e6, out.Mean, out.PeakToPeak, err)
	}
	// Output:
	// 2200 µF: 13 V with 2 V of ripple <nil>
	// 47 µF: 9 V with 14 V of ripple <nil>
}

// How much each part of a divider decides its output.
func ExampleSolver_Sensitivities() {
	c := circuit.New("gnd")
	c.Add("V1", circuit.VoltageSource{DC: 10}, "in", "gnd")
	c.Add("R1", circuit.Resistor{Resistance: 10e3}, "in", "mid")
	c.Add("R2", circuit.Resistor{Resistance: 10e3}, "mid", "gnd")
	c.Spread("R1", "resistance", circuit.Tolerance{Spread: 0.05})
	c.Spread("R2", "resistance", circuit.Tolerance{Spread: 0.05})
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	ctx := context.Background()
	op, err := s.OperatingPoint(ctx)
	if err != nil {
		fmt.Println(err)
		return
	}
	slopes, err := s.Sensitivities(op, circuit.Voltage("mid"))
	for _, slope := range slopes {
		fmt.Printf("%s %s: %+.1f V for a change by its own size\n", slope.Part, slope.Name, slope.Relative)
	}
	spread, err2 := s.Spread(ctx, op, circuit.Voltage("mid"))
	fmt.Printf("%.2f V to %.2f V %v %v\n", spread.Low, spread.High, err, err2)
	// Output:
	// V1 voltage: +5.0 V for a change by its own size
	// R1 resistance: -2.5 V for a change by its own size
	// R2 resistance: +2.5 V for a change by its own size
	// 4.75 V to 5.25 V <nil> <nil>
}

// A circuit that sets its own pace tells its frequency: a capacitor between two
// thresholds at half of the output, 2 RC ln 3 long.
func ExampleTrace_Behaviour() {
	c := circuit.New("gnd")
	c.Add("U1", circuit.Comparator{High: 10, Low: -10, OutputResistance: 1}, "half", "v", "out")
	c.Add("R1", circuit.Resistor{Resistance: 10e3}, "out", "half")
	c.Add("R2", circuit.Resistor{Resistance: 10e3}, "half", "gnd")
	c.Add("R3", circuit.Resistor{Resistance: 10e3}, "out", "v")
	c.Add("C1", circuit.Capacitor{Capacitance: 20e-9}, "v", "gnd")
	s, err := c.Solver(circuit.Settings{})
	if err != nil {
		panic(err)
	}
	tr, err := s.Transient(context.Background(), circuit.Run{
		Until: 1, Cold: true, Record: []circuit.Quantity{circuit.Voltage("v")},
		Watch: 0.01, Enough: true, // end as soon as it is known to 1 %
	})
	if err != nil {
		panic(err)
	}
	b, _ := tr.Behaviour()
	fmt.Printf("%s at %.0f Hz, started: %v\n", b.Habit, b.Frequency, b.Started())
	// Output: repeating at 2276 Hz, started: true
}
