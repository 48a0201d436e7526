package watch

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/instrument"
	"halfsplit/instrument/simulator"
	"halfsplit/internal/plain"
	"halfsplit/soak"
	"halfsplit/trace/event"
)

var soakBegun = time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)

// fastClock is a clock that somebody turns.
type fastClock struct {
	mutex sync.Mutex
	time  time.Time
}

func (c *fastClock) now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.time
}

func (c *fastClock) turn(by time.Duration) time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.time = c.time.Add(by)
	return c.time
}

// bench watches a simulated unit over a connection, at a clock that runs as fast
// as the meters answer: a row every ten seconds of it. The unit warms up from 22
// to 45 °C with a time constant of ten minutes; volts gives its rail, which reads
// with noise of 1 mV. The watch ends when done says so, or after a day.
func bench(t *testing.T, history []soak.Run, volts func(seconds float64) float64, done func(*Soak) bool) *Soak {
	t.Helper()
	const every = 10 * time.Second
	ctx, stop := context.WithCancel(t.Context())
	clock := &fastClock{time: soakBegun}
	random := rand.New(rand.NewPCG(1983, 5))
	channels := []Channel{channel(t, "+5 limits=4.75..5.25 V"), channel(t, "heatsink measure=temperature")}
	seconds := func() float64 { return clock.now().Sub(soakBegun).Seconds() }
	meters := []func(string) float64{
		func(string) float64 { return volts(seconds()) + 0.001*random.NormFloat64() },
		func(string) float64 { return 22 + 23*(1-math.Exp(-seconds()/600)) },
	}
	var sources []Source
	var waits []func()
	for i, source := range meters {
		m := &simulator.Meter{Identity: "Tarn,Bench 60,0,0", Source: source}
		at, wait, err := m.Listen(ctx, "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		w, err := ParseWanted(channels[i].Name+"="+at+map[bool]string{true: " measure=temperature"}[i == 1], false)
		if err != nil {
			t.Fatal(err)
		}
		k, err := instrument.Keep(ctx, w.Setup, clock.now)
		if err != nil {
			t.Fatal(err)
		}
		waits = append(waits, func() { k.Close() }, func() { wait() })
		sources = append(sources, k)
	}
	s, err := NewSoak(SoakPlan{History: history, Given: soak.StrictAssumptions(0.5), Judged: []int{0}, Thermometer: 1, Every: every}, channels)
	if err != nil {
		t.Fatal(err)
	}
	g := &gathered{got: make(chan struct{})}
	ticks, ended := make(chan time.Time), make(chan error)
	go func() { ended <- Run(ctx, channels, sources, ticks, clock.now, Sinks{s, g}) }()
	for range 24 * 360 {
		ticks <- clock.turn(every)
		<-g.got
		if done(s) {
			break
		}
	}
	close(ticks)
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	waits[0]()
	waits[2]()
	stop()
	waits[1]()
	waits[3]()
	if err := s.Finish(); err != nil {
		t.Fatal(err)
	}
	return s
}

// threeFailures are a history of three failures after half an hour, at 42 °C.
func threeFailures() []soak.Run {
	f := soak.Run{Duration: 1800, Failed: true, Temperature: 42}
	return []soak.Run{f, f, f}
}

// TestRepairedUnit watches a unit without the fault until the advice is to stop.
// It needs, hot, what package soak reckons for an unbroken run before it began;
// 40 °C, from which running counts, is reached after 600·ln(23/5) = 915.6 s.
func TestRepairedUnit(t *testing.T) {
	var told []time.Time
	s := bench(t, threeFailures(), func(float64) float64 { return 5.01 }, func(s *Soak) bool {
		if s.Phase == Counting {
			told = append(told, s.Reaches()[1].At)
		}
		return s.Assessment.Advice.Kind == soak.Stop
	})
	if s.Failure != nil || s.Assessment.Advice.Kind != soak.Stop || s.Advice() != "reached: stop" {
		t.Fatalf("%v %+v", s.Lines(), s.Failure)
	}
	plan, err := soak.Assess(threeFailures(), nil, soak.StrictAssumptions(0.5))
	if err != nil {
		t.Fatal(err)
	}
	n := plan.Proof().Targets[1]
	need := max(n.BySurvival.Total, n.ByBelief.Total)
	if got := s.Assessment.CleanTime; got < need || got > need+10 {
		t.Errorf("it took %v s, not %v", got, need)
	}
	if math.Abs(s.Cool()-(915.6-10)) > 1 { // the first row is at 10 s
		t.Errorf("%v s were too cool", s.Cool())
	}
	if p := s.Assessment.Proof(); p.SurvivalIfUnrepaired > 0.05 || p.Fixed < 0.95 {
		t.Errorf("%+v", p)
	}
	// The time of day at which it would be was right from the first.
	if len(told) < 100 || told[1].Sub(s.Now).Abs() > 11*time.Second {
		t.Errorf("it was to be at %v, and was at %v", told[1], s.Now)
	}
}

// TestUnrepairedUnit watches one whose rail drops out for 30 s when it has run for
// 50 minutes. At 3000 s the heatsink is at 45 − 23·exp(−5) = 44.845 °C.
func TestUnrepairedUnit(t *testing.T) {
	s := bench(t, threeFailures(), func(seconds float64) float64 {
		if seconds >= 3000 && seconds < 3030 {
			return 0.4
		}
		return 5.01
	}, func(s *Soak) bool { return s.Now.Sub(soakBegun) > 90*time.Minute })
	f := s.Failure
	if f == nil || !s.Assessment.FailedAgain || s.Assessment.Advice.Kind != soak.RepairAgain || s.Advice() != "it failed: stop, it is not repaired" {
		t.Fatal(s.Lines())
	}
	if f.Channel != "+5" || f.At.Sub(soakBegun) != 3000*time.Second || f.Ran != 2990 || math.Abs(f.Temperature-44.845) > 0.01 || f.Confidence < event.SureEnough {
		t.Errorf("%+v", f)
	}
	if s.Assessment.Proof().Fixed != 0 || s.Phase != Failed {
		t.Errorf("%+v", s.Assessment.Proof())
	}
}

// rows makes rows a second apart of one rail, and of the temperature where there
// is one.
func rows(t *testing.T, s *Soak, sinks Sinks, volts []float64, celsius []float64) {
	t.Helper()
	for i, v := range volts {
		at := soakBegun.Add(time.Duration(i) * time.Second)
		r := Row{Time: at, Fields: []Field{s.channels[0].field(v, at)}}
		if celsius != nil {
			r.Fields = append(r.Fields, s.channels[1].field(celsius[i], at))
		}
		if err := append(Sinks{s}, sinks...).Row(r); err != nil {
			t.Fatal(err)
		}
	}
}

func newSoak(t testing.TB, history []soak.Run, thermometer int) *Soak {
	t.Helper()
	channels := []Channel{channel(t, "+5 limits=4.75..5.25 V"), channel(t, "heatsink measure=temperature")}
	s, err := NewSoak(SoakPlan{History: history, Given: soak.StrictAssumptions(0.5), Judged: []int{0}, Thermometer: thermometer, Every: time.Second}, channels)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestSoakPhases checks what counts. Readings are a second apart.
func TestSoakPhases(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name      string
		volts     []float64
		celsius   []float64 // nil without a thermometer
		hot, cool float64
		phase     Phase
		doubtful  int
	}{
		{"it is not on yet", []float64{0, 0, 0}, nil, 0, 0, Waiting, 0},
		{"it is switched on", []float64{0, 0, 0, 5, 5.01, 5}, nil, 2, 0, Counting, 0},
		{"one reading may be a slip", []float64{5, 5.01, 5, 0, 5, 5.01}, nil, 5, 0, Counting, 1},
		{"one reading may be a slip, at the end", []float64{5, 5.01, 5, 0}, nil, 2, 0, Doubtful, 1},
		{"two are a failure", []float64{5, 5.01, 5, 0, 0}, nil, 3, 0, Failed, 0},
		{"an overload is outside", []float64{5, 5.01, 5, inf, inf}, nil, 3, 0, Failed, 0},
		{"a missing reading ends nothing", []float64{5, nan, 5.01, 5}, nil, 3, 0, Counting, 0},
		{"silence", []float64{5, nan, nan}, nil, 0, 0, Blind, 0},
		{"warming up: 38 to 42 °C in a second is hot for half of it", []float64{5, 5.01, 5}, []float64{38, 42, 43}, 1.5, 0.5, Counting, 0},
		{"too cool", []float64{5, 5.01, 5}, []float64{30, 30, 30}, 0, 2, TooCool, 0},
		{"no temperature", []float64{5, 5.01, 5}, []float64{nan, nan, nan}, 0, 0, Blind, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			thermometer := -1
			if c.celsius != nil {
				thermometer = 1
			}
			s := newSoak(t, threeFailures(), thermometer)
			rows(t, s, nil, c.volts, c.celsius)
			if err := s.Finish(); err != nil {
				t.Fatal(err)
			}
			if s.Phase == Failed {
				if s.Failure.Ran != c.hot {
					t.Errorf("ran for %v s", s.Failure.Ran)
				}
			} else if math.Abs(s.Assessment.CleanTime-c.hot) > 1e-9 {
				t.Errorf("%v s count", s.Assessment.CleanTime)
			}
			if s.Phase != c.phase || math.Abs(s.Cool()-c.cool) > 1e-9 || s.DoubtfulSpells() != c.doubtful {
				t.Errorf("%s, %v s too cool, %d doubtful", s.Phase, s.Cool(), s.DoubtfulSpells())
			}
			if warm := s.Assessment.Advice.Kind == soak.WarmUp; warm != (c.phase == TooCool) {
				t.Error(s.Advice())
			}
		})
	}
}

