package fit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/trace/fit"
	"halfsplit/trace/internal/dataset"
	"halfsplit/trace/table"
)

// The warm-up of a bench meter over its first two hours: check values from
// scipy.optimize.curve_fit on the same rows (testdata/ORIGIN.md of trace).
//
// Outside: scipy.optimize.curve_fit on a recording of J. Pepas,
// trace/testdata/ORIGIN.md. Within: the digits printed (time constant 4e-6).
func TestWarmUpOfAMeter(t *testing.T) {
	tr, _ := dataset.Load(t, "meter-warmup.csv.gz", table.Options{})
	first := tr.Between(tr.Time[0], tr.Time[0]+7200)
	w, err := fit.WarmUp(first.Time, first.Values[0])
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "end", w.End, 40.631, 0.0005)
	dataset.Near(t, "rise", w.End-w.Begin, 14.7138, 0.00005)
	dataset.Near(t, "time constant", w.TimeConstant, 1343.42, 0.005)
	dataset.Near(t, "residual", w.ResidualRMS, 0.5225, 0.00005)
	if w.OneConstant {
		t.Errorf("residuals of %.3f K over noise of %.3f K pass for one time constant", w.ResidualRMS, w.Noise)
	}
	// Half of the residual is structure, so that the end must not be claimed to
	// a hundredth of a kelvin, as independent residuals would.
	if width := w.EndInterval.High - w.EndInterval.Low; width < 0.2 || width > 5 {
		t.Errorf("the end is claimed to within %.3f K", width)
	}
	dataset.Near(t, "time to within 0.1 K", w.Within(0.1), 1343.42*math.Log(147.138), 1)
}

// A standard's output against room temperature, after six hours: check values
// from scipy.stats.linregress.
//
// Outside: scipy.stats.linregress on a recording of J. Pepas, trace/testdata/ORIGIN.md.
// Within: 5e-5.
func TestDriftOfATenVoltStandard(t *testing.T) {
	out, _ := dataset.Load(t, "ten-volt.csv.gz", table.Options{})
	room, _ := dataset.Load(t, "ten-volt-room.csv.gz", table.Options{})
	ahead := out.Origin.Sub(room.Origin).Seconds()
	at := make([]float64, len(room.Time))
	for i, r := range room.Time {
		at[i] = r - ahead
	}
	part := out.Between(out.Time[0]+6*3600, math.Inf(1))
	d, err := fit.AgainstTemperature(part.Time, part.Values[0], at, room.Values[0], 0)
	if err != nil {
		t.Fatal(err)
	}
	// The check values hold the last room temperature for the last few readings,
	// which are left out here: hence the tolerance.
	dataset.Near(t, "slope", d.PerKelvin, 120.618, 0.005)
	dataset.Near(t, "relative", d.Relative*1e6, 12.063, 0.0005)
	dataset.Near(t, "correlation", d.Correlation, 0.69148, 0.00005)
	dataset.Near(t, "median", d.Nominal, 9999044.60, 0.005)
	if !d.Interval.Contains(120.618) || d.Interval.High-d.Interval.Low < 20 {
		t.Errorf("interval %v for a slope from one day and a half of weather", d.Interval)
	}
	// "101-point centred running median is last outside ±10 ppm of that median at
	// t - t0 = 70705.020 s"
	after, ok := fit.SettledAfter(out.Time, out.Values[0], 101, 9999044.60, 10e-6*9999044.60)
	if !ok || after-out.Time[0] < 70705.020 || after-out.Time[0] > 70705.020+4 {
		t.Errorf("settled after %v s, %v; last outside at 70705.020 s", after-out.Time[0], ok)
	}
}

