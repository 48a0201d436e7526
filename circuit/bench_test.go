package circuit

import (
	"fmt"
	"runtime"
	"sync"
	"testing"
)

// linearSupply is an invented linear supply of forty parts: mains transformer,
// bridge, reservoir, discrete regulator with current limit, and loads.
func linearSupply() *Circuit {
	c := New("gnd")
	c.Add("VM", VoltageSource{Wave: Mains{RMS: 230}, Resistance: 5}, "l", "n")
	c.Add("RN", Resistor{Resistance: 1}, "n", "gnd")
	c.Add("F1", Resistor{Resistance: 0.5}, "l", "p")
	c.Add("T1", Transformer{Magnetizing: 10, Windings: []Winding{{Turns: 1200, Resistance: 30, Leakage: 20e-3}, {Turns: 85, Resistance: 0.3}}}, "p", "n", "s", "t")
	for i, pins := range [4][2]string{{"s", "raw"}, {"t", "raw"}, {"gnd", "s"}, {"gnd", "t"}} {
		c.Add(fmt.Sprint("D", i+1), Rectifier(3, 200), pins[0], pins[1])
	}
	c.Add("C1", Electrolytic(4700e-6), "raw", "gnd")
	c.Add("C2", Capacitor{Capacitance: 100e-9}, "raw", "gnd")
	c.Add("R1", Resistor{Resistance: 1e3}, "raw", "b")
	c.Add("Q1", SmallTransistor(N), "raw", "b", "b2")
	c.Add("Q2", PowerTransistor(N), "raw", "b2", "e")
	c.Add("R2", Resistor{Resistance: 220}, "b2", "e")
	c.Add("R3", Resistor{Resistance: 0.33}, "e", "out")
	c.Add("Q3", SmallTransistor(N), "b", "e", "out")
	c.Add("Q4", SmallTransistor(N), "b", "fb", "z")
	c.Add("Z1", Zener{Voltage: 5.6}, "gnd", "z")
	c.Add("R4", Resistor{Resistance: 1e3}, "out", "z")
	c.Add("R5", Resistor{Resistance: 4.7e3}, "out", "fb1")
	c.Add("P1", Potentiometer{Resistance: 1e3, Position: 0.5}, "fb1", "fb", "fb2")
	c.Add("R6", Resistor{Resistance: 4.7e3}, "fb2", "gnd")
	c.Add("C3", Electrolytic(100e-6), "out", "gnd")
	c.Add("C4", Capacitor{Capacitance: 10e-9}, "b", "gnd")
	c.Add("D5", Rectifier(1, 200), "gnd", "out")
	c.Add("LD", LED(0), "ld", "gnd")
	c.Add("R7", Resistor{Resistance: 1e3}, "out", "ld")
	c.Add("U1", Regulator{Output: 5}, "out", "five", "gnd")
	c.Add("C5", Electrolytic(47e-6), "five", "gnd")
	c.Add("C6", Capacitor{Capacitance: 100e-9}, "five", "gnd")
	for i := range 6 {
		c.Add(fmt.Sprint("RL", i), Resistor{Resistance: 68}, "five", fmt.Sprint("ic", i))
		c.Add(fmt.Sprint("RG", i), Resistor{Resistance: 22}, fmt.Sprint("ic", i), "gnd")
	}
	c.Add("RLO", Resistor{Resistance: 47}, "out", "gnd")
	return c
}

// faults changes parameters of parts one by one: sixty of them, three
// severities each.
type change struct {
	part, parameter string
	factor          float64
}

func dictionary(s *Solver, count int) []change {
	var list []change
	for _, p := range s.Parameters() {
		if p.Value() <= 0 || p.Part == "VM" {
			continue
		}
		for _, factor := range []float64{0.05, 0.5, 20} {
			list = append(list, change{p.Part, p.Name, factor})
		}
		if len(list) >= 3*count {
			break
		}
	}
	return list
}

