package watch

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// script is a source that plays answers; a nil channel in wait answers at once.
type script struct {
	answers []any // float64 or error
	asked   chan int
	release chan struct{} // one for each answer, when not nil
	history []string
	n       int
}

func (s *script) Read(ctx context.Context) (float64, error) {
	n := s.n
	s.n++
	if s.asked != nil {
		s.asked <- n
	}
	if s.release != nil {
		select {
		case <-s.release:
		case <-ctx.Done():
			return math.NaN(), ctx.Err()
		}
	}
	switch a := s.answers[n%len(s.answers)].(type) {
	case error:
		return math.NaN(), a
	default:
		return a.(float64), nil
	}
}

func (s *script) History() []string { return s.history }

// gathered keeps what a watch gives.
type gathered struct {
	mutex sync.Mutex
	rows  []Row
	notes []string
	fail  error
	got   chan struct{} // a token for each row, when not nil
}

func (g *gathered) Row(r Row) error {
	g.mutex.Lock()
	g.rows = append(g.rows, r)
	g.mutex.Unlock()
	if g.got != nil {
		g.got <- struct{}{}
	}
	return g.fail
}

func (g *gathered) Note(n Note) error {
	g.mutex.Lock()
	defer g.mutex.Unlock()
	g.notes = append(g.notes, n.Channel+": "+n.Text)
	return nil
}

// texts are the rows as they would stand in a file, without times.
func (g *gathered) texts() []string {
	var list []string
	for _, r := range g.rows {
		var fields []string
		for _, f := range r.Fields {
			fields = append(fields, string(f.State)+" "+f.text())
		}
		list = append(list, strings.Join(fields, ", "))
	}
	return list
}

// counting is a clock that goes on a millisecond each time it is looked at.
func counting() Clock {
	t := time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)
	var mutex sync.Mutex
	return func() time.Time {
		mutex.Lock()
		defer mutex.Unlock()
		t = t.Add(time.Millisecond)
		return t
	}
}

func TestRows(t *testing.T) {
	g := &gathered{got: make(chan struct{})}
	lost := errors.New("no answer")
	channels := []Channel{channel(t, "+5 limits=4.75..5.25 V"), channel(t, "R measure=ohms")}
	sources := []Source{
		&script{answers: []any{5.0, lost, lost, 5.1, math.NaN()}, history: []string{"it had errors stored"}},
		&script{answers: []any{100.0, math.Inf(1), math.Inf(-1), 101.0, 102.0}},
	}
	ticks := make(chan time.Time)
	done := make(chan error)
	go func() { done <- Run(t.Context(), channels, sources, ticks, counting(), g) }()
	for range 5 {
		ticks <- time.Time{}
		<-g.got
	}
	close(ticks)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	want := []string{
		"reading 5, reading 100",
		"no reading NaN, overload OL",
		"no reading NaN, negative overload -OL",
		"reading 5.1, reading 101",
		"not a number NaN, reading 102",
	}
	if got := g.texts(); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%q", got)
	}
	if fmt.Sprint(g.notes) != "[+5: no answer +5: answers again +5: it had errors stored]" {
		t.Errorf("%q", g.notes)
	}
	for i, r := range g.rows {
		if i > 0 && !r.Time.After(g.rows[i-1].Time) {
			t.Errorf("row %d goes back to %v", i, r.Time)
		}
		for _, f := range r.Fields {
			if f.State != Missing && f.At.Before(r.Time) {
				t.Errorf("row %d: a reading came before it was asked for", i)
			}
		}
	}
	if g.rows[0].Fields[0].Verdict == nil || g.rows[0].Fields[1].Verdict != nil {
		t.Error("verdicts")
	}
}

