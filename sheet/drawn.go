package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"halfsplit/form"
)

// Drawn says where and which way a part stands in the drawing of its circuit.
type Drawn struct {
	Column int       // counted from the left, 1 to 99
	Row    float64   // counted from the top, 1 to 99, in quarters
	Way    Direction // NoDirection leaves it to the drawing
	Mirror bool      // with its other side in front: the base of a transistor on the right
	Text   string
	Place  form.Place
}

// Direction is the way from the first node of a part to its last, as drawn.
type Direction string

// The directions.
const (
	NoDirection Direction = ""
	Right       Direction = "right"
	Left        Direction = "left"
	Up          Direction = "up"
	Down        Direction = "down"
)

// farthest is the last column and row that there may be.
const farthest = 99

// ReadForm reads "3/2", "3/2 down", "3/2.5 up mirrored".
func (d *Drawn) ReadForm(s form.Scalar) error {
	*d = Drawn{Text: s.Text, Place: s.Place}
	const hint = `write column/row and, if you like, a direction, as in "3/2 down"`
	where, rest, _ := strings.Cut(strings.TrimSpace(s.Text), " ")
	column, row, ok := strings.Cut(where, "/")
	if !ok {
		return &form.Mistake{Message: fmt.Sprintf("%.40q is no place in a drawing", s.Text), Hint: hint}
	}
	var err error
	if d.Column, err = strconv.Atoi(column); err != nil || d.Column < 1 || d.Column > farthest {
		return &form.Mistake{Message: fmt.Sprintf("%.20q is no column", column), Hint: "write a whole number from 1 to 99, counted from the left"}
	}
	d.Row, err = strconv.ParseFloat(row, 64)
	if err != nil || !(d.Row >= 1 && d.Row <= farthest) || d.Row*4 != float64(int(d.Row*4)) {
		return &form.Mistake{Offset: strings.Index(s.Text, "/") + 1, Message: fmt.Sprintf("%.20q is no row", row), Hint: "write a number from 1 to 99, counted from the top; halves and quarters such as 2.5 may be used"}
	}
	for _, word := range strings.Fields(rest) {
		switch way := Direction(word); {
		case word == "mirrored" && !d.Mirror:
			d.Mirror = true
		case d.Way == NoDirection && !d.Mirror && (way == Right || way == Left || way == Up || way == Down):
			d.Way = way
		default:
			return &form.Mistake{
				Offset:  strings.LastIndex(s.Text, word),
				Message: fmt.Sprintf("%.20q says no direction here", word),
				Hint:    "write one of right, left, up, down: the way from the first node to the last; after it mirrored, if need be",
			}
		}
	}
	return nil
}

// Written says how a place in a drawing is written.
func (Drawn) Written() string {
	return "column/row, and right, left, up or down; then mirrored if need be"
}

// String gives the place as it was written.
func (d *Drawn) String() string { return d.Text }

// MarshalText writes the place as it was written.
func (d *Drawn) MarshalText() ([]byte, error) { return []byte(d.Text), nil }

// drawnTwice reports parts of a circuit that are drawn in one place, and checks
// nothing else: how much room a part takes is known to the drawing alone.
func (c *checker) drawnTwice(parts []Part) {
	type spot struct {
		column int
		row    float64
	}
	taken := map[spot]*Part{}
	for i := range parts {
		d := parts[i].Drawn
		if d == nil || d.Column == 0 {
			continue
		}
		at := spot{d.Column, d.Row}
		if first := taken[at]; first != nil {
			c.add(d.Place, "give each a column or row of its own", "%q is drawn where %q is, on line %d", parts[i].Name.Text, first.Name.Text, first.Drawn.Place.Line)
			continue
		}
		taken[at] = &parts[i]
	}
}
