package column_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"halfsplit/quantity"
	"halfsplit/trace"
	"halfsplit/trace/column"
)

// head is that of a rail and a temperature.
func head(interval float64) trace.Head {
	return trace.Head{
		Channels: []trace.Channel{{Name: "+5 V", Unit: quantity.Volt}, {Name: "case", Unit: quantity.Celsius}},
		Interval: interval, Start: -2 * interval, Origin: time.Date(2026, 3, 2, 10, 40, 5, 250e6, time.UTC),
	}
}

// rows makes a block of rows from a number on, a second apart but for a pause.
func rows(from, n int, timed bool) *trace.Block {
	b := &trace.Block{Values: make([][]float64, 2)}
	for i := from; i < from+n; i++ {
		if timed {
			b.Time = append(b.Time, float64(i)+float64(i/1000)*10)
		}
		b.Values[0] = append(b.Values[0], 5+0.01*math.Sin(float64(i)))
		b.Values[1] = append(b.Values[1], 20+float64(i%97)/10)
	}
	return b
}

// write writes a file of n rows in blocks of some size.
func write(t testing.TB, h trace.Head, n, block, flush int) []byte {
	t.Helper()
	var out bytes.Buffer
	w, err := column.NewWriter(&out, h)
	if err != nil {
		t.Fatal(err)
	}
	for at := 0; at < n; at += block {
		if err := w.Append(rows(at, min(block, n-at), h.Interval == 0)); err != nil {
			t.Fatal(err)
		}
		if flush > 0 && at/block%flush == 0 {
			if err := w.Flush(); err != nil {
				t.Fatal(err)
			}
		}
	}
	w.Note("first")
	w.Note("second\nin two lines")
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func open(t testing.TB, b []byte) *column.File {
	t.Helper()
	f, err := column.Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// What is written is read back: head, notes and every reading, whatever the
// blocks it came in.
func TestReadBack(t *testing.T) {
	for _, interval := range []float64{0, 0.5} {
		for _, n := range []int{1, 63, 64, 65, 1000, 16_384, 70_000} {
			b := write(t, head(interval), n, 4099, 3)
			f := open(t, b)
			if f.Rows() != int64(n) || f.CutOff() || strings.Join(f.Notes(), "|") != "first|second in two lines" {
				t.Fatalf("%d rows, %q", f.Rows(), f.Notes())
			}
			h := f.Head()
			if fmt.Sprint(h) != fmt.Sprint(head(interval)) {
				t.Fatalf("%v", h)
			}
			if err := f.Verify(context.Background()); err != nil {
				t.Fatal(err)
			}
			tr, err := f.Read(context.Background(), math.Inf(-1), math.Inf(1))
			if err != nil {
				t.Fatal(err)
			}
			want := rows(0, n, true)
			for i := range n {
				at := want.Time[i]
				if interval > 0 {
					at = h.Start + float64(i)*interval
				}
				if tr.Time[i] != at || tr.Values[0][i] != want.Values[0][i] || tr.Values[1][i] != want.Values[1][i] {
					t.Fatalf("row %d of %d: %v %v %v", i, n, tr.Time[i], tr.Values[0][i], tr.Values[1][i])
				}
			}
			if len(tr.Time) != n || f.Begin() != tr.Time[0] || f.End() != tr.Time[n-1] {
				t.Fatalf("%d rows from %v to %v", len(tr.Time), f.Begin(), f.End())
			}
		}
	}
}

// A stretch is what lies within its ends, both included.
func TestStretch(t *testing.T) {
	for _, interval := range []float64{0, 0.5} {
		b := write(t, head(interval), 60_000, 7_000, 0)
		f := open(t, b)
		whole, err := f.Read(context.Background(), math.Inf(-1), math.Inf(1), 1)
		if err != nil {
			t.Fatal(err)
		}
		rapid.Check(t, func(t *rapid.T) {
			from := rapid.Float64Range(f.Begin()-10, f.End()+10).Draw(t, "from")
			if rapid.Bool().Draw(t, "on a reading") {
				from = whole.Time[rapid.IntRange(0, len(whole.Time)-1).Draw(t, "row")]
			}
			to := from + rapid.Float64Range(0, 3000).Draw(t, "length")
			want := whole.Between(from, to)
			got, err := f.Read(context.Background(), from, to, 1)
			if len(want.Time) == 0 {
				if err == nil {
					t.Fatal("nothing is read without an error")
				}
				return
			}
			if err != nil || len(got.Time) != len(want.Time) || got.Time[0] != want.Time[0] || got.Values[0][len(got.Time)-1] != want.Values[0][len(want.Time)-1] || got.Channels[0].Name != "case" {
				t.Fatalf("%v to %v: %d readings, want %d; %v", from, to, len(got.Time), len(want.Time), err)
			}
		})
	}
}

// A window holds every peak, in order, and not many more points than asked for.
func TestWindow(t *testing.T) {
	const n = 270_000
	var out bytes.Buffer
	h := head(0)
	w, err := column.NewWriter(&out, h)
	if err != nil {
		t.Fatal(err)
	}
	b := rows(0, n, true)
	b.Values[0][123_457], b.Values[0][265_001], b.Values[0][5] = 0.1, 17, math.NaN()
	b.Values[0][77] = math.Inf(1)
	if err := errors.Join(w.Append(b), w.Close()); err != nil {
		t.Fatal(err)
	}
	f := open(t, out.Bytes())
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.IntRange(0, n-1).Draw(t, "from")
		z := rapid.IntRange(a, n-1).Draw(t, "to")
		points := rapid.IntRange(1, 3000).Draw(t, "points")
		got, err := f.Window(0, b.Time[a], b.Time[z], points)
		if err != nil {
			t.Fatal(err)
		}
		if len(got) > 2*points+2 {
			t.Fatalf("%d points where %d were asked for", len(got), points)
		}
		if readings := z - a + 1; readings >= 64*points && len(got) < points/2 {
			t.Fatalf("%d points of %d readings where %d were asked for", len(got), readings, points)
		}
		low, high := math.Inf(1), math.Inf(-1)
		before := math.Inf(-1)
		for _, p := range got {
			if p.From < before || p.To < p.From {
				t.Fatalf("points are not in order: %v after %v", p, before)
			}
			before = p.To
			if !math.IsNaN(p.Low) {
				low, high = min(low, p.Low), max(high, p.High)
			}
		}
		for i := a; i <= z; i++ {
			if v := b.Values[0][i]; v < low || v > high && !math.IsInf(v, 0) {
				t.Fatalf("%v at row %d is not between %v and %v", v, i, low, high)
			}
		}
	})
	if got, err := f.Window(0, -100, -50, 10); err != nil || len(got) > 0 {
		t.Errorf("a window beside the trace: %v %v", got, err)
	}
	for _, bad := range []func() error{
		func() error { _, err := f.Window(2, 0, 1, 10); return err },
		func() error { _, err := f.Window(0, 0, 1, 0); return err },
		func() error { _, err := f.Read(context.Background(), 0, 1, 7); return err },
	} {
		if bad() == nil {
			t.Error("no error")
		}
	}
}

