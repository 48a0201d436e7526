package record

import (
	"fmt"
	"time"
)

// Bin is a place in the parts drawer, with a label.
type Bin struct {
	ID       ID     `json:"id"`
	Revision int    `json:"revision"`
	Code     string `json:"code"` // as on its label, unique: "box 7"
	Place    string `json:"place,omitempty"`
	Note     string `json:"note,omitempty"`
}

// Check finds what cannot be right in a bin; the error is Invalid.
func (b *Bin) Check() error {
	var wrong Invalid
	line("code", b.Code, true, &wrong)
	line("place", b.Place, false, &wrong)
	prose("note", b.Note, &wrong)
	return wrong.err()
}

// Stock is a number of like parts in a bin.
type Stock struct {
	ID       ID     `json:"id"`
	Revision int    `json:"revision"`
	Bin      ID     `json:"bin,omitempty"`
	Part     string `json:"part"` // as on a label: "2200 uF 35 V electrolytic"
	Count    int    `json:"count"`
	Least    int    `json:"least,omitempty"` // order more below this
	Maker    string `json:"maker,omitempty"`
	Batch    string `json:"batch,omitempty"`
	Price    int64  `json:"price,omitempty"`  // each, in hundredths
	Origin   string `json:"origin,omitempty"` // new, donor SSA-0012, ...
	Note     string `json:"note,omitempty"`
}

// Check finds what cannot be right in a stock; the error is Invalid.
func (s *Stock) Check() error {
	var wrong Invalid
	line("part", s.Part, true, &wrong)
	line("maker", s.Maker, false, &wrong)
	line("batch", s.Batch, false, &wrong)
	line("origin", s.Origin, false, &wrong)
	prose("note", s.Note, &wrong)
	if s.Count < 0 {
		wrong.add("count", "there cannot be %d of a part", s.Count)
	}
	if s.Least < 0 {
		wrong.add("least", "%d is less than none", s.Least)
	}
	if s.Price < 0 {
		wrong.add("price", "a price is not negative")
	}
	return wrong.err()
}

// Progress is how far a need has come.
type Progress string

// The steps.
const (
	Wanted    Progress = "wanted"
	SetAside  Progress = "set aside" // taken from stock for the job
	OnOrder   Progress = "on order"
	FittedIn  Progress = "fitted"
	NotNeeded Progress = "not needed"
)

// Progresses lists them.
func Progresses() []Progress { return []Progress{Wanted, SetAside, OnOrder, FittedIn, NotNeeded} }

// Need is a part that a job needs.
type Need struct {
	ID       ID       `json:"id"`
	Revision int      `json:"revision"`
	Job      ID       `json:"job"`
	Part     string   `json:"part"`            // as on a label
	For      string   `json:"for,omitempty"`   // designator
	Count    int      `json:"count"`           //
	Progress Progress `json:"progress"`        //
	Stock    ID       `json:"stock,omitempty"` // set aside from
	Order    ID       `json:"order,omitempty"` //
	Note     string   `json:"note,omitempty"`  //
}

// Check finds what cannot be right in a need; the error is Invalid.
func (n *Need) Check() error {
	var wrong Invalid
	if n.Job <= 0 {
		wrong.add("job", "a need belongs to a job")
	}
	line("part", n.Part, true, &wrong)
	line("for", n.For, false, &wrong)
	prose("note", n.Note, &wrong)
	among("progress", n.Progress, Progresses(), &wrong)
	if n.Count < 1 {
		wrong.add("count", "%d is less than one", n.Count)
	}
	return wrong.err()
}

// Order is what was ordered from a supplier.
type Order struct {
	ID       ID          `json:"id"`
	Revision int         `json:"revision"`
	Supplier string      `json:"supplier"`
	Number   string      `json:"number,omitempty"`
	Placed   Day         `json:"placed,omitempty"`
	Arrived  Day         `json:"arrived,omitempty"`
	Note     string      `json:"note,omitempty"`
	Lines    []OrderLine `json:"lines"`
	Created  time.Time   `json:"created"`
}

// OrderLine is one kind of part in an order.
type OrderLine struct {
	Part  string `json:"part"`
	Count int    `json:"count"`
	Price int64  `json:"price,omitempty"` // each, in hundredths
	Job   ID     `json:"job,omitempty"`   // that it is for
}

// Check finds what cannot be right in an order; the error is Invalid.
func (o *Order) Check() error {
	var wrong Invalid
	line("supplier", o.Supplier, true, &wrong)
	line("number", o.Number, false, &wrong)
	prose("note", o.Note, &wrong)
	o.Placed.check("placed", &wrong)
	o.Arrived.check("arrived", &wrong)
	for i, l := range o.Lines {
		at := fmt.Sprintf("lines[%d].", i)
		line(at+"part", l.Part, true, &wrong)
		if l.Count < 1 {
			wrong.add(at+"count", "%d is less than one", l.Count)
		}
		if l.Price < 0 {
			wrong.add(at+"price", "a price is not negative")
		}
	}
	return wrong.err()
}
