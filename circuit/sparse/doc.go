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
//   - once per kind of operating point, [Factor] chooses pivots by size and
//     writes down every later step as a plan;
//   - thousands of times, [LU.Refactor] and [LU.Solve] walk that plan with new
//     values, without searching and without allocating.
//
// A changed part (a fault) is a change of small rank; [LU.Update] solves the
// changed circuit from the factors of the healthy one.
//
// Everything is generic over float64 (direct current, transient) and
// complex128 (small-signal alternating current).
package sparse
