package sparse

// plan is the elimination written out for one order of pivots: everything that
// [LU.Refactor] and the solves need, except the values. It never changes and is
// shared by all clones of an [LU].
//
// # Order
//
// Pivots are numbered from zero in the order of elimination. A section is a
// diagonal block of the matrix, or a run of blocks of one pivot each (see
// [triangularBlocks]); sections are factored by themselves. A section consists
// of groups. No pivot of a group depends on another one of it except within a
// front, so the processor can have many in the works at once.
//
// # Values
//
// All values of the factors are in one flat slice, in the order in which they
// are used. A group begins with its single pivots, which have few values each.
// For these the slice holds
//
//	the inverses of the pivots,
//	their columns of L (links names row and pivot of each value),
//	their rows of U (links names column and pivot of each value),
//
// and every multiplication with which they change later values is written out
// in updates: where the three values are that it concerns. Then come the
// group's fronts.
//
// # Fronts
//
// Where many consecutive pivots change the same later rows and columns, it is
// better not to look up each value. Such pivots form a front, whose share of
// the factors is two dense pieces:
//
//	panel  width columns of width+below values each: the square of the
//	       front's own pivots (U above the diagonal, L below it, the inverse
//	       of the pivot on it), then the rows of L below;
//	right  beside columns of width values each: the rows of U to the right.
//
// Eliminating a front changes below by beside later values; targets says where
// they are, column after column.
//
// # Coupling
//
// The coefficients above the diagonal blocks are kept as they are, column by
// column, at the end of the values. Solves use them from the last section to
// the first.
type plan struct {
	n        int
	rowAt    []int32   // row of each pivot
	columnAt []int32   // column of each pivot
	growth   []float64 // largest multiplier that [LU.Refactor] tolerates for each pivot
	place    []int32   // index among the values of each slot
	length   int32     // number of values

	sections []section
	groups   []group
	links    []link
	updates  []update

	fronts  []front
	lists   []int32 // later rows and later columns, front after front
	targets []int32 // changed values, front after front

	coupling      int32   // index of the first coupling value
	couplingStart []int32 // by pivot of the column, from zero
	couplingAt    []int32 // pivot of the row
}

// section is one or more diagonal blocks.
type section struct {
	first, end           int32 // pivots
	firstGroup, endGroup int32
	triangular           bool // blocks of one pivot, coupled among themselves
}

// group is a set of pivots that can be eliminated side by side.
type group struct {
	first              int32 // first single pivot
	inverses           int32 // where the inverses of the single pivots start among the values,
	lower, upper, end  int32 // their values of L, of U, and where these end
	links              int32 // index of the link of the first value of L
	updates, endUpdate int32
	fronts, endFront   int32
}

// link says to which single pivot a value belongs, and to which other pivot it
// leads: for a value of L the row, for a value of U the column.
type link struct{ own, other int32 }

// update subtracts from one value the product of two others.
type update struct{ target, lower, upper int32 }

// front is a number of pivots that change the same later rows and columns; see
// [plan]. While a plan is made, a single pivot is a front of width one.
type front struct {
	first, width  int32
	below, beside int32 // numbers of later rows and columns
	lists         int32 // index in plan.lists of the later rows; the columns follow
	square        int32 // index among the values of the square,
	lower         int32 // of the first value below it,
	right         int32 // and of the right piece
	targets       int32 // index in plan.targets; for a single pivot in plan.updates
}

// single reports whether a front is a pivot by itself.
func (f *front) single() bool { return f.width == 1 }

// rows are the later pivots whose rows front f changes.
func (pl *plan) rows(f *front) []int32 { return pl.lists[f.lists:][:f.below] }

// columns are the later pivots whose columns front f changes.
func (pl *plan) columns(f *front) []int32 { return pl.lists[f.lists+f.below:][:f.beside] }

// height is the length of a column of the panel.
func (f *front) height() int32 { return f.width + f.below }
