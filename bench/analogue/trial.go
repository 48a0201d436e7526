package main

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"runtime"
	"sync"

	"halfsplit/circuit"
)

// A trial is a filter with its faults and how it is looked at.
type trial struct {
	name     string
	filter   filter
	suspects []string // each may be high or low
	// Relative tolerance of sound parts; a faulty part has it about its new value,
	// unless exact.
	resistors, capacitors circuit.Tolerance
	shift                 float64 // of a faulty part, relative to its value; 0: six times Spread
	exact                 bool
	gains                 []gain
	documented            float64 // accuracy that was asked for; 0 when none was
}

// A gain is read with an AC meter: the voltage of a node against that at "in".
type gain struct {
	node  string
	hertz float64
}

// meter is the standard uncertainty of each gain in dB, that of the ratio of two
// readings to some 0.1 %. It is small beside what tolerances do.
const meter = 0.01

// A class is a fault; the zero value is the sound circuit.
type class struct {
	part  string
	shift float64 // relative to the value
}

func (c class) String() string {
	switch {
	case c.part == "":
		return "sound"
	case c.shift > 0:
		return c.part + "+"
	}
	return c.part + "-"
}

// classes are the sound circuit, then each suspect high and low.
func (t trial) classes() []class {
	list := []class{{}}
	for _, part := range t.suspects {
		shift := t.shift
		if shift == 0 {
			shift = 6 * t.tolerance(part).Spread
		}
		list = append(list, class{part, shift}, class{part, -shift})
	}
	return list
}

func (t trial) tolerance(part string) circuit.Tolerance {
	if part[0] == 'C' {
		return t.capacitors
	}
	return t.resistors
}

// faulty is the filter with a fault and all its tolerances.
func (t trial) faulty(fault class) (*circuit.Circuit, error) {
	c := t.filter()
	for _, name := range c.Names() {
		part, _, _ := c.Part(name)
		shift := 1.0
		if name == fault.part {
			shift += fault.shift
		}
		var parameter string
		switch p := part.(type) {
		case circuit.Resistor:
			p.Resistance *= shift
			part, parameter = p, "resistance"
		case circuit.Capacitor:
			p.Capacitance *= shift
			part, parameter = p, "capacitance"
		default:
			continue
		}
		changed, err := c.Replace(name, part)
		if err != nil {
			return nil, err
		}
		c = changed
		if name != fault.part || !t.exact {
			c.Spread(name, parameter, t.tolerance(name))
		}
	}
	return c, nil
}

// boards gives what the meter would show on a number of circuits with the same
// fault, in dB, without the error of the meter.
func (t trial) boards(ctx context.Context, fault class, number int, random *rand.Rand) ([][]float64, error) {
	c, err := t.faulty(fault)
	if err != nil {
		return nil, err
	}
	solver, err := c.Solver(circuit.Settings{})
	if err != nil {
		return nil, err
	}
	var rows [][]float64
	_, err = solver.Sample(ctx, number, random, func() (float64, error) {
		row, err := read(ctx, solver, t.gains)
		rows = append(rows, row)
		return 0, err
	})
	if err != nil {
		return nil, fmt.Errorf("%s, %v: %w", t.name, fault, err)
	}
	return rows, nil
}

// read works out gains in dB of the circuit as it stands.
func read(ctx context.Context, solver *circuit.Solver, gains []gain) ([]float64, error) {
	rest, err := solver.OperatingPoint(ctx)
	if err != nil {
		return nil, err
	}
	var hertz []float64
	for _, g := range gains {
		hertz = append(hertz, g.hertz)
	}
	response, err := solver.AC(ctx, rest, hertz)
	if err != nil {
		return nil, err
	}
	row := make([]float64, len(gains))
	for i, g := range gains {
		v, err := response.Value(i, circuit.Voltage(g.node))
		if err != nil {
			return nil, err
		}
		row[i] = 20 * math.Log10(cmplx.Abs(v))
	}
	return row, nil
}

// known gives boards of every class to learn from. The parts of each board are as
// far off in one class as in the next (common random numbers), so that what
// chance does to the clouds of two faults is much the same, and faults that no
// reading can tell apart have the same cloud.
func (t trial) known(ctx context.Context, number int, seed uint64) ([][][]float64, error) {
	return t.all(ctx, number, func(int) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) })
}

// tests gives boards of every class to be named, each with parts of its own and
// as the meter shows it.
func (t trial) tests(ctx context.Context, number int, seed uint64) ([][][]float64, error) {
	stream := func(k int) *rand.Rand { return rand.New(rand.NewPCG(seed+1, uint64(k))) }
	rows, err := t.all(ctx, number, stream)
	meet(rows, seed+2)
	return rows, err
}

// all gives boards of every class, on all processors.
func (t trial) all(ctx context.Context, number int, stream func(k int) *rand.Rand) ([][][]float64, error) {
	list := t.classes()
	rows := make([][][]float64, len(list))
	return rows, inParallel(len(list), func(k int) error {
		var err error
		rows[k], err = t.boards(ctx, list[k], number, stream(k))
		return err
	})
}

// meet adds the errors of the meter to what boards show.
func meet(rows [][][]float64, seed uint64) {
	for k, boards := range rows {
		random := rand.New(rand.NewPCG(seed, uint64(k)))
		for _, row := range boards {
			for i := range row {
				row[i] += meter * random.NormFloat64()
			}
		}
	}
}

// inParallel does n pieces of work on all processors and returns the first error.
func inParallel(n int, work func(k int) error) error {
	errs := make([]error, n)
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for k := range next {
				errs[k] = work(k)
			}
		})
	}
	for k := range n {
		next <- k
	}
	close(next)
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
