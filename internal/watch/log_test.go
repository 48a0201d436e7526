package watch

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"halfsplit/quantity"
	"halfsplit/trace"
	"halfsplit/trace/table"
)

// imported reads a log back as any other recording is read.
func imported(t interface{ Fatal(...any) }, name string) (*trace.Trace, table.Summary) {
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r, err := table.Open(file, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	all, summary, err := r.All(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return all, summary
}

// TestLogIsImported checks that every row that was written is read back by the
// import of recordings, without a guess that is wrong: names, units, times and
// values.
func TestLogIsImported(t *testing.T) {
	folder := t.TempDir()
	begun := time.Date(1983, 5, 2, 9, 0, 0, 0, time.FixedZone("", 7200))
	meters := []string{"+5 limits=4.75..5.25 V", "heat sink measure=temperature", "R7 measure=ohms", "ripple-12 measure=AC volts", "load measure=DC current", "clock measure=frequency"}
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		name := filepath.Join(folder, string(rune('a'+n%26))+time.Duration(n).String())
		var channels []Channel
		for _, meter := range meters[:rapid.IntRange(1, len(meters)).Draw(t, "channels")] {
			w, err := ParseWanted(meter, true)
			if err != nil {
				t.Fatal(err)
			}
			c, err := NewChannel(w, nil)
			if err != nil {
				t.Fatal(err)
			}
			c.About = "a meter, with \"commas\",\nand lines"
			channels = append(channels, c)
		}
		l, err := Create(name, begun, time.Second, channels)
		if err != nil {
			t.Fatal(err)
		}
		states := []State{Measured, Measured, Measured, Overload, NegativeOverload, NoValue, Missing}
		rows := make([]Row, rapid.IntRange(1, 20).Draw(t, "rows"))
		at := begun
		for i := range rows {
			at = at.Add(time.Duration(rapid.Int64Range(1, 1e7).Draw(t, "ms")) * time.Millisecond)
			rows[i].Time = at
			for range channels {
				f := Field{State: rapid.SampledFrom(states).Draw(t, "state"), Value: math.NaN(), At: at}
				if f.State == Measured {
					f.Value = rapid.Float64Range(-1e9, 1e9).Draw(t, "value")
				}
				rows[i].Fields = append(rows[i].Fields, f)
			}
			if i > 0 && rapid.Bool().Draw(t, "note") {
				if err := l.Note(Note{at, channels[0].Name, "no answer to READ?: \"1,2\"\n3,4"}); err != nil {
					t.Fatal(err)
				}
			}
			if err := l.Row(rows[i]); err != nil {
				t.Fatal(err)
			}
		}
		if err := l.Close(); err != nil {
			t.Fatal(err)
		}
		got, summary := imported(t, name)
		if summary.Rows != len(rows) || len(got.Channels) != len(channels) {
			t.Fatalf("%d rows of %d, channels %v", summary.Rows, len(rows), got.Channels)
		}
		for i, c := range channels {
			if got.Channels[i] != (trace.Channel{Name: c.Name, Unit: c.Unit}) {
				t.Fatalf("channel %d is %+v, not %s in %s", i, got.Channels[i], c.Name, c.Unit)
			}
			for j, r := range rows {
				want := r.Fields[i].Value
				switch r.Fields[i].State {
				case Overload:
					want = math.Inf(1)
				case NegativeOverload:
					want = math.Inf(-1)
				}
				if v := got.Values[i][j]; v != want && !(math.IsNaN(v) && math.IsNaN(want)) {
					t.Fatalf("row %d of %s is %v, not %v", j, c.Name, v, want)
				}
				stamp := got.Origin.Add(time.Duration(math.Round(got.Time[j]*1000)) * time.Millisecond)
				if !stamp.Equal(r.Time) {
					t.Fatalf("row %d is at %v, not %v", j, stamp, r.Time)
				}
			}
		}
	})
}

func TestLogText(t *testing.T) {
	name := filepath.Join(t.TempDir(), "watch.csv")
	begun := time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)
	c := []Channel{channel(t, "+5 limits=4.75..5.25 V"), channel(t, "heatsink measure=temperature")}
	c[0].About, c[1].About = "DC volts", "temperature"
	l, err := Create(name, begun, time.Second, c)
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{
		l.Row(Row{begun.Add(time.Second), []Field{c[0].field(5.01, begun), c[1].field(math.Inf(1), begun)}}),
		l.Note(Note{begun.Add(2 * time.Second), "heatsink", "no answer"}),
		l.Row(Row{begun.Add(2 * time.Second), []Field{c[0].field(1e-9, begun), {State: Missing, Value: math.NaN()}}}),
		l.Close(),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	const want = `# halfsplit watch, begun 1983-05-02T09:00:00Z, a row every 1s
# +5: DC volts; right is 4.75..5.25 V (given by hand)
# heatsink: temperature
time,+5,heatsink
ISO,V,°C
1983-05-02T09:00:01.000Z,5.01,OL
# 1983-05-02T09:00:02.000Z heatsink: no answer
1983-05-02T09:00:02.000Z,1e-09,NaN
`
	got, err := os.ReadFile(name)
	if err != nil || string(got) != want {
		t.Errorf("%s\n%v", got, err)
	}
	if _, err := Create(name, begun, time.Second, c); !os.IsExist(err) {
		t.Error("a file that exists is taken:", err)
	}
	if after, _ := os.ReadFile(name); !bytes.Equal(got, after) {
		t.Error("it was changed")
	}
	if err := l.Row(Row{begun, []Field{c[0].field(5, begun)}}); err == nil {
		t.Error("a row is taken into a file that is closed")
	}
	if c[0].Unit != quantity.Volt || strings.Contains(string(got), "\r") {
		t.Error("unit or line ends")
	}
}

// BenchmarkLogRow is a row of two channels on its way to the system.
func BenchmarkLogRow(b *testing.B) {
	begun := time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)
	c := []Channel{channel(b, "+5"), channel(b, "+12")}
	l, err := Create(filepath.Join(b.TempDir(), "watch.csv"), begun, time.Second, c)
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	r := Row{begun, []Field{c[0].field(5.0123, begun), c[1].field(12.034, begun)}}
	for b.Loop() {
		if err := l.Row(r); err != nil {
			b.Fatal(err)
		}
	}
}
