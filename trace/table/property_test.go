package table

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A table of any numbers in any dialect comes back bit for bit, across the
// borders of pieces and with any number of workers.
func TestNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom([]string{",", ";", "\t", "|", " "}).Draw(t, "delimiter")
		comma := d != "," && rapid.Bool().Draw(t, "decimal comma")
		end := rapid.SampledFrom([]string{"\n", "\r\n", d + "\n"}).Draw(t, "end of line")
		format := rapid.SampledFrom([]byte("feg")).Draw(t, "format")
		columns := rapid.IntRange(1, 4).Draw(t, "columns")
		rows := rapid.IntRange(1, 60).Draw(t, "rows")
		number := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.Float64(), rapid.Map(rapid.IntRange(-99999, 99999), func(i int) float64 { return float64(i) / 1000 })).Filter(func(v float64) bool { return math.Abs(v) < 9e37 })
		write := func(v float64) string {
			text := strconv.FormatFloat(v, format, -1, 64)
			if comma {
				text = strings.Replace(text, ".", ",", 1)
			}
			return text
		}
		var b strings.Builder
		fmt.Fprint(&b, "time")
		for c := range columns {
			fmt.Fprintf(&b, "%schannel-%c", d, 'A'+c)
		}
		b.WriteString("\n")
		values := make([][]float64, columns)
		for r := range rows {
			b.WriteString(strconv.Itoa(r))
			for c := range columns {
				v := number.Draw(t, "value")
				values[c] = append(values[c], v)
				b.WriteString(d + write(v))
			}
			b.WriteString(end)
		}
		o := Options{Delimiter: d, Decimal: "."}
		if d == "\t" {
			o.Delimiter = "tab"
		}
		if comma {
			o.Decimal = ","
		}
		r, err := Open(strings.NewReader(b.String()), o)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		tr, s, err := r.All(context.Background())
		if err != nil || s.Rows != rows || len(s.Faults) > 0 {
			t.Fatalf("%d of %d rows, %v, %v\n%s", s.Rows, rows, s.Faults, err, b.String())
		}
		for c := range values {
			for i, want := range values[c] {
				if got := tr.Values[c][i]; math.Float64bits(got) != math.Float64bits(want) && !(want == 0 && got == 0) {
					t.Fatalf("row %d: %v, want %v", i, got, want)
				}
			}
		}
	})
}

// The quick way and the careful way read every line alike.
func TestQuickIsCareful(t *testing.T) {
	d := Dialect{Delimiter: ',', Decimal: '.', Fields: 3, Time: TimeColumn{Form: Elapsed, Field: 0, Date: -1, Unit: 0.001}}
	d.Channels = []Column{{Field: 1, Size: 1e-6}, {Field: 2, Size: 3600}}
	p := newParser(d, 0)
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.StringMatching(`[-+]?[0-9]{0,12}\.?[0-9]{0,9}(e[-+]?[0-9]{1,3})?, ?[-+]?[0-9]{0,21}\.?[0-9]{0,21}(E[0-9]{1,2})?,([0-9.]{0,9}|OL|nan) ?,?`).Draw(t, "line")
		var quick, slow parsed
		quick.reset(1, &d)
		slow.reset(1, &d)
		quick.lines, slow.lines = 1, 1
		_, ok := p.quick(append([]byte(line), '\n'), 0, &quick)
		p.slow(line, &slow)
		if !ok {
			return
		}
		if slow.rows != 1 || quick.missing != slow.missing || len(slow.faults) > 0 {
			t.Fatalf("quick takes it, slow says %v", slow.faults)
		}
		for c := range quick.columns {
			a, b := quick.columns[c][0], slow.columns[c][0]
			if a != b && !(math.IsNaN(a) && math.IsNaN(b)) {
				t.Fatalf("column %d: %v quickly, %v slowly", c, a, b)
			}
		}
	})
}

// Dates are counted as the calendar has them, and every second of them is read
// back.
func TestCivil(t *testing.T) {
	if civil(1970, 1, 1) != 0 || civil(2000, 2, 29) != 11016 || civil(2026, 3, 2) != 20514 || civil(1969, 12, 31) != -1 {
		t.Error(civil(2000, 2, 29), civil(2026, 3, 2))
	}
	for _, bad := range []string{"2026-02-29", "2026-13-01", "2026-00-10", "26-1-1", "2026-1/2", "2026-01-01T25:61:00", "2026-01-01T10:00:00+99:00", "2026-01-01x"} {
		if m, ok := readMoment(bad, Date); ok {
			t.Errorf("%s is read as %v", bad, m)
		}
	}
	for text, want := range map[string]moment{"2026-03-02T10:40:05.25-0230": {20514*86400 + 13*3600 + 600 + 5, 0.25}, "2026/03/02": {20514 * 86400, 0}} {
		if m, ok := readMoment(text, Date); !ok || m != want {
			t.Errorf("%s: %v, want %v", text, m, want)
		}
	}
}

// FuzzRead: whatever the bytes, there is a refusal or a trace in order, of which
// every line is accounted for.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"time,v\n0,1\n1,2\n", "Zeit;U (V)\n0,5;1,25\n", "2026-03-02 10:40:05,5\n2026-03-02 10:40:04,6\n", "23:59:59,1\n00:00:00,2\n",
		"X,CH1,Start,Increment,\nSequence,Volt,-3.5e-03,5e-06,\n0,1.6e-02,\n", "\xff\xfe1\x00,\x002\x00", "\x1f\x8b\x08", "# t v\n1 OL\n\n2 9.91e37\n", "1496984530.112,2\n1496984531,3", "\"1\",\"2,5\"\n\"a\"",
	} {
		f.Add([]byte(text), "", 0.0)
	}
	f.Add([]byte("1 2 3\n4 5 6\n"), "blank", 0.5)
	f.Fuzz(func(t *testing.T, text []byte, delimiter string, interval float64) {
		r, err := Open(bytes.NewReader(text), Options{Delimiter: delimiter, Interval: interval})
		if err != nil {
			return
		}
		h := r.Head()
		if err := h.Check(); err != nil {
			t.Fatal(err)
		}
		tr, s, err := r.All(context.Background())
		if err != nil {
			return
		}
		if s.Rows+s.Refused+s.Comments+r.dialect.Skip != s.Lines || len(tr.Time) != s.Rows {
			t.Fatalf("%+v", s)
		}
		for i, x := range tr.Time {
			if math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x < tr.Time[i-1] {
				t.Fatalf("time %v at row %d", x, i)
			}
		}
	})
}
