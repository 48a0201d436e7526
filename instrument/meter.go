package instrument

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Setup says which meter is meant and what it is to measure.
type Setup struct {
	Address  Address
	Function Function
	// Probe is what the command for the function takes, as the meter's manual
	// writes it: the kind of probe of a thermometer, or a range. It may be empty.
	Probe string
	// First holds commands that the meter must be sent before anything else, as
	// its manual says; many need one on a serial line. It may be empty.
	First []string
	// Timeout is how long an answer may take; zero means DefaultTimeout.
	Timeout time.Duration
}

// DefaultTimeout leaves room for a slow reading of AC volts.
const DefaultTimeout = 5 * time.Second

// Check returns an error that says what of a setup cannot be.
func (s *Setup) Check() error {
	switch {
	case (s.Address.Host == "") == (s.Address.Device == ""):
		return errors.New("instrument: the address names neither a host nor a serial port, or both; name one")
	case s.Function.Header == "":
		return errors.New("instrument: nothing to measure is named; take one of Functions")
	case s.Timeout < 0:
		return fmt.Errorf("instrument: a timeout of %v; write a time above zero", s.Timeout)
	}
	for _, command := range append([]string{s.Probe}, s.First...) {
		if strings.IndexFunc(command, func(r rune) bool { return r < ' ' || r > '~' }) >= 0 {
			return fmt.Errorf("instrument: %q cannot be sent to a meter; write one line of plain letters, digits and signs", command)
		}
	}
	return nil
}

func (s *Setup) timeout() time.Duration {
	if s.Timeout == 0 {
		return DefaultTimeout
	}
	return s.Timeout
}

// A Meter is a meter that was connected, asked who it is and set to a function.
// It is used by one goroutine at a time.
type Meter struct {
	// Identity is what it said of itself.
	Identity Identity
	// Stored holds the errors that it had stored before it was set.
	Stored []Complaint
	// Notes says what could not be set, and does not prevent a reading.
	Notes []string

	setup   Setup
	line    *line
	noQueue bool // it has no error queue
}

// Connect opens the way to a meter, asks who it is, sets it to its function, and
// makes sure that it does not complain. An error says at which step it failed.
func Connect(ctx context.Context, s Setup) (*Meter, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	stream, err := open(ctx, s.Address, s.timeout())
	if err != nil {
		return nil, err
	}
	return Over(ctx, stream, s)
}

// Over does what Connect does over a stream that is open already. It closes the
// stream when it fails.
func Over(ctx context.Context, stream io.ReadWriteCloser, s Setup) (*Meter, error) {
	m := &Meter{setup: s, line: newLine(stream)}
	if err := m.begin(ctx); err != nil {
		m.Close()
		return nil, err
	}
	return m, nil
}

// Close closes the connection. It does not change how the meter is set.
func (m *Meter) Close() error { return m.line.stream.Close() }

func (m *Meter) ask(ctx context.Context, query string) (string, error) {
	return m.line.ask(ctx, query, m.setup.timeout())
}

func (m *Meter) tell(ctx context.Context, command string) error {
	return m.line.tell(ctx, command, m.setup.timeout())
}

// begin identifies and sets the meter.
func (m *Meter) begin(ctx context.Context) (err error) {
	for _, command := range m.setup.First {
		if strings.HasSuffix(command, "?") {
			_, err = m.ask(ctx, command)
		} else {
			err = m.tell(ctx, command)
		}
		if err != nil {
			return err
		}
	}
	answer, err := m.ask(ctx, "*IDN?")
	if err != nil {
		return m.explain(err)
	}
	if m.Identity, err = ParseIdentity(answer); err != nil {
		return m.explain(&Failure{Garbage, "*IDN?", err.Error()})
	}
	if m.Stored, err = m.Complaints(ctx); err != nil {
		return err
	}
	return m.configure(ctx)
}

// explain adds what to look at when a meter does not say who it is.
func (m *Meter) explain(err error) error {
	var f *Failure
	if !errors.As(err, &f) || f.Trouble == Closed {
		return err
	}
	look := "is it a meter that takes commands in text, and is this the right port?"
	if m.setup.Address.Device != "" {
		look = fmt.Sprintf("is the meter's RS-232 interface on, set to %s, and does its manual ask for a command first?", m.setup.Address.Line)
	}
	return fmt.Errorf("%w; %s", err, look)
}