// A file that is cut off anywhere is read up to its last whole group, or refused
// where there is none; never is a reading wrong.
func TestCutAnywhere(t *testing.T) {
	for _, interval := range []float64{0, 0.5} {
		b := write(t, head(interval), 200, 50, 1)
		want := rows(0, 200, true)
		read := 0
		for size := range len(b) {
			f, err := column.Open(bytes.NewReader(b[:size]), int64(size))
			if err != nil {
				continue
			}
			if !f.CutOff() {
				t.Fatalf("cut to %d of %d bytes and whole", size, len(b))
			}
			tr, err := f.Read(context.Background(), math.Inf(-1), math.Inf(1))
			if err != nil {
				t.Fatal(size, err)
			}
			if len(tr.Time)%50 != 0 || len(tr.Time) < read {
				t.Fatalf("%d readings of %d bytes, %d before", len(tr.Time), size, read)
			}
			read = len(tr.Time)
			for i, v := range tr.Values[0] {
				if v != want.Values[0][i] {
					t.Fatalf("reading %d is %v", i, v)
				}
			}
			if err := f.Verify(context.Background()); err != nil {
				t.Fatal(err)
			}
			if _, err := f.Window(0, f.Begin(), f.End(), 2); err != nil {
				t.Fatal(err)
			}
		}
		if read != 200 {
			t.Errorf("%d readings at most", read)
		}
	}
}

// Any changed byte is found: by Open, or by Verify, with its place.
func TestEveryByteCounts(t *testing.T) {
	b := write(t, head(0), 150, 50, 2)
	for at := range b {
		bad := bytes.Clone(b)
		bad[at] ^= 0x40
		f, err := column.Open(bytes.NewReader(bad), int64(len(bad)))
		if err != nil {
			continue
		}
		if f.CutOff() { // the tail itself is damaged: the readings are found without it
			continue
		}
		var d *column.Damage
		if err := f.Verify(context.Background()); !errors.As(err, &d) {
			t.Fatalf("byte %d of %d: %v", at, len(b), err)
		}
	}
}

// An error of a damaged stretch says which readings it affects; the others are
// read.
func TestDamageIsConfined(t *testing.T) {
	b := write(t, head(0), 200_000, 65_536, 0)
	f := open(t, b)
	at := bytes.Index(b[1<<20:], []byte("HSBK")) + 1<<20 // the block after the first MiB
	bad := bytes.Clone(b)
	bad[at+1000] ^= 1
	g := open(t, bad)
	_, err := g.Read(context.Background(), math.Inf(-1), math.Inf(1))
	if err == nil || !strings.Contains(err.Error(), "affects") || !strings.Contains(err.Error(), " s to ") {
		t.Errorf("%v", err)
	}
	late := f.End() - 100
	if _, err := g.Read(context.Background(), late, f.End()); err != nil {
		t.Errorf("the end is not affected: %v", err)
	}
}

