package instrument_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"net"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"halfsplit/instrument"
	"halfsplit/instrument/simulator"
)

const identity = "Tarn,Bench 60,T0042,1.2"

// slow is longer than a busy machine needs for anything.
const slow = 20 * time.Second

func function(t testing.TB, name string) instrument.Function {
	t.Helper()
	f, err := instrument.ParseFunction(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// network serves a meter over TCP until the test ends.
func network(t testing.TB, m *simulator.Meter) instrument.Address {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	address, wait, err := m.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(); wait() })
	a, err := instrument.ParseAddress(address)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func fiveVolts(string) float64 { return 5.0125 }

// lines are the ways to a meter that the tests go.
var lines = map[string]func(testing.TB, *simulator.Meter) instrument.Address{"tcp": network}

func TestReadings(t *testing.T) {
	values := map[string]float64{"VOLT:DC": -12.03, "VOLT:AC": 0.0042, "RES": 4.7e3, "FRES": 0.012, "TEMP": 41.5, "CURR:DC": 0.35, "CURR:AC": 1e-3, "FREQ": 50.02}
	for way, open := range lines {
		for _, f := range instrument.Functions() {
			t.Run(way+" "+f.Name, func(t *testing.T) {
				a := open(t, &simulator.Meter{Identity: identity, Source: func(f string) float64 { return values[f] }})
				m, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: f, Timeout: slow})
				if err != nil {
					t.Fatal(err)
				}
				defer m.Close()
				if m.Identity != (instrument.Identity{Maker: "Tarn", Model: "Bench 60", Serial: "T0042", Firmware: "1.2"}) {
					t.Errorf("%+v", m.Identity)
				}
				for range 3 {
					if v, err := m.Read(t.Context()); err != nil || math.Abs(v-values[f.Header]) > 1e-8*math.Abs(v) {
						t.Fatal(v, err)
					}
				}
				if c, err := m.Complaints(t.Context()); err != nil || len(c) > 0 {
					t.Error(c, err)
				}
			})
		}
	}
}

// TestFaults checks what is said of each fault, in the answer to each question
// that is asked.
func TestFaults(t *testing.T) {
	reads := map[simulator.Fault]struct {
		trouble instrument.Trouble // of a reading; empty for none
		value   float64
	}{
		simulator.Silence:          {instrument.Silence, math.NaN()},
		simulator.Garbage:          {instrument.Garbage, math.NaN()},
		simulator.HalfLine:         {instrument.HalfAnswer, math.NaN()},
		simulator.LateHalf:         {"", 5.0125},
		simulator.Late:             {"", 5.0125},
		simulator.Twice:            {"", 5.0125},
		simulator.Disconnect:       {instrument.Closed, math.NaN()},
		simulator.HalfDisconnect:   {instrument.HalfAnswer, math.NaN()},
		simulator.Flood:            {instrument.Garbage, math.NaN()},
		simulator.Overload:         {"", math.Inf(1)},
		simulator.NegativeOverload: {"", math.Inf(-1)},
		simulator.NotANumber:       {"", math.NaN()},
		simulator.FullQueue:        {"", 5.0125},
	}
	for way, open := range lines {
		for _, fault := range simulator.Faults() {
			t.Run(way+" "+fault.String(), func(t *testing.T) {
				t.Parallel()
				want, known := reads[fault]
				if !known {
					t.Fatal("no expectation")
				}
				a := open(t, &simulator.Meter{Identity: identity, Source: fiveVolts, Plan: simulator.Once("READ?", 2, fault), Pause: 20 * time.Millisecond})
				timeout := slow
				if fault == simulator.Silence || fault == simulator.HalfLine {
					timeout = 2 * time.Second
				}
				m, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: function(t, "DC volts"), Timeout: timeout})
				if err != nil {
					t.Fatal(err)
				}
				defer m.Close()
				if v, err := m.Read(t.Context()); v != 5.0125 || err != nil {
					t.Fatal(v, err)
				}
				v, err := m.Read(t.Context())
				var failure *instrument.Failure
				if errors.As(err, &failure) && failure.Trouble == instrument.Closed && way == "serial" && fault == simulator.HalfDisconnect {
					return // what had come went with the adapter
				}
				if errors.As(err, &failure) != (want.trouble != "") || (failure != nil && failure.Trouble != want.trouble) {
					t.Fatalf("%v; %s was to be expected", err, want.trouble)
				}
				if v != want.value && !(math.IsNaN(v) && math.IsNaN(want.value)) {
					t.Errorf("the value is %v, not %v", v, want.value)
				}
				if want.trouble != "" {
					return
				}
				if v, err := m.Read(t.Context()); v != 5.0125 || err != nil {
					t.Error("the reading after it:", v, err)
				}
				complaints, err := m.Complaints(t.Context())
				if err != nil || (len(complaints) > 0) != (fault == simulator.FullQueue) {
					t.Error(complaints, err)
				}
				if fault == simulator.FullQueue && (len(complaints) != simulator.QueueDepth || complaints[simulator.QueueDepth-1].Code != -350 || complaints[0].Code != -222) {
					t.Error(complaints)
				}
			})
		}
	}
}