// TestUnwatched checks that a night in which the computer slept is no soak.
func TestUnwatched(t *testing.T) {
	s := newSoak(t, threeFailures(), -1)
	for _, at := range []time.Duration{0, time.Second, 8 * time.Hour, 8*time.Hour + 10*time.Second} {
		if err := s.Row(Row{Time: soakBegun.Add(at), Fields: []Field{s.channels[0].field(5, soakBegun)}}); err != nil {
			t.Fatal(err)
		}
	}
	if s.Assessment.CleanTime != 11 || !strings.Contains(s.Lines()[0], "8 h not watched") {
		t.Error(s.Assessment.CleanTime, s.Lines())
	}
}

// TestSoakLines checks the lines of a soak of one failure after 10 s: sure to 90 %
// after 10·(10 − 1) = 90 s, to 95 % after 10·(20 − 1) = 190 s, to 99 % after 990 s.
func TestSoakLines(t *testing.T) {
	s := newSoak(t, []soak.Run{{Duration: 10, Failed: true, Temperature: math.NaN()}}, -1)
	volts := make([]float64, 205)
	for i := range volts {
		volts[i] = 5 + 0.001*float64(i%3)
	}
	volts[202], volts[203], volts[204] = 0.3, 0.3, 0.3
	var text, program strings.Builder
	rows(t, s, Sinks{&SoakLines{To: &text, Soak: s}, &SoakLines{To: &program, Soak: s, JSON: true}}, volts, nil)
	var times []string
	for line := range strings.Lines(text.String()) {
		times = append(times, line[:8]+line[strings.LastIndex(line, ";")+1:len(line)-1])
	}
	want := []string{"09:00:00 run on", "09:01:00 run on", "09:01:30 run on", "09:02:30 run on", "09:03:10 reached: stop",
		"09:03:22 it may have failed: wait for further readings", "09:03:23 it failed: stop, it is not repaired"}
	if d := cmp.Diff(want, times); d != "" {
		t.Error(d, text.String())
	}
	for _, want := range []string{
		"soak: 90 s clean (how hot it is is not watched); counting; not by luck 90.0 %, fixed 90.9 %  ▁",
		"90 % in 2 min (09:01), 95 % in 4 min (09:03), 99 % in 17 min (09:16); run on\n",
		"90 % reached, 95 % reached, 99 % in 14 min (09:16); reached: stop\n",
		"soak: +5 shutdown at 09:03:22, after 3 min 22 s, 99.8 % sure; it failed",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is missing in\n%s", want, text.String())
		}
	}
	lines := strings.Split(strings.TrimSpace(program.String()), "\n")
	var last struct {
		Time string
		Soak struct {
			Advice  string
			Failure struct {
				Meter string
				Ran   float64 `json:"ran_seconds"`
			}
		}
	}
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &last); err != nil {
		t.Fatal(err)
	}
	if len(lines) != len(want) || last.Soak.Advice != "repair again" || last.Soak.Failure.Meter != "+5" || last.Soak.Failure.Ran != 202 {
		t.Error(program.String())
	}
}

