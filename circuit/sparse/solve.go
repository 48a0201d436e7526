package sparse

// Solve replaces the right-hand side b of A x = b by x, without allocating. It
// panics when b has the wrong length.
func (lu *LU[T]) Solve(b []T) {
	w := lu.work
	checkLength("Solve", len(b), len(w))
	if lu.fresh != nil {
		lu.fresh.solve(w, b)
		return
	}
	for k, row := range lu.rowAt {
		w[k] = b[row]
	}
	for at := len(lu.sections) - 1; at >= 0; at-- {
		s := &lu.sections[at]
		groups := lu.groups[s.firstGroup:s.endGroup]
		if s.triangular {
			lu.backwardTriangular(s, lu.values[groups[0].inverses:])
			continue
		}
		for i := range groups {
			lu.forward(&groups[i])
		}
		for i := len(groups) - 1; i >= 0; i-- {
			lu.backward(&groups[i])
		}
		if at > 0 {
			for k := s.end - 1; k >= s.first; k-- {
				lu.couple(k, w[k])
			}
		}
	}
	for k, column := range lu.columnAt {
		b[column] = w[k]
	}
}

// backwardTriangular solves a section of blocks of one pivot.
func (lu *LU[T]) backwardTriangular(s *section, inverses []T) {
	for k := s.end - 1; k >= s.first; k-- {
		v := lu.work[k] * inverses[k-s.first]
		lu.work[k] = v
		lu.couple(k, v)
	}
}

// couple takes what the value v of unknown k contributes out of the equations
// of earlier blocks.
func (lu *LU[T]) couple(k int32, v T) {
	from, to := lu.couplingStart[k], lu.couplingStart[k+1]
	values := lu.values[lu.coupling:]
	for at := from; at < to; at++ {
		lu.work[lu.couplingAt[at]] -= values[at] * v
	}
}

// lower returns the values of L of the single pivots of a group, with their
// links.
func (lu *LU[T]) lower(g *group) ([]T, []link) {
	values := lu.values[g.lower:g.upper]
	return values, lu.links[g.links:][:len(values)]
}

// upper returns the values of U of the single pivots of a group, with their
// links.
func (lu *LU[T]) upper(g *group) ([]T, []link) {
	values := lu.values[g.upper:g.end]
	return values, lu.links[g.links+g.upper-g.lower:][:len(values)]
}

// scale multiplies the unknowns of the single pivots of a group by the inverses
// of the pivots.
func (lu *LU[T]) scale(g *group) {
	inverses := lu.values[g.inverses:g.lower]
	own := lu.work[g.first:][:len(inverses)]
	for k, v := range inverses {
		own[k] *= v
	}
}

// forward solves with the part of L that a group holds.
func (lu *LU[T]) forward(g *group) {
	w := lu.work
	lower, links := lu.lower(g)
	links = links[:len(lower)]
	for t, v := range lower {
		w[links[t].other] -= v * w[links[t].own]
	}
	for i := g.fronts; i < g.endFront; i++ {
		f := &lu.fronts[i]
		own := w[f.first:][:f.width]
		height := int(f.height())
		panel := lu.values[f.square:][:len(own)*height]
		applyColumns(panel, height, len(own), own)
		if f.below > 0 {
			subtract(w, lu.rows(f), panel, height, own)
		}
	}
}

// backward solves with the part of U that a group holds. It goes through the
// columns from the last: of the unknowns that an equation needs, the one found
// most recently should be asked for last.
func (lu *LU[T]) backward(g *group) {
	w := lu.work
	for i := g.fronts; i < g.endFront; i++ {
		f := &lu.fronts[i]
		own := w[f.first:][:f.width]
		right := lu.values[f.right:][:f.width*f.beside]
		columns := lu.columns(f)
		for j := len(columns) - 1; j >= 0; j-- {
			v := w[columns[j]]
			u := right[j*len(own):][:len(own)]
			for r := range own {
				own[r] -= u[r] * v
			}
		}
		height := int(f.height())
		panel := lu.values[f.square:][:len(own)*height]
		for c := len(own) - 1; c >= 0; c-- {
			u := panel[c*height:][:c+1]
			v := own[c] * u[c]
			own[c] = v
			for r, u := range u[:c] {
				own[r] -= u * v
			}
		}
	}
	upper, links := lu.upper(g)
	links = links[:len(upper)]
	for t := len(upper) - 1; t >= 0; t-- {
		w[links[t].own] -= upper[t] * w[links[t].other]
	}
	lu.scale(g)
}