// configure sets the function: by CONFigure, or where that is not known by
// SENSe:FUNCtion, which older meters have.
func (m *Meter) configure(ctx context.Context) error {
	f := m.setup.Function
	command := "CONF:" + f.Header
	if m.setup.Probe != "" {
		command += " " + m.setup.Probe
	}
	complaints, err := m.try(ctx, command)
	if err != nil {
		return err
	}
	if len(complaints) > 0 && complaints[0].Class() == CommandError && m.setup.Probe == "" {
		other := fmt.Sprintf("SENS:FUNC %q", f.Header)
		second, err := m.try(ctx, other)
		if err != nil {
			return err
		}
		if len(second) == 0 {
			complaints = nil
		}
	}
	if len(complaints) > 0 {
		return fmt.Errorf("%s does not take %s: %s; can it measure %s, and what does its manual ask for?", m.Identity, command, list(complaints), f.Name)
	}
	if f.Header != "TEMP" {
		return nil
	}
	complaints, err = m.try(ctx, "UNIT:TEMP C")
	if err == nil && len(complaints) > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("it does not let its unit of temperature be set (%s); make sure that it shows degrees Celsius", list(complaints)))
	}
	return err
}

// try sends a command and returns what the meter says against it.
func (m *Meter) try(ctx context.Context, command string) ([]Complaint, error) {
	if err := m.tell(ctx, command); err != nil {
		return nil, err
	}
	return m.Complaints(ctx)
}

// longestQueue is how many entries of a queue are read before something must be
// wrong. Queues have some thirty (5071A operating and programming manual, p. 95;
// 86120B user manual, p. 5-79).
const longestQueue = 256

// Complaints empties the meter's error queue, the oldest entry first. A meter
// that does not know the queue is asked for its event register instead.
func (m *Meter) Complaints(ctx context.Context) ([]Complaint, error) {
	if m.noQueue {
		return m.event(ctx)
	}
	var found []Complaint
	for range longestQueue {
		answer, err := m.ask(ctx, "SYST:ERR?")
		var f *Failure
		if errors.As(err, &f) && f.Trouble == Silence && len(found) == 0 {
			events, second := m.event(ctx)
			if second != nil {
				return nil, err
			}
			m.noQueue = true
			if len(events) > 0 && events[0].Class() == CommandError {
				events = events[1:] // that was the question itself
			}
			return events, nil
		}
		if err != nil {
			return found, err
		}
		c, err := ParseComplaint(answer)
		if err != nil {
			return found, &Failure{Garbage, "SYST:ERR?", err.Error()}
		}
		if c.Code == 0 {
			return found, nil
		}
		found = append(found, c)
	}
	return found, &Failure{Garbage, "SYST:ERR?", fmt.Sprintf("the error queue does not end after %d entries, the last of them %s", longestQueue, found[len(found)-1])}
}

// event reads the event register.
func (m *Meter) event(ctx context.Context) ([]Complaint, error) {
	answer, err := m.ask(ctx, "*ESR?")
	if err != nil {
		return nil, err
	}
	r, err := ParseEventRegister(answer)
	if err != nil {
		return nil, &Failure{Garbage, "*ESR?", err.Error()}
	}
	if c, bad := complaintOf(r); bad {
		return []Complaint{c}, nil
	}
	return nil, nil
}

// list writes complaints in a row.
func list(complaints []Complaint) string {
	var texts []string
	for i, c := range complaints {
		if i == 3 {
			texts = append(texts, fmt.Sprintf("and %d more", len(complaints)-i))
			break
		}
		texts = append(texts, c.String())
	}
	if last := complaints[len(complaints)-1]; last.Code == queueOverflow {
		texts = append(texts, "and others that its queue had no room for")
	}
	return strings.Join(texts, "; ")
}

// largest is the largest reading that is taken for one, in SI units; no meter
// measures more.
const largest = 1e30

// Read takes a reading: a value in the unit of the function, ±Inf for an
// overload and NaN where the meter says that it has none. A *Failure is the
// error of a meter that did not answer as it should.
func (m *Meter) Read(ctx context.Context) (float64, error) {
	answer, err := m.ask(ctx, "READ?")
	if err != nil {
		return math.NaN(), err
	}
	if n := strings.Count(answer, ","); n > 0 {
		return math.NaN(), &Failure{Garbage, "READ?", fmt.Sprintf("%s holds %d fields; set the meter to give one reading at a time, and nothing with it", quoted(answer), n+1)}
	}
	n, err := ParseNumber(answer)
	if err != nil {
		return math.NaN(), &Failure{Garbage, "READ?", err.Error()}
	}
	if n.Meaning == Value && math.Abs(n.Value) > largest {
		return math.NaN(), &Failure{Garbage, "READ?", fmt.Sprintf("%s is larger than any reading", quoted(answer))}
	}
	return n.Value, nil
}

// History says in words what the meter had stored when it was connected, and
// what could not be set; empty when there is nothing to say.
func (m *Meter) History() []string {
	notes := append([]string(nil), m.Notes...)
	if len(m.Stored) > 0 {
		notes = append(notes, "it had errors stored: "+list(m.Stored))
	}
	return notes
}