// Drift of a standard resistor in five years (NIST DZIUBA1), and of an oven
// oscillator in five hours: check values from scipy.stats.linregress.
//
// Outside: NIST DZIUBA1 and an oven oscillator of A. Wallin; scipy.stats.linregress.
// Within: 3e-6.
func TestTrend(t *testing.T) {
	tr, _ := dataset.Load(t, "DZIUBA1.DAT", table.Options{Channels: []string{"4"}})
	for i := range tr.Time {
		tr.Time[i]++ // the run order of the check values begins at 1
	}
	l, _, err := fit.Trend(tr.Time, tr.Values[0])
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "slope", l.Slope, 0.000209670, 5e-10)
	dataset.Near(t, "intercept", l.Intercept, 27.911405, 5e-7)
	tr, _ = dataset.Load(t, "oven-oscillator.txt.gz", table.Options{})
	l, interval, err := fit.Trend(tr.Time, tr.Values[0])
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "drift of the oscillator", l.Slope, 1.62035e-08, 5e-14)
	if !interval.Contains(1.62035e-08) {
		t.Error(interval)
	}
}

// noise is a series whose members hang together: each holds a share of the one
// before.
func noise(random *rand.Rand, n int, share float64) []float64 {
	v := make([]float64, n)
	last := random.NormFloat64() / math.Sqrt(1-share*share)
	for i := range v {
		last = share*last + random.NormFloat64()
		v[i] = last
	}
	return v
}

// An interval of 95 % holds the truth in some 95 of 100 courses, whether the
// noise of neighbouring readings is independent or hangs together.
func TestIntervalsHold(t *testing.T) {
	random := rand.New(rand.NewPCG(1981, 9))
	const trials, n = 150, 300
	for _, share := range []float64{0, 0.5, 0.9} {
		var constant, end, slope, drift int
		for range trials {
			e := noise(random, n, share)
			room := noise(random, n, 0.98)
			var at, warm, line, driven []float64
			for i := range n {
				x := float64(i)
				at = append(at, x)
				warm = append(warm, 40-60*math.Exp(-x/80)+e[i])
				line = append(line, 3+0.02*x+e[i])
				driven = append(driven, 1000+0.8*room[i]+e[i])
			}
			w, err := fit.WarmUp(at, warm)
			if err != nil {
				t.Fatal(err)
			}
			if w.ConstantInterval.Contains(80) {
				constant++
			}
			if w.EndInterval.Contains(40) {
				end++
			}
			if _, i, err := fit.Trend(at, line); err != nil {
				t.Fatal(err)
			} else if i.Contains(0.02) {
				slope++
			}
			if d, err := fit.AgainstTemperature(at, driven, at, room, 0); err != nil {
				t.Fatal(err)
			} else if d.Interval.Contains(0.8) {
				drift++
			}
		}
		for _, c := range []struct {
			what string
			held int
		}{{"time constant", constant}, {"end", end}, {"trend", slope}, {"drift", drift}} {
			held := float64(c.held) / trials
			t.Logf("noise that holds %.1f of the one before, %s: %.1f %%", share, c.what, 100*held)
			if held < 0.86 { // 90 % where readings hang together strongly, less what chance may do to 150 courses
				t.Errorf("noise that holds %.1f of the one before: the interval of the %s holds the truth in %.1f %%", share, c.what, 100*held)
			}
		}
	}
}

// A value that follows the temperature of its case half an hour late.
func TestLagIsFound(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	var at, room, out []float64
	for i := range 3000 {
		x := float64(i) * 20
		at = append(at, x)
		room = append(room, 22+2*math.Sin(x/4000)+math.Sin(x/1700))
		late := x - 1800
		out = append(out, 5+50e-6*(2*math.Sin(late/4000)+math.Sin(late/1700))+2e-6*random.NormFloat64())
	}
	d, err := fit.AgainstTemperature(at, out, at, room, 7200)
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "lag", d.Lag, 1800, 80)
	dataset.Near(t, "ppm/K", d.Relative*1e6, 10, 0.1)
	if !(d.AtOnce.Slope < 0.9*d.PerKelvin) {
		t.Errorf("without the lag %v", d.AtOnce.Slope)
	}
	at2, err := fit.AgainstTemperature(at, room, at, room, 7200)
	if err != nil || at2.Lag != 0 {
		t.Errorf("a temperature lags itself by %v s, %v", at2.Lag, err)
	}
}

