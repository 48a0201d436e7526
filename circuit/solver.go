package circuit

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halfsplit/circuit/sparse"
)

// Settings say how exactly and for how long to solve. The zero value stands
// for the defaults named with each field.
type Settings struct {
	// Accuracy is the relative error allowed in each time step; 1e-4 when
	// zero. The operating point is always solved to rounding.
	Accuracy float64
	// VoltageFloor and CurrentFloor are the absolute errors allowed in each
	// time step, for values near zero; 1e-6 V and 1e-9 A when zero.
	VoltageFloor, CurrentFloor float64
	// Temperature is that of the surroundings, in kelvin; 300.15 when zero.
	Temperature float64
	// MaxSteps bounds the time steps of one analysis; 20 million when zero.
	MaxSteps int
	// MaxIterations bounds the Newton iterations of one attempt at an
	// operating point; 150 when zero.
	MaxIterations int
}

const defaultAccuracy = 1e-4

// withDefaults fills in the zero fields.
func (s Settings) withDefaults() Settings {
	fallback(&s.Accuracy, defaultAccuracy)
	fallback(&s.VoltageFloor, 1e-6)
	fallback(&s.CurrentFloor, 1e-9)
	fallback(&s.Temperature, 300.15)
	if s.MaxSteps == 0 {
		s.MaxSteps = 20_000_000
	}
	if s.MaxIterations == 0 {
		s.MaxIterations = 150
	}
	return s
}

// check reports a setting that cannot be.
func (s Settings) check() error {
	err := (&wiring{}).check(within("accuracy", s.Accuracy, 1e-12, 0.1), above("voltage floor", s.VoltageFloor, 0),
		above("current floor", s.CurrentFloor, 0), within("temperature", s.Temperature, 100, 1000),
		above("bound on the steps", float64(s.MaxSteps), 0), above("bound on the iterations", float64(s.MaxIterations), 0))
	if err != nil {
		return fmt.Errorf("settings: %w", err)
	}
	return nil
}

// A Solver holds the equations of one circuit and the memory to solve them.
// It is not safe for concurrent use; solvers of the same circuit are
// independent of each other, so give each goroutine its own.
type Solver struct {
	set      Settings
	circuit  *Circuit
	unknowns []unknown // 0 is ground
	nodes    map[string]int
	names    []string // nodes in the order of unknowns, ground first
	links    []link
	stores   []store

	devices  []device
	own      [][]int // unknowns of each device, pins first
	pins     []int   // number of pins of each device
	loaders  []loader
	drivers  []driver
	timed    []timed
	switches []switching
	switchOf []int // device of each switch
	watchers []watcher
	keepers  []keeper
	starters []starter
	deviceOf map[string]int
	partOf   []string // name of the part of each device
	slotOf   map[[2]int]int
	row, col []int32
	pattern  *sparse.Pattern
	lu       *sparse.LU[float64]
	lus      map[uint64]*sparse.LU[float64] // by the modes of the switching parts
	modeKey  uint64
	baseG    []float64
	baseC    []float64
	live     []int32 // slots where baseG is not zero
	terms    []term
	ties     []int   // nodes held to ground by a trickle, because nothing else holds them
	shunt    float64 // conductance from every node to ground, a help to converge
	drag     float64 // pull of every node towards anchor, another
	anchor   []float64
	point    point
	j        []float64
	r        []float64
	weight   []float64 // error allowed in each unknown, and as a share of it
	relative float64
	ringing  float64   // how much a junction counts in the error of a step
	now      []float64 // pin currents, scratch
	factored float64   // alpha for which lu holds; NaN when it does not
	ctx      context.Context
	iterated int     // Newton iterations so far
	bend     float64 // error left by a Newton step over the square of its size
	settled  bool    // the point is evaluated where it stands
	stepper  *stepper
	groups   groups
	stamper  stamper
	bends    []bend
	volts    []int // unknowns that are voltages, of nodes outside and inside parts
}

// trickle is the conductance that holds a node which nothing else holds.
const trickle = 1e-12

