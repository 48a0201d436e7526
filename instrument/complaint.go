package instrument

import (
	"fmt"
	"strings"
)

// A Complaint is an entry of a meter's error queue.
type Complaint struct {
	Code int    // zero for no error
	Text string // as the meter words it
}

// Class is what kind of error it is.
type Class string

// The classes of errors of SCPI-1999, volume 2, section 21.8.
const (
	NoError        Class = "no error"
	CommandError   Class = "command error"   // -100 to -199: the command is not known or not well formed
	ExecutionError Class = "execution error" // -200 to -299: it cannot be carried out
	DeviceError    Class = "device error"    // -300 to -399: something is wrong within the meter
	QueryError     Class = "query error"     // -400 to -499: question and answer came out of step
	MakerError     Class = "error of its maker's own"
)

// Class tells the class by the code.
func (c Complaint) Class() Class {
	switch {
	case c.Code == 0:
		return NoError
	case c.Code <= -100 && c.Code > -200:
		return CommandError
	case c.Code <= -200 && c.Code > -300:
		return ExecutionError
	case c.Code <= -300 && c.Code > -400:
		return DeviceError
	case c.Code <= -400 && c.Code > -500:
		return QueryError
	}
	return MakerError
}

// queueOverflow is the code of the entry that takes the place of the newest one
// when the queue is full.
const queueOverflow = -350

// String gives code and text.
func (c Complaint) String() string {
	if c.Text == "" {
		return fmt.Sprintf("%d, %s", c.Code, c.Class())
	}
	return fmt.Sprintf("%d, %s", c.Code, c.Text)
}

// ParseComplaint reads the answer to SYST:ERR?: a code, and a text in double
// quotes in which a doubled quote stands for one. Older meters leave the quotes
// out, or the comma.
func ParseComplaint(answer string) (Complaint, error) {
	text := strings.TrimSpace(answer)
	head, rest, comma := strings.Cut(text, ",")
	if !comma {
		head, rest, _ = strings.Cut(text, " ")
	}
	n, err := ParseNumber(head)
	if err != nil || n.Form != NR1 || n.Value < -32768 || n.Value > 32767 {
		return Complaint{}, fmt.Errorf("%s is no entry of an error queue; a meter should answer SYST:ERR? with one such as -113,\"Undefined header\"", quoted(answer))
	}
	rest = strings.TrimSpace(rest)
	if strings.HasPrefix(rest, `"`) {
		inside, closed := strings.CutSuffix(rest[1:], `"`)
		if bare := strings.ReplaceAll(inside, `""`, ""); !closed || strings.Contains(bare, `"`) {
			return Complaint{}, fmt.Errorf("the text of the error %s does not end with its quote", quoted(answer))
		}
		rest = strings.ReplaceAll(inside, `""`, `"`)
	}
	return Complaint{int(n.Value), rest}, nil
}

// complaintOf makes an entry out of the event register, for a meter without a
// queue; false when it holds no error.
func complaintOf(r EventRegister) (Complaint, bool) {
	for _, e := range []struct {
		bit  EventRegister
		code int
	}{{CommandFailed, -100}, {ExecutionFailed, -200}, {DeviceFailed, -300}, {QueryFailed, -400}} {
		if r&e.bit != 0 {
			c := Complaint{Code: e.code}
			c.Text = string(c.Class()) + ", as the event register says"
			return c, true
		}
	}
	return Complaint{}, false
}

// EventRegister is the standard event status register, the answer to *ESR?.
type EventRegister uint8

// The bits of the register (IEEE 488.2, section 11.5).
const (
	OperationComplete EventRegister = 1 << iota
	RequestControl
	QueryFailed
	DeviceFailed
	ExecutionFailed
	CommandFailed
	UserRequest
	PowerOn // the meter was switched on since the register was last read
)

// ParseEventRegister reads the answer to *ESR?.
func ParseEventRegister(answer string) (EventRegister, error) {
	n, err := ParseNumber(answer)
	if err != nil {
		return 0, err
	}
	if (n.Form != NR1 && n.Form != NonDecimal) || !(n.Value >= 0 && n.Value <= 255) {
		return 0, fmt.Errorf("%s is no event register, which is a whole number from 0 to 255", quoted(answer))
	}
	return EventRegister(n.Value), nil
}