// Temperatures of failures: mean and interval with Student's t; for two values
// 12.706 · s/√2.
func TestFailsAt(t *testing.T) {
	f, err := fit.FailsAt([]float64{46, 48})
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "mean", f.Mean, 47, 0)
	dataset.Near(t, "high", f.Interval.High, 47+12.7062*math.Sqrt2/math.Sqrt2, 0.0005)
	f, err = fit.FailsAt([]float64{46})
	if err != nil || !math.IsInf(f.Interval.Low, -1) || !math.IsInf(f.Next.High, 1) {
		t.Error(f, err)
	}
	for _, bad := range [][]float64{nil, {math.NaN()}, {-300}} {
		if _, err := fit.FailsAt(bad); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

func TestRefusals(t *testing.T) {
	rising := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	flat := make([]float64, len(rising))
	for what, err := range map[string]error{
		"a straight line":   second(fit.WarmUp(rising, rising)),
		"nothing moves":     second(fit.WarmUp(rising, flat)),
		"too few":           second(fit.WarmUp(rising[:3], rising[:3])),
		"all at once":       second(fit.WarmUp(flat, rising)),
		"no temperature":    second(fit.AgainstTemperature(rising, rising, nil, nil, 0)),
		"same temperature":  second(fit.AgainstTemperature(rising, rising, rising, flat, 0)),
		"more than points":  second(fit.LeastSquares(func(_ float64, _, _ []float64) float64 { return 0 }, rising[:2], rising[:2], rising[:2])),
		"without influence": second(fit.LeastSquares(func(_ float64, _, _ []float64) float64 { return 0 }, rising, rising, rising[:2])),
	} {
		if err == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// Without noise a course is found again whatever its time constant, within what
// the readings cover.
func TestCourseIsFoundAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(20, 300).Draw(t, "readings")
		tau := rapid.Float64Range(0.05, 2).Draw(t, "time constant as a share of the span") * float64(n)
		end, rise := rapid.Float64Range(-50, 50).Draw(t, "end"), rapid.Float64Range(1, 100).Draw(t, "rise")
		if rapid.Bool().Draw(t, "cooling") {
			rise = -rise
		}
		var at, v []float64
		for i := range n {
			at = append(at, 100+float64(i))
			v = append(v, end-rise*math.Exp(-float64(i)/tau))
		}
		w, err := fit.WarmUp(at, v)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(w.TimeConstant/tau-1) > 1e-6 || math.Abs(w.End-end) > 1e-6*math.Abs(rise) {
			t.Fatalf("time constant %v for %v, end %v for %v", w.TimeConstant, tau, w.End, end)
		}
	})
}

// The running median is the median of each window.
func TestRunningMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 60).Draw(t, "values")
		width := rapid.IntRange(1, 21).Draw(t, "width")
		got := fit.RunningMedian(v, width)
		for i := range v {
			half := width / 2
			if want := fit.Median(v[max(0, i-half):min(len(v), i+half+1)]); got[i] != want {
				t.Fatalf("at %d: %v, want %v", i, got[i], want)
			}
		}
	})
}

func ExampleWarmUp() {
	var at, readings []float64
	for minute := range 90 {
		at = append(at, float64(minute)*60)
		readings = append(readings, 41-18*math.Exp(-float64(minute)/20)+0.05*math.Sin(float64(minute)*2.3))
	}
	w, err := fit.WarmUp(at, readings)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("ends at %.1f °C, time constant %.0f min, within 1 K after %.0f min\n", w.End, w.TimeConstant/60, w.Within(1)/60)
	// Output: ends at 41.0 °C, time constant 20 min, within 1 K after 58 min
}

