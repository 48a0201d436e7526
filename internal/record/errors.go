package record

import (
	"errors"
	"fmt"
	"strings"
)

// ErrNotFound is wrapped by the errors for a thing that is not in the records.
var ErrNotFound = errors.New("not in the records")

// Stale is the error for saving a thing that somebody else changed since it was
// read. Nothing was saved.
type Stale struct {
	Kind      Kind
	ID        ID
	Seen, Now int // revisions
}

// Error says what to do.
func (s *Stale) Error() string {
	return fmt.Sprintf("this %s was changed elsewhere while you were at it (revision %d, you saw %d); look at it again, then save", s.Kind, s.Now, s.Seen)
}

// Wrong is one field of a record that cannot be right.
type Wrong struct {
	Field   string // as in JSON
	Message string // what is wrong and what would be right
}

// Invalid is the error for a record that cannot be right: every wrong field.
type Invalid []Wrong

// Error lists the fields.
func (w Invalid) Error() string {
	lines := make([]string, len(w))
	for i, x := range w {
		lines[i] = x.Field + ": " + x.Message
	}
	return strings.Join(lines, "\n")
}

// add notes a wrong field.
func (w *Invalid) add(field, format string, arguments ...any) {
	*w = append(*w, Wrong{field, fmt.Sprintf(format, arguments...)})
}

// err is the list as an error, nil when there is none.
func (w Invalid) err() error {
	if len(w) == 0 {
		return nil
	}
	return w
}
