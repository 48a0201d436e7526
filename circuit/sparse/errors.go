package sparse

import "fmt"

// Singular is the error of [Factor] for a matrix that has no inverse. Row is an
// equation that says nothing that the others do not say, or contradicts them;
// Column is an unknown that they leave open. Both are in the caller's numbering.
type Singular struct {
	Row, Column int
	Structural  bool // true when no values whatever could help: the pattern itself is at fault
}

// Error names the row and the column.
func (s *Singular) Error() string {
	if s.Structural {
		return fmt.Sprintf("sparse: singular matrix: whatever its values, no coefficient can serve as pivot for row %d and column %d", s.Row, s.Column)
	}
	return fmt.Sprintf("sparse: singular matrix: the equation of row %d follows from the others and leaves the unknown of column %d open", s.Row, s.Column)
}

// Degraded is the error of [LU.Refactor] for values under which a pivot of the
// recorded order has become too small. Calling [Factor] chooses new pivots.
type Degraded struct {
	Row, Column int
}

// Error names the row and the column of the pivot.
func (d *Degraded) Error() string {
	return fmt.Sprintf("sparse: the pivot of row %d, column %d has become too small: factor again", d.Row, d.Column)
}
