package table_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"halfsplit/quantity"
	"halfsplit/trace"
	"halfsplit/trace/internal/dataset"
	"halfsplit/trace/table"
)

// moments gives mean, sample standard deviation and autocorrelation at lag 1.
func moments(v []float64) (mean, deviation, lag float64) {
	for _, x := range v {
		mean += (x - v[0]) / float64(len(v))
	}
	mean += v[0]
	var square, product float64
	for i, x := range v {
		square += (x - mean) * (x - mean)
		if i > 0 {
			product += (x - mean) * (v[i-1] - mean)
		}
	}
	return mean, math.Sqrt(square / float64(len(v)-1)), product / square
}

// Real recordings import as they are, with the values that were computed from
// them independently (trace/testdata/ORIGIN.md).
//
// Outside: NIST DZIUBA1, SOULEN, FLICKER, LEW, and recordings of A. Wallin and J.
// Pepas; worked out with numpy. Within: the last digit given.
func TestRealRecordings(t *testing.T) {
	for _, c := range []struct {
		file     string
		options  table.Options
		channel  int
		unit     quantity.Unit
		rows     int
		span     float64 // seconds; 0 where it is not known
		mean, sd float64
		within   float64 // of mean and sd
		lag      float64 // autocorrelation; 0 where it is not known
	}{
		{"DZIUBA1.DAT", table.Options{}, 3, "", 1000, 0, 28.0163447, 0.06349401, 5e-9, 0.972159},
		{"SOULEN.DAT", table.Options{Across: true}, 0, "", 700, 0, 2898.561429, 1.304969, 5e-7, 0.314802},
		{"FLICKER.DAT", table.Options{}, 0, "", 1000, 0, 0.005485910, 0.005979747, 5e-10, 0.754390},
		{"LEW.DAT", table.Options{}, 0, "", 200, 0, -177.435, 277.332168, 5e-7, -0.3073048},
		{"oven-oscillator.txt.gz", table.Options{}, 0, "", 19982, 0, 10000000.125564225, 0.000647778, 5e-9, 0},
		{"ten-volt.csv.gz", table.Options{}, 0, "", 35125, 117503.880, 9999024.5618, 76.5918, 5e-5, 0},
		{"ten-volt.csv.gz", table.Options{Units: map[string]string{"332B": "uV"}}, 0, "V", 35125, 117503.880, 9.9990245618, 76.5918e-6, 5e-11, 0},
	} {
		t.Run(c.file, func(t *testing.T) {
			tr, s := dataset.Load(t, c.file, c.options)
			v := tr.Values[c.channel]
			if len(v) != c.rows || s.Refused > 0 || len(s.Faults) > 0 {
				t.Fatalf("%d rows, %d refused: %v", len(v), s.Refused, s.Faults)
			}
			if tr.Channels[c.channel].Unit != c.unit {
				t.Errorf("unit %q", tr.Channels[c.channel].Unit)
			}
			mean, sd, lag := moments(v)
			dataset.Near(t, "mean", mean, c.mean, c.within)
			dataset.Near(t, "standard deviation", sd, c.sd, c.within)
			if c.lag != 0 {
				dataset.Near(t, "autocorrelation", lag, c.lag, 5e-7)
			}
			if c.span != 0 {
				dataset.Near(t, "span", tr.Time[len(tr.Time)-1]-tr.Time[0], c.span, 5e-7)
			}
		})
	}
}

