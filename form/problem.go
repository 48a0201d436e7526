package form

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// mostShown is the number of problems that an error text lists before it
// says how many more there are.
const mostShown = 50

// A Place is a position on a page. Line and Column count from 1, columns in
// characters. The zero Place means that the position is not known.
type Place struct{ Line, Column int }

// String gives "12:9", or "" for the zero Place.
func (p Place) String() string {
	switch {
	case p.Line == 0:
		return ""
	case p.Column == 0:
		return fmt.Sprint(p.Line)
	}
	return fmt.Sprintf("%d:%d", p.Line, p.Column)
}

// A Problem is one mistake on a page: what is wrong, where, and, in Hint, what
// would be right. Line and Column count from 1, columns in characters; 0 means
// not known. Hint may be empty.
type Problem struct {
	File         string
	Line, Column int
	Message      string
	Hint         string
}

// Error gives the problem on one line, such as
//
//	vt9.yaml:12:9: unknown key "tolerence"; did you mean "tolerance"?
func (p Problem) Error() string {
	var b strings.Builder
	for _, part := range []string{p.File, p.Place().String()} {
		if part != "" {
			b.WriteString(part)
			b.WriteByte(':')
		}
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(p.Message)
	if p.Hint != "" {
		b.WriteString("; ")
		b.WriteString(p.Hint)
	}
	return oneLine.Replace(b.String())
}

// oneLine makes one line of a text.
var oneLine = strings.NewReplacer("\r\n", " ", "\n", " ", "\r", " ")

// Place gives the position of the problem.
func (p Problem) Place() Place { return Place{p.Line, p.Column} }

// Problems is a list of mistakes that is itself an error. The zero value is an
// empty list, ready to Add to; use [Problems.Err] to turn a list into an error.
type Problems []Problem

// Add notes a problem at a place. The hint says what would be right; it may be
// empty.
func (p *Problems) Add(place Place, message, hint string) {
	*p = append(*p, Problem{Line: place.Line, Column: place.Column, Message: message, Hint: hint})
}

// In gives the same problems with the file named in each that names none.
func (p Problems) In(file string) Problems {
	named := slices.Clone(p)
	for i := range named {
		if named[i].File == "" {
			named[i].File = file
		}
	}
	return named
}

// Sorted gives the problems by file, line and column, those of one place in
// the order in which they were added, and each only once.
func (p Problems) Sorted() Problems {
	sorted := slices.Clone(p)
	slices.SortStableFunc(sorted, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	seen := make(map[Problem]bool, len(sorted))
	return slices.DeleteFunc(sorted, func(one Problem) bool {
		again := seen[one]
		seen[one] = true
		return again
	})
}

// Err gives nil when there are no problems, and otherwise the sorted list.
func (p Problems) Err() error {
	if len(p) == 0 {
		return nil
	}
	return p.Sorted()
}

// Error gives the problems one a line, by place. It lists at most 50 and then
// says how many more there are.
func (p Problems) Error() string {
	sorted := p.Sorted()
	var b strings.Builder
	for i, one := range sorted {
		if i > 0 {
			b.WriteByte('\n')
		}
		if i == mostShown {
			fmt.Fprintf(&b, "and %d more", len(sorted)-i)
			break
		}
		b.WriteString(one.Error())
	}
	return b.String()
}

// Unwrap gives the problems one by one, for [errors.As].
func (p Problems) Unwrap() []error {
	each := make([]error, len(p))
	for i, one := range p {
		each[i] = one
	}
	return each
}
