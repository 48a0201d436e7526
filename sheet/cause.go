package sheet

import (
	"fmt"
	"strings"

	"halfsplit/signal"
)

// Cause is one thing a check may be about.
type Cause struct {
	Item   string // a part or block, or empty
	Mode   string // a mode of the item, or empty for any
	Signal string // a signal, or empty
	State  signal.State
	Bad    bool // the signal is in any state but good
}

// Cause reads a cause as a check's table writes it: "U12", "U12 output stuck
// low", "video absent", "+5 bad".
func (s *Sheet) Cause(text string) (Cause, *causeError) {
	return newCauses(s).read(text)
}

// causeError says why a cause could not be read.
type causeError struct {
	message string
	typed   string   // what is not known
	known   []string // what it could be
	begins  bool     // the known word may be only the beginning of what was typed
}

// suggest gives a hint, within the bounds of the checker.
func (e *causeError) suggest(c *checker) string {
	best := ""
	for i := len(e.typed); e.begins && i > 0; i = strings.LastIndexByte(e.typed[:i], ' ') {
		near := c.nearest(e.typed[:i], e.known)
		if near == "" {
			continue
		}
		_, wrong := c.causes.read(near + e.typed[i:])
		if best == "" || wrong == nil {
			best = near + e.typed[i:]
		}
		if wrong == nil && i < len(e.typed) {
			break
		}
	}
	if best != "" {
		return fmt.Sprintf("did you mean %q?", best)
	}
	return c.suggest(e.typed, e.known)
}

// longestCause is the number of bytes in a cause; no one writes more.
const longestCause = 200

// causes reads the causes of one sheet.
type causes struct {
	sheet   *Sheet
	kinds   map[string]string // the kind of each part, block and memory chip
	signals map[string]bool
	known   names // parts, blocks, chips and signals, when asked for
}

func newCauses(s *Sheet) *causes {
	c := &causes{sheet: s, kinds: map[string]string{}, signals: map[string]bool{}}
	s.eachItem(func(name, kind string) { c.kinds[name] = kind })
	s.eachSignal(func(name string) { c.signals[name] = true })
	return c
}

// read reads a cause. A name that is a part as well as a signal means the part
// when it stands alone, and otherwise the signal, if what follows is a state.
func (c *causes) read(text string) (Cause, *causeError) {
	if _, ok := c.kinds[text]; ok {
		return Cause{Item: text}, nil
	}
	if len(text) > longestCause {
		return Cause{}, &causeError{message: fmt.Sprintf("%.40q… is too long for a cause", text)}
	}
	var first *causeError
	for i := len(text); i > 0; i = strings.LastIndexByte(text[:i], ' ') {
		name, rest := text[:i], strings.TrimSpace(text[i:])
		var found Cause
		var err *causeError
		if c.signals[name] {
			if found, err = signalCause(name, rest); err == nil {
				return found, nil
			}
		}
		if kind, ok := c.kinds[name]; ok {
			var wrong *causeError
			if found, wrong = modeCause(name, kind, rest); wrong == nil {
				return found, nil
			}
			if err == nil {
				err = wrong
			}
		}
		if first == nil {
			first = err
		}
	}
	if first == nil {
		if c.known.set == nil {
			c.sheet.eachItem(func(name, _ string) { c.known.addText(name) })
			c.sheet.eachSignal(c.known.addText)
		}
		first = &causeError{fmt.Sprintf("%q names no part, block or signal", text), text, c.known.list, true}
	}
	return Cause{}, first
}

func signalCause(name, rest string) (Cause, *causeError) {
	said := signal.Canonical(rest)
	if rest == "" || said == "bad" {
		return Cause{Signal: name, Bad: true}, nil
	}
	states := []string{"bad"}
	for state := signal.State(0); state < signal.States; state++ {
		if said == signal.Canonical(state.String()) {
			return Cause{Signal: name, State: state}, nil
		}
		states = append(states, state.String())
	}
	return Cause{}, &causeError{fmt.Sprintf("%q is no state of signal %q", rest, name), rest, states, false}
}

func modeCause(name, kindName, mode string) (Cause, *causeError) {
	kind := kindOf(kindName)
	var modes []string
	for _, m := range kind.Modes {
		if m.Name == mode {
			return Cause{Item: name, Mode: mode}, nil
		}
		modes = append(modes, m.Name)
	}
	if len(modes) == 0 { // its kind is not known, which is reported there
		return Cause{Item: name}, nil
	}
	return Cause{}, &causeError{fmt.Sprintf("%q is no way for %s, %s, to fail", mode, name, article(kind.Name)), mode, modes, false}
}
