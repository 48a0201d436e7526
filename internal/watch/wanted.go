package watch

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"halfsplit/form"
	"halfsplit/instrument"
	"halfsplit/metrology"
	"halfsplit/quantity"
)

// Wanted is a meter as asked for: a name, where it is, and how it is set.
type Wanted struct {
	Name  string
	Setup instrument.Setup
	// Pretend says that it is a simulated meter, whose address is not known yet.
	Pretend bool
	// Limits are limits given by hand, as written; empty for those of a sheet.
	Limits string
	// With is the meter whose accuracy is taken.
	With metrology.Instrument
}

// usualMeter is whose accuracy is taken when nothing else is said: a meter that
// most with a remote interface are at least as good as.
const usualMeter = "handheld 80 000-count multimeter"

// pretend is the address of a simulated meter.
const pretend = "pretend"

// key finds "word=" that follows a blank.
var key = regexp.MustCompile(`\s+([A-Za-z]+)=`)

// setting is a key that may follow the address.
type setting struct {
	name string
	set  func(w *Wanted, value string) error
}

var settings = []setting{
	{"measure", func(w *Wanted, value string) (err error) {
		w.Setup.Function, err = instrument.ParseFunction(value)
		return err
	}},
	{"limits", func(w *Wanted, value string) error {
		w.Limits = value // read when the unit is known
		return nil
	}},
	{"with", func(w *Wanted, value string) (err error) {
		w.With, err = metrology.InstrumentByName(value)
		return err
	}},
	{"probe", func(w *Wanted, value string) error { w.Setup.Probe = value; return nil }},
	{"first", func(w *Wanted, value string) error { w.Setup.First = append(w.Setup.First, value); return nil }},
	{"timeout", func(w *Wanted, value string) error {
		seconds, err := Duration(value, 10*time.Millisecond, 10*time.Minute)
		w.Setup.Timeout = seconds
		return err
	}},
	{"baud", func(w *Wanted, value string) (err error) {
		w.Setup.Address.Line, err = w.Setup.Address.Line.ParseBaud(value)
		return err
	}},
	{"frame", func(w *Wanted, value string) (err error) {
		w.Setup.Address.Line, err = w.Setup.Address.Line.ParseFrame(value)
		return err
	}},
}

// Duration reads a time such as "2s" or "45min" that must lie between two others.
func Duration(text string, least, most time.Duration) (time.Duration, error) {
	q, err := quantity.Parse(text)
	switch {
	case err != nil:
		return 0, err
	case q.Unit != quantity.Second:
		return 0, fmt.Errorf("%q is no time with its unit; write 2s, 45min or 1.5h", text)
	case !(q.Value >= least.Seconds() && q.Value <= most.Seconds()):
		return 0, fmt.Errorf("%q is out of range; write a time from %s to %s", text, quantity.FormatDuration(least.Seconds()), quantity.FormatDuration(most.Seconds()))
	}
	return time.Duration(q.Value * float64(time.Second)), nil
}

// ParseWanted reads "NAME=ADDRESS key=value ...", as in
//
//	+5=192.168.1.20
//	heatsink=/dev/ttyUSB0 measure=temperature probe=TC,K baud=19200 limits=at most 70 °C
//
// A value reaches to the next key, so it may hold blanks. The address may be
// "pretend", and where that is allowed for all it may be left out with its "=".
// An error says what is wrong with which meter.
func ParseWanted(text string, simulated bool) (Wanted, error) {
	name, rest, found := strings.Cut(text, "=")
	if simulated {
		if at := key.FindStringIndex(text); !found || at != nil && at[0] < len(name) {
			end := len(text)
			if at != nil {
				end = at[0]
			}
			name, rest, found = text[:end], pretend+text[end:], true
		}
	}
	w := Wanted{Name: strings.TrimSpace(name)}
	fail := func(err error) (Wanted, error) { return w, fmt.Errorf("meter %q: %w", w.Name, err) }
	if !found || w.Name == "" {
		return w, fmt.Errorf("%q is no meter; write a name and an address, as in +5=192.168.1.20 or heatsink=/dev/ttyUSB0", text)
	}
	if strings.ContainsAny(w.Name, ",;\"#") || strings.ContainsFunc(w.Name, func(r rune) bool { return r < ' ' || r == 0x7f }) || strings.ContainsRune(w.Name, '\ufffd') {
		return fail(fmt.Errorf("the name may hold neither comma nor semicolon, quote or #; it becomes the heading of a column"))
	}
	address, keys := rest, key.FindAllStringSubmatchIndex(rest, -1)
	if len(keys) > 0 {
		address = rest[:keys[0][0]]
	}
	var err error
	if w.Pretend = strings.TrimSpace(address) == pretend; !w.Pretend {
		if w.Setup.Address, err = instrument.ParseAddress(address); err != nil {
			return fail(err)
		}
	}
	given := map[string]bool{}
	for i, at := range keys {
		word, end := strings.ToLower(rest[at[2]:at[3]]), len(rest)
		if i+1 < len(keys) {
			end = keys[i+1][0]
		}
		if given[word] && word != "first" {
			return fail(fmt.Errorf("%s= is given twice", word))
		}
		given[word] = true
		if err := w.set(word, strings.TrimSpace(rest[at[1]:end])); err != nil {
			return fail(err)
		}
	}
	if w.Setup.Address.Device == "" && (given["baud"] || given["frame"]) {
		return fail(fmt.Errorf("baud= and frame= are of serial lines, and it is not on one"))
	}
	if w.Setup.Function.Header == "" {
		w.Setup.Function, _ = instrument.ParseFunction("DC volts")
	}
	if w.With.Name == "" {
		if w.With, err = metrology.InstrumentByName(usualMeter); err != nil {
			return fail(err)
		}
	}
	return w, nil
}

// set takes in one setting.
func (w *Wanted) set(word, value string) error {
	var names []string
	for _, s := range settings {
		names = append(names, s.name)
		if s.name != word {
			continue
		}
		if value == "" {
			return fmt.Errorf("%s= is empty; leave it out, or write a value behind it", word)
		}
		if err := s.set(w, value); err != nil {
			return fmt.Errorf("%s: %w", word, err)
		}
		return nil
	}
	return fmt.Errorf("there is no %s=; %s", word, form.Suggest(word, names))
}

// Distinct returns an error when two meters have the same name or address.
func Distinct(list []Wanted) error {
	names, places := map[string]bool{}, map[string]string{}
	for _, w := range list {
		if names[w.Name] {
			return fmt.Errorf("two meters are called %q; give each its own name", w.Name)
		}
		names[w.Name] = true
		if w.Pretend {
			continue
		}
		at := w.Setup.Address.String()
		if other, taken := places[at]; taken {
			return fmt.Errorf("%q and %q are the same meter, %s; a meter measures one thing at a time", other, w.Name, at)
		}
		places[at] = w.Name
	}
	return nil
}