func TestRefusals(t *testing.T) {
	good := head(1)
	for what, h := range map[string]trace.Head{
		"no channel":      {},
		"twice the same":  {Channels: []trace.Channel{{Name: "a"}, {Name: "a"}}},
		"unknown unit":    {Channels: []trace.Channel{{Name: "a", Unit: "furlong"}}},
		"bad interval":    {Channels: good.Channels, Interval: -1},
		"endless start":   {Channels: good.Channels, Start: math.Inf(1)},
		"a name too long": {Channels: []trace.Channel{{Name: strings.Repeat("x", 70_000)}}},
	} {
		if _, err := column.NewWriter(&bytes.Buffer{}, h); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
	w, err := column.NewWriter(&bytes.Buffer{}, head(0))
	if err != nil {
		t.Fatal(err)
	}
	for what, b := range map[string]*trace.Block{
		"channels": {Time: []float64{1}, Values: [][]float64{{1}}},
		"lengths":  {Time: []float64{1}, Values: [][]float64{{1}, {1, 2}}},
		"times":    {Time: []float64{1, 2}, Values: [][]float64{{1}, {1}}},
		"back":     {Time: []float64{2, 1}, Values: [][]float64{{1, 2}, {1, 2}}},
		"no time":  {Time: []float64{math.NaN()}, Values: [][]float64{{1}, {1}}},
	} {
		if err := w.Append(b); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
	empty, _ := column.NewWriter(&bytes.Buffer{}, head(0))
	if empty.Close() == nil {
		t.Error("an empty trace is written")
	}
	for _, text := range []string{"", "short", "time,v\n0,1\n1,2\n3,4\n"} {
		if _, err := column.Open(strings.NewReader(text), int64(len(text))); err == nil {
			t.Errorf("%q is opened", text)
		}
	}
	full := &limited{left: 100}
	if w, err = column.NewWriter(full, head(0)); err == nil {
		err = errors.Join(w.Append(rows(0, 100, true)), w.Close())
	}
	if err == nil {
		t.Error("a full disk is not noticed")
	}
}

// limited is a disk that gets full.
type limited struct{ left int }

func (l *limited) Write(b []byte) (int, error) {
	if len(b) > l.left {
		return 0, errors.New("the disk is full")
	}
	l.left -= len(b)
	return len(b), nil
}

// FuzzOpen: whatever the bytes, a file is refused or can be used without a panic.
func FuzzOpen(f *testing.F) {
	f.Add(write(f, head(0), 300, 100, 1))
	f.Add(write(f, head(0.5), 70, 70, 0))
	whole := write(f, head(0), 130, 64, 1)
	f.Add(whole[:len(whole)-40])
	f.Fuzz(func(t *testing.T, b []byte) {
		file, err := column.Open(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			return
		}
		h := file.Head()
		if h.Check() != nil || file.Rows() < 1 {
			t.Fatalf("%v, %d rows", h, file.Rows())
		}
		_ = file.Verify(context.Background())
		if tr, err := file.Read(context.Background(), math.Inf(-1), math.Inf(1)); err == nil && int64(len(tr.Time)) > file.Rows() {
			t.Fatal("more readings than rows")
		}
		for c := range h.Channels {
			_, _ = file.Window(c, file.Begin(), file.End(), 3)
		}
	})
}

func ExampleFile_Window() {
	var disk bytes.Buffer
	w, err := column.NewWriter(&disk, trace.Head{Channels: []trace.Channel{{Name: "+5 V", Unit: quantity.Volt}}, Interval: 0.001})
	if err != nil {
		fmt.Println(err)
		return
	}
	rail := make([]float64, 100_000)
	for i := range rail {
		rail[i] = 5.02
	}
	rail[70_123] = 3.1 // one short dropout
	if err := errors.Join(w.Append(&trace.Block{Values: [][]float64{rail}}), w.Close()); err != nil {
		fmt.Println(err)
		return
	}
	f, err := column.Open(bytes.NewReader(disk.Bytes()), int64(disk.Len()))
	if err != nil {
		fmt.Println(err)
		return
	}
	points, err := f.Window(0, 0, 100, 50)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range points {
		if p.Low < 4.75 {
			fmt.Printf("down to %g V between %.1f and %.1f s\n", p.Low, p.From, p.To)
		}
	}
	// Output: down to 3.1 V between 69.6 and 70.7 s
}

// BenchmarkWindow draws windows of a trace of ten million readings.
func BenchmarkWindow(b *testing.B) {
	var out bytes.Buffer
	h := head(0)
	w, err := column.NewWriter(&out, h)
	if err != nil {
		b.Fatal(err)
	}
	const n = 10_000_000
	for at := 0; at < n; at += 100_000 {
		if err := w.Append(rows(at, 100_000, true)); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
	for _, share := range []float64{1, 0.1, 0.01, 0.001} {
		b.Run(fmt.Sprintf("%g of it", share), func(b *testing.B) {
			for b.Loop() {
				f, err := column.Open(bytes.NewReader(out.Bytes()), int64(out.Len()))
				if err != nil {
					b.Fatal(err)
				}
				length := (f.End() - f.Begin()) * share
				if _, err := f.Window(0, f.Begin()+length/3, f.Begin()+length/3+length, 1500); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
