// Package sparse solves the large, mostly empty systems of linear equations
// that circuits give rise to.
//
// A board of two hundred parts has a few hundred nodes, and each node touches
// only the handful of parts soldered to it. Written as equations, nearly every
// coefficient is zero. This package stores and works on the rest only. The
// work is split the way a solver repeats it:
//
//   - once per topology, a [Pattern] records which coefficients can be
//     non-zero and in which order they are best eliminated;
//   - once per kind of operating point, [Factor] chooses pivots by size; one
//     solution can then be had at once;
//   - thousands of times, [LU.Refactor] and [LU.Solve] work with new values,
//     without searching and without allocating, by a plan of every step that the
//     first Refactor writes down.
//
// A changed part (a fault) is a change of small rank; [LU.Update] solves the
// changed circuit from the factors of the healthy one.
//
// Everything is generic over float64 (direct current, transient) and
// complex128 (small-signal alternating current).
package sparse