// study finds how the circuit behaves with one change: the mean voltage and
// the ripple of a few nodes over a period of the mains.
func study(c *Circuit, change change, from State) (*Steady, error) {
	s, err := c.Solver(Settings{Accuracy: 1e-3, MaxSteps: 200_000})
	if err != nil {
		return nil, err
	}
	if change.part != "" {
		q, err := s.parameter(change.part, change.parameter)
		if err != nil {
			return nil, err
		}
		if err := s.Set(change.part, change.parameter, q.Value()*change.factor); err != nil {
			return nil, err
		}
	}
	return s.Steady(background, Repeat{From: from, Warm: change.part != "", Tolerance: 1e-2, MostPeriods: 60, Record: []Quantity{Voltage("raw"), Voltage("out"), Voltage("five"), Voltage("b")}})
}

// TestLinearSupply: the supply of the dictionary works when nothing is wrong.
func TestLinearSupply(t *testing.T) {
	st, err := study(linearSupply(), change{}, State{})
	if err != nil {
		t.Fatal(err)
	}
	raw, err1 := st.Whole(Voltage("raw"))
	five, err2 := st.Whole(Voltage("five"))
	if err := first(err1, err2); err != nil {
		t.Fatal(err)
	}
	t.Logf("raw %+v, five %+v, %d periods, %d samples", raw, five, st.Periods, len(st.Time))
	if five.Mean < 4.8 || five.Mean > 5.1 || raw.PeakToPeak < 0.2 || raw.PeakToPeak > 4 {
		t.Errorf("raw %+v, five %+v", raw, five)
	}
}

// BenchmarkDictionary is 60 faults in 3 severities of the linear supply, each
// followed to its periodic state, on all processors.
func BenchmarkDictionary(b *testing.B) {
	c := linearSupply()
	s, err := c.Solver(Settings{})
	if err != nil {
		b.Fatal(err)
	}
	list := dictionary(s, 60)
	b.ReportMetric(float64(len(list)), "hypotheses")
	for b.Loop() {
		sound, err := study(c, change{}, State{})
		if err != nil {
			b.Fatal(err)
		}
		failed := make([]error, len(list))
		var wait sync.WaitGroup
		next := make(chan int)
		for range runtime.GOMAXPROCS(0) {
			wait.Add(1)
			go func() {
				defer wait.Done()
				for i := range next {
					_, failed[i] = study(c, list[i], sound.State())
				}
			}()
		}
		for i := range list {
			next <- i
		}
		close(next)
		wait.Wait()
		bad := 0
		for _, err := range failed {
			if err != nil {
				bad++
			}
		}
		b.ReportMetric(float64(bad), "unsolved")
	}
}

// BenchmarkRectifier is one second of a bridge with reservoir and regulator.
func BenchmarkRectifier(b *testing.B) {
	for b.Loop() {
		s, err := linearSupply().Solver(Settings{})
		if err != nil {
			b.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: 0.2, Record: []Quantity{Voltage("five")}})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(tr.Time)), "steps")
	}
}

// BenchmarkFlyback is a self-oscillating flyback from cold for 10 ms.
func BenchmarkFlyback(b *testing.B) {
	for b.Loop() {
		s, err := flyback().Solver(Settings{Accuracy: 1e-3})
		if err != nil {
			b.Fatal(err)
		}
		tr, err := s.Transient(background, Run{Until: 10e-3, Cold: true, Record: []Quantity{Voltage("out")}})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(tr.Time)), "steps")
	}
}

// BenchmarkOperatingPoint is the operating point of boards of many sizes.
func BenchmarkOperatingPoint(b *testing.B) {
	for _, stages := range []int{1, 20, 200} {
		c := board(stages)
		b.Run(fmt.Sprint(len(c.Names()), "parts"), func(b *testing.B) {
			s, err := c.Solver(Settings{})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := s.OperatingPoint(background); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkStep is one time step of quiet boards of many sizes, with all parts
// evaluated and the matrix factored anew in each iteration.
func BenchmarkStep(b *testing.B) {
	for _, stages := range []int{7, 70, 700} {
		c := board(stages)
		s, err := c.Solver(Settings{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(len(s.unknowns)-1, "unknowns"), func(b *testing.B) {
			st, err := s.begin(background, atRest, State{}, 1)
			if err != nil {
				b.Fatal(err)
			}
			st.fixed, st.h = true, 1e-6
			b.ReportAllocs()
			before, steps := s.iterated, st.steps
			for b.Loop() {
				if _, err := st.advance(1); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(s.iterated-before)/float64(st.steps-steps), "iterations/step")
		})
	}
}
