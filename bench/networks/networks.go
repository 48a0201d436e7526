// Package networks makes matrices such as circuits give rise to, of any size,
// to test and to time the solving of equations with.
//
// Each network is a set of conductances between nodes, voltage sources (an
// unknown current and an equation each, with nothing on the diagonal) and
// transistor-like current sources steered by a voltage elsewhere, which make
// the matrix unsymmetric. All of it follows from a number, so that a network
// can be made again.
package networks

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// A System is a square matrix as a list of coefficients. No position is listed
// twice.
type System struct {
	Name    string
	Size    int
	Rows    []int
	Columns []int
	Values  []complex128

	slots map[[2]int]int
}

// Real returns the real parts of the values.
func (s *System) Real() []float64 {
	r := make([]float64, len(s.Values))
	for i, v := range s.Values {
		r[i] = real(v)
	}
	return r
}

func (s *System) add(row, column int, v complex128) {
	if row < 0 || column < 0 {
		return
	}
	at, ok := s.slots[[2]int{row, column}]
	if !ok {
		at = len(s.Values)
		s.slots[[2]int{row, column}] = at
		s.Rows, s.Columns, s.Values = append(s.Rows, row), append(s.Columns, column), append(s.Values, 0)
	}
	s.Values[at] += v
}

// admittance puts y between nodes a and b; a node of -1 is ground.
func (s *System) admittance(a, b int, y complex128) {
	s.add(a, a, y)
	s.add(b, b, y)
	s.add(a, b, -y)
	s.add(b, a, -y)
}

// source puts a voltage source between nodes a and b, with its current as
// unknown number k.
func (s *System) source(k, a, b int) {
	s.add(a, k, 1)
	s.add(k, a, 1)
	s.add(b, k, -1)
	s.add(k, b, -1)
}

// steered lets the voltage at node by drive a current through from node a to b.
func (s *System) steered(a, b, by int, gm float64) {
	s.add(a, by, complex(gm, 0))
	s.add(b, by, complex(-gm, 0))
}

// Kinds are the kinds of network that [Make] knows.
var Kinds = []string{"ladder", "grid", "board"}

// Make returns a network of the given kind with n unknowns, of which about one
// in twenty is the current of a voltage source. It panics for a kind it does
// not know or fewer than 10 unknowns.
//
//   - ladder: a chain of cells, as in a filter or a cable model;
//   - grid: a plane of copper;
//   - board: parts between nodes that mostly lie near each other, a few rails
//     that go everywhere, and transistors.
func Make(kind string, n int, number uint64) *System {
	if n < 10 {
		panic(fmt.Sprintf("networks: %d unknowns are too few", n))
	}
	s := &System{Name: fmt.Sprintf("%s-%d", kind, n), Size: n, slots: map[[2]int]int{}}
	r := rand.New(rand.NewPCG(number, uint64(n)))
	sources := max(1, n/20)
	nodes := n - sources
	y := func() complex128 { // 1 ohm to 1 megohm beside 1 pF to 1 uF at 1 kHz
		return complex(math.Pow(10, -6*r.Float64()), 2*math.Pi*1e3*math.Pow(10, -12+6*r.Float64()))
	}
	switch kind {
	case "ladder":
		for k := range nodes {
			s.admittance(k, k-1, y())
			if k > 1 {
				s.admittance(k, -1, y())
			}
			if k%7 == 3 {
				s.admittance(k, max(k-3, -1), y())
			}
		}
		for k := range sources {
			s.source(nodes+k, k*(nodes/sources), -1+k%2*(k*(nodes/sources)))
		}
	case "grid":
		side := int(math.Ceil(math.Sqrt(float64(nodes))))
		for k := range nodes {
			if k%side > 0 {
				s.admittance(k, k-1, y())
			}
			if k >= side {
				s.admittance(k, k-side, y())
			}
			if r.IntN(10) == 0 {
				s.admittance(k, -1, y())
			}
		}
		for k := range sources {
			a := k * (nodes / sources)
			s.source(nodes+k, a, []int{-1, (a + 1) % nodes}[k%2])
		}
		s.admittance(0, -1, 1)
	case "board":
		rails := 3
		near := func(k int) int {
			return min(nodes-1, max(rails, k+1+int(math.Floor(6*r.ExpFloat64()))*(1-2*r.IntN(2))))
		}
		for k := range nodes {
			s.admittance(k, -1, y()*1e-3)
			s.admittance(k, max(0, k-1-r.IntN(4)), y())
			if b := near(k); b != k && r.IntN(3) > 0 {
				s.admittance(k, b, y())
			}
			if r.IntN(12) == 0 {
				s.admittance(k, r.IntN(rails), y())
			}
			if c, b := near(k), near(k); k >= rails && r.IntN(5) == 0 && c != k && b != k {
				s.steered(k, c, b, math.Pow(10, -4+3*r.Float64()))
			}
		}
		for k := range sources {
			a := k
			if k >= rails {
				a = rails + (k-rails)*((nodes-rails)/sources)
			}
			b := -1
			if k >= rails && k%2 == 0 {
				b = a + 1
			}
			s.source(nodes+k, a, b)
		}
	default:
		panic(fmt.Sprintf("networks: no kind %q", kind))
	}
	return s
}
