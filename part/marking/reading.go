package marking

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"halfsplit/part/datecode"
	"halfsplit/quantity"
)

// Kind is what a reading is about. The zero value is any kind.
type Kind string

// The kinds.
const (
	Any        Kind = ""
	Resistor   Kind = "resistor"
	Capacitor  Kind = "capacitor"
	Inductor   Kind = "inductor"
	Voltage    Kind = "voltage"
	Dielectric Kind = "dielectric"
	Class      Kind = "safety class"
	Date       Kind = "date"
)

// Kinds lists the kinds by name.
func Kinds() []Kind {
	return []Kind{Resistor, Capacitor, Inductor, Voltage, Dielectric, Class, Date}
}

// Scheme is a code in which a value is marked.
type Scheme string

// The schemes.
const (
	ColourBands   Scheme = "colour bands"
	LetterCode    Scheme = "letter and digit code"
	DigitCode     Scheme = "two digits and a multiplier"
	DigitCode4    Scheme = "three digits and a multiplier"
	EIA96         Scheme = "EIA-96"
	PlainText     Scheme = "plain text"
	PlainNumber   Scheme = "plain number"
	TantalumCode  Scheme = "digit code with a voltage letter"
	VoltageCode   Scheme = "voltage code"
	ClassCode     Scheme = "dielectric code"
	SafetyMark    Scheme = "safety class"
	DateCode      Scheme = "date code"
	Reliability   Scheme = "colour bands with one for reliability"
	CapacitorBand Scheme = "colour bands of a film capacitor"
	ChokeBands    Scheme = "colour bands of a moulded choke"
)

// Reading is one way to read a marking. What it does not say is zero or nil.
type Reading struct {
	Kind      Kind
	Scheme    Scheme
	Value     *quantity.Quantity
	Tolerance *quantity.Tolerance
	Ratings   []quantity.Quantity // voltage, temperature, power
	TempCo    *quantity.Quantity
	Date      *datecode.Reading
	Words     string // what it says where that is no value
	Published string // where the code is published
	Notes     []string
	// Backwards says that colour bands were read from the other end.
	Backwards bool
	// Weight is how plausible the reading is among the others, above 0 and at
	// most 1.
	Weight float64
}

// Plausibility puts a weight into a word: likely, possible or unlikely.
func (r Reading) Plausibility() string {
	switch {
	case r.Weight >= 0.3:
		return "likely"
	case r.Weight >= 0.06:
		return "possible"
	}
	return "unlikely"
}

// String says what the marking means in this reading.
func (r Reading) String() string {
	var said []string
	switch {
	case r.Date != nil:
		said = append(said, r.Date.String())
	case r.Value != nil && r.Value.Value == 0:
		said = append(said, "0 Ω, a link")
	case r.Value != nil:
		said = append(said, r.Value.String())
	}
	if r.Words != "" {
		said = append(said, r.Words)
	}
	if r.Tolerance != nil {
		said = append(said, r.Tolerance.String())
	}
	for _, q := range r.Ratings {
		said = append(said, q.String())
	}
	if r.TempCo != nil {
		said = append(said, r.TempCo.String())
	}
	return strings.Join(said, " ")
}

// rate adds a voltage.
func (r *Reading) rate(volts float64) {
	r.Ratings = append(r.Ratings, quantity.Quantity{Value: volts, Unit: quantity.Volt})
}

func (r *Reading) note(format string, values ...any) {
	r.Notes = append(r.Notes, fmt.Sprintf(format, values...))
}

// Context is what is known of the part.
type Context struct {
	Kind   Kind            // what it is; any when not known
	Window datecode.Window // when it can have been made
}

// Piece is a part of the text with its readings, the most plausible first. One
// without readings was not understood; Refused says for each code whose shape it
// has why it is none.
type Piece struct {
	Text     string
	Readings []Reading
	Refused  []string

	impossible bool // it is a marking, of a part that cannot exist
}

// longestText is more than fits on any part.
const longestText = 200