// TestSlowMeter checks that a meter that takes longer than the interval holds up
// no other, is not asked again meanwhile, and that its readings are not lost.
func TestSlowMeter(t *testing.T) {
	g := &gathered{got: make(chan struct{}, 10)}
	slow := &script{answers: []any{1.0, 2.0}, asked: make(chan int, 10), release: make(chan struct{})}
	fast := &script{answers: []any{10.0, 11.0, 12.0, 13.0}, asked: make(chan int, 10)}
	ticks := make(chan time.Time)
	done := make(chan error)
	ctx, stop := context.WithCancel(t.Context())
	go func() {
		done <- Run(ctx, []Channel{channel(t, "a"), channel(t, "b")}, []Source{slow, fast}, ticks, counting(), g)
	}()
	ticks <- time.Time{}
	<-slow.asked
	<-fast.asked
	// The row is closed by the next tick. The fast one may be a moment behind; it
	// is asked again only once its answer is in.
	ticks <- time.Time{}
	<-g.got
	slow.release <- struct{}{}
	<-g.got // both have answered, or the slow one alone
	ticks <- time.Time{}
	<-slow.asked
	if slow.n != 2 {
		t.Errorf("the slow one was asked %d times", slow.n)
	}
	slow.release <- struct{}{}
	<-g.got
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(fmt.Sprint(g.notes), "a: has not answered by the next row"); n != 1 {
		t.Errorf("%q", g.notes)
	}
	if len(g.rows) != 3 {
		t.Fatalf("%q", g.texts())
	}
	if a := g.rows[0].Fields[0]; a.State != Missing {
		t.Errorf("first row: %+v", a)
	}
	if a, b := g.rows[1].Fields[0], g.rows[2].Fields[0]; a.Value != 1 || b.Value != 2 {
		t.Errorf("%q", g.texts())
	}
}

// TestEnd checks that what has come is handed over when the watch ends, and that
// waiting meters do not keep it.
func TestEnd(t *testing.T) {
	g := &gathered{}
	silent := &script{answers: []any{1.0}, release: make(chan struct{})}
	quick := &script{answers: []any{10.0}}
	ctx, stop := context.WithCancel(t.Context())
	ticks := make(chan time.Time)
	done := make(chan error)
	reached := make(chan struct{})
	clock := counting()
	looks := 0
	now := func() time.Time {
		looks++
		if looks == 3 { // start, row, answer of the quick one
			close(reached)
		}
		return clock()
	}
	go func() {
		done <- Run(ctx, []Channel{channel(t, "a"), channel(t, "b")}, []Source{silent, quick}, ticks, now, g)
	}()
	ticks <- time.Time{}
	<-reached
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if got := g.texts(); len(got) != 1 || got[0] != "no reading NaN, reading 10" {
		t.Errorf("%q", got)
	}
}

func TestSinkFails(t *testing.T) {
	full := errors.New("the disk is full")
	ticks := make(chan time.Time, 1)
	ticks <- time.Time{}
	g := &gathered{fail: full}
	tally := NewTally([]Channel{channel(t, "a")})
	err := Run(t.Context(), []Channel{channel(t, "a")}, []Source{&script{answers: []any{1.0}}}, ticks, counting(), Sinks{g, tally})
	if !errors.Is(err, full) || tally.Rows != 0 {
		t.Error(err, tally.Rows)
	}
}

// TestStamps checks times against a clock of day that is set, and a computer that
// sleeps.
func TestStamps(t *testing.T) {
	start := time.Date(1983, 5, 2, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name  string
		steps [][2]time.Duration // counted, clock of day
		want  time.Duration
	}{
		{"undisturbed", [][2]time.Duration{{time.Minute, time.Minute}}, time.Minute},
		{"set back an hour", [][2]time.Duration{{time.Minute, time.Minute - time.Hour}}, time.Minute},
		{"set on by a second", [][2]time.Duration{{time.Minute, time.Minute + time.Second}}, time.Minute},
		{"slept an hour", [][2]time.Duration{{time.Minute, time.Minute}, {2 * time.Minute, time.Hour + 2*time.Minute}}, time.Hour + 2*time.Minute},
		{"slept, then counts on", [][2]time.Duration{{0, time.Hour}, {time.Minute, time.Hour + time.Minute}}, time.Hour + time.Minute},
		{"slept, then set back", [][2]time.Duration{{0, time.Hour}, {time.Minute, time.Minute}}, time.Hour + time.Minute},
	} {
		s := newStamper(func() time.Time { return start })
		var got time.Time
		for _, step := range c.steps {
			got = s.stamp(step[0], step[1])
		}
		if got.Sub(start) != c.want {
			t.Errorf("%s: %v after the start, not %v", c.name, got.Sub(start), c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := newStamper(func() time.Time { return start })
		counted, before := time.Duration(0), start
		for range rapid.IntRange(1, 30).Draw(t, "steps") {
			counted += time.Duration(rapid.Int64Range(0, 1e12).Draw(t, "counted"))
			day := counted + time.Duration(rapid.Int64Range(-1e14, 1e14).Draw(t, "set"))
			now := s.stamp(counted, day)
			if now.Before(before) {
				t.Fatalf("%v comes after %v", now, before)
			}
			before = now
		}
	})
}
