package replacement

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfsplit/part"
	"halfsplit/part/marking"
	"halfsplit/quantity"
)

// words are what a text may say of a part beside its figures, the longer first.
var words = func() []word {
	list := []word{
		{"non-polar electrolytic", made(part.NonPolarElectrolytic)}, {"bipolar electrolytic", made(part.NonPolarElectrolytic)}, {"non-polar", made(part.NonPolarElectrolytic)},
		{"aluminium electrolytic", made(part.AluminiumElectrolytic)}, {"electrolytic", made(part.AluminiumElectrolytic)}, {"solid tantalum", made(part.SolidTantalum)}, {"tantalum", made(part.SolidTantalum)},
		{"plastic film", made(part.PlasticFilm)}, {"film", made(part.PlasticFilm)}, {"polyester", made(part.PlasticFilm)}, {"polypropylene", made(part.PlasticFilm)}, {"polystyrene", made(part.PlasticFilm)},
		{"class 1 ceramic", made(part.CeramicClass1)}, {"class 2 ceramic", made(part.CeramicClass2)}, {"class 3 ceramic", made(part.CeramicClass3)},
		{"c0g", made(part.CeramicClass1)}, {"np0", made(part.CeramicClass1)}, {"x7r", made(part.CeramicClass2)}, {"x5r", made(part.CeramicClass2)},
		{"z5u", made(part.CeramicClass3)}, {"y5v", made(part.CeramicClass3)}, {"ceramic", made(part.CeramicClass2)}, {"mica", made(part.Mica)},
		{"metallised paper", made(part.MetallisedPaper)}, {"paper and foil", made(part.PaperFoil)}, {"paper", made(part.PaperFoil)},
	}
	for _, k := range Kinds() {
		list = append(list, word{string(k), func(p *Part) { p.Kind = k }})
	}
	list = append(list, word{"mosfet", func(p *Part) { p.Kind = FieldTrans }}, word{"capacitor", func(p *Part) { p.Kind = Capacitor }})
	for _, t := range Traits() {
		list = append(list, word{strings.ToLower(string(t)), func(p *Part) { p.Traits = append(p.Traits, t) }})
	}
	for c := part.ClassX1; c <= part.ClassY4; c++ {
		of := func(p *Part) { p.Kind, p.Class = Capacitor, c }
		list = append(list, word{"class " + strings.ToLower(c.String()), of}, word{strings.ToLower(c.String()), of})
	}
	slices.SortStableFunc(list, func(a, b word) int { return len(b.text) - len(a.text) })
	return list
}()

type word struct {
	text string
	take func(*Part)
}

// made gives what a word for a dielectric does.
func made(kind part.CapacitorKind) func(*Part) {
	return func(p *Part) { p.Kind, p.Dielectric = Capacitor, kind }
}

// gains finds a least current gain.
var gains = regexp.MustCompile(`(?i)\b(?:gain|hfe)\s*(?:of\s*)?(\d+(?:\.\d+)?)\b`)

// pinOrders finds an order of pins.
var pinOrders = regexp.MustCompile(`(?i)\bpins?\s+([A-Za-z]{1,6}(?:[-,/ ][A-Za-z]{1,6}){1,3})\s*$`)

// Parse reads a part as one would write it on a drawer: "4700 uF 35 V 105 °C
// electrolytic", "104K 100V film", "100 nF 275 V X2", "1 A 400 V fast rectifier",
// "60 V 15 A 115 W npn transistor gain 20 pins B E C", "-12 V 1 A regulator". What
// the text does not say of the kind is taken from another part, such as the one
// that is to be replaced; of its figures nothing is. The error says what could not
// be read.
func Parse(text string, like Part) (Part, error) {
	if strings.TrimSpace(text) == "" || len(text) > 200 {
		return Part{}, fmt.Errorf("%.40q describes no part; write it as in %q", text, "4700 uF 35 V electrolytic")
	}
	p := Part{}
	rest := text
	if found := pinOrders.FindStringSubmatchIndex(rest); found != nil {
		p.Pins, rest = rest[found[2]:found[3]], rest[:found[0]]
	}
	if found := gains.FindStringSubmatch(rest); found != nil {
		p.Gain, _ = strconv.ParseFloat(found[1], 64)
		rest = strings.Replace(rest, found[0], " ", 1)
	}
	for _, w := range words {
		if left, ok := without(rest, w.text); ok {
			rest = left
			w.take(&p)
		}
	}
	if p.Kind == "" {
		p.Kind = like.Kind
	}
	if p.Kind == Capacitor && p.Dielectric == part.UnknownCapacitor {
		p.Dielectric = like.Dielectric
		if p.Class != part.NoSafetyClass {
			p.Dielectric = part.PlasticFilm // whatever the part it stands in for is made of
		}
	}
	rest = strings.Join(strings.FieldsFunc(rest, func(c rune) bool { return c == ' ' || c == ',' || c == ';' }), " ")
	if err := p.figures(rest, text); err != nil {
		return Part{}, err
	}
	return p, p.Validate()
}