// TestSoakRefuses checks what cannot be judged.
func TestSoakRefuses(t *testing.T) {
	channels := []Channel{channel(t, "+5")}
	for _, c := range []struct {
		judged []int
		want   string
	}{{nil, "no channel shows"}, {[]int{0}, "+5 has no limits"}} {
		_, err := NewSoak(SoakPlan{History: threeFailures(), Given: soak.StrictAssumptions(0.5), Judged: c.judged, Thermometer: -1}, channels)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Error(err)
		}
	}
}

// TestSoakCounts checks against any course of readings that no more counts than
// has gone by, and that the time of a failure is that which package event finds.
func TestSoakCounts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		volts := rapid.SliceOfN(rapid.SampledFrom([]float64{5, 5.01, 5.02, 4.9, 0.2, math.NaN(), math.Inf(1)}), 1, 60).Draw(rt, "volts")
		celsius := rapid.SliceOfN(rapid.SampledFrom([]float64{20, 39, 41, 45, math.NaN()}), len(volts), len(volts)).Draw(rt, "celsius")
		s := newSoak(t, threeFailures(), 1)
		rows(t, s, nil, volts, celsius)
		if gone := float64(len(volts) - 1); s.hot+s.cool+s.unwatched > gone+1e-9 {
			rt.Fatalf("%v + %v s of %v", s.hot, s.cool, gone)
		}
		if s.Failure != nil && (s.Failure.Confidence < event.SureEnough || !(s.Failure.Ran > 0)) {
			rt.Fatalf("%+v", s.Failure)
		}
		if p := s.Assessment.Proof(); !(p.Fixed >= 0 && p.Fixed <= 1) {
			rt.Fatal(p)
		}
	})
}

