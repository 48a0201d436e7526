package circuit

import (
	"errors"
	"fmt"
	"math"

	"halfsplit/circuit/sparse"
)

// errStalled says that Newton's method did not settle; the caller tries
// something else.
var errStalled = errors.New("the equations did not settle")

// factor brings the factors up to date with s.j.
func (s *Solver) factor() error {
	if s.lu != nil {
		if s.lu.Refactor(s.j[1:]) == nil {
			return nil
		}
	}
	lu, err := sparse.Factor(s.pattern, s.j[1:])
	if err == nil {
		if len(s.lus) >= 64 {
			clear(s.lus)
		}
		s.lu, s.lus[s.modeKey] = lu, lu
		return nil
	}
	s.lu = nil
	var singular *sparse.Singular
	if errors.As(err, &singular) {
		return s.noSolution(singular.Column + 1)
	}
	return err
}

// noSolution is the error for equations that have none, met at an unknown.
func (s *Solver) noSolution(u int) error {
	un := s.unknowns[u]
	if un.part != "" {
		return &NoSolution{Part: un.part, Reason: fmt.Sprintf("the %s has no single value: it shorts a loop without resistance, or drives nothing", un.label)}
	}
	return &NoSolution{Node: un.label, Reason: fmt.Sprintf("nothing fixes the voltage of node %s", un.label)}
}

// newton solves the equations at s.point from its present x. Each iteration
// linearises all parts and solves once; s.weight holds the error allowed in
// each unknown. It stops as soon as the remaining error is estimated to be
// below that.
func (s *Solver) newton(alpha float64, past []float64, iterations int) error {
	p := &s.point
	linear := len(s.loaders) == 0
	p.first, p.eager = true, true
	last := math.Inf(1)
	s.settled = false
	for it := range iterations {
		s.iterated++
		s.evaluate(p)
		s.residual(p, alpha, past)
		// The factors of the first iteration do for the second where the bend
		// says that the error left then is small.
		chord := it == 1 && !p.still && 2*s.bend*s.bend*last*last*last < 1e-2
		if !chord && (!linear || s.factored != alpha) {
			s.jacobian(p, alpha)
			if err := s.factor(); err != nil {
				s.factored = nan
				return err
			}
			s.factored = alpha
			if !linear {
				s.factored = nan
			}
		}
		s.lu.Solve(s.r[1:])
		size := s.sizeOf(p)
		if math.IsNaN(size) || math.IsInf(size, 0) {
			return errStalled
		}
		p.first = false
		for u := 1; u < len(p.x); u++ {
			p.x[u] -= s.r[u]
		}
		if linear {
			s.catchUp(alpha, past)
			return nil
		}
		if p.held {
			last = math.Inf(1)
			continue
		}
		// Newton's method converges as the square in the end: the error left
		// after a step is bend times its size squared. The bend is taken from
		// this solve, or at its first iteration from those before.
		if it > 0 && !math.IsInf(last, 1) {
			s.bend = max(0.8*s.bend, size/(last*last))
			if size < 1 && size*size < 1e-2*last {
				s.catchUp(alpha, past)
				return nil
			}
		} else if size < 1e-3 || !p.still && size < 1 && s.bend*size*size < 1e-2 {
			s.catchUp(alpha, past)
			return nil
		}
		// Rounding keeps an ill-conditioned circuit from getting closer, unless
		// it is a junction that takes its time.
		if it > 8 && size < 1e3 && size > 0.3*last && last < 1e3 && (p.still || s.bending() < 1) {
			return nil
		}
		last = size
	}
	return errStalled
}

// catchUp brings the charges and rates up to the last, small step without
// evaluating every part again: charges that bend go along their tangents, which
// leaves an error of the size that Newton's method has left anyhow.
func (s *Solver) catchUp(alpha float64, past []float64) {
	p := &s.point
	if p.still {
		return
	}
	p.first, p.eager = false, false
	for k := range s.stores {
		if at := &s.stores[k]; at.bent {
			by := &p.bows[k]
			p.q[k] -= by[0]*s.r[at.of[0]] + by[1]*s.r[at.of[1]] + by[2]*s.r[at.of[2]]
		} else {
			p.q[k] = 0
		}
	}
	for i := range s.terms {
		t := &s.terms[i]
		p.q[t.k] += t.value * p.x[t.u]
	}
	for k := range s.stores {
		p.rate[k] = alpha*p.q[k] + past[k]
	}
	s.settled = true
}

// sizeOf is the size of the step in s.r, as a multiple of what is allowed.
func (s *Solver) sizeOf(p *point) float64 {
	size := 0.0
	for u := 1; u < len(p.x); u++ {
		if e := math.Abs(s.r[u]) / (s.weight[u] + s.relative*math.Abs(p.x[u])); e > size || e != e {
			size = e
		}
	}
	if !p.still {
		size = max(size, s.bending())
	}
	return size
}

// bending is the size of the step in s.r for the junctions that conduct.
func (s *Solver) bending() float64 {
	size := 0.0
	for i := range s.bends {
		size = max(size, s.bends[i].size(s.r))
	}
	return size
}

// settle evaluates the equations at the solution, so that readings of parts
// agree with it.
func (s *Solver) settle(alpha float64, past []float64) {
	p := &s.point
	if s.settled {
		s.settled = false
		return
	}
	p.first, p.eager = false, false
	s.evaluate(p)
	s.residual(p, alpha, past)
}

// nan marks a value that does not hold.
var nan = math.NaN()

// isSingular reports whether err says that the equations have no solution.
func isSingular(err error) bool {
	_, ok := err.(*NoSolution)
	return ok
}

// asSingular reports whether err is a matrix without inverse.
func asSingular(err error, to **sparse.Singular) bool { return errors.As(err, to) }
