package wiring

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/circuit"
	"halfsplit/fault"
	"halfsplit/quantity"
)

// A Moment says what a circuit is wired for: what rises, closes or comes on at a
// time is there already, or is waited for.
type Moment int

// The moments.
const (
	Running    Moment = iota // long after switching on
	SwitchedOn               // from the moment of switching on
)

// Circuit is a circuit to be solved, and what its description says beyond the
// equations.
type Circuit struct {
	*circuit.Circuit
	Ground string
	Parts  []Placed
	// Period is the time in seconds after which everything that drives it
	// repeats; 0 when nothing does, or not together.
	Period float64
	// Last is when the last switch, load or rise happens, in seconds.
	Last float64
	// Driven are the parts that put in a small signal, with its size.
	Driven []Drive
	// Noisy are nodes with noise that a failing part makes; see [Circuit.Failing].
	Noisy []Noisy

	periods []float64
}

// Drive is a part that puts in a small signal of a size in volt or ampere.
type Drive struct {
	Part string
	Size float64
}

// Placed is a part as it stands in the circuit.
type Placed struct {
	Part
	Name     string
	Is       Kind
	Inside   []string           // the parts of the solver that it is made of
	Carries  []circuit.Quantity // currents whose means together are what its rated current is about
	Rated    float64            // current in ampere for that, 0 when not stated
	Needs    *circuit.Quantity  // a voltage that must not fall below Least
	Least    float64            // volt
	Polarity *circuit.Quantity  // a voltage that must not be reversed

	period float64 // seconds, when it drives the circuit periodically
}

// board collects what the builders make.
type board struct {
	to     *Circuit
	placed Placed
	it     Part
	rating circuit.Rating
}

// part adds the part itself.
func (b *board) part(p circuit.Part) { b.within(b.it.Name, p, b.it.Nodes...) }

// within adds one of the parts that the part is made of.
func (b *board) within(name string, p circuit.Part, nodes ...string) {
	b.to.Add(name, p, nodes...)
	if b.rating != (circuit.Rating{}) {
		b.to.Rate(name, b.rating)
	}
	b.placed.Inside = append(b.placed.Inside, name)
}

// spread states the tolerance of the value. Where it is lopsided, half of its
// width is taken.
func (b *board) spread(parameter string) {
	t, v := b.it.Tolerance, b.it.Value
	if t == nil || v == nil || v.Value == 0 {
		return
	}
	half := (t.High - t.Low) / 2
	if t.Unit != quantity.Percent {
		half /= math.Abs(v.Value)
	}
	b.to.Spread(b.it.Name, parameter, circuit.Tolerance{Spread: half})
}

func (b *board) carries(currents ...circuit.Quantity)    { b.placed.Carries = currents }
func (b *board) needs(q circuit.Quantity, least float64) { b.placed.Needs, b.placed.Least = &q, least }

// repeats notes after which time a source repeats.
func (b *board) repeats(period float64) {
	b.to.periods = append(b.to.periods, period)
	b.placed.period = period
}

// polarised notes that the first node must not lie below the second.
func (b *board) polarised() {
	if len(b.it.Nodes) == 2 {
		q := circuit.VoltageBetween(b.it.Nodes[0], b.it.Nodes[1])
		b.placed.Polarity = &q
	}
}

// moves notes times at which something happens once.
func (b *board) moves(times ...float64) {
	b.to.Last = max(b.to.Last, slices.Max(times))
}

// drives notes the size of a small signal.
func (b *board) drives(size float64) {
	if size != 0 {
		b.to.Driven = append(b.to.Driven, Drive{b.it.Name, size})
	}
}

// Check tells what is wrong with a part or missing; nil when nothing is.
func Check(p Part) []*Mistake {
	_, mistakes := assemble(&Circuit{Circuit: circuit.New("ground")}, p, SwitchedOn)
	return mistakes
}

// assemble adds one part to a circuit.
func assemble(to *Circuit, p Part, when Moment) (Placed, []*Mistake) {
	k, ok := Find(p.Kind)
	if !ok {
		return Placed{}, []*Mistake{unknownKind(p)}
	}
	r := read(p, k, when)
	if len(r.mistakes) > 0 {
		return Placed{}, r.mistakes
	}
	b := &board{to: to, it: p, placed: Placed{Part: p, Name: p.Name, Is: k}}
	for _, unit := range k.rates {
		switch rated := r.rated(unit); unit {
		case watt:
			b.rating.Power = rated
		case volt:
			b.rating.Voltage = rated
		case ampere:
			b.rating.Current = rated
		}
	}
	b.placed.Rated = r.rated(ampere)
	k.build(r, b)
	return b.placed, r.mistakes
}

// unknownKind says why a kind cannot stand in a circuit.
func unknownKind(p Part) *Mistake {
	m := &Mistake{Part: p.Name, Key: "kind", Setting: -1, Missing: true}
	if k, ok := fault.Find(p.Kind); ok {
		m.Problem = article(k.Name) + " cannot be simulated"
		m.Want = `leave it out of the circuit, and put what it draws in as "kind: load" and what it makes as a source`
		return m
	}
	m.Missing = false
	m.Problem = fmt.Sprintf("unknown kind %.40q", p.Kind)
	m.Want = "kinds for circuits are " + strings.Join(Names(), ", ")
	return m
}

// New wires parts into a circuit whose voltages are counted from the ground
// node. The error joins all [Mistake]s; what the equations themselves show to be
// wrong, such as a floating node, is told by [circuit.Circuit.Solver].
func New(ground string, parts []Part, when Moment) (*Circuit, error) {
	c := &Circuit{Circuit: circuit.New(ground), Ground: ground}
	var wrong Mistakes
	for _, p := range parts {
		placed, mistakes := assemble(c, p, when)
		wrong = append(wrong, mistakes...)
		c.Parts = append(c.Parts, placed)
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	c.Period = common(c.periods)
	return c, nil
}

// Mistakes are several mistakes as one error.
type Mistakes []*Mistake

// Error gives them one a line.
func (m Mistakes) Error() string {
	lines := make([]string, len(m))
	for i, one := range m {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// common is the shortest time that is a whole number of each of the periods; 0
// when there is none below a thousand of the longest.
func common(periods []float64) float64 {
	if len(periods) == 0 {
		return 0
	}
	longest := slices.Max(periods)
	for m := 1.0; m <= 1000; m++ {
		if !slices.ContainsFunc(periods, func(t float64) bool {
			n := m * longest / t
			return math.Abs(n-math.Round(n)) > 1e-6*n
		}) {
			return m * longest
		}
	}
	return 0
}
