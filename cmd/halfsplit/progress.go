package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"halfsplit/quantity"
)

// progress shows how far a long run has come, on a terminal only.
type progress struct {
	to    io.Writer
	until float64 // seconds in the circuit, or bytes of a file; 0 when the end is not known
	last  time.Time
	shown bool
}

// newProgress makes a display that stays silent unless it writes to a terminal.
func newProgress(to io.Writer, until float64) *progress {
	f, ok := to.(*os.File)
	if !ok {
		return &progress{}
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return &progress{}
	}
	return &progress{to: to, until: until, last: time.Now()}
}

// show shows the time reached, five times a second at most.
func (p *progress) show(t float64) {
	if !p.due() {
		return
	}
	text := "at " + quantity.FormatDigits(t, quantity.Second, 3)
	if p.until > 0 {
		text += fmt.Sprintf(" of %s, %.0f %%", quantity.FormatDigits(p.until, quantity.Second, 3), 100*t/p.until)
	}
	p.print(text + " (Ctrl-C stops and shows what was found)")
}

// newFileProgress makes a display for reading a file.
func newFileProgress(to io.Writer, name string) *progress {
	size := 0.0
	if info, err := os.Stat(name); err == nil {
		size = float64(info.Size())
	}
	return newProgress(to, size)
}

// bytes shows how much of a file has been read.
func (p *progress) bytes(n int64) {
	if !p.due() {
		return
	}
	text := fmt.Sprintf("read %.0f MB", float64(n)/1e6)
	if p.until > 0 {
		text += fmt.Sprintf(" of %.0f, %.0f %%", p.until/1e6, 100*float64(n)/p.until)
	}
	p.print(text + " (Ctrl-C stops and leaves nothing behind)")
}

// due tells whether it is time to show something.
func (p *progress) due() bool { return p.to != nil && time.Since(p.last) >= 200*time.Millisecond }

// print shows a state in place of the one before.
func (p *progress) print(text string) {
	p.last, p.shown = time.Now(), true
	fmt.Fprintf(p.to, "\r\x1b[K%s", text)
}

// share shows which share is done.
func (p *progress) share(done float64) {
	if p.to == nil || time.Since(p.last) < 200*time.Millisecond {
		return
	}
	p.last, p.shown = time.Now(), true
	fmt.Fprintf(p.to, "\r\x1b[K%.0f %% done (Ctrl-C stops)", 100*done)
}

// clear takes the display away.
func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.to, "\r\x1b[K")
	}
}