// The warm-up of a bench meter: rows, first, highest and last value, largest gap.
//
// Outside: recording of J. Pepas, trace/testdata/ORIGIN.md; worked out with numpy.
// Within: 5e-7.
func TestWarmUpRecording(t *testing.T) {
	tr, s := dataset.Load(t, "meter-warmup.csv.gz", table.Options{})
	v := tr.Values[0]
	highest, gap := 0.0, 0.0
	for i, x := range v {
		highest = max(highest, x)
		if i > 0 {
			gap = max(gap, tr.Time[i]-tr.Time[i-1])
		}
	}
	if len(v) != 47331 || v[0] != 23.9068 || highest != 43.1389 || v[len(v)-1] != 25.2010 || tr.Channels[0] != (trace.Channel{Name: "temp", Unit: quantity.Celsius}) {
		t.Errorf("%d rows from %v by %v to %v, %v", len(v), v[0], highest, v[len(v)-1], tr.Channels[0])
	}
	dataset.Near(t, "span", s.Last-s.First, 47341.225, 5e-7)
	dataset.Near(t, "largest gap", gap, 1.704, 5e-7)
	if got := tr.Origin; !got.Equal(time.Unix(1496984530, 0)) {
		t.Error(got)
	}
	if tr.Time[0] != 0.112 || tr.Time[1] != 1.115 {
		t.Errorf("the digits of a Unix time are not all kept: %v %v", tr.Time[0], tr.Time[1])
	}
}

// Scope exports, with their sample interval and units.
//
// Outside: exports of five oscilloscopes collected by S. Prahl,
// trace/testdata/ORIGIN.md. Within: interval 1e-6.
func TestScopeExports(t *testing.T) {
	for file, c := range map[string]struct {
		rows, channels int
		interval       float64
		start          float64
	}{
		"scope-sequence-four.csv":  {1200, 4, 5e-10, -3e-7},
		"scope-seconds-two.csv":    {600, 2, 2e-6, -5.9999997e-4},
		"scope-blanks-two.csv.gz":  {8192, 2, 4e-6, -1.6384e-2},
		"scope-sequence-one.csv":   {1400, 1, 5e-6, -3.5e-3},
		"scope-sequence-three.csv": {1200, 3, 5e-8, 8.970001e-3},
	} {
		tr, s := dataset.Load(t, file, table.Options{})
		if len(tr.Time) != c.rows || len(tr.Channels) != c.channels || s.Refused > 0 {
			t.Errorf("%s: %d rows of %v, %d refused", file, len(tr.Time), tr.Channels, s.Refused)
			continue
		}
		dataset.Near(t, file+" interval", (tr.Time[c.rows-1]-tr.Time[0])/float64(c.rows-1), c.interval, 1e-6*c.interval)
		dataset.Near(t, file+" start", tr.Time[0], c.start, 1e-15)
		for _, ch := range tr.Channels {
			if ch.Unit != quantity.Volt || !strings.HasPrefix(ch.Name, "CH") {
				t.Errorf("%s: %v", file, ch)
			}
		}
	}
}

// A file typed by hand: 132 good points; what is malformed is located.
func TestTypedByHand(t *testing.T) {
	tr, s := dataset.Load(t, "oscillator-tracking.csv", table.Options{})
	if len(tr.Time) != 132 || s.Refused != 1 || s.Faults[0].Line != 40 || s.Faults[0].Kind != table.WrongCount {
		t.Errorf("%d rows, %v", len(tr.Time), s.Faults)
	}
}

// Rails of a sweep: the medians of a reading at each commanded voltage, as pandas
// has them.
//
// Outside: recording of J. Pepas, trace/testdata/ORIGIN.md; worked out with pandas.
// Within: exact.
func TestTwoFilesAtTwoPaces(t *testing.T) {
	out, _ := dataset.Load(t, "dropout.csv", table.Options{})
	rail, _ := dataset.Load(t, "dropout-supply.csv", table.Options{})
	ahead := out.Origin.Sub(rail.Origin).Seconds()
	at := map[float64][]float64{}
	j := 0
	for i, x := range out.Time {
		for j+1 < len(rail.Time) && rail.Time[j+1] <= x+ahead {
			j++
		}
		at[rail.Values[0][j]] = append(at[rail.Values[0][j]], out.Values[0][i])
	}
	for volts, want := range map[float64]struct {
		n      int
		median float64
	}{8.0: {87, -575611.260}, 8.4: {84, -338689.595}, 8.9: {102, -1771.767}, 9.0: {99, 17632.465}} {
		v := at[volts]
		if len(v) != want.n {
			t.Errorf("%v V: %d readings, want %d", volts, len(v), want.n)
			continue
		}
		below := 0
		for _, x := range v {
			if x < want.median-5e-4 {
				below++
			}
		}
		if 2*below > want.n {
			t.Errorf("%v V: %d of %d below the median %v", volts, below, want.n, want.median)
		}
	}
}

