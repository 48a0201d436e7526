package recording_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfsplit/internal/recording"
	"halfsplit/quantity"
	"halfsplit/trace/event"
	"halfsplit/trace/table"
)

const datasets = "../../trace/testdata/datasets/"

func open(t *testing.T, name string, how recording.Reading) *recording.Recording {
	t.Helper()
	r, err := recording.Open(context.Background(), name, how)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

// Every recording in trace/testdata imports, and the trace file holds what the
// export does, reading by reading.
func TestImportKeepsEverything(t *testing.T) {
	files, err := filepath.Glob(datasets + "*")
	if err != nil || len(files) < 25 {
		t.Fatal(len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			target := filepath.Join(t.TempDir(), "x.trace")
			done, err := recording.Import(context.Background(), file, target, recording.Reading{})
			if err != nil {
				t.Fatal(err)
			}
			want, got := open(t, file, recording.Reading{}), open(t, target, recording.Reading{})
			if err := got.Verify(context.Background()); err != nil {
				t.Fatal(err)
			}
			if got.Rows() != want.Rows() || done.Rows != want.Rows() {
				t.Fatalf("%d rows, want %d", got.Rows(), want.Rows())
			}
			for c := range want.Head.Channels {
				a, err := want.Load(context.Background(), math.Inf(-1), math.Inf(1), c)
				if err != nil {
					t.Fatal(err)
				}
				b, err := got.Load(context.Background(), math.Inf(-1), math.Inf(1), c)
				if err != nil {
					t.Fatal(err)
				}
				for i := range a.Time {
					if math.Abs(a.Time[i]-b.Time[i]) > 1e-12*math.Abs(a.Time[i]) || math.Float64bits(a.Values[0][i]) != math.Float64bits(b.Values[0][i]) {
						t.Fatalf("row %d: %v at %v, want %v at %v", i, b.Values[0][i], b.Time[i], a.Values[0][i], a.Time[i])
					}
				}
			}
			notes := strings.Join(got.Notes, "\n")
			for _, n := range want.Notes {
				if !strings.Contains(notes, n) {
					t.Errorf("the trace file does not say %q", n)
				}
			}
		})
	}
}

