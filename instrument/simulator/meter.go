package simulator

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"time"
)

// QueueDepth is how many errors the queue holds.
//
// Source: 5071A operating and programming manual, p. 95; 86120B user manual,
// p. 5-79.
const QueueDepth = 30

// A Meter is a simulated meter. The fields are set before it is used; it may
// then serve several connections, one after another or at once, and keeps its
// settings and errors from one to the next, as a meter does.
type Meter struct {
	// Identity is the answer to *IDN?.
	Identity string
	// Source gives the value at the leads, in the unit of the function, such as
	// "VOLT:DC" or "TEMP". NaN and infinities are shown as meters show them.
	Source func(function string) float64
	// Plan decides what goes wrong; nil for nothing.
	Plan Plan
	// Delay is how long a reading takes, and Pause how late a late answer is.
	Delay, Pause time.Duration
	// NoQueue makes it a meter without an error queue; NoConfigure one that is
	// set by SENSe:FUNCtion only; and Fixed one whose unit of temperature
	// cannot be set.
	NoQueue, NoConfigure, Fixed bool
	// Only lists the functions it has; all when empty.
	Only []string

	mutex    sync.Mutex
	function string
	queue    []string
	events   uint8
	asked    int
}

// functions are those that can be set, with what they are sent as.
var functions = map[string]string{
	"VOLT:DC": "VOLTage[:DC]", "VOLT:AC": "VOLTage:AC", "CURR:DC": "CURRent[:DC]", "CURR:AC": "CURRent:AC",
	"RES": "RESistance", "FRES": "FRESistance", "TEMP": "TEMPerature", "FREQ": "FREQuency",
}

// functionOf finds the function whose name stands in a header, between what goes
// before and after it; "" for none.
func (m *Meter) functionOf(header, before, after string) string {
	for name, pattern := range functions {
		if !matches(before+pattern+after, header) {
			continue
		}
		if len(m.Only) == 0 {
			return name
		}
		for _, only := range m.Only {
			if only == name {
				return name
			}
		}
	}
	return ""
}

// The bits of the event register that errors set (IEEE 488.2, section 11.5).
const (
	queryBit     = 4
	deviceBit    = 8
	executionBit = 16
	commandBit   = 32
)

// complain puts an error into the queue. The newest entry of a full queue makes
// room for the note that there were more.
//
// Source: 5071A operating and programming manual, p. 95 (first in, first out;
// -350 replaces the newest entry).
func (m *Meter) complain(code int, text string) {
	switch {
	case code <= -400:
		m.events |= queryBit
	case code <= -300:
		m.events |= deviceBit
	case code <= -200:
		m.events |= executionBit
	default:
		m.events |= commandBit
	}
	entry := fmt.Sprintf(`%d,"%s"`, code, strings.ReplaceAll(text, `"`, `""`))
	if len(m.queue) < QueueDepth {
		m.queue = append(m.queue, entry)
		return
	}
	m.queue[QueueDepth-1] = `-350,"Queue overflow"`
}

// Execute takes one line, and returns the answer, if there is one. Several
// commands may stand in a line, with semicolons between them.
func (m *Meter) Execute(line string) (answer string, answers bool) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	var parts []string
	for _, command := range strings.Split(line, ";") {
		header, argument, _ := strings.Cut(strings.TrimSpace(command), " ")
		if header == "" {
			continue
		}
		if text, is := m.command(header, strings.TrimSpace(argument)); is {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, ";"), len(parts) > 0
}

// command carries out one command.
func (m *Meter) command(header, argument string) (answer string, answers bool) {
	switch upper := strings.ToUpper(header); {
	case upper == "*IDN?":
		return m.Identity, true
	case upper == "*CLS":
		m.queue, m.events = nil, 0
	case upper == "*RST":
		m.function = ""
	case upper == "*ESR?":
		e := m.events
		m.events = 0
		return strconv.Itoa(int(e)), true
	case upper == "*STB?":
		status := 0
		if len(m.queue) > 0 {
			status |= 4
		}
		return strconv.Itoa(status), true
	case upper == "*OPC?":
		return "1", true
	case upper == "*TST?", upper == "*ESE?", upper == "*SRE?":
		return "0", true
	case upper == "*OPC", upper == "*WAI", upper == "*ESE", upper == "*SRE":
	case !m.NoQueue && matches("SYSTem:ERRor[:NEXT]?", header):
		return m.oldest(), true
	case matches("READ?", header):
		return m.reading(), true
	case matches("UNIT:TEMPerature", header) && !m.Fixed:
		if a := strings.ToUpper(argument); a != "C" && a != "CEL" {
			m.complain(-224, "Illegal parameter value")
		}
	case matches("[SENSe:]FUNCtion[:ON]", header):
		m.set(m.functionOf(strings.Trim(argument, `"'`), "", ""))
	case m.NoConfigure:
		m.complain(-113, "Undefined header")
	case m.functionOf(header, "MEASure:", "?") != "":
		m.function = m.functionOf(header, "MEASure:", "?")
		return m.reading(), true
	default:
		m.set(m.functionOf(header, "CONFigure:", ""))
	}
	return "", false
}

// set sets a function, and complains where there is none.
func (m *Meter) set(f string) {
	if f == "" {
		m.complain(-113, "Undefined header")
		return
	}
	m.function = f
}

// oldest takes the oldest error out of the queue.
func (m *Meter) oldest() string {
	if len(m.queue) == 0 {
		return `+0,"No error"`
	}
	first := m.queue[0]
	m.queue = m.queue[1:]
	return first
}

// reading is a reading in the form that meters give it.
func (m *Meter) reading() string {
	f := m.function
	if f == "" {
		f = "VOLT:DC" // as meters wake up
	}
	return number(m.Source(f))
}

// number writes a reading (SCPI-1999, volume 1, section 7.2.1: 9.9E37 for what
// is too large, 9.91E37 for none).
func number(v float64) string {
	switch {
	case math.IsInf(v, 1):
		v = 9.9e37
	case math.IsInf(v, -1):
		v = -9.9e37
	case math.IsNaN(v):
		v = 9.91e37
	}
	s := strconv.FormatFloat(v, 'E', 8, 64)
	if v >= 0 {
		s = "+" + s
	}
	return s
}
