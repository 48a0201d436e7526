package instrument

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"sync"
	"time"
)

// Trouble is what kept a meter from giving an answer.
type Trouble string

// The kinds of trouble.
const (
	Silence    Trouble = "no answer"
	HalfAnswer Trouble = "half an answer"
	Garbage    Trouble = "an answer that cannot be read"
	Closed     Trouble = "the connection is gone"
)

// A Failure is the error of a question that was not answered as it should be.
// After one, question and answer may be out of step, so the connection must be
// made anew; Kept does that.
type Failure struct {
	Trouble Trouble
	Query   string // what the meter was told or asked
	Detail  string // what came instead, or why
}

// Error says what was asked, what went wrong, and what came.
func (f *Failure) Error() string {
	s := fmt.Sprintf("%s to %s", f.Trouble, f.Query)
	if f.Trouble == Closed {
		s = fmt.Sprintf("%s, at %s", f.Trouble, f.Query)
	}
	if f.Detail != "" {
		s += ": " + f.Detail
	}
	return s
}

// longestAnswer is the longest line taken from a meter, in bytes. A reading has
// some twenty.
const longestAnswer = 4096

// line asks over a stream, line by line. One goroutine asks at a time.
type line struct {
	stream  io.ReadWriteCloser
	answers chan string

	mutex   sync.Mutex
	partial []byte // what came of a line that has not ended
	reason  error  // why the stream ended
}

// newLine begins to listen.
func newLine(stream io.ReadWriteCloser) *line {
	l := &line{stream: stream, answers: make(chan string, 16)}
	go l.listen()
	return l
}

// listen cuts what comes into lines, until the stream ends. A line ends with a
// line feed; carriage returns and empty lines do not count.
func (l *line) listen() {
	defer close(l.answers)
	buffer := make([]byte, 1024)
	for {
		n, err := l.stream.Read(buffer)
		for _, answer := range l.take(buffer[:n]) {
			select {
			case l.answers <- answer:
			default: // nobody asked for so many: the oldest are of no use
				select {
				case <-l.answers:
				default:
				}
				l.answers <- answer
			}
		}
		if err != nil {
			l.end(err)
			return
		}
		if l.flooded() {
			l.end(fmt.Errorf("more than %d bytes came without an end of line", longestAnswer))
			return
		}
	}
}

// take adds bytes, and returns the lines that are complete with them.
func (l *line) take(b []byte) (lines []string) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	for {
		before, after, ended := bytes.Cut(b, []byte{'\n'})
		if room := longestAnswer + 1 - len(l.partial); len(before) > room {
			before, ended = before[:max(room, 0)], false
		}
		l.partial = append(l.partial, before...)
		if !ended {
			return lines
		}
		if answer := bytes.Trim(l.partial, "\r"); len(answer) > 0 {
			lines = append(lines, string(answer))
		}
		l.partial, b = l.partial[:0], after
	}
}

func (l *line) flooded() bool {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return len(l.partial) > longestAnswer
}

func (l *line) end(reason error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.reason = reason
}

// left returns what came of an unfinished line, and why the stream ended.
func (l *line) left() (partial string, reason error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return string(l.partial), l.reason
}

// tell sends a command. A meter that does not take it within the time fails.
func (l *line) tell(ctx context.Context, command string, timeout time.Duration) error {
	sent := make(chan error, 1)
	go func() {
		_, err := io.WriteString(l.stream, command+"\n")
		sent <- err
	}()
	timer := time.NewTimer(timeout)
	defer timer.Stop()
	select {
	case err := <-sent:
		if err != nil {
			return &Failure{Closed, command, err.Error()}
		}
		return nil
	case <-timer.C:
		return &Failure{Silence, command, fmt.Sprintf("it was not taken within %v", timeout)}
	case <-ctx.Done():
		return ctx.Err()
	}
}

// ask sends a question and waits for the answer.
func (l *line) ask(ctx context.Context, query string, timeout time.Duration) (string, error) {
	for stale := true; stale; { // what came unasked, or too late
		select {
		case _, open := <-l.answers:
			stale = open
		default:
			stale = false
		}
	}
	if err := l.tell(ctx, query, timeout); err != nil {
		return "", err
	}
	timer := time.NewTimer(timeout)
	defer timer.Stop()
	select {
	case answer, open := <-l.answers:
		if !open {
			partial, reason := l.left()
			if len(partial) > longestAnswer {
				return "", &Failure{Garbage, query, fmt.Sprintf("%s: %v", quoted(partial), reason)}
			}
			if partial != "" {
				return "", &Failure{HalfAnswer, query, fmt.Sprintf("%s, then the connection ended: %v", quoted(partial), reason)}
			}
			return "", &Failure{Closed, query, reason.Error()}
		}
		if answer == query {
			return "", &Failure{Garbage, query, "the meter echoes what it is sent; switch its echo off"}
		}
		return answer, nil
	case <-timer.C:
		if partial, _ := l.left(); partial != "" {
			return "", &Failure{HalfAnswer, query, fmt.Sprintf("%s, and no end of line within %v", quoted(partial), timeout)}
		}
		return "", &Failure{Silence, query, fmt.Sprintf("none within %v", timeout)}
	case <-ctx.Done():
		return "", ctx.Err()
	}
}
