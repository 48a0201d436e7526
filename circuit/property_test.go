package circuit

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// network is a random connected circuit of resistors and sources.
type network struct {
	nodes     int
	resistors [][2]int
	ohms      []float64
	currents  [][2]int
	amperes   []float64
	emf       float64 // between node 1 and ground
}

// drawNetwork draws one: a path through all nodes, and more on top.
func drawNetwork(t *rapid.T) network {
	n := network{nodes: rapid.IntRange(2, 12).Draw(t, "nodes"), emf: rapid.Float64Range(-20, 20).Draw(t, "emf")}
	node := rapid.IntRange(0, n.nodes)
	for i := 1; i <= n.nodes; i++ {
		n.resistors = append(n.resistors, [2]int{i, rapid.IntRange(0, i-1).Draw(t, "to")})
	}
	for range rapid.IntRange(0, 2*n.nodes).Draw(t, "more") {
		a, b := node.Draw(t, "a"), node.Draw(t, "b")
		if a != b {
			n.resistors = append(n.resistors, [2]int{a, b})
		}
	}
	for range n.resistors {
		n.ohms = append(n.ohms, math.Pow(10, rapid.Float64Range(0, 6).Draw(t, "decade")))
	}
	for range rapid.IntRange(0, 4).Draw(t, "sources") {
		n.currents = append(n.currents, [2]int{node.Draw(t, "from"), node.Draw(t, "to")})
		n.amperes = append(n.amperes, rapid.Float64Range(-0.1, 0.1).Draw(t, "amperes"))
	}
	return n
}

func nodeName(i int) string { return fmt.Sprint("n", i) }

// circuit builds the network, its parts in the order given by a permutation.
func (n network) circuit(name func(int) string, order []int) *Circuit {
	c := New(name(0))
	total := len(n.resistors) + len(n.currents) + 1
	for at := range total {
		k := at
		if order != nil {
			k = order[at]
		}
		switch {
		case k < len(n.resistors):
			c.Add(fmt.Sprint("R", k), Resistor{Resistance: n.ohms[k]}, name(n.resistors[k][0]), name(n.resistors[k][1]))
		case k < total-1:
			k -= len(n.resistors)
			c.Add(fmt.Sprint("I", k), CurrentSource{DC: n.amperes[k]}, name(n.currents[k][0]), name(n.currents[k][1]))
		default:
			c.Add("V", VoltageSource{DC: n.emf}, name(1), name(0))
		}
	}
	return c
}

// rapidSolve finds an operating point within a property.
func rapidSolve(t *rapid.T, c *Circuit) *OperatingPoint {
	s, err := c.Solver(Settings{})
	if err != nil {
		t.Fatal(err)
	}
	op, err := s.OperatingPoint(background)
	if err != nil {
		t.Fatal(err)
	}
	return op
}

func near(a, b, relative, floor float64) bool {
	return math.Abs(a-b) <= relative*max(math.Abs(a), math.Abs(b))+floor
}

// TestLinearAgainstDense compares random networks with gonum's dense solver on
// the nodal equations.
func TestLinearAgainstDense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		op := rapidSolve(t, n.circuit(nodeName, nil))
		size := n.nodes + 1 // nodes and the current of the source
		a, b := mat.NewDense(size, size, nil), mat.NewVecDense(size, nil)
		add := func(i, j int, v float64) {
			if i > 0 && j > 0 {
				a.Set(i-1, j-1, a.At(i-1, j-1)+v)
			}
		}
		for k, r := range n.resistors {
			g := 1 / n.ohms[k]
			add(r[0], r[0], g)
			add(r[1], r[1], g)
			add(r[0], r[1], -g)
			add(r[1], r[0], -g)
		}
		for k, i := range n.currents {
			if i[0] > 0 {
				b.SetVec(i[0]-1, b.AtVec(i[0]-1)-n.amperes[k])
			}
			if i[1] > 0 {
				b.SetVec(i[1]-1, b.AtVec(i[1]-1)+n.amperes[k])
			}
		}
		add(1, size, 1)
		add(size, 1, 1)
		b.SetVec(size-1, n.emf)
		var x mat.VecDense
		if err := x.SolveVec(a, b); err != nil {
			t.Fatal(err)
		}
		for i := 1; i <= n.nodes; i++ {
			v, err := op.Value(Voltage(nodeName(i)))
			if err != nil || !near(v, x.AtVec(i-1), 1e-9, 1e-7) {
				t.Fatalf("node %d: %.12g, dense %.12g (%v)", i, v, x.AtVec(i-1), err)
			}
		}
	})
}

// imbalance is the largest sum of currents at a node, relative to their sizes,
// and the sum of all powers relative to theirs (Tellegen's theorem: B. D. H.
// Tellegen, "A general network theorem, with applications", Philips Research
// Reports 7 (1952) 259-269).
func imbalance(s *Solver, p *point, floor float64) (kirchhoff, tellegen float64) {
	sum, size := make([]float64, len(p.x)), make([]float64, len(p.x))
	power, gross := 0.0, 0.0
	for i, d := range s.devices {
		into := make([]float64, s.pins[i])
		d.currents(p, into)
		for k, u := range s.own[i][:s.pins[i]] {
			sum[u] += into[k]
			size[u] += math.Abs(into[k])
			power += into[k] * p.x[u]
			gross += math.Abs(into[k] * p.x[u])
		}
	}
	highest := 0.0
	for _, v := range p.x[:len(s.names)] {
		highest = max(highest, math.Abs(v))
	}
	for u := 1; u < len(s.names); u++ {
		if size[u] > floor {
			// What rounding of the voltages alone makes of the current.
			rounding := 4e-15 * highest * math.Abs(p.g[s.unknowns[u].diag])
			kirchhoff = max(kirchhoff, (math.Abs(sum[u])-rounding)/size[u])
		}
	}
	if gross > floor {
		tellegen = math.Abs(power) / gross
	}
	return kirchhoff, tellegen
}