// Solver wires the parts into equations. The error joins everything that is
// wrong with the circuit, each with the name of the part or node.
func (c *Circuit) Solver(set Settings) (*Solver, error) {
	if len(c.errs) > 0 {
		return nil, errors.Join(c.errs...)
	}
	set = set.withDefaults()
	if err := set.check(); err != nil {
		return nil, err
	}
	s := &Solver{
		set: set, circuit: c, ringing: min(1, math.Sqrt(defaultAccuracy/set.Accuracy)),
		unknowns: []unknown{{label: c.ground}},
		nodes:    map[string]int{c.ground: 0}, names: []string{c.ground},
		deviceOf: map[string]int{}, slotOf: map[[2]int]int{},
		row: []int32{0}, col: []int32{0},
	}
	if len(c.parts) == 0 {
		return nil, errors.New("the circuit has no parts")
	}
	for _, p := range c.parts {
		for _, node := range p.nodes {
			s.addNode(node)
		}
	}
	if err := s.wireAll(); err != nil {
		return nil, err
	}
	if err := s.checkTopology(); err != nil {
		return nil, err
	}
	s.allocate()
	s.restamp()
	return s, nil
}

// addNode makes the unknown of a node when it is new.
func (s *Solver) addNode(node string) {
	if _, ok := s.nodes[node]; ok {
		return
	}
	u := len(s.unknowns)
	s.nodes[node] = u
	s.names = append(s.names, node)
	s.unknowns = append(s.unknowns, unknown{nature: voltage, label: node})
	w := wiring{s: s}
	s.unknowns[u].diag = w.slot(u, u)
}

// A late part refers to others, and is wired after them.
type late interface{ late() }

// A binder refers to readings of the finished circuit.
type binder interface{ bind(s *Solver) error }

// wireAll connects every part, those that refer to others last.
func (s *Solver) wireAll() error {
	var errs []error
	for pass := range 2 {
		for _, p := range s.circuit.parts {
			if _, isLate := p.part.(late); isLate != (pass == 1) {
				continue
			}
			if err := s.wireOne(p); err != nil {
				errs = append(errs, fmt.Errorf("part %s: %w", p.name, err))
			}
		}
	}
	if len(errs) > 0 {
		return errors.Join(errs...)
	}
	for at, d := range s.devices {
		if b, ok := d.(binder); ok {
			if err := b.bind(s); err != nil {
				errs = append(errs, fmt.Errorf("part %s: %w", s.partOf[at], err))
			}
		}
	}
	return errors.Join(errs...)
}

// wireOne connects one part and files its device by what it can do.
func (s *Solver) wireOne(p placed) error {
	w := &wiring{s: s, name: p.name}
	for _, node := range p.nodes {
		w.pin = append(w.pin, s.nodes[node])
	}
	w.mine = append(w.mine, w.pin...)
	d, err := p.part.wire(w)
	if err != nil {
		return err
	}
	at := len(s.devices)
	s.deviceOf[p.name] = at
	s.devices = append(s.devices, d)
	s.partOf = append(s.partOf, p.name)
	s.own = append(s.own, w.mine)
	s.pins = append(s.pins, len(w.pin))
	if v, ok := d.(loader); ok {
		s.loaders = append(s.loaders, v)
	}
	if v, ok := d.(driver); ok {
		s.drivers = append(s.drivers, v)
	}
	if v, ok := d.(timed); ok {
		s.timed = append(s.timed, v)
	}
	if v, ok := d.(switching); ok {
		s.switches = append(s.switches, v)
		s.switchOf = append(s.switchOf, at)
	}
	if v, ok := d.(watcher); ok {
		s.watchers = append(s.watchers, v)
	}
	if v, ok := d.(keeper); ok {
		s.keepers = append(s.keepers, v)
		v.renew()
	}
	if v, ok := d.(starter); ok {
		s.starters = append(s.starters, v)
	}
	return nil
}

// deviceAt is the number of a device.
func (s *Solver) deviceAt(d device) int {
	for i, have := range s.devices {
		if have == d {
			return i
		}
	}
	return -1
}

