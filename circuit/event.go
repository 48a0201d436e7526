package circuit

import "math"

// guards evaluates the guard of every switching part at the present point.
func (st *stepper) guards(into []float64) {
	for i, d := range st.s.switches {
		into[i] = d.guard(&st.s.point)
	}
}

// asking reports whether a guard is up.
func (st *stepper) asking(guards []float64) bool {
	for _, g := range guards {
		if g > modeTolerance {
			return true
		}
	}
	return false
}

// locate finds how much of a step of length h to take so that it ends just
// past the first instant at which a part asks to switch, and leaves the
// circuit there. The step is taken anew for each trial, so that the state at
// the event is as exact as any other. The root is bracketed and approached by
// false position with the Illinois rule (M. Dowell, P. Jarratt, "A modified
// regula falsi method for computing the root of an equation", BIT 11 (1971)
// 168-174).
func (st *stepper) locate(h float64) (float64, error) {
	low, high := 0.0, h
	close := h * max(1e-11, min(1e-6, 1e-2*st.s.set.Accuracy))
	floor := 4e-16 * (st.t + h)
	close = max(close, floor)
	at, side := high, 0
	for trial := 0; high-low > close && trial < 60; trial++ {
		next := high
		for i, g1 := range st.after {
			if g1 <= modeTolerance {
				continue
			}
			// Aim just over the line, so that the end is on the far side.
			const aim = 1.5 * modeTolerance
			g0 := min(st.before[i], 0)
			if g1 > aim {
				next = min(next, low+(high-low)*(aim-g0)/(g1-g0))
			}
		}
		if trial%6 == 5 { // false position crawls along a sharp bend
			next = (low + high) / 2
		}
		next = min(max(next+0.3*close, low+0.3*close), high-0.3*close)
		if _, err := st.attempt(next); err != nil {
			return 0, err
		}
		at = next
		asking := false
		for _, d := range st.s.switches {
			if d.guard(&st.s.point) > modeTolerance {
				asking = true
			}
		}
		if asking {
			high = next
			st.guards(st.after)
			if side == 1 {
				st.halve(st.before)
			}
			side = 1
		} else {
			low = next
			st.guards(st.before)
			if side == -1 {
				st.halve(st.after)
			}
			side = -1
		}
	}
	if at != high {
		if _, err := st.attempt(high); err != nil {
			return 0, err
		}
	}
	return high, nil
}

// halve weakens the end of the bracket that has stood for two trials.
func (st *stepper) halve(guards []float64) {
	for i, g := range guards {
		if g > modeTolerance {
			guards[i] = math.Max(g/2, 2*modeTolerance)
		} else {
			guards[i] = g / 2
		}
	}
}
