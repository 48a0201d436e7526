package sparse

import "fmt"

// A Vector is a vector of which few elements are not zero: Values[i] is the
// element at Index[i]. An index may be given more than once; the values add up.
type Vector[T Scalar] struct {
	Index  []int
	Values []T
}

// dot returns the product of v and a full vector.
func (v Vector[T]) dot(x []T) T {
	var sum T
	for i, at := range v.Index {
		sum += v.Values[i] * x[at]
	}
	return sum
}

// addTo adds v times factor to a full vector.
func (v Vector[T]) addTo(x []T, factor T) {
	for i, at := range v.Index {
		x[at] += v.Values[i] * factor
	}
}

// check says what is wrong with v as a vector of length n.
func (v Vector[T]) check(n int) error {
	if len(v.Index) != len(v.Values) {
		return fmt.Errorf("%d indices for %d values", len(v.Index), len(v.Values))
	}
	for _, at := range v.Index {
		if at < 0 || at >= n {
			return fmt.Errorf("index %d lies outside 0 to %d", at, n-1)
		}
	}
	return nil
}

// Updated solves with a matrix that differs from a factored one by a few
// products of vectors. It uses the factors of the [LU] it came from: it is good
// until that is refactored, and must not be used by another goroutine at the
// same time.
type Updated[T Scalar] struct {
	lu   *LU[T]
	u, v []Vector[T]
	z    [][]T // A⁻¹ U, a column each
	// The factors of I + Vᵀ A⁻¹ U, row after row, with the inverses of the
	// pivots on the diagonal, and the row that was exchanged for each.
	core     []T
	exchange []int
	small    []T // scratch of one value per column
}

// Update prepares to solve with A + U Vᵀ, where u and v hold the columns of U
// and V, as many of one as of the other. A conductance that changes by d
// between nodes a and b, for instance, is one column: in u the values d and -d
// at a and b, in v the values 1 and -1. Every column costs one solve here; later
// solves cost little more than one of the original matrix.
//
// The error is a *[Singular] when the changed matrix has no inverse, or so
// nearly none that fewer than four digits of a solution would be right, as when
// the only part is opened that holds a node; factor the changed matrix itself
// then. Row and Column are those of the largest elements of the columns of u
// and v that bring this about.
//
// Source: W. W. Hager, "Updating the inverse of a matrix", SIAM Review 31
// (1989), pages 221-239: the Sherman-Morrison-Woodbury formula.
func (lu *LU[T]) Update(u, v []Vector[T]) (*Updated[T], error) {
	if len(u) != len(v) {
		return nil, fmt.Errorf("sparse: Update: %d columns of U and %d of V; want as many", len(u), len(v))
	}
	for k := range u {
		if err := u[k].check(len(lu.work)); err != nil {
			return nil, fmt.Errorf("sparse: Update: column %d of U: %w", k, err)
		}
		if err := v[k].check(len(lu.work)); err != nil {
			return nil, fmt.Errorf("sparse: Update: column %d of V: %w", k, err)
		}
	}
	r := len(u)
	up := &Updated[T]{lu: lu, u: u, v: v, z: make([][]T, r), core: make([]T, r*r), exchange: make([]int, r), small: make([]T, r)}
	for k := range u {
		up.z[k] = make([]T, len(lu.work))
		u[k].addTo(up.z[k], 1)
		lu.Solve(up.z[k])
	}
	if k := up.factorCore(); k >= 0 {
		return nil, &Singular{Row: heaviest(u[k]), Column: heaviest(v[up.exchange[k]])}
	}
	return up, nil
}

// heaviest returns the index of the largest value of v.
func heaviest[T Scalar](v Vector[T]) int {
	at, largest := 0, -1.0
	for i, x := range v.Values {
		if m := modulus(x); m > largest {
			at, largest = v.Index[i], m
		}
	}
	return at
}

// coreThreshold is how much of 1 + vᵀ A⁻¹ u may cancel. Each digit that cancels
// is a digit lost in the solution.
const coreThreshold = 1e-12

// factorCore factors I + Vᵀ A⁻¹ U, with exchange of rows. It returns the
// column without a pivot, or -1.
func (up *Updated[T]) factorCore() int {
	r, c := len(up.u), up.core
	largest := make([]float64, r) // of the terms that make up each row
	for i := range r {
		largest[i] = 1
		for j := range r {
			d := up.v[i].dot(up.z[j])
			largest[i] = max(largest[i], modulus(d))
			c[i*r+j] = d
		}
		c[i*r+i]++
	}
	for k := range r {
		best, at := -1.0, k
		for i := k; i < r; i++ {
			if m := modulus(c[i*r+k]) / largest[i]; m > best {
				best, at = m, i
			}
		}
		up.exchange[k] = at
		if !(best > coreThreshold) {
			return k
		}
		if at != k {
			largest[k], largest[at] = largest[at], largest[k]
			for j := range r {
				c[k*r+j], c[at*r+j] = c[at*r+j], c[k*r+j]
			}
		}
		c[k*r+k] = inverse(c[k*r+k])
		for i := k + 1; i < r; i++ {
			c[i*r+k] *= c[k*r+k]
			for j := k + 1; j < r; j++ {
				c[i*r+j] -= c[i*r+k] * c[k*r+j]
			}
		}
	}
	return -1
}

// solveCore solves with the factored core, in place.
func (up *Updated[T]) solveCore(x []T) {
	r, c := len(x), up.core
	for k, at := range up.exchange {
		x[k], x[at] = x[at], x[k]
	}
	for i := range r {
		for j := range i {
			x[i] -= c[i*r+j] * x[j]
		}
	}
	for i := r - 1; i >= 0; i-- {
		for j := i + 1; j < r; j++ {
			x[i] -= c[i*r+j] * x[j]
		}
		x[i] *= c[i*r+i]
	}
}

// Solve replaces the right-hand side b of (A + U Vᵀ) x = b by x, without
// allocating. It panics when b has the wrong length.
func (up *Updated[T]) Solve(b []T) {
	up.lu.Solve(b)
	for k := range up.v {
		up.small[k] = up.v[k].dot(b)
	}
	up.solveCore(up.small)
	for k, z := range up.z {
		factor := up.small[k]
		for i, v := range z {
			b[i] -= v * factor
		}
	}
}
