package form_test

import (
	"fmt"
	"strings"

	"halfsplit/form"
	"halfsplit/quantity"
)

// sheet is the page that the tests read: a small service sheet with every kind
// of field that the package knows.
type sheet struct {
	_     struct{}         `doc:"What is known about one model."`
	Place form.Place       `form:"-"`
	Sheet int              `form:"sheet,required" doc:"Version of the format." like:"1"`
	Model *model           `form:"model" doc:"What the sheet is about."`
	Rails form.Pairs[rail] `form:"rails" doc:"Supply rails by name."`
	Parts []part           `form:"parts" doc:"Parts on the boards."`
	Tree  []block          `form:"blocks" doc:"What depends on what."`
	Notes []string         `form:"notes,lone" doc:"Anything worth knowing."`
	Codes form.Pairs[int]  `form:"codes" doc:"Self-test codes and the addresses they mean." like:"0x4000"`
}

// Begins says how a sheet begins.
func (*sheet) Begins() string { return `a service sheet begins with "sheet: 1"` }

type model struct {
	_     struct{} `doc:"The make and type of a unit."`
	Maker string   `form:"maker,required" doc:"Name on the front." like:"Ostrel"`
	Name  string   `form:"name,required" doc:"Type on the plate." like:"VT-9"`
	Year  int      `form:"year" doc:"First year made." like:"1981"`
	Mains bool     `form:"mains" doc:"Whether it runs from the mains." like:"yes"`
}

type rail struct {
	_         struct{}            `doc:"A supply rail."`
	Place     form.Place          `form:"-"`
	Nominal   quantity.Quantity   `form:"nominal,required" unit:"V" doc:"Nominal voltage." like:"5 V"`
	Limits    *quantity.Interval  `form:"limits" unit:"V" doc:"Voltages that the load accepts." like:"4.75..5.25 V"`
	Tolerance *quantity.Tolerance `form:"tolerance" unit:"V" doc:"How far it may be off." like:"±5 %"`
	Ripple    *quantity.Quantity  `form:"ripple" unit:"V" doc:"Most ripple, peak to peak." like:"50 mV"`
	Steps     []quantity.Quantity `form:"steps" unit:"V" doc:"Voltages at the start." like:"1.2 V"`
	Feeds     []form.Word         `form:"feeds,lone" doc:"Boards that hang on it." like:"logic"`
}

type part struct {
	Place form.Place `form:"-"`
	part_ `form:",inline"`
	Kind  kind        `form:"kind,required" doc:"Kind of part." like:"resistor"`
	Nodes []form.Word `form:"nodes" doc:"Nodes it hangs between." like:"gnd"`
	Share float64     `form:"share" doc:"Share of failures." like:"0.25"`
	Spot  spot        `form:"spot" doc:"Where it sits." like:"B4"`
	Pin   *pin        `form:"pin" doc:"Where to measure it."`
}

// part_ holds what every part has.
type part_ struct {
	Place form.Place `form:"-"`
	Part  form.Word  `form:"part,required" doc:"Designator." like:"R7"`
}

// kind is a closed set of words.
type kind string

func (kind) Words() []string {
	return []string{"resistor", "electrolytic", "diode", "transformer", "7805", "on"}
}

// spot is a square of a board, read from text.
type spot struct {
	Row    byte
	Column int
}

func (s *spot) UnmarshalText(text []byte) error {
	row, column := text[0], 0
	if row < 'A' || row > 'Z' {
		return &form.Mistake{Message: fmt.Sprintf("%q is not a row", row), Hint: "write a capital letter and a number, such as B4"}
	}
	if _, err := fmt.Sscanf(string(text[1:]), "%d", &column); err != nil {
		return &form.Mistake{Offset: 1, Message: "the column is not a number", Hint: "write a capital letter and a number, such as B4"}
	}
	*s = spot{row, column}
	return nil
}

func (s spot) MarshalText() ([]byte, error) { return fmt.Appendf(nil, "%c%d", s.Row, s.Column), nil }

func (spot) Written() string { return "a row and a column" }

// pin is a part and one of its pins: "U3/14", or in full.
type pin struct {
	_      struct{}   `doc:"A pin of a part."`
	Place  form.Place `form:"-"`
	Part   form.Word  `form:"part,required" doc:"Designator." like:"U3"`
	Number int        `form:"number,required" doc:"Pin number." like:"14"`
}

func (p *pin) Short(word form.Word) error {
	part, number, ok := strings.Cut(word.Text, "/")
	if !ok {
		return &form.Mistake{Offset: len(part), Message: "the pin number is missing", Hint: "write it after a slash: U3/14"}
	}
	p.Part = form.Word{Text: part, Place: word.Place}
	_, err := fmt.Sscanf(number, "%d", &p.Number)
	return err
}

func (pin) Written() string { return "a part and a pin, such as U3/14" }

// block contains itself.
type block struct {
	Name   form.Word `form:"name,required" doc:"What it is called." like:"oscillator"`
	Inside []block   `form:"inside" doc:"What it consists of."`
	Level  level     `form:"level" doc:"How it is driven."`
}

// level reads itself, with its unit and its quotes.
type level struct {
	Text   string
	Quoted bool
}

func (l *level) ReadForm(s form.Scalar) error {
	if s.Text == "never" {
		return fmt.Errorf("%q is no level", s.Text)
	}
	*l = level{s.Text, s.Quoted}
	return nil
}

func (l level) MarshalText() ([]byte, error) { return []byte(l.Text), nil }