// open reads a text.
func read(text string, o table.Options) (*trace.Trace, table.Summary, []table.Note, error) {
	r, err := table.Open(strings.NewReader(text), o)
	if err != nil {
		return nil, table.Summary{}, nil, err
	}
	tr, s, err := r.All(context.Background())
	return tr, s, r.Notes(), err
}

// How loggers write: each with the readings it must come to.
func TestDialects(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	skip := func(n int) *int { return &n }
	for _, c := range []struct {
		name    string
		text    string
		options table.Options
		time    []float64
		values  [][]float64
		units   string
		origin  string
	}{
		{"comma, no heading", "0,1.5\n1,2.5\n2,3.5\n", table.Options{}, []float64{0, 1, 2}, [][]float64{{1.5, 2.5, 3.5}}, "[]", ""},
		{"semicolon and decimal comma", "Zeit;U (V)\n0,5;1,25\n1,0;-2,5\n", table.Options{}, []float64{0.5, 1}, [][]float64{{1.25, -2.5}}, "[V]", ""},
		{"tab and decimal comma", "t/ms\tI/mA\r\n10\t1,25\r\n20\t2,5\r\n", table.Options{}, []float64{0.01, 0.02}, [][]float64{{0.00125, 0.0025}}, "[A]", ""},
		{"blanks", "time  volts\n  0    1\n  1   -2\n", table.Options{}, []float64{0, 1}, [][]float64{{1, -2}}, "[V]", ""},
		{"bar", "time|a|b\n0|1|2\n1|3|4\n", table.Options{}, []float64{0, 1}, [][]float64{{1, 3}, {2, 4}}, "[ ]", ""},
		{"ISO with a zone", "time,v\n2026-03-02T10:40:05.25+01:00,5\n2026-03-02T10:40:06.25+01:00,6\n", table.Options{}, []float64{0.25, 1.25}, [][]float64{{5, 6}}, "[V]", "2026-03-02 09:40:05"},
		{"ISO with a blank", "time,v\n2026-03-02 10:40:05,5\n2026-03-02 10:41:05,6\n", table.Options{}, []float64{0, 60}, [][]float64{{5, 6}}, "[V]", "2026-03-02 10:40:05"},
		{"date and clock apart", "Date,Time,Temp (C)\n31.12.2025,23:59:59.5,20\n01.01.2026,00:00:00.5,21\n", table.Options{}, []float64{0.5, 1.5}, [][]float64{{20, 21}}, "[°C]", "2025-12-31 23:59:59"},
		{"date and clock by blanks", "2026-01-05 10:00:00 3.5 4.5\n2026-01-05 10:00:01 3.6 4.6\n", table.Options{}, []float64{0, 1}, [][]float64{{3.5, 3.6}, {4.5, 4.6}}, "[ ]", "2026-01-05 10:00:00"},
		{"month first", "time,v\n12/31/2025 11:59:59 PM,5\n1/1/2026 12:00:01 AM,6\n", table.Options{}, []float64{0, 2}, [][]float64{{5, 6}}, "[V]", "2025-12-31 23:59:59"},
		{"month first when told", "time,v\n1/2/2026 10:00:00,5\n1/3/2026 10:00:00,6\n", table.Options{TimeForm: table.MonthDay}, []float64{0, 86400}, [][]float64{{5, 6}}, "[V]", "2026-01-02 10:00:00"},
		{"clock over midnight", "clock,v\n23:59:58,1\n23:59:59,2\n00:00:01,3\n", table.Options{}, []float64{0, 1, 3}, [][]float64{{1, 2, 3}}, "[V]", ""},
		{"Unix milliseconds", "ts,v\n1496984530112,1\n1496984531115,2\n", table.Options{Time: "ts"}, []float64{0.112, 1.115}, [][]float64{{1, 2}}, "[V]", "2017-06-09 05:02:10"},
		{"rate", "v\n1\n2\n3\n", table.Options{Interval: 0.01}, []float64{0, 0.01, 0.02}, [][]float64{{1, 2, 3}}, "[V]", ""},
		{"unit row and trailing delimiters", "X,CH1,\nSecond,Volt,\n-0.5,1e-3,\n0.5,2E+0,\n", table.Options{}, []float64{-0.5, 0.5}, [][]float64{{0.001, 2}}, "[V]", ""},
		{"units in a row with prefix", "time,rail\n(ms),(mV)\n0,5000\n1,5001\n", table.Options{}, []float64{0, 0.001}, [][]float64{{5, 5.001}}, "[V]", ""},
		{"missing and overload", "time,v,w\n0,,OL\n1,NaN,2\n2,9.91E37,-9.9e+37\n3,---,4\n", table.Options{}, []float64{0, 1, 2, 3}, [][]float64{{nan, nan, nan, nan}, {inf, 2, -inf, 4}}, "[V ]", ""},
		{"overload in millivolts", "time,x (mV)\n0,9.9E37\n1,5\n", table.Options{}, []float64{0, 1}, [][]float64{{inf, 0.005}}, "[V]", ""},
		{"quoted", "\"time\",\"u, V\"\n\"0\",\"1,5\"\n\"1\",\"2,5\"\n", table.Options{Decimal: ","}, []float64{0, 1}, [][]float64{{1.5, 2.5}}, "[V]", ""},
		{"comments between", "# a logger here\n# time volt\n0,1\n# pause\n\n5,2\n", table.Options{}, []float64{0, 5}, [][]float64{{1, 2}}, "[V]", ""},
		{"words beside", "time,state,v\n0,ok,1\n1,ok,2\n2,bad,3\n", table.Options{}, []float64{0, 1, 2}, [][]float64{{1, 2, 3}}, "[V]", ""},
		{"chosen fields", "time,a,b,c\n0,1,2,3\n1,4,5,6\n", table.Options{Channels: []string{"c", "2"}}, []float64{0, 1}, [][]float64{{1, 4}, {3, 6}}, "[ ]", ""},
		{"told everything", "junk 1 2\n7;1\n8;2\n", table.Options{Delimiter: ";", Skip: skip(1), Time: "1", TimeForm: table.Elapsed, TimeUnit: 60, Units: map[string]string{"2": "mV"}}, []float64{420, 480}, [][]float64{{0.001, 0.002}}, "[V]", ""},
		{"no end of line at the end", "0,1\n1,2", table.Options{}, []float64{0, 1}, [][]float64{{1, 2}}, "[]", ""},
		{"byte order mark", "\ufefftime,v\n0,1\n1,2\n", table.Options{}, []float64{0, 1}, [][]float64{{1, 2}}, "[V]", ""},
		{"Latin-1", "time,\xb0C\n0,20\n1,21\n", table.Options{}, []float64{0, 1}, [][]float64{{20, 21}}, "[°C]", ""},
		{"hours", "hours,temp_c\n0,20\n0.5,21\n", table.Options{}, []float64{0, 1800}, [][]float64{{20, 21}}, "[°C]", ""},
		{"long numbers", "time,v\n0,0.12345678901234567890123\n1,100000000000000000000\n", table.Options{}, []float64{0, 1}, [][]float64{{0.12345678901234567890123, 1e20}}, "[V]", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			tr, s, notes, err := read(c.text, c.options)
			if err != nil {
				t.Fatal(err)
			}
			if fmt.Sprint(tr.Time) != fmt.Sprint(c.time) || fmt.Sprint(tr.Values) != fmt.Sprint(c.values) {
				t.Errorf("%v %v\nwant %v %v\n%v %+v", tr.Time, tr.Values, c.time, c.values, notes, s)
			}
			var units []quantity.Unit
			for _, ch := range tr.Channels {
				units = append(units, ch.Unit)
			}
			if fmt.Sprint(units) != c.units {
				t.Errorf("units %v, want %v", units, c.units)
			}
			origin := ""
			if !tr.Origin.IsZero() {
				origin = tr.Origin.Format("2006-01-02 15:04:05")
			}
			if origin != c.origin {
				t.Errorf("origin %s, want %s", origin, c.origin)
			}
		})
	}
}

