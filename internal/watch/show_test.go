package watch

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"
)

// course is a short watch: right, outside, overload, nothing.
func course(t testing.TB) ([]Channel, []Row, Note) {
	t.Helper()
	begun := time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)
	c := []Channel{channel(t, "+5 limits=4.75..5.25 V"), channel(t, "heatsink measure=temperature")}
	c[0].About = "DC volts"
	missing := Field{State: Missing, Value: math.NaN()}
	at := func(n int) time.Time { return begun.Add(time.Duration(n) * time.Second) }
	return c, []Row{
		{at(1), []Field{c[0].field(5.01, at(1)), c[1].field(22, at(1))}},
		{at(2), []Field{c[0].field(5.25, at(2)), c[1].field(0, at(2))}},
		{at(3), []Field{c[0].field(5.5, at(3)), missing}},
		{at(4), []Field{c[0].field(math.Inf(1), at(4)), c[1].field(math.NaN(), at(4))}},
	}, Note{at(3), "heatsink", "no answer to READ?\x1b[2J"}
}

func play(t testing.TB, s Sink) {
	t.Helper()
	_, rows, note := course(t)
	for i, r := range rows {
		if i == 2 {
			if err := s.Note(note); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.Row(r); err != nil {
			t.Fatal(err)
		}
	}
}

func TestLines(t *testing.T) {
	var b strings.Builder
	c, _, _ := course(t)
	play(t, &Lines{To: &b, Channels: c})
	const want = `09:00:01.000  +5  5.01000 V  within
09:00:01.000  heatsink  22.0000 °C
09:00:02.000  +5  5.25000 V  too close to call
09:00:02.000  heatsink  0 °C
09:00:03.000  heatsink: no answer to READ? [2J
09:00:03.000  +5  5.50000 V  outside
09:00:03.000  heatsink  no reading
09:00:04.000  +5  overload
09:00:04.000  heatsink  not a number
`
	if b.String() != want {
		t.Error(b.String())
	}
}

func TestSum(t *testing.T) {
	var b strings.Builder
	c, _, _ := course(t)
	tally := NewTally(c)
	play(t, tally)
	if err := Sum(&b, tally, c, "watch.csv"); err != nil {
		t.Fatal(err)
	}
	const want = `Watched for 3 s: 4 rows, in watch.csv
            readings     lowest     highest        mean  within  too close  outside  overload  missing
  +5               3  5.01000 V   5.50000 V   5.25333 V       1          1        1         1        0
  heatsink         2       0 °C  22.0000 °C  11.0000 °C       –          –        –         0        2
+5 was first outside at 09:00:03.000, 2 s into the watch
`
	if b.String() != want {
		t.Error(b.String())
	}
}

func TestJSONLines(t *testing.T) {
	var b strings.Builder
	c, _, _ := course(t)
	tally := NewTally(c)
	j := &JSON{To: &b, Channels: c}
	play(t, Sinks{tally, j})
	if err := j.End(tally, "watch.csv"); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	if len(lines) != 8+1+1 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, l := range lines {
		var v map[string]any
		if err := json.Unmarshal([]byte(l), &v); err != nil {
			t.Errorf("%s: %v", l, err)
		}
	}
	const first = `{"time":"1983-05-02T09:00:01.000Z","meter":"+5","state":"reading","value":5.01,"unit":"V","verdict":"within","probability_of_conformity":1,`
	if !strings.HasPrefix(lines[0], first) || !strings.HasSuffix(lines[0], `"low":4.75,"high":5.25}`) {
		t.Error(lines[0])
	}
	const overload = `{"time":"1983-05-02T09:00:04.000Z","meter":"+5","state":"overload","value":null,"unit":"V","low":4.75,"high":5.25}`
	if lines[7] != overload {
		t.Error(lines[7])
	}
	const end = `{"rows":4,"trace":"watch.csv","meters":[{"meter":"+5","readings":3,"lowest":5.01,"highest":5.5,`
	if !strings.HasPrefix(lines[9], end) || !strings.Contains(lines[9], `"first_outside":"1983-05-02T09:00:03.000Z"`) {
		t.Error(lines[9])
	}
}

// TestScreen checks that the screen is drawn anew in place, fits, and lets
// nothing through that a meter might send to a terminal.
func TestScreen(t *testing.T) {
	var b strings.Builder
	c, rows, _ := course(t)
	tally := NewTally(c)
	s := NewScreen(&b, c, tally, strings.Repeat("long name ", 10), rows[0].Time)
	play(t, Sinks{tally, s})
	frames := strings.Split(b.String(), "\x1b[J")
	last := frames[len(frames)-2]
	for _, want := range []string{"0:00:03  4 rows", "+5               overload", "▁▄█", "1 outside", "09:00:03  heatsink: no answer to READ? [2J"} {
		if !strings.Contains(last, want) {
			t.Errorf("%q is missing in\n%s", want, last)
		}
	}
	for _, frame := range frames {
		for _, l := range strings.Split(frame, "\n") {
			l = l[strings.LastIndex(l, "\x1b[K")+1:]
			if n := len([]rune(strings.TrimPrefix(l, "[K"))); n > screenWidth {
				t.Errorf("%d characters: %s", n, l)
			}
		}
	}
	if strings.Contains(b.String(), "\x1b[2J") {
		t.Error("what a meter sent went to the terminal")
	}
	if up := strings.Count(b.String(), "A\r"); up != len(frames)-2 {
		t.Errorf("%d frames go up", up)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("nobody reads") }

func TestNobodyReads(t *testing.T) {
	c, rows, note := course(t)
	tally := NewTally(c)
	for name, s := range map[string]Sink{"lines": &Lines{full{}, c}, "json": &JSON{full{}, c}, "screen": NewScreen(full{}, c, tally, "", rows[0].Time)} {
		if s.Row(rows[0]) == nil || s.Note(note) == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if Sum(full{}, tally, c, "") == nil {
		t.Error("sum: no error")
	}
}

// TestPretended checks that the simulated meters show what they are for: a rail
// that is right, sinks as it warms, and shuts down when hot.
func TestPretended(t *testing.T) {
	c := channel(t, "+5 limits=4.75..5.25 V")
	right := middle(&c)
	if cold, warm, off := pretended(0, right, c.function, 0), pretended(89, right, c.function, 0), pretended(91, right, c.function, 0); cold <= warm || !c.Limit.Contains(warm) || off > 1 {
		t.Error(cold, warm, off)
	}
	heat := channel(t, "heatsink measure=temperature limits=at most 70 °C")
	if cold, hot := pretended(0, middle(&heat), heat.function, 0), pretended(300, middle(&heat), heat.function, 0); cold != 22 || hot < 55 || hot > 60 {
		t.Error(cold, hot)
	}
	for meter, want := range map[string]float64{"a": 5, "a limits=at least 3 V": 4.5, "a limits=at most -3 V": -4.5, "a limits=any V": 5} {
		w, err := ParseWanted(meter, true)
		if err != nil {
			t.Fatal(err)
		}
		c, err := NewChannel(w, nil)
		if err != nil { // limits on neither side are none
			continue
		}
		if got := middle(&c); got != want {
			t.Errorf("%s: %v, not %v", meter, got, want)
		}
	}
	for _, text := range Demonstration() {
		channel(t, text)
	}
}