// TestSoakScreen checks that the screen shows the soak below the meters.
func TestSoakScreen(t *testing.T) {
	s := newSoak(t, threeFailures(), 1)
	var b strings.Builder
	tally := NewTally(s.channels)
	screen := NewScreen(&b, s.channels, tally, "", soakBegun)
	screen.Soak = s
	rows(t, s, Sinks{tally, screen}, []float64{5, 5.01, 5}, []float64{41, 41, 41})
	_, latest, _ := strings.Cut(b.String()[strings.LastIndex(b.String(), "heatsink"):], "\n")
	a, err := soak.Assess(threeFailures(), []soak.Run{{Duration: 2, Temperature: 41}}, soak.StrictAssumptions(0.5))
	if err != nil {
		t.Fatal(err)
	}
	luck := plain.Chance(1 - a.Proof().SurvivalIfUnrepaired) // of 2 s: reckoned every second
	want := []string{"  soak: 2 s clean at 40.0 °C or hotter; counting", "  not by luck " + luck + ", fixed 50.0 %  ▁│", "  90 % in ", "  run on"}
	lines := strings.Split(latest, "\n")
	for i, w := range want {
		if l := strings.TrimPrefix(lines[i], "\r\x1b[K"); !strings.HasPrefix(l, w) {
			t.Errorf("%q does not begin with %q", l, w)
		}
	}
}
