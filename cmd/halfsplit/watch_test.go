package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfsplit/instrument/simulator"
	"halfsplit/trace/table"
)

// process runs the program as a process of its own, as a user does.
func process(t *testing.T, arguments ...string) *exec.Cmd {
	t.Helper()
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(path)
	c.Args = append([]string{"halfsplit"}, arguments...) // TestMain goes by the name
	c.Dir = t.TempDir()
	return c
}

// importTrace reads a trace with the import of recordings, and returns for each
// channel the values as they stand in it.
func importTrace(t *testing.T, name string) (rows int, values map[string][]float64) {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasSuffix(text, []byte("\n")) {
		t.Errorf("the last line is cut off: %q", text[bytes.LastIndexByte(text, '\n')+1:])
	}
	r, err := table.Open(bytes.NewReader(text), table.Options{})
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	all, summary, err := r.All(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if n := len(summary.Counts); n > 0 {
		t.Errorf("faults in %s: %v", name, summary.Counts)
	}
	values = map[string][]float64{}
	for i, c := range all.Channels {
		values[c.Name] = all.Values[i]
	}
	return summary.Rows, values
}

// TestKilled kills watches at random moments. Every reading that was shown is
// then in the trace, which is whole and can be imported.
func TestKilled(t *testing.T) {
	random := rand.New(rand.NewPCG(1983, 6))
	for range 8 {
		wait := time.Duration(random.IntN(400)) * time.Millisecond
		t.Run(wait.String(), func(t *testing.T) {
			c := process(t, "watch", "--pretend", "--json", "--every", "10ms", "--trace", "watch.csv")
			out, err := c.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			lines := bufio.NewScanner(out)
			var shown []string
			killed := false
			for lines.Scan() {
				shown = append(shown, lines.Text())
				if !killed && len(shown) > 3 {
					killed = true
					time.AfterFunc(wait, func() { c.Process.Kill() })
				}
			}
			if err := c.Wait(); err == nil || !killed {
				t.Fatal("it ended by itself", err)
			}
			_, values := importTrace(t, filepath.Join(c.Dir, "watch.csv"))
			next := map[string]int{}
			readings := 0
			for i, line := range shown {
				var reading struct {
					Meter, State string
					Value        float64
				}
				if err := json.Unmarshal([]byte(line), &reading); err != nil {
					if i == len(shown)-1 {
						break // the pipe was cut, not the trace
					}
					t.Fatal(err, line)
				}
				if reading.State == "" {
					continue // a note
				}
				row := next[reading.Meter]
				next[reading.Meter]++
				if reading.State != "reading" {
					continue
				}
				readings++
				if row >= len(values[reading.Meter]) || values[reading.Meter][row] != reading.Value {
					t.Fatalf("reading %d of %s, %v, was shown and is not in the trace of %d rows", row, reading.Meter, reading.Value, len(values[reading.Meter]))
				}
			}
			if readings < 4 {
				t.Errorf("%d readings", readings)
			}
		})
	}
}

// TestWatchLoses watches two meters over TCP, one of which hangs up, shows an
// overload and comes back, while the other goes on.
func TestWatchLoses(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	bad := &simulator.Meter{Identity: "Tarn,Bench 60,0,1", Source: func(string) float64 { return 5.1 }, Plan: func(q string, before int) simulator.Fault {
		switch {
		case q == "READ?" && before == 8:
			return simulator.Overload
		case q == "READ?" && before == 12:
			return simulator.Disconnect
		}
		return simulator.None
	}}
	good := &simulator.Meter{Identity: "Tarn,Bench 60,0,2", Source: func(string) float64 { return 12.01 }}
	at, waitBad, err := bad.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	also, waitGood, err := good.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "watch.csv")
	var out, complaints bytes.Buffer
	code := run(ctx, []string{"watch", "--every", "20ms", "--for", "3s", "--trace", name, "+5=" + at + " limits=5 V ± 5 %", "+12=" + also}, &out, &complaints)
	stop()
	waitBad()
	waitGood()
	if code != 0 {
		t.Fatalf("exit %d: %s", code, complaints.String())
	}
	for _, want := range []string{"+5: the connection is gone, at READ?", "+5: answers again", "+5  overload", "+5  5.10000 V  within", "+5  no reading", "+12  12.0100 V\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing in\n%s", want, out.String())
		}
	}
	rows, values := importTrace(t, name)
	n := 0
	for _, v := range values["+12"] {
		if v == 12.01 {
			n++
		}
	}
	if n < rows-2 {
		t.Errorf("the good meter gave %d readings in %d rows", n, rows)
	}
}

// TestWatchNowhere checks that a trace that cannot be written ends the watch
// with words that say so.
func TestWatchNowhere(t *testing.T) {
	var out, complaints bytes.Buffer
	code := run(t.Context(), []string{"watch", "--pretend", "--for", "1s", "--trace", filepath.Join(t.TempDir(), "no", "such", "folder.csv")}, &out, &complaints)
	if code == 0 || !strings.Contains(complaints.String(), "cannot write to ") {
		t.Errorf("exit %d: %s", code, complaints.String())
	}
}

// TestWatchSoak watches a repaired and an unrepaired unit, of which four failures
// after a tenth of a second each are known: sure in half a second.
func TestWatchSoak(t *testing.T) {
	for _, c := range []struct {
		name, flag string
		fails      int // reading from which the rail is gone; 0 for never
		want       []string
	}{
		{"repaired", "", 0, []string{"; run on\n", "95 % reached, ", "; reached: stop\n", "Stop: 95.0 % sure is reached."}},
		{"unrepaired", "", 30, []string{"soak: +5 shutdown at ", "; it failed: stop, it is not repaired\n", "It failed: stop, it is not repaired: +5 shutdown at ", "Repair again; "}},
		{"unrepaired, for a program", "--json", 30, []string{`"advice":"run on"`, `"advice":"repair again","failure":{"meter":"+5","time":"`, `{"rows":`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			ctx, stop := context.WithCancel(t.Context())
			read := 0
			m := &simulator.Meter{Identity: "Tarn,Bench 60,0,1", Source: func(string) float64 {
				if read++; c.fails > 0 && read >= c.fails {
					return 0.4
				}
				return 5 + 0.001*float64(read%3)
			}}
			at, wait, err := m.Listen(ctx, "127.0.0.1:0")
			if err != nil {
				t.Fatal(err)
			}
			arguments := []string{"watch", "--every", "20ms", "--for", "2500ms", "--no-trace", "--failed", "100ms,100ms,100ms,100ms", "+5=" + at + " limits=5 V ± 5 %"}
			if c.flag != "" {
				arguments = append(arguments, c.flag)
			}
			var out, complaints bytes.Buffer
			code := run(ctx, arguments, &out, &complaints)
			stop()
			wait()
			if code != 0 {
				t.Fatalf("exit %d: %s", code, complaints.String())
			}
			for _, want := range c.want {
				if !strings.Contains(out.String(), want) {
					t.Errorf("%q is missing in\n%s", want, out.String())
				}
			}
		})
	}
}