// without takes a word or phrase out of a text, capital letters left aside.
func without(text, phrase string) (string, bool) {
	lower := strings.ToLower(text)
	if len(lower) != len(text) {
		return text, false
	}
	for from := 0; ; {
		i := strings.Index(lower[from:], phrase)
		if i < 0 {
			return text, false
		}
		i += from
		end := i + len(phrase)
		if (i == 0 || !wordly(lower[i-1])) && (end == len(lower) || !wordly(lower[end])) {
			return text[:i] + " " + text[end:], true
		}
		from = end
	}
}

func wordly(c byte) bool { return c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-' }

// figures reads value and ratings.
func (p *Part) figures(rest, whole string) error {
	var list []quantity.Quantity
	switch p.Kind {
	case Resistor, Capacitor:
		kind := marking.Resistor
		if p.Kind == Capacitor {
			kind = marking.Capacitor
		}
		pieces, err := marking.Read(rest, marking.Context{Kind: kind})
		if err != nil {
			return err
		}
		if len(pieces) > 1 {
			return fmt.Errorf("%q of %q is not understood; write value, tolerance and ratings with their units, and the kind by name", unread(pieces), whole)
		}
		r := pieces[0].Readings[0]
		p.Value, p.Tolerance, list = r.Value.Value, r.Tolerance, r.Ratings
		if r.TempCo != nil {
			p.TempCo = r.TempCo.Value
		}
	case "":
		first := strings.SplitN(rest, " ", 2)[0]
		q, err := quantity.Parse(first)
		if _, again := quantity.ParseCode(first, quantity.Ohm); err == nil && q.Unit == quantity.Ohm || again == nil {
			p.Kind = Resistor
			return p.figures(rest, whole)
		}
		if _, again := quantity.ParseCode(first, quantity.Farad); err == nil && q.Unit == quantity.Farad || again == nil {
			p.Kind = Capacitor
			return p.figures(rest, whole)
		}
		return fmt.Errorf("%q does not say what kind of part it is; name it: %s", whole, kindNames())
	default:
		if rest == "" {
			return nil
		}
		var err error
		if list, err = quantity.ParseList(rest); err != nil {
			return fmt.Errorf("%q: %w", whole, err)
		}
	}
	for _, q := range list {
		if err := p.take(q); err != nil {
			return fmt.Errorf("%q: %w", whole, err)
		}
	}
	return nil
}

// unread gives the first piece of a marking after its value.
func unread(pieces []marking.Piece) string {
	for _, piece := range pieces {
		if len(piece.Readings) == 0 {
			return piece.Text
		}
	}
	return pieces[1].Text
}

func kindNames() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// take puts a figure where it belongs.
func (p *Part) take(q quantity.Quantity) error {
	figure := map[quantity.Unit]*float64{quantity.Volt: &p.Voltage, quantity.Ampere: &p.Current, quantity.Watt: &p.Power, quantity.Celsius: &p.Temperature,
		quantity.Second: &p.Recovery, quantity.Hertz: &p.Transition, quantity.Ohm: &p.ESR}[q.Unit]
	switch {
	case figure == nil:
		return fmt.Errorf("%s is no rating of a %s", q, p.Kind)
	case (p.Kind == Zener || p.Kind == Regulator) && q.Unit == quantity.Volt && p.Value == 0:
		p.Value = q.Value
		return nil
	case *figure != 0:
		return fmt.Errorf("%s is said after %s already; write each rating once", q, quantity.Quantity{Value: *figure, Unit: q.Unit})
	}
	if q.Value <= 0 {
		return fmt.Errorf("a part rated for %s does not exist", q)
	}
	*figure = q.Value
	if q.Unit == quantity.Celsius {
		*figure += 273.15
	}
	return nil
}