// The sine in NIST's beam deflections (LEW): the least-squares optimum as scipy
// and a scan of the frequency have it.
//
// Outside: NIST LEW; scipy, and a scan of the frequency. Within: 3e-5.
func TestSine(t *testing.T) {
	tr, _ := dataset.Load(t, "LEW.DAT", table.Options{})
	var at []float64
	for i := range tr.Time {
		at = append(at, float64(i+1))
	}
	sine := func(x float64, p, slope []float64) float64 {
		sin, cos := math.Sincos(2*math.Pi*p[2]*x + p[3])
		slope[0], slope[1], slope[2], slope[3] = 1, sin, p[1]*cos*2*math.Pi*x, p[1]*cos
		return p[0] + p[1]*sin
	}
	r, err := fit.LeastSquares(sine, at, tr.Values[0], []float64{-178, -350, 0.302, 1.7})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{-178.76816, -343.28857, 0.3018071, 1.82764} {
		dataset.Near(t, fmt.Sprint("parameter ", i+1), r.Parameters[i], want, 3e-5*math.Abs(want))
	}
	dataset.Near(t, "residual", r.ResidualSD, 134.06640, 5e-6)
}

// Running medians of two recordings, as pandas has them.
func TestRunningMedianOfRecordings(t *testing.T) {
	tr, _ := dataset.Load(t, "meter-warmup.csv.gz", table.Options{})
	smooth := fit.RunningMedian(tr.Values[0], 61)
	top := 0
	for i, v := range smooth {
		if v > smooth[top] {
			top = i
		}
	}
	dataset.Near(t, "the meter is hottest at", tr.Time[top]-tr.Time[0], 44291.422, 5e-4)
	if top != 44281 {
		t.Errorf("row %d, want 44281", top)
	}
	dataset.Near(t, "and then falls by", tr.Values[0][top]-tr.Values[0][len(tr.Values[0])-1], 17.9058, 0.05)
	tr, _ = dataset.Load(t, "mosfet-9.csv.gz", table.Options{})
	smooth = fit.RunningMedian(tr.Values[0], 101)
	for i, v := range smooth {
		if v >= 0.05 {
			if i != 8086 {
				t.Errorf("the transistor reaches 50 mΩ at sample %d, want 8086", i)
			}
			break
		}
	}
	l, err := fit.StraightLine(tr.Time, tr.Values[0])
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "its drift", l.Slope, 4.05641e-06, 5e-12)
}

// Volt per octave of an oscillator: scipy.stats.linregress of log2 of the
// frequency on the voltage, from -5 to 5 V.
//
// Outside: C. Lilley, tracking of an oscillator; scipy.stats.linregress. Within: 5e-9.
func TestOscillatorTracking(t *testing.T) {
	tr, _ := dataset.Load(t, "oscillator-tracking.csv", table.Options{})
	var volts, octaves []float64
	for i, v := range tr.Values[1] {
		if v >= -5.001 && v <= 5.001 {
			volts, octaves = append(volts, v), append(octaves, math.Log2(tr.Values[3][i]))
		}
	}
	l, err := fit.StraightLine(volts, octaves)
	if err != nil {
		t.Fatal(err)
	}
	dataset.Near(t, "octaves per volt", l.Slope, 0.99754885, 5e-9)
	dataset.Near(t, "at 0 V", l.Intercept, 6.7855223, 5e-8)
}

// Rejection of the supply: medians of each step of a sweep against its voltage.
func TestSupplyRejection(t *testing.T) {
	out, _ := dataset.Load(t, "sweep.csv.gz", table.Options{})
	rail, _ := dataset.Load(t, "sweep-supply.csv", table.Options{})
	ahead := out.Origin.Sub(rail.Origin).Seconds()
	steps := map[float64][]float64{}
	j := 0
	for i, x := range out.Time {
		for j+1 < len(rail.Time) && rail.Time[j+1] <= x+ahead {
			j++
		}
		steps[rail.Values[0][j]] = append(steps[rail.Values[0][j]], out.Values[0][i])
	}
	var volts, medians []float64
	for v, list := range steps {
		if len(list) >= 20 {
			volts, medians = append(volts, v), append(medians, fit.Median(list))
		}
	}
	l, err := fit.StraightLine(volts, medians)
	if err != nil {
		t.Fatal(err)
	}
	if len(volts) != 91 {
		t.Errorf("%d steps", len(volts))
	}
	dataset.Near(t, "slope", l.Slope, -2.07001, 5e-6)
	dataset.Near(t, "intercept", l.Intercept, 17535.743, 5e-4)
	dataset.Near(t, "correlation", l.Correlation, -0.88378, 5e-6)
}
