package instrument

import (
	"fmt"
	"net"
	"regexp"
	"strconv"
	"strings"
)

// Port is the TCP port on which most meters listen for lines of text, the
// registered port of the service scpi-raw.
//
// Source: IANA service name and port number registry, scpi-raw.
const Port = 5025

// Address is where a meter is found: on a network, or on a serial line. Either
// Host or Device is set.
type Address struct {
	// Host is the network name or number with the port, as "bench:5025".
	Host string
	// Device is the name of the serial port, as "/dev/ttyUSB0" or "COM3".
	Device string
	// Line is how the serial line is set.
	Line LineSettings
}

// String gives the address as ParseAddress reads it, without the settings of
// the line.
func (a Address) String() string {
	if a.Device != "" {
		return a.Device
	}
	return a.Host
}

var windowsPort = regexp.MustCompile(`(?i)^com[0-9]{1,3}$`)

// ParseAddress reads an address: the name of a serial port, or a network name or
// number with or without its port. A device of another name is written with
// "serial:" before it, and a network name that looks like a device with "tcp:".
// The line of a serial port is set to DefaultLine.
func ParseAddress(text string) (Address, error) {
	bare := strings.TrimSpace(text)
	device, serial := strings.CutPrefix(bare, "serial:")
	host, network := strings.CutPrefix(bare, "tcp:")
	switch {
	case serial && device == "":
		return Address{}, fmt.Errorf("%q names no serial port; write one such as serial:/dev/ttyUSB0", text)
	case serial, !network && (strings.HasPrefix(bare, "/dev/") || windowsPort.MatchString(bare)):
		return Address{Device: device, Line: DefaultLine}, nil
	case host == "" || strings.ContainsAny(host, "/\\,;\"'") || strings.ContainsFunc(host, func(r rune) bool { return r <= ' ' || r == 0x7f }):
		return Address{}, fmt.Errorf("%q is no address of a meter; write a network name or number such as 192.168.1.20 or bench-meter:5025, or a serial port such as /dev/ttyUSB0 or COM3", text)
	}
	name, port, err := net.SplitHostPort(host)
	if err != nil { // no port
		name, port = host, strconv.Itoa(Port)
		if inside, ok := strings.CutPrefix(host, "["); ok {
			name, ok = strings.CutSuffix(inside, "]")
			if !ok || net.ParseIP(name) == nil {
				return Address{}, fmt.Errorf("%q is no address of a meter; write one with colons in brackets, as in [fe80::1]", text)
			}
		}
		if strings.Contains(name, ":") && net.ParseIP(name) == nil {
			return Address{}, fmt.Errorf("%q is no address of a meter: %w", text, err)
		}
	}
	if n, err := strconv.Atoi(port); err != nil || n < 1 || n > 65535 || name == "" || strings.ContainsAny(name, "[]") {
		return Address{}, fmt.Errorf("%q is no address of a meter; after the name goes a port from 1 to 65535, as in bench-meter:5025", text)
	}
	return Address{Host: net.JoinHostPort(name, port)}, nil
}

// Parity is the check bit that follows the bits of a character.
type Parity byte

// The parities, by the letter that stands for each.
const (
	NoParity    Parity = 'N'
	OddParity   Parity = 'O'
	EvenParity  Parity = 'E'
	MarkParity  Parity = 'M'
	SpaceParity Parity = 'S'
)

// LineSettings is how a serial line is set. The meter must be set alike.
type LineSettings struct {
	Baud     int // bits per second
	DataBits int // 7 or 8
	Parity   Parity
	StopBits int // 1 or 2
}

// DefaultLine is what most meters are set to: 9600 bits per second, 8 data
// bits, no parity, 1 stop bit (common practice, no source).
var DefaultLine = LineSettings{9600, 8, NoParity, 1}

// String gives the settings in the way they are printed on equipment.
func (l LineSettings) String() string {
	return fmt.Sprintf("%d %d%c%d", l.Baud, l.DataBits, l.Parity, l.StopBits)
}

// ParseFrame sets data bits, parity and stop bits from a text such as "8N1" or
// "7E2".
func (l LineSettings) ParseFrame(text string) (LineSettings, error) {
	t := strings.ToUpper(strings.TrimSpace(text))
	if len(t) != 3 || t[0] != '7' && t[0] != '8' || !strings.Contains("NOEMS", t[1:2]) || t[2] != '1' && t[2] != '2' {
		return l, fmt.Errorf("%q says no form of a character; write data bits, parity and stop bits, as in 8N1 or 7E2", text)
	}
	l.DataBits, l.Parity, l.StopBits = int(t[0]-'0'), Parity(t[1]), int(t[2]-'0')
	return l, nil
}

// ParseBaud sets the speed of the line in bits per second, from 50 to 4 000 000.
func (l LineSettings) ParseBaud(text string) (LineSettings, error) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 50 || n > 4_000_000 {
		return l, fmt.Errorf("%q is no speed of a serial line; write bits per second, as in 9600 or 19200", text)
	}
	l.Baud = n
	return l, nil
}