// TestKirchhoffAndTellegen: at the operating point of every circuit the
// currents into each node, as the parts themselves state them, add up to
// nothing, and so do all powers, to 1e-9. Floor is the current and power not worth counting.
func TestKirchhoffAndTellegen(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, name string, op *OperatingPoint) {
		if k, e := imbalance(op.s, &op.p, 1e-12); k > 1e-9 || e > 1e-9 {
			t.Fatalf("%s: Kirchhoff %.2g, Tellegen %.2g", name, k, e)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, "network", rapidSolve(t, drawNetwork(t).circuit(nodeName, nil)))
	})
	check(t, "board", solve(t, board(20), State{}))
	check(t, "trigger", solve(t, schmitt(3), State{}))
	check(t, "every kind of part", solve(t, everything(), State{}))
}

// TestKirchhoffInTime: the same at every step of a transient.
func TestKirchhoffInTime(t *testing.T) {
	c := everything()
	c, err := c.Replace("V1", VoltageSource{Wave: Pulse{High: 12, Rise: 1e-5, Width: 1e-3, Fall: 1e-5, Period: 2e-3}, Resistance: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	s, err := c.Solver(Settings{Accuracy: 1e-7, VoltageFloor: 1e-9, CurrentFloor: 1e-12})
	if err != nil {
		t.Fatal(err)
	}
	st, err := s.begin(background, atRest, State{}, 3e-3)
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.newTrace(nil)
	if err != nil {
		t.Fatal(err)
	}
	worst, at := 0.0, 0.0
	for stop := 1e-5; stop < 3e-3; stop += 1e-5 {
		if err := st.follow(stop, tr, nil, nil); err != nil {
			t.Fatal(err)
		}
		if k, e := imbalance(s, &s.point, 1e-5); max(k, e) > worst {
			worst, at = max(k, e), st.t
		}
	}
	if worst > 1e-8 {
		t.Errorf("at %g s the currents are off by %.2g", at, worst)
	}
	t.Logf("largest imbalance %.2g, %d steps", worst, st.steps)
}

// TestSuperposition: in a linear circuit the effects of the sources add up.
func TestSuperposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		node := nodeName(rapid.IntRange(1, n.nodes).Draw(t, "node"))
		read := func(n network) float64 {
			v, err := rapidSolve(t, n.circuit(nodeName, nil)).Value(Voltage(node))
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		whole, sum, size := read(n), 0.0, 0.0
		for k := -1; k < len(n.currents); k++ {
			one := n
			one.amperes = make([]float64, len(n.amperes))
			if k >= 0 {
				one.amperes[k], one.emf = n.amperes[k], 0
			}
			v := read(one)
			sum, size = sum+v, size+math.Abs(v)
		}
		if math.Abs(whole-sum) > 1e-9*size+1e-8 { // of up to 1e5 V elsewhere
			t.Fatalf("%g together, %g one by one", whole, sum)
		}
	})
}

// TestReciprocity: a current at node a moves node b as one at b moves a.
func TestReciprocity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		n.emf, n.currents, n.amperes = 0, nil, nil
		a := rapid.IntRange(1, n.nodes).Draw(t, "a")
		b := rapid.IntRange(1, n.nodes).Draw(t, "b")
		transfer := func(from, to int) float64 {
			one := n
			one.currents, one.amperes = [][2]int{{0, from}}, []float64{1}
			v, err := rapidSolve(t, one.circuit(nodeName, nil)).Value(Voltage(nodeName(to)))
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		if x, y := transfer(a, b), transfer(b, a); !near(x, y, 1e-8, 1e-8) {
			t.Fatalf("%g one way, %g the other", x, y)
		}
	})
}

// TestInvariance: neither the order of the parts nor the names of the nodes
// change a reading.
func TestInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := drawNetwork(t)
		total := len(n.resistors) + len(n.currents) + 1
		order := rapid.Permutation(seq(total)).Draw(t, "order")
		other := func(i int) string { return fmt.Sprint("x", (i*7)%101) }
		plain, mixed := rapidSolve(t, n.circuit(nodeName, nil)), rapidSolve(t, n.circuit(other, order))
		for i := 1; i <= n.nodes; i++ {
			x, err1 := plain.Value(Voltage(nodeName(i)))
			y, err2 := mixed.Value(Voltage(other(i)))
			if err1 != nil || err2 != nil || !near(x, y, 1e-9, 1e-8) { // of up to 1e5 V elsewhere
				t.Fatalf("node %d: %g and %g (%v, %v)", i, x, y, err1, err2)
			}
		}
	})
}

func seq(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}
