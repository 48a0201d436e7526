package sparse

import "fmt"

// Refactor factors the matrix for new values with the pivots chosen by
// [Factor]. When one of them has become too small for a trustworthy result, the
// error is a *[Degraded]; the factors are then unusable until a later Refactor
// succeeds, and the caller should call Factor.
//
// The first Refactor after Factor writes down the plan that it and all later
// ones follow, which takes about as long as Factor does. (Clones share it.)
// Later ones do not allocate.
func (lu *LU[T]) Refactor(values []T) error {
	if len(values) != lu.pattern.Slots() {
		return fmt.Errorf("sparse: Refactor: %d values for a pattern of %d slots", len(values), lu.pattern.Slots())
	}
	if lu.fresh != nil {
		lu.follow()
	}
	x, place := lu.values, lu.place
	clear(x)
	for s, v := range values {
		x[place[s]] = v
	}
	for at := range lu.groups {
		g := &lu.groups[at]
		bad := lu.eliminateSingles(g)
		for f := g.fronts; f < g.endFront && bad < 0; f++ {
			bad = lu.eliminateFront(&lu.fronts[f])
		}
		if bad >= 0 {
			return &Degraded{Row: int(lu.rowAt[bad]), Column: int(lu.columnAt[bad])}
		}
	}
	return nil
}

// eliminateSingles eliminates the single pivots of a group. Like
// eliminateFront, it returns a pivot that is too small, or -1.
func (lu *LU[T]) eliminateSingles(g *group) int32 {
	x := lu.values
	inverses := x[g.inverses:g.lower]
	for k, v := range inverses {
		if !(size(v) > 0) {
			return g.first + int32(k)
		}
		inverses[k] = inverse(v)
	}
	lower := x[g.lower:g.upper]
	links := lu.links[g.links:][:len(lower)]
	for t, v := range lower {
		own := links[t].own
		v *= inverses[own-g.first]
		lower[t] = v
		if !(size(v) <= lu.growth[own]) {
			return own
		}
	}
	for _, u := range lu.updates[g.updates:g.endUpdate] {
		x[u.target] -= x[u.lower] * x[u.upper]
	}
	return -1
}

// eliminateFront eliminates a front of several pivots.
func (lu *LU[T]) eliminateFront(f *front) int32 {
	x := lu.values
	w, m := int(f.width), int(f.below)
	height := w + m
	panel := x[f.square:][:w*height]
	right := x[f.right:][:w*int(f.beside)]
	for c := range w {
		column := panel[c*height:][:height]
		applyColumns(panel, height, c, column)
		if !(size(column[c]) > 0) {
			return f.first + int32(c)
		}
		factor := inverse(column[c])
		column[c] = factor
		limit := lu.growth[int(f.first)+c]
		below := column[c+1:]
		for t, v := range below {
			v *= factor
			below[t] = v
			if !(size(v) <= limit) {
				return f.first + int32(c)
			}
		}
	}
	targets := lu.targets[f.targets:][:m*int(f.beside)]
	for ; len(right) > 0; right, targets = right[w:], targets[m:] {
		u := right[:w]
		applyColumns(panel, height, w, u)
		if m > 0 {
			subtract(x, targets[:m], panel, height, u)
		}
	}
	return -1
}

// applyColumns subtracts from column what the first count columns of the panel
// contribute to it. Column may be shorter than the panel is high.
func applyColumns[T Scalar](panel []T, height, count int, column []T) {
	n := len(column)
	c := 0
	for ; c+4 <= count; c += 4 {
		l0 := panel[c*height+c:][:n-c]
		l1 := panel[(c+1)*height+c:][:n-c]
		l2 := panel[(c+2)*height+c:][:n-c]
		l3 := panel[(c+3)*height+c:][:n-c]
		x := column[c:][:n-c]
		u0 := x[0]
		u1 := x[1] - l0[1]*u0
		u2 := x[2] - l0[2]*u0 - l1[2]*u1
		u3 := x[3] - l0[3]*u0 - l1[3]*u1 - l2[3]*u2
		x[1], x[2], x[3] = u1, u2, u3
		for r := 4; r < len(x); r++ {
			x[r] -= l0[r]*u0 + l1[r]*u1 + l2[r]*u2 + l3[r]*u3
		}
	}
	for ; c < count; c++ {
		l := panel[c*height+c:][:n-c]
		x := column[c:][:n-c]
		u := x[0]
		for r := 1; r < len(x); r++ {
			x[r] -= l[r] * u
		}
	}
}

// subtract takes from the targets in one later column what the front
// contributes to them: the rows below its triangle times u.
func subtract[T Scalar](x []T, targets []int32, panel []T, height int, u []T) {
	w, m := len(u), len(targets)
	c := 0
	for ; c+4 <= w; c += 4 {
		l0 := panel[c*height+w:][:m]
		l1 := panel[(c+1)*height+w:][:m]
		l2 := panel[(c+2)*height+w:][:m]
		l3 := panel[(c+3)*height+w:][:m]
		u0, u1, u2, u3 := u[c], u[c+1], u[c+2], u[c+3]
		for t, at := range targets {
			x[at] -= l0[t]*u0 + l1[t]*u1 + l2[t]*u2 + l3[t]*u3
		}
	}
	if c+2 <= w {
		l0 := panel[c*height+w:][:m]
		l1 := panel[(c+1)*height+w:][:m]
		u0, u1 := u[c], u[c+1]
		for t, at := range targets {
			x[at] -= l0[t]*u0 + l1[t]*u1
		}
		c += 2
	}
	if c < w {
		l0 := panel[c*height+w:][:m]
		u0 := u[c]
		for t, at := range targets {
			x[at] -= l0[t] * u0
		}
	}
}
