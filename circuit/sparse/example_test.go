package sparse_test

import (
	"errors"
	"fmt"

	"halfsplit/circuit/sparse"
)

// A divider: 10 V from a source with 1 kilohm in series with 4 kilohms. The
// unknowns are the voltages of node 0 (the source's terminal) and node 1 (the
// tap) and, third, the current of the source.
func Example() {
	p := sparse.NewPattern(3)
	top := p.Entry(0, 0)  // conductance at node 0
	tap := p.Entry(1, 1)  // conductance at node 1
	up := p.Entry(0, 1)   // between the two
	down := p.Entry(1, 0) //
	out := p.Entry(0, 2)  // the source's current leaves node 0
	volts := p.Entry(2, 0)
	p.Freeze()

	values := make([]float64, p.Slots())
	set := func(upper, lower float64) {
		values[top], values[tap] = 1/upper, 1/upper+1/lower
		values[up], values[down] = -1/upper, -1/upper
		values[out], values[volts] = 1, 1
	}
	set(1e3, 4e3)
	lu, err := sparse.Factor(p, values)
	if err != nil {
		fmt.Println(err)
		return
	}
	x := []float64{0, 0, 10} // no current fed into the nodes; 10 V
	lu.Solve(x)
	fmt.Printf("%.1f V at the tap, %.1f mA\n", x[1], -1e3*x[2])

	// The lower resistor has drifted up to 9 kilohms.
	set(1e3, 9e3)
	if err := lu.Refactor(values); err != nil {
		fmt.Println(err)
		return
	}
	x = []float64{0, 0, 10}
	lu.Solve(x)
	fmt.Printf("%.1f V at the tap, %.1f mA\n", x[1], -1e3*x[2])
	// Output:
	// 8.0 V at the tap, 2.0 mA
	// 9.0 V at the tap, 1.0 mA
}

// Two nodes joined by a resistor, and neither to anything else: any common
// voltage will do, so there is no answer.
func ExampleSingular() {
	p := sparse.NewPattern(2)
	var values []float64
	for _, at := range [][2]int{{0, 0}, {0, 1}, {1, 0}, {1, 1}} {
		p.Entry(at[0], at[1])
		g := 1e-3
		if at[0] != at[1] {
			g = -g
		}
		values = append(values, g)
	}
	_, err := sparse.Factor(p, values)
	var s *sparse.Singular
	if errors.As(err, &s) {
		fmt.Println(err)
	}
	// Output:
	// sparse: singular matrix: the equation of row 0 follows from the others and leaves the unknown of column 0 open
}

// Three resistors of 1 kilohm in a chain to ground, 1 mA fed into the far end.
// What would the readings be with the middle one gone up to 10 kilohms?
func ExampleLU_Update() {
	p := sparse.NewPattern(3)
	slots := map[[2]int]int{}
	for _, at := range [][2]int{{0, 0}, {0, 1}, {1, 0}, {1, 1}, {1, 2}, {2, 1}, {2, 2}} {
		slots[at] = p.Entry(at[0], at[1])
	}
	values := make([]float64, p.Slots())
	for at, slot := range slots {
		switch {
		case at[0] != at[1]:
			values[slot] = -1e-3
		case at[0] == 2:
			values[slot] = 1e-3
		default:
			values[slot] = 2e-3
		}
	}
	lu, err := sparse.Factor(p, values)
	if err != nil {
		fmt.Println(err)
		return
	}
	change := 1.0/10e3 - 1.0/1e3 // between nodes 0 and 1
	faulty, err := lu.Update(
		[]sparse.Vector[float64]{{Index: []int{0, 1}, Values: []float64{change, -change}}},
		[]sparse.Vector[float64]{{Index: []int{0, 1}, Values: []float64{1, -1}}},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	healthy, changed := []float64{0, 0, 1e-3}, []float64{0, 0, 1e-3}
	lu.Solve(healthy)
	faulty.Solve(changed)
	fmt.Printf("healthy %.1f, faulty %.1f\n", healthy, changed)
	// Output:
	// healthy [1.0 2.0 3.0], faulty [1.0 11.0 12.0]
}

// Which parts does a reading depend on? One solve with the transposed matrix
// tells for all of them at once. Here the reading is the voltage of node 1 of
// two resistors in a chain to ground, with 1 mA fed into node 1.
func ExampleLU_SolveTransposed() {
	p := sparse.NewPattern(2)
	values := make([]float64, 0, 4)
	for _, c := range []struct {
		row, column int
		value       float64
	}{{0, 0, 2e-3}, {0, 1, -1e-3}, {1, 0, -1e-3}, {1, 1, 1e-3}} {
		p.Entry(c.row, c.column)
		values = append(values, c.value)
	}
	lu, err := sparse.Factor(p, values)
	if err != nil {
		fmt.Println(err)
		return
	}
	x := []float64{0, 1e-3}
	lu.Solve(x)
	y := []float64{0, 1} // the reading picks node 1
	lu.SolveTransposed(y)
	// A conductance between nodes a and b acts through (y[a]-y[b])(x[a]-x[b]);
	// per ohm instead of per siemens that is times 1/R².
	lower := y[0] * x[0] / 1e6
	upper := (y[1] - y[0]) * (x[1] - x[0]) / 1e6
	fmt.Printf("%.1f mV per ohm of the lower, %.1f of the upper\n", 1e3*lower, 1e3*upper)
	// Output:
	// 1.0 mV per ohm of the lower, 1.0 of the upper
}
