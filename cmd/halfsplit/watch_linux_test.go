package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"halfsplit/instrument/simulator"
	"halfsplit/internal/pseudoterminal"
)

// TestWatchSerial watches a thermometer over a serial line.
func TestWatchSerial(t *testing.T) {
	end, device, err := pseudoterminal.Open()
	if err != nil {
		t.Fatal(err)
	}
	m := &simulator.Meter{Identity: "Tarn,Bench 60,0,1", Source: func(string) float64 { return 41.5 }}
	var serving sync.WaitGroup
	serving.Go(func() { m.Serve(end) })
	name := filepath.Join(t.TempDir(), "watch.csv")
	var out, complaints bytes.Buffer
	code := run(t.Context(), []string{"watch", "--every", "20ms", "--for", "500ms", "--trace", name, "heatsink=" + device + " measure=temperature baud=19200 limits=at most 40 °C"}, &out, &complaints)
	end.Close()
	serving.Wait()
	if code != 0 {
		t.Fatalf("exit %d: %s", code, complaints.String())
	}
	if !strings.Contains(out.String(), "heatsink  41.5000 °C  ") {
		t.Error(out.String())
	}
	rows, values := importTrace(t, name)
	if rows < 2 || values["heatsink"][0] != 41.5 {
		t.Error(rows, values)
	}
}

// TestWatchOnTerminal runs a watch on a terminal, which shows the readings in
// place.
func TestWatchOnTerminal(t *testing.T) {
	end, device, err := pseudoterminal.Open()
	if err != nil {
		t.Fatal(err)
	}
	terminal, err := os.OpenFile(device, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	var screen bytes.Buffer
	var reading sync.WaitGroup
	reading.Go(func() { io.Copy(&screen, end) })
	c := process(t, "watch", "--pretend", "--every", "20ms", "--for", "400ms", "--no-trace")
	c.Stdout, c.Stderr = terminal, terminal
	if err := c.Run(); err != nil {
		t.Error(err)
	}
	terminal.Close()
	reading.Wait()
	end.Close()
	for _, want := range []string{"\x1b[3A\r\x1b[K", "Ctrl-C ends", "nowhere kept", "Watched for"} {
		if !strings.Contains(screen.String(), want) {
			t.Errorf("%q is missing in %q", want, screen.String())
		}
	}
	if files, err := os.ReadDir(c.Dir); err != nil || len(files) > 0 {
		t.Error("a trace was left:", files, err)
	}
}