// SolveTransposed replaces the right-hand side b of Aᵀ x = b by x, without
// allocating. The transpose is plain, not conjugated, for complex values too.
// It panics when b has the wrong length.
func (lu *LU[T]) SolveTransposed(b []T) {
	w := lu.work
	checkLength("SolveTransposed", len(b), len(w))
	if lu.fresh != nil {
		lu.fresh.solveTransposed(w, b)
		return
	}
	for k, column := range lu.columnAt {
		w[k] = b[column]
	}
	for at := range lu.sections {
		s := &lu.sections[at]
		groups := lu.groups[s.firstGroup:s.endGroup]
		if s.triangular {
			inverses := lu.values[groups[0].inverses:]
			for k := s.first; k < s.end; k++ {
				lu.coupleTransposed(k)
				w[k] *= inverses[k-s.first]
			}
			continue
		}
		if at > 0 {
			for k := s.first; k < s.end; k++ {
				lu.coupleTransposed(k)
			}
		}
		for i := range groups {
			lu.forwardTransposed(&groups[i])
		}
		for i := len(groups) - 1; i >= 0; i-- {
			lu.backwardTransposed(&groups[i])
		}
	}
	for k, row := range lu.rowAt {
		b[row] = w[k]
	}
}

// coupleTransposed takes what earlier blocks contribute out of equation k.
func (lu *LU[T]) coupleTransposed(k int32) {
	values := lu.values[lu.coupling:]
	s := lu.work[k]
	for at := lu.couplingStart[k]; at < lu.couplingStart[k+1]; at++ {
		s -= values[at] * lu.work[lu.couplingAt[at]]
	}
	lu.work[k] = s
}

// forwardTransposed solves with the part of Uᵀ that a group holds.
func (lu *LU[T]) forwardTransposed(g *group) {
	w := lu.work
	lu.scale(g)
	upper, links := lu.upper(g)
	links = links[:len(upper)]
	for t, v := range upper {
		w[links[t].other] -= v * w[links[t].own]
	}
	for i := g.fronts; i < g.endFront; i++ {
		f := &lu.fronts[i]
		own := w[f.first:][:f.width]
		height := int(f.height())
		panel := lu.values[f.square:][:len(own)*height]
		for c := range own {
			u := panel[c*height:][:c+1]
			s := own[c]
			for r, u := range u[:c] {
				s -= u * own[r]
			}
			own[c] = s * u[c]
		}
		right := lu.values[f.right:][:f.width*f.beside]
		for _, column := range lu.columns(f) {
			s := w[column]
			u := right[:len(own)]
			for r := range own {
				s -= u[r] * own[r]
			}
			w[column] = s
			right = right[len(own):]
		}
	}
}

// backwardTransposed solves with the part of Lᵀ that a group holds.
func (lu *LU[T]) backwardTransposed(g *group) {
	w := lu.work
	for i := g.fronts; i < g.endFront; i++ {
		f := &lu.fronts[i]
		own := w[f.first:][:f.width]
		height := int(f.height())
		rows := lu.rows(f)
		for c := len(own) - 1; c >= 0; c-- {
			l := lu.values[int(f.square)+c*height:][:height]
			s := own[c]
			for r := c + 1; r < len(own); r++ {
				s -= l[r] * own[r]
			}
			for t, v := range l[len(own):][:len(rows)] {
				s -= v * w[rows[t]]
			}
			own[c] = s
		}
	}
	lower, links := lu.lower(g)
	links = links[:len(lower)]
	for t, v := range lower {
		w[links[t].own] -= v * w[links[t].other]
	}
}
