package signal_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"halfsplit/signal"

	"pgregory.net/rapid"
)

// likeliest is the state that a reading speaks for most, the first among
// equals.
func likeliest(l signal.Likelihood) signal.State {
	return signal.State(slices.Index(l[:], slices.Max(l[:])))
}

// rail is what a supply rail should read, with limits in per cent.
func rail(nominal, percent float64) signal.Expectation {
	half := math.Abs(nominal) * percent / 100
	return signal.Expectation{Nominal: nominal, Low: nominal - half, High: nominal + half}
}

// zeroed is a point that should sit at zero: an amplifier's output, a balanced
// midpoint.
func zeroed(half float64) signal.Expectation {
	return signal.Expectation{Low: -half, High: half}
}

// TestFromNumber: which state a reading speaks for most, and which it speaks
// for more than for good. Common practice, no source.
func TestFromNumber(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name    string
		reading float64
		u       float64
		e       signal.Expectation
		want    signal.State
	}{
		{"a rail at its nominal value", 5, 0.01, rail(5, 5), signal.Good},
		{"a rail near its limit", 4.8, 0.01, rail(5, 5), signal.Good},
		{"a rail sagging", 4.2, 0.01, rail(5, 5), signal.Low},
		{"a rail at half its value", 2.5, 0.01, rail(5, 5), signal.Low},
		{"a rail with next to nothing on it", 0.05, 0.01, rail(5, 5), signal.Absent},
		{"a rail with nothing on it", 0, 0.01, rail(5, 5), signal.Absent},
		{"a rail too high", 6.5, 0.01, rail(5, 5), signal.High},
		{"raw voltage on the rail: a shorted pass transistor", 18, 0.05, rail(5, 5), signal.High},
		{"mains on the rail", 325, 1, rail(5, 5), signal.High},
		{"a negative rail at its nominal value", -12, 0.02, rail(-12, 5), signal.Good},
		{"a negative rail weak", -8, 0.02, rail(-12, 5), signal.Low},
		{"a negative rail gone", -0.1, 0.02, rail(-12, 5), signal.Absent},
		{"a negative rail too large", -17, 0.02, rail(-12, 5), signal.High},
		{"an unregulated rail", 20, 0.1, rail(22, 15), signal.Good},
		{"an unregulated rail at half", 11, 0.1, rail(22, 15), signal.Low},
		{"a rail with wide limits", 5, 0.05, rail(5, 80), signal.Good},
		{"a rail with wide limits, nothing there", 0, 0.05, rail(5, 80), signal.Absent},
		{"a rail with wide limits, too high", 11, 0.05, rail(5, 80), signal.High},
		{"an offset of nothing", 0, 0.001, zeroed(0.05), signal.Good},
		{"an offset a little off", 0.2, 0.001, zeroed(0.05), signal.High},
		{"an output at its positive rail", 13.5, 0.01, zeroed(0.05), signal.High},
		{"an output at its negative rail", -13.5, 0.01, zeroed(0.05), signal.Low},
		{"exact limits, met", 10, 0.001, signal.Expectation{Nominal: 10, Low: 10, High: 10}, signal.Good},
		{"exact limits, missed", 9, 0.001, signal.Expectation{Nominal: 10, Low: 10, High: 10}, signal.Low},
		{"exactly zero, met", 0, 0, signal.Expectation{}, signal.Good},
		{"exactly zero, missed", 3, 0, signal.Expectation{}, signal.High},
		{"at least, met", 12.6, 0.02, signal.Expectation{Nominal: 12.6, Low: 11.8, High: inf}, signal.Good},
		{"at least, missed", 9, 0.02, signal.Expectation{Nominal: 12.6, Low: 11.8, High: inf}, signal.Low},
		{"at most, met", 0.03, 0.001, signal.Expectation{Low: math.Inf(-1), High: 0.05}, signal.Good},
		{"at most, missed", 0.4, 0.001, signal.Expectation{Low: math.Inf(-1), High: 0.05}, signal.High},
		{"no limits at all, a tenth is assumed", 5.1, 0.01, signal.Expectation{Nominal: 5, Low: math.Inf(-1), High: inf}, signal.Good},
		{"no limits at all, far off", 2, 0.01, signal.Expectation{Nominal: 5, Low: math.Inf(-1), High: inf}, signal.Low},
		{"a crystal at its rate", 4e6, 10, rail(4e6, 1), signal.Good},
	} {
		l := signal.FromNumber(c.reading, c.u, c.e)
		if got := likeliest(l); got != c.want {
			t.Errorf("%s: %v reads as %v (%.3g), want %v (%.3g)", c.name, c.reading, got, l[got], c.want, l[c.want])
		}
		if c.want != signal.Good && l[c.want] < 3*l[signal.Good] {
			t.Errorf("%s: %v speaks for %v only %.2f times as much as for good", c.name, c.reading, c.want, l[c.want]/l[signal.Good])
		}
	}
}

