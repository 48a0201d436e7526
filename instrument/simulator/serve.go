package simulator

import (
	"bufio"
	"context"
	"io"
	"net"
	"strings"
	"sync"
	"time"
)

// longestLine is the longest command that is taken, in bytes.
const longestLine = 4096

// Serve answers over a stream until it ends or a fault closes it. It closes the
// stream. A stream that ended is no error.
func (m *Meter) Serve(stream io.ReadWriteCloser) error {
	defer stream.Close()
	lines := bufio.NewScanner(stream)
	lines.Buffer(make([]byte, 0, 256), longestLine)
	for lines.Scan() {
		line := strings.TrimSpace(lines.Text())
		if line == "" {
			continue
		}
		answer, answers := m.Execute(line)
		if !answers {
			continue
		}
		if strings.EqualFold(line, "READ?") {
			time.Sleep(m.Delay)
		}
		if again, err := m.reply(stream, line, answer); err != nil || !again {
			return err
		}
	}
	return lines.Err()
}

// planned is the fault of the next answer.
func (m *Meter) planned(query string) Fault {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	before := m.asked
	m.asked++
	if m.Plan == nil {
		return None
	}
	return m.Plan(query, before)
}

// reply sends an answer, or what a fault makes of it; again is false when the
// connection is to be closed.
func (m *Meter) reply(to io.Writer, query, answer string) (again bool, err error) {
	half := answer[:(len(answer)+1)/2]
	send := func(text string) {
		if err == nil {
			_, err = io.WriteString(to, text)
		}
	}
	switch m.planned(query) {
	case Silence:
	case Garbage:
		send("\x00\xff\xfe?!{+,,\x80\n")
	case HalfLine:
		send(half)
	case LateHalf:
		send(half)
		time.Sleep(m.Pause)
		send(answer[len(half):] + "\n")
	case Late:
		time.Sleep(m.Pause)
		send(answer + "\n")
	case Twice:
		send(answer + "\n" + answer + "\n")
	case Disconnect:
		return false, nil
	case HalfDisconnect:
		send(half)
		return false, err
	case Flood:
		for range 10 {
			send(strings.Repeat("9", 1000))
		}
	case Overload:
		send("+9.90000000E+37\n")
	case NegativeOverload:
		send("-9.90000000E+37\n")
	case NotANumber:
		send("+9.91000000E+37\n")
	case FullQueue:
		m.mutex.Lock()
		for range QueueDepth + 3 {
			m.complain(-222, "Data out of range")
		}
		m.mutex.Unlock()
		send(answer + "\n")
	default:
		send(answer + "\n")
	}
	return true, err
}

// Listen serves on a TCP address, such as "127.0.0.1:0", until the context ends,
// and returns the address that it got. Every connection is then closed, and wait
// returns when all have ended.
func (m *Meter) Listen(ctx context.Context, address string) (got string, wait func(), err error) {
	var config net.ListenConfig
	listener, err := config.Listen(ctx, "tcp", address)
	if err != nil {
		return "", nil, err
	}
	var running sync.WaitGroup
	running.Go(func() {
		<-ctx.Done()
		listener.Close()
	})
	running.Go(func() {
		for {
			c, err := listener.Accept()
			if err != nil { // it was closed
				return
			}
			done := make(chan struct{})
			running.Go(func() {
				select {
				case <-ctx.Done():
					c.Close()
				case <-done:
				}
			})
			running.Go(func() {
				defer close(done)
				m.Serve(c)
			})
		}
	})
	return listener.Addr().String(), running.Wait, nil
}
