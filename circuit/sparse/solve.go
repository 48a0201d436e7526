package sparse

// Solve replaces the right-hand side b of A x = b by x, without allocating. It
// panics when b has the wrong length.
func (lu *LU[T]) Solve(b []T) {
	w := lu.work
	b = b[:len(w):len(b)]
	for k, row := range lu.rowAt {
		w[k] = b[row]
	}
	for at := len(lu.blockFront) - 2; at >= 0; at-- {
		fronts := lu.fronts[lu.blockFront[at]:lu.blockFront[at+1]]
		forward(lu.plan, fronts, lu.values, w)
		backward(lu.plan, fronts, lu.values, w)
		if at > 0 {
			first := fronts[0].first
			last := &fronts[len(fronts)-1]
			lu.couple(first, last.first+last.width, w)
		}
	}
	for k, column := range lu.columnAt {
		b[column] = w[k]
	}
}

// couple takes what the solved unknowns from..to-1 contribute out of the
// equations of earlier blocks.
func (lu *LU[T]) couple(from, to int32, w []T) {
	for k := from; k < to; k++ {
		x := w[k]
		for at := lu.couplingStart[k]; at < lu.couplingStart[k+1]; at++ {
			w[lu.couplingAt[at]] -= lu.values[lu.couplingFrom+at] * x
		}
	}
}

// forward solves with L of one block.
func forward[T Scalar](pl *plan, fronts []front, x, b []T) {
	for at := range fronts {
		f := &fronts[at]
		rows := pl.rows(f)
		if f.width == 1 {
			l := x[f.values+1:][:len(rows)]
			u := b[f.first]
			for t, row := range rows {
				b[row] -= l[t] * u
			}
			continue
		}
		w := int(f.width)
		height := w + len(rows)
		panel := x[f.values:][:w*height]
		own := b[f.first:][:w]
		applyColumns(panel, height, w, own)
		if len(rows) > 0 {
			subtract(b, rows, panel, height, own)
		}
	}
}

// backward solves with U of one block.
func backward[T Scalar](pl *plan, fronts []front, x, b []T) {
	for at := len(fronts) - 1; at >= 0; at-- {
		f := &fronts[at]
		columns := pl.columns(f)
		if f.width == 1 {
			u := x[f.right():][:len(columns)]
			s := b[f.first]
			for j, column := range columns {
				s -= u[j] * b[column]
			}
			b[f.first] = s * x[f.values]
			continue
		}
		w := int(f.width)
		height := w + int(f.below)
		panel := x[f.values:][:w*height]
		right := x[f.right():][:w*len(columns)]
		own := b[f.first:][:w]
		for _, column := range columns {
			v := b[column]
			for c, u := range right[:w] {
				own[c] -= u * v
			}
			right = right[w:]
		}
		for c := w - 1; c >= 0; c-- {
			u := panel[c*height:][:w]
			v := own[c] * u[c]
			own[c] = v
			for r := range c {
				own[r] -= u[r] * v
			}
		}
	}
}

// SolveTransposed replaces the right-hand side b of Aᵀ x = b by x, without
// allocating. The transpose is plain, not conjugated, for complex values too.
// It panics when b has the wrong length.
func (lu *LU[T]) SolveTransposed(b []T) {
	w := lu.work
	b = b[:len(w):len(b)]
	for k, column := range lu.columnAt {
		w[k] = b[column]
	}
	for at := range len(lu.blockFront) - 1 {
		fronts := lu.fronts[lu.blockFront[at]:lu.blockFront[at+1]]
		if at > 0 {
			first := fronts[0].first
			last := &fronts[len(fronts)-1]
			lu.coupleTransposed(first, last.first+last.width, w)
		}
		forwardTransposed(lu.plan, fronts, lu.values, w)
		backwardTransposed(lu.plan, fronts, lu.values, w)
	}
	for k, row := range lu.rowAt {
		b[row] = w[k]
	}
}

// coupleTransposed takes what earlier blocks contribute out of the equations
// from..to-1.
func (lu *LU[T]) coupleTransposed(from, to int32, w []T) {
	for k := from; k < to; k++ {
		s := w[k]
		for at := lu.couplingStart[k]; at < lu.couplingStart[k+1]; at++ {
			s -= lu.values[lu.couplingFrom+at] * w[lu.couplingAt[at]]
		}
		w[k] = s
	}
}

// forwardTransposed solves with Uᵀ of one block.
func forwardTransposed[T Scalar](pl *plan, fronts []front, x, b []T) {
	for at := range fronts {
		f := &fronts[at]
		w := int(f.width)
		height := w + int(f.below)
		panel := x[f.values:][:w*height]
		right := x[f.right():][:w*int(f.beside)]
		own := b[f.first:][:w]
		for c := range w {
			u := panel[c*height:][:w]
			s := own[c]
			for r := range c {
				s -= u[r] * own[r]
			}
			own[c] = s * u[c]
		}
		for _, column := range pl.columns(f) {
			s := b[column]
			for c, u := range right[:w] {
				s -= u * own[c]
			}
			b[column] = s
			right = right[w:]
		}
	}
}

// backwardTransposed solves with Lᵀ of one block.
func backwardTransposed[T Scalar](pl *plan, fronts []front, x, b []T) {
	for at := len(fronts) - 1; at >= 0; at-- {
		f := &fronts[at]
		w := int(f.width)
		height := w + int(f.below)
		panel := x[f.values:][:w*height]
		own := b[f.first:][:w]
		for c := w - 1; c >= 0; c-- {
			l := panel[c*height:][:height]
			s := own[c]
			for r := c + 1; r < w; r++ {
				s -= l[r] * own[r]
			}
			for t, row := range pl.rows(f) {
				s -= l[w+t] * b[row]
			}
			own[c] = s
		}
	}
}