// Read reads a marking. Where the text as a whole is no code, it is read word by
// word, so that "4700uF 35V 8314" gives a capacitor and its date. The error says
// that nothing could be read, and why.
func Read(text string, c Context) ([]Piece, error) {
	if err := c.Window.Validate(); err != nil {
		return nil, err
	}
	if c.Kind != Any && !slices.Contains(Kinds(), c.Kind) {
		return nil, fmt.Errorf("%q is no kind of marking; the kinds are %s", c.Kind, kindList())
	}
	words := strings.Fields(text)
	switch {
	case len(words) == 0:
		return nil, errors.New(`the marking is empty; write what stands on the part, such as "4K7", "104K" or "brown black red gold"`)
	case len(text) > longestText || len(words) > 24:
		return nil, fmt.Errorf("the marking has %d characters in %d words; write at most %d characters and 24 words", utf8.RuneCountInString(text), len(words), longestText)
	case !utf8.ValidString(text):
		return nil, errors.New("the marking holds bytes that are no characters; write it as UTF-8 text")
	}
	var pieces []Piece
	read, impossible := false, false
	for from := 0; from < len(words); {
		piece, used := longest(words[from:], c)
		read, impossible = read || len(piece.Readings) > 0, impossible || piece.impossible
		pieces = append(pieces, piece)
		from += used
	}
	if read && !impossible {
		return pieces, nil
	}
	var why []string
	for _, p := range pieces {
		why = append(why, p.Refused...)
	}
	if len(why) == 0 {
		what := "no marking known here"
		if c.Kind != Any {
			what = fmt.Sprintf("no marking of a %s known here", c.Kind)
		}
		return pieces, fmt.Errorf("%q is %s; letters and digits as printed are read, and colours by name, such as brown black red gold", strings.Join(words, " "), what)
	}
	return pieces, fmt.Errorf("%q cannot be right: %s", strings.Join(words, " "), strings.Join(why, "; "))
}

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// longest reads as many words as make one marking. A run of colours is always
// one.
func longest(words []string, c Context) (Piece, int) {
	run := 0
	for run < len(words) && isColours(words[:run+1]) {
		run++
	}
	if run > 0 {
		return one(strings.Join(words[:run], " "), c), run
	}
	var piece Piece
	for n := len(words); n >= 1; n-- {
		piece = one(strings.Join(words[:n], " "), c)
		if len(piece.Readings) > 0 || piece.impossible {
			return piece, n
		}
	}
	return piece, 1
}

// one reads a text as a single marking.
func one(text string, c Context) Piece {
	g := gatherer{context: c}
	whole := text
	if trimmed := strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(text, "+"), "+")); trimmed != text {
		text, g.polar = trimmed, true
	}
	if !g.colours(text) {
		for _, code := range codes {
			if found := code.shape.FindStringSubmatch(text); found != nil {
				code.read(&g, found)
			}
		}
		g.letterCodes(text)
		g.plain(text)
		g.date(text)
	}
	slices.SortStableFunc(g.readings, func(a, b Reading) int {
		switch {
		case a.Weight > b.Weight:
			return -1
		case a.Weight < b.Weight:
			return 1
		}
		return 0
	})
	return Piece{Text: whole, Readings: g.readings, Refused: g.refused, impossible: g.impossible && len(g.readings) == 0}
}

// gatherer collects readings.
type gatherer struct {
	context  Context
	readings []Reading
	refused  []string

	impossible bool
	polar      bool // a plus stands beside it
}

// cannot refuses a part that cannot exist.
func (g *gatherer) cannot(format string, values ...any) {
	g.impossible = true
	g.refuse(format, values...)
}

func (g *gatherer) refuse(format string, values ...any) {
	g.refused = append(g.refused, fmt.Sprintf(format, values...))
}

// add adds a reading of the kind that is wanted; its weight is lowered when its
// value is none in which parts are made.
func (g *gatherer) add(r Reading, weight float64) {
	if g.context.Kind != Any && r.Kind != g.context.Kind {
		return
	}
	r.Weight = weight * g.preferred(&r)
	g.readings = append(g.readings, r)
}

// date adds the readings as a date.
func (g *gatherer) date(text string) {
	readings, refused, err := datecode.Read(text, g.context.Window)
	if err != nil {
		return // the window was checked before
	}
	for _, d := range readings {
		g.add(Reading{Kind: Date, Scheme: DateCode, Date: &d, Words: "(" + string(d.Form) + ")", Published: d.Published, Notes: d.Notes}, 0.9*d.Weight)
	}
	if g.context.Kind == Any || g.context.Kind == Date {
		for _, why := range refused {
			g.refuse("as a date, %s", strings.TrimPrefix(why, "as "))
		}
	}
}