// Zero is what a grounded or a good point near zero reads alike.
func TestAbsenceAtZero(t *testing.T) {
	l := signal.FromNumber(0.01, 0.001, zeroed(0.05))
	if l[signal.Absent] != l[signal.Good] {
		t.Errorf("absent %v, good %v; a point that should be at zero cannot tell them apart", l[signal.Absent], l[signal.Good])
	}
}

// A meter so poor that it says nothing leaves the states nearly as they were.
func TestPoorMeter(t *testing.T) {
	for _, e := range []signal.Expectation{rail(5, 5), rail(-12, 10), zeroed(0.1)} {
		l := signal.FromNumber(e.Nominal, 1e6, e)
		if ratio := slices.Max(l[:]) / slices.Min(l[:]); ratio > 3.5 {
			t.Errorf("%v with an uncertainty of 1e6: the states differ by a factor of %.2f", e, ratio)
		}
	}
}

// anyExpectation draws two-sided limits around a nominal value of any size.
func anyExpectation(t *rapid.T) signal.Expectation {
	nominal := rapid.SampledFrom([]float64{1, -1, 0}).Draw(t, "sign") * math.Pow(10, rapid.Float64Range(-3, 6).Draw(t, "size"))
	size, least := math.Abs(nominal), 0.0
	if size == 0 {
		size, least = 1, 0.01
	}
	return signal.Expectation{
		Nominal: nominal,
		Low:     nominal - size*rapid.Float64Range(least, 0.9).Draw(t, "below"),
		High:    nominal + size*rapid.Float64Range(least, 0.9).Draw(t, "above"),
	}
}

// A negative rail is a positive one turned over.
func TestFromNumberMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyExpectation(t)
		size := max(math.Abs(e.Low), math.Abs(e.High), 1e-3)
		x := size * rapid.Float64Range(-4, 4).Draw(t, "reading")
		u := size * rapid.Float64Range(0, 2).Draw(t, "u")
		straight := signal.FromNumber(x, u, e)
		turned := signal.FromNumber(-x, u, signal.Expectation{Nominal: -e.Nominal, Low: -e.High, High: -e.Low})
		if e.Low+e.High == 0 { // balanced about zero: more of the one is less of the other
			if straight[signal.Low] != turned[signal.High] || straight[signal.Good] != turned[signal.Good] {
				t.Fatalf("about zero: low %v, turned high %v", straight[signal.Low], turned[signal.High])
			}
			return
		}
		for s := range straight {
			if math.Abs(straight[s]-turned[s]) > 1e-9*straight[s] {
				t.Fatalf("%v: %v, turned over %v", signal.State(s), straight[s], turned[s])
			}
		}
	})
}

// Volts or millivolts: the ratios, and so what a reading says, are the same.
func TestFromNumberUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyExpectation(t)
		size := max(math.Abs(e.Low), math.Abs(e.High), 1e-3)
		x := size * rapid.Float64Range(-4, 4).Draw(t, "reading")
		u := size * rapid.Float64Range(0, 2).Draw(t, "u")
		volts := signal.FromNumber(x, u, e)
		millivolts := signal.FromNumber(1000*x, 1000*u, signal.Expectation{Nominal: 1000 * e.Nominal, Low: 1000 * e.Low, High: 1000 * e.High})
		for s := range volts {
			if math.Abs(volts[s]-1000*millivolts[s]) > 1e-6*volts[s] {
				t.Fatalf("%v: %v per volt, %v per millivolt", signal.State(s), volts[s], millivolts[s])
			}
		}
	})
}

// In the middle of the limits nothing is likelier than good, with whatever
// meter.
func TestMiddleIsGood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyExpectation(t)
		size := max(math.Abs(e.Low), math.Abs(e.High), 1e-3)
		u := size * math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "u"))
		l := signal.FromNumber((e.Low+e.High)/2, u, e)
		if best := likeliest(l); l[best] > l[signal.Good]*(1+1e-9) {
			t.Fatalf("%v at the middle of %v with u %v: %v %v, good %v", (e.Low+e.High)/2, e, u, best, l[best], l[signal.Good])
		}
	})
}