// TestConnectFails checks that a meter that cannot be used is refused, and that
// the error says at which question and why.
func TestConnectFails(t *testing.T) {
	for _, c := range []struct {
		name     string
		meter    *simulator.Meter
		function string
		says     string
	}{
		{"silent", &simulator.Meter{Plan: simulator.Always("*IDN?", simulator.Silence)}, "DC volts", "no answer to *IDN?"},
		{"rubbish", &simulator.Meter{Plan: simulator.Always("*IDN?", simulator.Garbage)}, "DC volts", "is no identity"},
		{"hangs up", &simulator.Meter{Plan: simulator.Always("*IDN?", simulator.Disconnect)}, "DC volts", "the connection is gone"},
		{"no thermometer", &simulator.Meter{Only: []string{"VOLT:DC"}}, "temperature", "-113, Undefined header; can it measure temperature"},
		{"mute queue", &simulator.Meter{Plan: func(q string, _ int) simulator.Fault {
			if q == "SYST:ERR?" || q == "*ESR?" {
				return simulator.Silence
			}
			return simulator.None
		}}, "DC volts", "no answer to SYST:ERR?"},
		{"rubbish in the queue", &simulator.Meter{Plan: simulator.Always("SYST:ERR?", simulator.Garbage)}, "DC volts", "is no entry of an error queue"},
		{"endless queue", &simulator.Meter{Plan: simulator.Always("SYST:ERR?", simulator.FullQueue)}, "DC volts", "does not end after 256 entries"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.meter.Identity, c.meter.Source = identity, fiveVolts
			_, err := instrument.Connect(t.Context(), instrument.Setup{Address: network(t, c.meter), Function: function(t, c.function), Timeout: time.Second})
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v\ndoes not say: %s", err, c.says)
			}
		})
	}
}

func TestNobodyListens(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	a := instrument.Address{Host: l.Addr().String()}
	l.Close()
	if _, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: function(t, "ohms")}); err == nil || !strings.Contains(err.Error(), "is the meter on") {
		t.Error(err)
	}
	a = instrument.Address{Device: "/dev/no-such-port", Line: instrument.DefaultLine}
	if _, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: function(t, "ohms")}); err == nil || !strings.Contains(err.Error(), "cannot open the serial port /dev/no-such-port (9600 8N1)") {
		t.Error(err)
	}
}

