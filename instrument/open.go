package instrument

import (
	"context"
	"fmt"
	"io"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"go.bug.st/serial"
)

// open opens the way to a meter.
func open(ctx context.Context, a Address, timeout time.Duration) (io.ReadWriteCloser, error) {
	if a.Device != "" {
		return openSerial(a)
	}
	dialer := net.Dialer{Timeout: timeout, KeepAlive: 15 * time.Second}
	c, err := dialer.DialContext(ctx, "tcp", a.Host)
	if err != nil {
		return nil, fmt.Errorf("cannot connect to %s: %w; is the meter on, on the same network, and its remote interface switched on?", a.Host, err)
	}
	return c, nil
}

// SerialPorts lists the serial ports of this computer.
func SerialPorts() ([]string, error) { return serial.GetPortsList() }

func openSerial(a Address) (io.ReadWriteCloser, error) {
	parity := map[Parity]serial.Parity{NoParity: serial.NoParity, OddParity: serial.OddParity, EvenParity: serial.EvenParity, MarkParity: serial.MarkParity, SpaceParity: serial.SpaceParity}
	stop := serial.OneStopBit
	if a.Line.StopBits == 2 {
		stop = serial.TwoStopBits
	}
	p, err := serial.Open(a.Device, &serial.Mode{BaudRate: a.Line.Baud, DataBits: a.Line.DataBits, Parity: parity[a.Line.Parity], StopBits: stop})
	if err == nil {
		err = p.SetReadTimeout(glance)
		if err == nil {
			err = p.ResetInputBuffer() // of what came before anybody asked
		}
		if err != nil {
			p.Close()
		}
	}
	if err != nil {
		return nil, fmt.Errorf("cannot open the serial port %s (%s): %w; is the adapter plugged in, free, and may you use it?", a.Device, a.Line, err)
	}
	return &serialPort{port: p}, nil
}

// glance is how long a read of a serial port waits before it looks whether the
// port is being closed.
const glance = 50 * time.Millisecond

// serialPort makes a serial port behave like any other stream: a read waits for
// something to come or for the port to be closed, and a write is whole.
type serialPort struct {
	port    serial.Port
	closing atomic.Bool
	reading sync.Mutex // held during a read, so that nothing is closed under it
}

func (s *serialPort) Read(b []byte) (int, error) {
	s.reading.Lock()
	defer s.reading.Unlock()
	for !s.closing.Load() {
		if n, err := s.port.Read(b); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.EOF
}

func (s *serialPort) Write(b []byte) (int, error) {
	written := 0
	for written < len(b) {
		n, err := s.port.Write(b[written:])
		written += n
		if err != nil {
			return written, err
		}
	}
	return written, nil
}

func (s *serialPort) Close() error {
	s.closing.Store(true)
	s.reading.Lock()
	defer s.reading.Unlock()
	return s.port.Close()
}