// The further a reading falls below the limit, down to half of it, the more it
// speaks for low against good, and the further it rises, up to half as much
// again, the more for high; until good is down to one in fifty, where only a
// slip is left to weigh, and there it stays.
func TestFromNumberMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nominal := math.Pow(10, rapid.Float64Range(-3, 6).Draw(t, "size"))
		e := rail(nominal, rapid.Float64Range(0.1, 60).Draw(t, "per cent"))
		u := nominal * rapid.Float64Range(0, 0.2).Draw(t, "u")
		before := [2]float64{math.Inf(1), math.Inf(1)}
		for step := range 21 {
			down := nominal - (nominal-(e.Low+0.03*nominal)/2)*float64(step)/20
			up := nominal + (e.High+0.5*nominal-nominal)*float64(step)/20
			l, h := signal.FromNumber(down, u, e), signal.FromNumber(up, u, e)
			now := [2]float64{l[signal.Good] / l[signal.Low], h[signal.Good] / h[signal.High]}
			for i, side := range []string{"low", "high"} {
				if now[i] > max(before[i]*(1+1e-9), 0.02) {
					t.Fatalf("limits %v, u %v: good against %s rises from %v to %v at %v and %v", e, u, side, before[i], now[i], down, up)
				}
			}
			before = now
		}
	})
}

// However far out a reading is, no state is impossible: a slip can read
// anything.
func TestNothingIsImpossible(t *testing.T) {
	for _, e := range []signal.Expectation{rail(5, 5), rail(-75, 1), zeroed(0.01), {}} {
		for _, x := range []float64{0, 15, -15, 325, -325, 20e3, 1e9, -1e30} {
			l := signal.FromNumber(x, 0.01, e)
			if least := slices.Min(l[:]); !(least > 0) {
				t.Errorf("%v where %v is expected: a state has likelihood %v", x, e, least)
			}
		}
	}
}

// FuzzFromNumber: whatever is typed, every likelihood is a finite number of at
// least zero.
func FuzzFromNumber(f *testing.F) {
	f.Add(5.0, 0.01, 5.0, 4.75, 5.25)
	f.Add(-12.0, 0.1, -12.0, -12.6, -11.4)
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0)
	f.Add(13.5, 0.01, 0.0, -0.05, 0.05)
	f.Add(3.0, 1e300, 5.0, math.Inf(-1), math.Inf(1))
	f.Add(math.MaxFloat64, 0.0, -math.MaxFloat64, -math.MaxFloat64, math.MaxFloat64)
	f.Add(1.0, -1.0, math.SmallestNonzeroFloat64, 0.0, math.SmallestNonzeroFloat64)
	f.Add(1e-300, 1e-300, 1e-300, 1e-301, math.Inf(1))
	f.Add(5.0, 0.01, 0.0, 4.75, math.Inf(1))
	f.Add(5.0, 0.01, 5.0, 5.25, 4.75)
	f.Fuzz(func(t *testing.T, reading, u, nominal, low, high float64) {
		for _, x := range []float64{reading, u, nominal, low, high} {
			if math.IsNaN(x) {
				return // not a number
			}
		}
		l := signal.FromNumber(reading, u, signal.Expectation{Nominal: nominal, Low: low, High: high})
		for s, x := range l {
			if !(x >= 0) || math.IsInf(x, 1) {
				t.Fatalf("%v for a reading of %v ± %v where %v, %v to %v, is expected: %v", signal.State(s), reading, u, nominal, low, high, x)
			}
		}
	})
}

// An AC reading on a rail speaks of ripple and of nothing else.
func TestFromRipple(t *testing.T) {
	over, under := signal.FromRipple(1), signal.FromRipple(0)
	if got := likeliest(over); got != signal.Noisy {
		t.Errorf("ripple over its limit speaks for %v", got)
	}
	if under[signal.Good] < 10*under[signal.Noisy] {
		t.Errorf("ripple under its limit speaks for good only %.1f times as much as for noisy", under[signal.Good]/under[signal.Noisy])
	}
	if under[signal.Low] < 0.8*under[signal.Good] || under[signal.Absent] < 0.8*under[signal.Good] {
		t.Errorf("no ripple says nothing of the level: low %v, absent %v, good %v", under[signal.Low], under[signal.Absent], under[signal.Good])
	}
	ratio := 0.0
	for step := range 11 {
		l := signal.FromRipple(float64(step) / 10)
		if now := l[signal.Noisy] / l[signal.Good]; now <= ratio {
			t.Errorf("at %d0 %% noisy against good is %v, before it was %v", step, now, ratio)
		} else {
			ratio = now
		}
	}
}