// Bad rows are counted and located; the others are kept.
func TestBadRowsAreLocated(t *testing.T) {
	text := "time,a,b\n0,1,2\n1,x7,3\n2,4\nlater,5,6\n1.5,7,8\n1.5,9,10\n1,11,12\n3,13,14,15\n9,16,17\n"
	tr, s, _, err := read(text, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(tr.Time) != "[0 1 1.5 1.5 9]" || fmt.Sprint(tr.Values) != "[[1 NaN 7 9 16] [2 3 8 10 17]]" {
		t.Errorf("%v %v", tr.Time, tr.Values)
	}
	want := []string{
		`line 3, a: no number: "x7"; a number, or nothing where there was no reading`,
		`line 4: count of fields: "2,4"; it has 2 fields where 3 belong`,
		`line 5, time: no time: "later"; a time as in the rows before, elapsed`,
		`line 8, time: time runs back: "-0.5 s"; each row is as late as the one before or later`,
		`line 9: count of fields: "3,13,14,15"; it has 4 fields where 3 belong`,
	}
	if len(s.Faults) != len(want) {
		t.Fatalf("%v", s.Faults)
	}
	for i, f := range s.Faults {
		if f.String() != want[i] {
			t.Errorf("%s\nwant %s", f, want[i])
		}
	}
	if s.Lines != 10 || s.Rows != 5 || s.Refused != 4 || s.Repeated != 1 || s.Gaps != 1 || s.Longest[0].From != 1.5 {
		t.Errorf("%+v", s)
	}
}

// What cannot be read is refused, with what would be right.
func TestRefusals(t *testing.T) {
	minus := -1
	far := 99
	for _, c := range []struct {
		name, text string
		options    table.Options
		want       string
	}{
		{"nothing", "", table.Options{}, "empty"},
		{"prose", "It ran for three quarters of an hour.\nI think it is fixed.\n", table.Options{}, "no rows of numbers"},
		{"a binary file", "RIFF\x00\x00\x00\x01\x02", table.Options{}, "no text"},
		{"time alone", "time\n1\n2\n", table.Options{}, "beside the time"},
		{"unknown field", "t,v\n0,1\n", table.Options{Channels: []string{"w"}}, "the fields are t, v"},
		{"unknown unit", "t,v\n0,1\n", table.Options{Units: map[string]string{"v": "furlong"}}, "is no unit"},
		{"no such delimiter", "t,v\n0,1\n", table.Options{Delimiter: "ab"}, "comma, semicolon"},
		{"decimal", "t,v\n0,1\n", table.Options{Decimal: ";"}, "write . or ,"},
		{"both alike", "t,v\n0,1\n", table.Options{Decimal: ",", Delimiter: ","}, "cannot be the same"},
		{"skip", "t,v\n0,1\n", table.Options{Skip: &minus}, "not negative"},
		{"skip all", "t,v\n0,1\n", table.Options{Skip: &far}, "only"},
		{"form", "t,v\n0,1\n", table.Options{TimeForm: "sundial"}, "write one of"},
		{"wrong form", "t,v\n0,1\n1,2\n", table.Options{Time: "t", TimeForm: table.Date}, "holds numbers"},
		{"interval", "t,v\n0,1\n", table.Options{Interval: -1}, "above zero"},
		{"words as a channel", "t,s,v\n0,on,1\n1,off,2\n", table.Options{Channels: []string{"s"}}, "holds no numbers"},
		{"across with times", "time,v\n0,1\n1,2\n", table.Options{Across: true}, "no times of their own"},
		{"cut gzip", cutGzip(), table.Options{}, "cut short"},
		{"a line without end", "t,v\n0,1\n" + strings.Repeat("7", 600_000) + "\n", table.Options{}, "line 3: the line is longer"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, _, err := read(c.text, c.options)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v; want %q", err, c.want)
			}
		})
	}
}