// An import that is cancelled or fails leaves nothing behind.
func TestNothingHalfWritten(t *testing.T) {
	folder := t.TempDir()
	export := filepath.Join(folder, "long.csv")
	var text bytes.Buffer
	for i := range 300_000 {
		fmt.Fprintf(&text, "%d,%d\n", i, i%7)
	}
	if err := os.WriteFile(export, text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	_, err := recording.Import(ctx, export, filepath.Join(folder, "long.trace"), recording.Reading{Progress: func(n int64) {
		if n > 1<<20 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	cut := filepath.Join(folder, "cut.csv.gz")
	whole, err := os.ReadFile(datasets + "ten-volt.csv.gz")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(cut, whole[:len(whole)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := recording.Import(context.Background(), cut, filepath.Join(folder, "cut.trace"), recording.Reading{}); err == nil || !strings.Contains(err.Error(), "cut short") {
		t.Errorf("%v", err)
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 2 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// A thermometer in another file is put beside by the clocks of both.
func TestThermometerBeside(t *testing.T) {
	out := open(t, datasets+"ten-volt.csv.gz", recording.Reading{Table: table.Options{Units: map[string]string{"332B": "uV"}}})
	room := open(t, datasets+"ten-volt-room.csv.gz", recording.Reading{})
	q := recording.WarmQuestion{Thermometer: recording.Thermometer{Other: room}, Window: recording.Window{From: 0.977 + 6*3600, To: math.Inf(1)}}
	w, err := out.WarmUp(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	// scipy.stats.linregress after 6 h: 12.063 ppm/K (trace/testdata/ORIGIN.md).
	if w.Follows == nil || math.Abs(*w.Follows.PPM-12.063) > 0.001 {
		t.Errorf("%+v", w.Follows)
	}
	var text, picture bytes.Buffer
	if err := errors.Join(w.Text(&text), out.DrawWarmUp(context.Background(), &picture, q, w)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text.String(), "12.1 ppm/K") || !strings.Contains(picture.String(), "temperature in °C") {
		t.Error(text.String())
	}
}

// bench writes a recording of a rail and a case temperature, a reading a minute:
// on at 20 °C, warming by 1 K a minute to 50 °C, off from a minute on.
func bench(t *testing.T, minutes, off int) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("time (min),rail (V),case (degC)\n")
	for i := range minutes {
		rail := 5.0 + 0.001*float64(i%3)
		if off > 0 && i >= off {
			rail = 0.01
		}
		fmt.Fprintf(&b, "%d,%.3f,%d\n", i, rail, min(20+i, 50))
	}
	file := filepath.Join(t.TempDir(), "bench.csv")
	if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A failure at 45 °C after 25 min counts whole; of two clean hours since only what
// was at 43 °C or more counts: 120 - 23 min.
func TestOnlyHotMinutesCount(t *testing.T) {
	q := recording.EventQuestion{Channel: 0, Limit: &quantity.Interval{Low: 4.75, High: 5.25, Unit: quantity.Volt}, Window: recording.Whole(), LeastRun: 60, StepWindow: 20, Thermometer: recording.Thermometer{Channel: "case"}}
	before, err := open(t, bench(t, 40, 25), recording.Reading{}).Watch(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	history := before.Before()
	if len(history) != 1 || !history[0].Failed || history[0].Duration != 25*60 || history[0].Temperature != 45 {
		t.Fatalf("%+v", history)
	}
	since, err := open(t, bench(t, 121, 0), recording.Reading{}).Watch(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	runs, cold := since.Since(43)
	if len(runs) != 1 || runs[0].Failed || math.Abs(runs[0].Duration-97*60) > 1e-6 || runs[0].Temperature != 43 || math.Abs(cold-23*60) > 1e-6 {
		t.Errorf("%+v, %v s too cool", runs, cold)
	}
	q.Limit = nil
	if _, err := open(t, bench(t, 40, 25), recording.Reading{}).Watch(context.Background(), q); err == nil {
		t.Error("no limits, and no error")
	}
}

// What is printed for programs is one JSON value that holds what the text does,
// overloads and unknown temperatures too.
func TestJSON(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x.csv")
	text := "time,rail (V)\n"
	for i := range 100 {
		v := "5.01"
		switch {
		case i == 50:
			v = "OL"
		case i >= 70 && i < 75:
			v = "0.1"
		case i == 20:
			v = ""
		}
		text += fmt.Sprintf("%d,%s\n", i, v)
	}
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	r := open(t, file, recording.Reading{})
	h, err := r.Events(context.Background(), recording.EventQuestion{Limit: &quantity.Interval{Low: 4.75, High: math.Inf(1)}, Window: recording.Whole(), StepWindow: 20, LeastRun: 1})
	if err != nil {
		t.Fatal(err)
	}
	c, err := r.Show(context.Background(), recording.Whole())
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []any{h, c} {
		if _, err := json.Marshal(v); err != nil {
			t.Error(err)
		}
	}
	// An overload is within limits without an upper end only if infinity is: it is.
	if len(h.Excursions) != 1 || h.Excursions[0].Kind != event.Restart || h.Excursions[0].Temperature != nil {
		t.Errorf("%+v", h.Excursions)
	}
	if *c.Channels[0].Highest != 5.01 || c.Channels[0].Readings != 98 {
		t.Errorf("%+v", c.Channels[0])
	}
	var out, picture bytes.Buffer
	q := recording.EventQuestion{Limit: &quantity.Interval{Low: 4.75, High: math.Inf(1)}, Window: recording.Whole(), StepWindow: 20, LeastRun: 1}
	if err := errors.Join(h.Text(&out), c.Text(&out), r.DrawEvents(context.Background(), &picture, q, h), r.DrawShow(&picture, recording.Whole(), []int{0})); err != nil {
		t.Error(err)
	}
}

// A sound file is calibrated by what its full scale is.
func TestSoundFile(t *testing.T) {
	r := open(t, datasets+"mains-092.wav", recording.Reading{FullScale: 32768})
	a, err := r.Ripple(context.Background(), recording.RippleQuestion{Window: recording.Whole(), Rail: "mains"})
	if err != nil {
		t.Fatal(err)
	}
	// RMS 1333.8456 counts in all (trace/testdata/ORIGIN.md).
	if math.Abs(a.RMS-1333.8456) > 1e-3 || a.Mains != 50 || a.Unit != quantity.Volt || a.Lines[0].RMS < 1333 || a.Lines[0].RMS > 1334 {
		t.Errorf("%+v", a)
	}
	var picture bytes.Buffer
	if err := r.DrawRipple(&picture, a); err != nil {
		t.Error(err)
	}
}