// A rail that is right without its load may fall with it (fault-finding
// practice: measure under load; common practice, no source).
func TestUnloaded(t *testing.T) {
	loaded := signal.FromNumber(5, 0.01, rail(5, 5))
	bare := loaded.Unloaded()
	if loaded[signal.Low]*20 > loaded[signal.Good] {
		t.Errorf("under load 5 V clears the rail of being low only %.1f to 1", loaded[signal.Good]/loaded[signal.Low])
	}
	if bare[signal.Low]*2 < bare[signal.Good] {
		t.Errorf("without load 5 V clears the rail of being low by %.1f to 1; it should hardly do so", bare[signal.Good]/bare[signal.Low])
	}
	if bare[signal.Absent] != loaded[signal.Absent] || bare[signal.Good] != loaded[signal.Good] {
		t.Error("a rail that is there without load is there")
	}
	low, _ := signal.FromWord("low", signal.Slip)
	if l := low.Unloaded(); likeliest(l) != signal.Low || l[signal.Low] > low[signal.Low] {
		t.Error("a rail that is low even without load is low")
	}
}

// A DC meter averages hum and oscillation away (common practice, no source).
func TestAveraged(t *testing.T) {
	good, _ := signal.FromWord("good", signal.Slip)
	if l := good.Averaged(); l[signal.Noisy] < 0.7*l[signal.Good] {
		t.Errorf("good on a DC meter: noisy %v against good %v; the meter cannot see noise", l[signal.Noisy], l[signal.Good])
	}
	absent, _ := signal.FromWord("absent", signal.Slip)
	if l := absent.Averaged(); l[signal.Noisy] > l[signal.Absent]/4 {
		t.Errorf("nothing on a DC meter: noisy %v against absent %v", l[signal.Noisy], l[signal.Absent])
	}
	number := signal.FromNumber(5, 0.01, rail(5, 5))
	if number[signal.Noisy] < number[signal.Good]/3 {
		t.Errorf("5 V DC: noisy %v against good %v; the meter cannot see noise", number[signal.Noisy], number[signal.Good])
	}
}

// The same reading again says the same, only less, and in the same unit.
func TestAgain(t *testing.T) {
	first := signal.FromNumber(4.2, 0.01, rail(5, 5))
	again := first.Again()
	for s := range first {
		for r := range first {
			once, twice := first[s]/first[r], again[s]/again[r]
			if once > 1 && (twice < 1 || twice > once) || once < 1 && (twice > 1 || twice < once) {
				t.Errorf("%v against %v: %v once, %v again", signal.State(s), signal.State(r), once, twice)
			}
		}
	}
	if math.Abs(again.Best()-first.Best()) > 1e-9*first.Best() {
		t.Errorf("the best is %v once, %v again", first.Best(), again.Best())
	}
	millivolts := first
	for s := range millivolts {
		millivolts[s] /= 1000
	}
	for s, x := range millivolts.Again() {
		if math.Abs(1000*x-again[s]) > 1e-9*again[s] {
			t.Errorf("%v: %v per volt, %v per millivolt", signal.State(s), again[s], x)
		}
	}
	var none signal.Likelihood
	if none.Again() != none {
		t.Error("what is impossible stays so")
	}
}

// A reading that its reader doubts says the same, only less.
func TestDoubted(t *testing.T) {
	for _, word := range signal.Headwords() {
		sure, _ := signal.FromWord(word, signal.Slip)
		doubted := sure.Doubted()
		if likeliest(doubted) != likeliest(sure) {
			t.Errorf("%q in doubt speaks for %v", word, likeliest(doubted))
		}
		if a, b := sure.Best()/slices.Min(sure[:]), doubted.Best()/slices.Min(doubted[:]); b >= a {
			t.Errorf("%q tells the states apart by %.1f, in doubt by %.1f", word, a, b)
		}
	}
}

// The 5 V rail of a display terminal reads 4.2 V. What is it?
func ExampleFromNumber() {
	l := signal.FromNumber(4.2, 0.02, signal.Expectation{Nominal: 5, Low: 4.75, High: 5.25})
	for _, s := range []signal.State{signal.Low, signal.Noisy, signal.Absent} {
		fmt.Printf("%v: %.2f times as likely as when it is good\n", s, l[s]/l[signal.Good])
	}
	// Output:
	// low: 21.37 times as likely as when it is good
	// noisy: 9.15 times as likely as when it is good
	// absent: 0.05 times as likely as when it is good
}

func BenchmarkFromNumber(b *testing.B) {
	e := rail(5, 5)
	b.ReportAllocs()
	for b.Loop() {
		signal.FromNumber(4.6, 0.02, e)
	}
}