// allocate makes all memory that the analyses use.
func (s *Solver) allocate() {
	n, slots := len(s.unknowns), len(s.row)
	s.pattern = sparse.NewPattern(n - 1)
	for k := 1; k < slots; k++ {
		s.pattern.Entry(int(s.row[k])-1, int(s.col[k])-1)
	}
	s.pattern.Freeze()
	s.baseG, s.baseC = make([]float64, slots), make([]float64, slots)
	s.j = make([]float64, slots)
	s.r, s.weight, s.anchor = make([]float64, n), make([]float64, n), make([]float64, n)
	s.now = make([]float64, 16)
	s.point = s.newPoint()
	s.lus = map[uint64]*sparse.LU[float64]{}
	s.factored = nan
	for u := 1; u < n; u++ {
		if s.unknowns[u].nature == voltage {
			s.volts = append(s.volts, u)
		}
	}
}

// newPoint makes a point at zero.
func (s *Solver) newPoint() point {
	n, slots, k := len(s.unknowns), len(s.row), len(s.stores)
	return point{
		scale: 1, x: make([]float64, n), f: make([]float64, n),
		q: make([]float64, k), rate: make([]float64, k),
		g: make([]float64, slots), c: make([]float64, slots), bows: make([][3]float64, k),
	}
}

// restamp collects the linear terms anew, after a value or a mode has changed.
func (s *Solver) restamp() {
	clear(s.baseG)
	clear(s.baseC)
	s.stamper = stamper{g: s.baseG, c: s.baseC, terms: s.terms[:0]}
	for _, d := range s.devices {
		d.stamp(&s.stamper)
	}
	s.terms = s.stamper.terms
	s.baseG[0], s.baseC[0] = 0, 0
	s.live = s.live[:0]
	for k, g := range s.baseG {
		if g != 0 {
			s.live = append(s.live, int32(k))
		}
	}
	copy(s.point.g, s.baseG)
	copy(s.point.c, s.baseC)
	s.factored = nan
	// Each set of modes has its own best order of pivots.
	s.modeKey = 14695981039346656037
	for _, d := range s.switches {
		s.modeKey = (s.modeKey ^ uint64(d.mode())) * 1099511628211
	}
	s.lu = s.lus[s.modeKey]
}

// evaluate works out the static terms and the charges at p.
func (s *Solver) evaluate(p *point) {
	clear(p.f)
	clear(p.q)
	for _, k := range s.live {
		p.f[s.row[k]] += s.baseG[k] * p.x[s.col[k]]
	}
	for i := range s.terms {
		t := &s.terms[i]
		p.q[t.k] += t.value * p.x[t.u]
	}
	for _, d := range s.drivers {
		d.drive(p)
	}
	p.held = false
	if len(s.loaders) > 0 {
		copy(p.g, s.baseG)
		copy(p.c, s.baseC)
		for _, d := range s.loaders {
			d.load(p)
		}
	}
}

// residual completes the equations with the rates of charge and the helps,
// and leaves them in s.r. The rate of each element is alpha q + past.
func (s *Solver) residual(p *point, alpha float64, past []float64) {
	copy(s.r, p.f)
	if p.still {
		clear(p.rate)
	} else {
		for i := range s.stores {
			st := &s.stores[i]
			rate := alpha*p.q[i] + past[i]
			p.rate[i] = rate
			s.r[st.plus] += rate
			s.r[st.minus] -= rate
		}
	}
	for _, u := range s.ties {
		s.r[u] += trickle * p.x[u]
	}
	if s.shunt > 0 || s.drag > 0 {
		for _, u := range s.volts {
			s.r[u] += s.shunt*p.x[u] + s.drag*(p.x[u]-s.anchor[u])
		}
	}
	s.r[0] = 0
}

// jacobian assembles the derivative of the residual in s.j.
func (s *Solver) jacobian(p *point, alpha float64) {
	if p.still {
		copy(s.j, p.g)
	} else {
		g, c, j := p.g, p.c, s.j
		for k := range j {
			j[k] = g[k] + alpha*c[k]
		}
	}
	for _, u := range s.ties {
		s.j[s.unknowns[u].diag] += trickle
	}
	if help := s.shunt + s.drag; help > 0 {
		for _, u := range s.volts {
			s.j[s.unknowns[u].diag] += help
		}
	}
}
