package marking

import (
	"regexp"
	"strings"

	"halfsplit/quantity"
)

// tolerances finds a tolerance within a text.
var tolerances = regexp.MustCompile(`(?:±|\+/?-) ?\d+(?:\.\d+)? ?%|-\d+ ?(?:/|\.\.|…| ) ?\+\d+ ?%|\+\d+ ?/? ?-\d+ ?%|(?:^| )\d+(?:\.\d+)? ?%`)

// coefficients finds a temperature coefficient within a text.
var coefficients = regexp.MustCompile(`(?:±|\+-|-|\+)? ?\d+ ?ppm(?:/K)?`)

// plain reads a value that is written out, with ratings and tolerance after it:
// "4700uF 35V 105°C -20/+50%", "4k7 1/4W 5%".
func (g *gatherer) plain(text string) {
	r := Reading{Scheme: PlainText, Published: "as written"}
	rest := text
	if found := tolerances.FindString(rest); found != "" {
		t, err := quantity.ParseTolerance(strings.TrimSpace(found))
		if err != nil {
			return
		}
		r.Tolerance, rest = &t, strings.Replace(rest, found, " ", 1)
	}
	if found := coefficients.FindString(rest); found != "" {
		q, err := quantity.ParseAs(strings.TrimLeft(strings.TrimSuffix(found, "/K"), "±+ -")+"/K", quantity.PPMPerKelvin)
		if err != nil {
			return
		}
		r.TempCo, rest = &q, strings.Replace(rest, found, " ", 1)
	}
	words := strings.Fields(rest)
	if len(words) == 0 {
		return
	}
	list, err := quantity.ParseList(strings.Join(words, " "))
	if err != nil && (len(words) > 1 || rest != text) { // "4n7 63V": a code and ratings
		if list, err = nil, nil; len(words) > 1 {
			list, err = quantity.ParseList(strings.Join(words[1:], " "))
		}
		for _, unit := range []quantity.Unit{quantity.Ohm, quantity.Farad} {
			for _, cut := range []int{0, 1} {
				at := len(words[0]) - cut
				if code, ok := readCode(words[0][:at], words[0][at:], unit); ok && err == nil {
					if code.Tolerance == nil {
						code.Tolerance = r.Tolerance
					}
					code.TempCo = r.TempCo
					g.written(code, list, 0.9)
				}
			}
		}
		return
	}
	if err != nil {
		return
	}
	r.Value = &list[0]
	switch list[0].Unit {
	case quantity.Ohm:
		r.Kind = Resistor
	case quantity.Farad:
		r.Kind = Capacitor
	case quantity.Henry:
		r.Kind = Inductor
	case quantity.Volt:
		if len(list) > 1 || r.Tolerance != nil {
			return
		}
		r.Kind = Voltage
	default:
		return
	}
	g.written(r, list[1:], 1)
}

// written adds a value with its ratings, when they can be.
func (g *gatherer) written(r Reading, ratings []quantity.Quantity, weight float64) {
	if r.Value.Value < 0 || r.Value.Value == 0 && r.Kind != Resistor {
		g.cannot("as plain text: a %s of %s does not exist", r.Kind, r.Value)
		return
	}
	for _, q := range ratings {
		switch q.Unit {
		case quantity.Volt, quantity.Watt, quantity.Ampere:
			if q.Value <= 0 {
				g.cannot("as plain text: a part rated for %s does not exist", q)
				return
			}
		case quantity.Celsius:
		default:
			return
		}
	}
	r.Ratings = ratings
	g.add(r, weight)
}
