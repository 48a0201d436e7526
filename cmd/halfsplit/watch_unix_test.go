//go:build unix

package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestInterrupted presses Ctrl-C: the sums are printed, the trace is whole, and
// the program ends well.
func TestInterrupted(t *testing.T) {
	c := process(t, "watch", "--pretend", "--every", "10ms", "--trace", "watch.csv", "+5 limits=4.75..5.25 V")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var complaints bytes.Buffer
	c.Stderr = &complaints
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	var all []string
	for lines.Scan() {
		all = append(all, lines.Text())
		if len(all) == 5 {
			if err := c.Process.Signal(os.Interrupt); err != nil {
				t.Error(err)
				c.Process.Kill()
			}
		}
	}
	if err := c.Wait(); err != nil || complaints.Len() > 0 {
		t.Fatal(err, complaints.String())
	}
	rows, _ := importTrace(t, filepath.Join(c.Dir, "watch.csv"))
	if want := fmt.Sprintf(": %d rows, in watch.csv", rows); !strings.Contains(strings.Join(all, "\n"), want) {
		t.Errorf("%q is missing in\n%s", want, strings.Join(all, "\n"))
	}
}