func cutGzip() string {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	for i := range 1000 {
		fmt.Fprintf(z, "%d,%d\n", i, i*i)
	}
	z.Close()
	return b.String()[:b.Len()/2]
}

// UTF-16, as spreadsheets write their "Unicode text".
func TestUTF16(t *testing.T) {
	text := "time\tµV\n0\t1\n1\t2\n"
	for _, big := range []bool{false, true} {
		b := []byte{0xff, 0xfe}
		if big {
			b = []byte{0xfe, 0xff}
		}
		for _, u := range utf16.Encode([]rune(text)) {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		tr, _, _, err := read(string(b), table.Options{})
		if err != nil || fmt.Sprint(tr.Values) != "[[1e-06 2e-06]]" {
			t.Error(tr, err)
		}
	}
}

// endless is a long table: rows of one length, without end in memory.
type endless struct {
	row, rows int
	text      [64]byte
	left      []byte
}

func (e *endless) Read(b []byte) (n int, err error) {
	for n < len(b) {
		if len(e.left) == 0 {
			if e.row == e.rows {
				return n, io.EOF
			}
			e.left = strconv.AppendInt(e.text[:0], int64(e.row), 10)
			e.left = strconv.AppendInt(append(e.left, ",5."...), int64(10_000+e.row%89_991), 10)
			e.left = append(strconv.AppendInt(append(e.left, ','), int64(e.row%977), 10), '\n')
			e.row++
		}
		k := copy(b[n:], e.left)
		e.left, n = e.left[k:], n+k
	}
	return n, nil
}

// Memory does not grow with the length of the file, and every row arrives, in
// order, however many workers there are.
func TestBoundedMemory(t *testing.T) {
	const rows = 500_000
	for _, workers := range []int{1, 2, 7} {
		r, err := table.Open(&endless{rows: rows}, table.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		next := 0.0
		s, err := r.Read(context.Background(), workers, func(b *trace.Block) error {
			for i, x := range b.Time {
				if x != next || b.Values[1][i] != float64(int(x)%977) {
					return fmt.Errorf("row %v where %v belongs", x, next)
				}
				next++
			}
			return nil
		})
		runtime.ReadMemStats(&after)
		if err != nil || s.Rows != rows || s.Lines != rows {
			t.Fatalf("%d rows, %v", s.Rows, err)
		}
		// Nine pieces of a quarter of a megabyte with seven workers, and what they
		// turn into; the text itself is 9 MB, and would be 12 MB as numbers.
		if used := after.TotalAlloc - before.TotalAlloc; used > uint64(workers+2)<<20 {
			t.Errorf("%d workers: %d kB were allocated", workers, used>>10)
		}
	}
}

// A cancelled reading ends at once, with the reason, and leaves no goroutine.
func TestCancel(t *testing.T) {
	before := runtime.NumGoroutine()
	ctx, stop := context.WithCancel(context.Background())
	r, err := table.Open(&endless{rows: math.MaxInt}, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	blocks := 0
	_, err = r.Read(ctx, 3, func(*trace.Block) error {
		if blocks++; blocks == 5 {
			stop()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || blocks != 5 {
		t.Errorf("%v after %d blocks", err, blocks)
	}
	full := errors.New("the disk is full")
	if r, err = table.Open(&endless{rows: math.MaxInt}, table.Options{}); err != nil {
		t.Fatal(err)
	}
	if _, err = r.Read(context.Background(), 3, func(*trace.Block) error { return full }); !errors.Is(err, full) {
		t.Error(err)
	}
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Errorf("%d goroutines, %d before", runtime.NumGoroutine(), before)
}

func ExampleOpen() {
	text := "Datum;Uhrzeit;Netzteil (mV)\n02.03.2026;10:40:00;5021,5\n02.03.2026;10:40:01;5019,0\n"
	r, err := table.Open(strings.NewReader(text), table.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range r.Notes() {
		fmt.Println(n)
	}
	tr, s, err := r.All(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Rows, "rows:", tr.Time, tr.Values[0])
	// Output:
	// delimiter: semicolon
	// decimal sign: comma
	// lines before the readings: 1
	// order of the date: day before month (either would fit; say month first if it is not so)
	// time: field "Datum" and "Uhrzeit", day first (it holds dates or clock times)
	// unit of "Netzteil (mV)": mV
	// 2 rows: [0 1] [5.0215 5.019]
}
