package table

import (
	"fmt"
	"strings"

	"halfsplit/quantity"
)

// heading is what stands above the readings: names, and units in a line of
// their own or with the names.
type heading struct {
	names, units    []string
	start, interval string // of counted readings, where the heading gives them
}

// readHeading looks at the lines above the first row, the last of which are the
// heading if they have as many fields as the rows.
func readHeading(lines []string, delimiter byte, fields int) heading {
	var rows [][]string
	for i := len(lines) - 1; i >= 0 && len(rows) < 2; i-- {
		text := strings.TrimSpace(lines[i])
		if text == "" {
			if len(rows) == 0 {
				continue
			}
			break
		}
		bare := strings.TrimSpace(strings.TrimLeft(text, "#%;!"))
		if bare == "" {
			continue
		}
		cells := split(bare, delimiter)
		if delimiter != 0 && len(trimmed(cells)) < fields && text[0] == '#' { // names above a table are often set apart by blanks
			cells = strings.Fields(bare)
		}
		if len(trimmed(cells)) < fields || !lettered(cells) {
			break
		}
		rows = append(rows, cells)
	}
	h := heading{}
	switch {
	case len(rows) == 0:
		return h
	case len(rows) == 2 && len(trimmed(rows[0])) == len(trimmed(rows[1])) && unitRow(rows[0], fields):
		h.names, h.units = rows[1], rows[0]
		for i, name := range rows[1] {
			if i < fields || i >= len(rows[0]) {
				continue
			}
			switch strings.ToLower(name) {
			case "start":
				h.start = rows[0][i]
			case "increment":
				h.interval = rows[0][i]
			}
		}
	default:
		h.names = rows[0]
	}
	if len(trimmed(h.names)) > fields && h.start == "" && h.interval == "" {
		return heading{} // a sentence rather than names
	}
	return h
}

// lettered tells whether the cells could be names: there is a letter in one.
func lettered(cells []string) bool {
	for _, c := range cells {
		if strings.IndexFunc(c, func(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || r > 127 }) >= 0 {
			return true
		}
	}
	return false
}

// unitRow tells whether each cell is a unit, a word that stands in place of one,
// or empty, and at least one a unit.
func unitRow(cells []string, fields int) bool {
	found := false
	for i, c := range cells {
		if i >= fields {
			break
		}
		switch strings.ToLower(c) {
		case "", "sequence", "-", "none", "iso", "date", "time":
			continue
		}
		if _, ok := unitOf(strings.Trim(c, "()[]{}")); !ok {
			return false
		}
		found = true
	}
	return found
}

// plainUnits are spellings that loggers use in names and that the trade does
// not write.
var plainUnits = map[string]string{
	"v": "V", "mv": "mV", "uv": "uV", "kv": "kV", "a": "A", "ma": "mA", "ua": "uA", "hz": "Hz", "khz": "kHz", "mhz": "MHz",
	"c": "°C", "degc": "°C", "deg c": "°C", "deg_c": "°C", "degrees c": "°C", "celsius": "°C", "k": "K",
	"sec": "s", "secs": "s", "seconds": "s", "second": "s", "msec": "ms", "usec": "us", "minute": "min", "minutes": "min", "mins": "min",
	"hour": "h", "hours": "h", "hrs": "h", "hr": "h", "days": "d", "day": "d",
	"volt": "V", "volts": "V", "vdc": "V", "vac": "V", "amp": "A", "amps": "A", "ampere": "A", "ohms": "ohm", "watt": "W", "watts": "W",
	"pct": "%", "percent": "%", "%rh": "%", "rh%": "%",
}

// unitOf reads a unit with its prefix, as the size of one in the unit that is
// kept: mV is {0.001, Volt}.
func unitOf(text string) (quantity.Quantity, bool) {
	text = strings.TrimSpace(text)
	if text == "C" { // no logger records electric charge
		text = "°C"
	}
	for _, try := range []string{text, plainUnits[strings.ToLower(text)]} {
		if try == "" {
			continue
		}
		if try == "°C" {
			return quantity.Quantity{Value: 1, Unit: quantity.Celsius}, true
		}
		if strings.ContainsAny(try, "0123456789 .,") {
			continue
		}
		if q, err := quantity.Parse("1 " + try); err == nil && q.Unit != quantity.None && q.Value > 0 {
			return q, true
		}
	}
	return quantity.Quantity{}, false
}

// nameAndUnit parts a heading such as "Voltage (mV)", "U [V]", "t/ms", "temp_c"
// or "Second" into name and unit.
func nameAndUnit(text string) (name string, unit quantity.Quantity, ok bool) {
	text = strings.TrimSpace(text)
	for _, pair := range []string{"()", "[]", "{}"} {
		open, end := strings.LastIndexByte(text, pair[0]), strings.LastIndexByte(text, pair[1])
		if open >= 0 && end > open {
			if q, ok := unitOf(text[open+1 : end]); ok {
				if name := strings.TrimSpace(text[:open] + text[end+1:]); name != "" {
					return name, q, true
				}
				return text, q, true
			}
		}
	}
	for _, sign := range []string{"/", "_", " in ", ",", " "} {
		if at := strings.LastIndex(text, sign); at > 0 {
			if q, ok := unitOf(text[at+len(sign):]); ok {
				return strings.TrimSpace(text[:at]), q, true
			}
		}
	}
	// A name that is a unit and nothing else; a single small letter is rather a
	// name, but for volts and seconds.
	if q, ok := unitOf(text); ok && (len(text) > 1 || strings.Contains("VAvs", text) || text == "Ω" || text == "W") {
		return text, q, true
	}
	return text, quantity.Quantity{Value: 1}, false
}

// channelName gives a name to a channel that has none, and makes it the only
// one of its name.
func channelName(name string, field int, taken map[string]bool) string {
	if name == "" {
		name = fmt.Sprintf("channel %d", field+1)
	}
	base := name
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s %d", base, n)
	}
	taken[name] = true
	return name
}