// TestOlderMeters checks meters that lack something: an error queue, the
// CONFigure commands, a unit of temperature that can be set.
func TestOlderMeters(t *testing.T) {
	for _, c := range []struct {
		name     string
		meter    *simulator.Meter
		function string
		notes    int
		fails    string
	}{
		{"no queue", &simulator.Meter{NoQueue: true}, "ohms", 0, ""},
		{"no queue, no ohms", &simulator.Meter{NoQueue: true, Only: []string{"VOLT:DC"}}, "ohms", 0, "as the event register says"},
		{"no CONFigure", &simulator.Meter{NoConfigure: true}, "AC volts", 0, ""},
		{"fixed unit", &simulator.Meter{Fixed: true}, "temperature", 1, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.meter.Identity = identity
			c.meter.Source = func(f string) float64 { return float64(len(f)) }
			f := function(t, c.function)
			m, err := instrument.Connect(t.Context(), instrument.Setup{Address: network(t, c.meter), Function: f, Timeout: 2 * time.Second})
			if c.fails != "" {
				if err == nil || !strings.Contains(err.Error(), c.fails) {
					t.Error(err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			defer m.Close()
			if v, err := m.Read(t.Context()); v != float64(len(f.Header)) || err != nil {
				t.Error(v, err)
			}
			if len(m.History()) != c.notes {
				t.Error(m.History())
			}
		})
	}
}

// TestFirstCommands checks that what the manual asks for goes before all else,
// and that errors stored before are told, not taken for new ones.
func TestFirstCommands(t *testing.T) {
	sim := &simulator.Meter{Identity: identity, Source: fiveVolts}
	m, err := instrument.Connect(t.Context(), instrument.Setup{Address: network(t, sim), Function: function(t, "DC volts"), First: []string{"SYST:REM", "*OPC?"}, Timeout: slow})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	if len(m.Stored) != 1 || m.Stored[0].Code != -113 {
		t.Error(m.Stored)
	}
	if h := m.History(); len(h) != 1 || h[0] != "it had errors stored: -113, Undefined header" {
		t.Error(h)
	}
}

// TestCancel checks that waiting for a silent meter ends with the context.
func TestCancel(t *testing.T) {
	a := network(t, &simulator.Meter{Identity: identity, Source: fiveVolts, Plan: simulator.Always("READ?", simulator.Silence)})
	m, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: function(t, "DC volts"), Timeout: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer stop()
	if _, err := m.Read(ctx); !errors.Is(err, context.DeadlineExceeded) {
		t.Error(err)
	}
}

// hands is a clock that is set by hand.
type hands struct{ nanoseconds atomic.Int64 }

func (h *hands) now() time.Time          { return time.Unix(0, h.nanoseconds.Load()) }
func (h *hands) forward(d time.Duration) { h.nanoseconds.Add(int64(d)) }

// TestKept checks that a meter comes back after every fault, that it is set
// again, and that attempts are spaced out.
func TestKept(t *testing.T) {
	for way, open := range lines {
		for _, fault := range []simulator.Fault{simulator.Silence, simulator.Garbage, simulator.HalfLine, simulator.Disconnect, simulator.HalfDisconnect, simulator.Flood} {
			t.Run(way+" "+fault.String(), func(t *testing.T) {
				t.Parallel()
				sim := &simulator.Meter{Identity: identity, Plan: simulator.Once("READ?", 2, fault), Source: func(f string) float64 {
					if f != "RES" {
						return -1 // the setting was lost
					}
					return 100
				}}
				var clock hands
				timeout := slow
				if fault == simulator.Silence || fault == simulator.HalfLine {
					timeout = 2 * time.Second
				}
				k, err := instrument.Keep(t.Context(), instrument.Setup{Address: open(t, sim), Function: function(t, "ohms"), Timeout: timeout}, clock.now)
				if err != nil {
					t.Fatal(err)
				}
				defer k.Close()
				if v, err := k.Read(t.Context()); v != 100 || err != nil {
					t.Fatal(v, err)
				}
				var failure *instrument.Failure
				if _, err := k.Read(t.Context()); !errors.As(err, &failure) || k.Meter() != nil {
					t.Fatal(err)
				}
				sim.Execute("*RST") // it was switched off and on
				var away *instrument.Away
				if _, err := k.Read(t.Context()); !errors.As(err, &away) || !errors.Is(err, failure) {
					t.Fatal("no pause:", err)
				}
				clock.forward(time.Second)
				v, err := k.Read(t.Context())
				for begin := time.Now(); err != nil && time.Since(begin) < slow; { // until what was unplugged is back
					time.Sleep(time.Millisecond)
					clock.forward(time.Minute)
					v, err = k.Read(t.Context())
				}
				if v != 100 || err != nil || k.Meter() == nil {
					t.Fatal(v, err)
				}
			})
		}
	}
}

// TestPausesGrow checks the pauses between attempts while nobody listens.
func TestPausesGrow(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	sim := &simulator.Meter{Identity: identity, Source: fiveVolts}
	address, wait, err := sim.Listen(ctx, "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var clock hands
	k, err := instrument.Keep(t.Context(), instrument.Setup{Address: instrument.Address{Host: address}, Function: function(t, "ohms"), Timeout: slow}, clock.now)
	if err != nil {
		t.Fatal(err)
	}
	stop()
	wait()
	for i, want := range []time.Duration{1, 2, 4, 8, 16, 30, 30} {
		_, err := k.Read(t.Context())
		var away *instrument.Away
		if i > 0 {
			if !errors.As(err, &away) || away.Next.Sub(clock.now()) != want*time.Second {
				t.Fatalf("attempt %d: %v", i, err)
			}
		}
		clock.forward(want * time.Second)
	}
	if k.Close() != nil {
		t.Error("closing what is closed fails")
	}
}

// TestRandomFaults reads through a storm of faults: every value that comes is
// right, or an overload or missing where the meter said so.
func TestRandomFaults(t *testing.T) {
	source := rand.New(rand.NewPCG(1983, 6))
	sim := &simulator.Meter{Identity: identity, Source: fiveVolts, Pause: time.Millisecond,
		Plan: simulator.Random(source, 0.3, simulator.Garbage, simulator.Disconnect, simulator.HalfDisconnect, simulator.LateHalf, simulator.Overload, simulator.NotANumber, simulator.Twice)}
	var clock hands
	k, err := instrument.Keep(t.Context(), instrument.Setup{Address: network(t, sim), Function: function(t, "DC volts"), Timeout: slow}, clock.now)
	if err != nil {
		t.Fatal(err)
	}
	defer k.Close()
	right, failed := 0, 0
	for range 300 {
		v, err := k.Read(t.Context())
		clock.forward(time.Minute)
		switch {
		case err != nil:
			failed++
		case v == 5.0125:
			right++
		case !math.IsNaN(v) && !math.IsInf(v, 1):
			t.Fatal(v)
		}
	}
	if right < 150 || failed == 0 {
		t.Errorf("%d right, %d failed", right, failed)
	}
}

// BenchmarkRead is a reading over TCP on one machine.
func BenchmarkRead(b *testing.B) {
	a := network(b, &simulator.Meter{Identity: identity, Source: fiveVolts})
	m, err := instrument.Connect(b.Context(), instrument.Setup{Address: a, Function: function(b, "DC volts")})
	if err != nil {
		b.Fatal(err)
	}
	defer m.Close()
	for b.Loop() {
		if _, err := m.Read(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
