package experience

import (
	"fmt"
	"slices"
)

// Book is a set of records of any number of benches. It only grows: nothing is
// ever taken out, and a record put in twice is there once. So books can be merged
// in any order, again and again, and come out the same (a grow-only set:
// M. Shapiro, N. Preguiça, C. Baquero, M. Zawirski, "Conflict-free replicated data
// types", 2011, from memory). The zero value is an empty book.
type Book struct {
	records map[Record]bool
}

// NewBook makes a book of records. The error names the first that cannot be right.
func NewBook(records ...Record) (*Book, error) {
	b := &Book{}
	for _, r := range records {
		if err := b.Add(r); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// Add puts a record in. The error says why it cannot be right; the book is then as
// before.
func (b *Book) Add(r Record) error {
	if err := r.Validate(); err != nil {
		return fmt.Errorf("record %q of bench %q: %w", r.ID, r.Bench, err)
	}
	r.Years += 0 // a negative zero is a zero
	if b.records == nil {
		b.records = map[Record]bool{}
	}
	b.records[r] = true
	return nil
}

// Merge gives the book of all records that stand in any of the books, which stay as
// they are. Nil is an empty book.
func Merge(books ...*Book) *Book {
	all := &Book{records: map[Record]bool{}}
	for _, b := range books {
		if b == nil {
			continue
		}
		for r := range b.records {
			all.records[r] = true
		}
	}
	return all
}

// Len is the number of records, corrected ones included.
func (b *Book) Len() int { return len(b.records) }

// Records lists all records, corrected ones included, in the order of
// [Record.Compare].
func (b *Book) Records() []Record {
	list := make([]Record, 0, len(b.records))
	for r := range b.records {
		list = append(list, r)
	}
	slices.SortFunc(list, Record.Compare)
	return list
}

// Conflict is two records of the same bench, ID and revision that do not say the
// same: two benches bear one name, or someone altered a record instead of
// correcting it. The first is counted, until a higher revision settles it.
type Conflict struct{ Counted, Other Record }

// String says what is wrong and what would be right.
func (c Conflict) String() string {
	return fmt.Sprintf("bench %q has record %q, revision %d, twice and not alike; one of them is counted: give the right one revision %d, or the benches different names",
		c.Counted.Bench, c.Counted.ID, c.Counted.Revision, c.Counted.Revision+1)
}

// Counted lists the records that count: of each bench and ID the one with the
// highest revision. It tells also of every conflict among these.
func (b *Book) Counted() (records []Record, conflicts []Conflict) {
	for _, r := range b.Records() {
		last := len(records) - 1
		switch {
		case last < 0 || records[last].Bench != r.Bench || records[last].ID != r.ID:
			records = append(records, r)
		case records[last].Revision < r.Revision:
			records[last] = r
			for n := len(conflicts); n > 0 && conflicts[n-1].Counted.Bench == r.Bench && conflicts[n-1].Counted.ID == r.ID; n = len(conflicts) {
				conflicts = conflicts[:n-1]
			}
		default:
			conflicts = append(conflicts, Conflict{records[last], r})
		}
	}
	return records, conflicts
}
