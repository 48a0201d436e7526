package spectrum_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"pgregory.net/rapid"

	"halfsplit/trace/internal/dataset"
	"halfsplit/trace/spectrum"
	"halfsplit/trace/table"
	"halfsplit/trace/wave"
)

// Exports of five scopes: mean, AC RMS, peak to peak and strongest line as
// computed with numpy (trace/testdata/ORIGIN.md). Where a record holds only a
// few periods the frequency is rough, as the source says.
//
// Outside: recordings of five oscilloscopes collected by S. Prahl; numpy. Within: 1e-5,
// of few periods rough.
func TestScopeExports(t *testing.T) {
	for _, c := range []struct {
		file                                 string
		channel                              int
		mean, rms, peak, frequency, toWithin float64
	}{
		{"scope-sequence-four.csv", 0, 3.23667, 0.628097, 2.08, 4.45022e6, 1e-5},
		{"scope-sequence-four.csv", 1, 1.0688, 0.061122, 0.32, 5.09662e6, 1e-5},
		{"scope-sequence-four.csv", 2, 1.44533, 1.5907, 4, 1.77138e7, 1e-5},
		{"scope-sequence-four.csv", 3, 1.497, 1.53158, 4.6, 7.8291e6, 1e-5},
		{"scope-seconds-two.csv", 0, 1.49147, 2.77848, 5.84, 4166.8, 1e-4},
		{"scope-seconds-two.csv", 1, 2.73467, 2.6799, 6, 4165.32, 1e-4},
		{"scope-blanks-two.csv.gz", 0, -0.356494, 15.1225, 36.4, 999.543, 1e-5},
		{"scope-blanks-two.csv.gz", 1, -0.69043, 14.6, 30.4, 999.541, 1e-5},
		{"scope-sequence-one.csv", 0, 0.152251, 0.152708, 0.328, 1000.1, 0.003}, // 1400 readings, cut to 1350
		{"scope-sequence-three.csv", 0, -0.000777033, 0.00128102, 0.0102, 8637.72, 1},
		{"scope-sequence-three.csv", 1, -0.0014134, 0.00137361, 0.0102, 7252.82, 1},
		{"scope-sequence-three.csv", 2, -0.00230903, 0.00148451, 0.00988, 7091.07, 1},
	} {
		t.Run(fmt.Sprintf("%s %d", c.file, c.channel+1), func(t *testing.T) {
			tr, _ := dataset.Load(t, c.file, table.Options{})
			r, err := spectrum.Sum(tr.Values[c.channel])
			if err != nil {
				t.Fatal(err)
			}
			dataset.Near(t, "mean", r.Mean, c.mean, 5e-6*max(math.Abs(c.mean), c.rms))
			dataset.Near(t, "RMS", r.RMS, c.rms, 5e-6*c.rms)
			dataset.Near(t, "peak to peak", r.PeakToPeak, c.peak, 1e-9)
			interval, err := spectrum.Even(tr.Time)
			if err != nil {
				t.Fatal(err)
			}
			s, err := spectrum.Of(tr.Values[c.channel], interval)
			if err != nil {
				t.Fatal(err)
			}
			lines := s.Lines(5)
			if c.toWithin < 1 {
				if len(lines) == 0 {
					t.Fatal("no line")
				}
				dataset.Near(t, "strongest line", lines[0].Frequency, c.frequency, c.toWithin*c.frequency)
			}
		})
	}
}

// The mains of a public recording: frequency and harmonics of its first 200 s as
// computed with numpy.
//
// Outside: G. Hua and co-authors, recording of the mains; numpy. Within: frequency 0.5
// mHz.
func TestMainsRecording(t *testing.T) {
	f, err := os.Open("../testdata/datasets/mains-092.wav")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	tr, err := wave.Read(f)
	if err != nil {
		t.Fatal(err)
	}
	if len(tr.Time) != 107201 || tr.Interval != 1.0/400 {
		t.Fatalf("%d samples, %v s apart", len(tr.Time), tr.Interval)
	}
	counts := make([]float64, len(tr.Time))
	for i, v := range tr.Values[0] {
		counts[i] = v * 32768
	}
	whole, _ := spectrum.Sum(counts)
	dataset.Near(t, "mean", whole.Mean, -0.00701, 5e-6)
	dataset.Near(t, "peak", max(whole.PeakToPeak/2, whole.Crest*whole.RMS), 1884, 1)
	dataset.Near(t, "RMS", math.Hypot(whole.RMS, whole.Mean), 1333.8456, 5e-5)
	s, err := spectrum.Of(counts[:200*400], tr.Interval)
	if err != nil {
		t.Fatal(err)
	}
	lines := s.Lines(20)
	mains := spectrum.MainsOf(lines, s.Step)
	if mains != 50 {
		t.Fatalf("mains %v Hz", mains)
	}
	named := spectrum.Name(lines, mains, 0, s.Step)
	dataset.Near(t, "mains", named[0].Frequency, 50.00952, 0.0005)
	if named[0].Origin != spectrum.Mains {
		t.Errorf("%v is %s", named[0].Line, named[0].Origin)
	}
	third := 0.0
	for _, l := range named {
		if l.Origin == spectrum.OddMains && l.Multiple == 3 {
			third = max(third, l.RMS)
		}
	}
	// Bands of ±0.6 Hz hold a little more than the line itself: the mains
	// wanders by a few hundredths of a hertz in 200 s.
	dataset.Near(t, "third over first", third/named[0].RMS, 0.012, 0.004)
}

// A sine of any amplitude and frequency is read within 0.15 % through the flat
// top, and its frequency within a twentieth of a step.
func TestAmplitudeAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(400, 5000).Draw(t, "readings")
		interval := math.Pow(10, rapid.Float64Range(-9, 1).Draw(t, "interval"))
		cycles := rapid.Float64Range(12, 0.45*float64(spectrum.Length(n))).Draw(t, "cycles")
		size := math.Pow(10, rapid.Float64Range(-6, 4).Draw(t, "amplitude"))
		phase := rapid.Float64Range(0, 2*math.Pi).Draw(t, "phase")
		used := spectrum.Length(n)
		v := make([]float64, n)
		for i := range v {
			v[i] = 3*size + size*math.Sin(2*math.Pi*cycles*float64(i)/float64(used)+phase)
		}
		s, err := spectrum.Of(v, interval)
		if err != nil {
			t.Fatal(err)
		}
		lines := s.Lines(3)
		if len(lines) == 0 {
			t.Fatal("no line")
		}
		if math.Abs(lines[0].Amplitude/size-1) > 0.0015 {
			t.Fatalf("amplitude %v, read %v", size, lines[0].Amplitude)
		}
		if math.Abs(lines[0].Frequency/s.Step-cycles) > 0.05 {
			t.Fatalf("%v cycles, read %v", cycles, lines[0].Frequency/s.Step)
		}
		if len(lines) > 1 && lines[1].Amplitude > 1e-6*size {
			t.Fatalf("a second line where there is one: %v", lines)
		}
	})
}

// The window by neighbours of the transform is the window by multiplication: a
// direct sum over windowed readings gives the same amplitudes.
func TestAgainstDirectSum(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	for _, n := range []int{45, 90, 128} {
		v := make([]float64, n)
		mean := 0.0
		for i := range v {
			v[i] = random.NormFloat64()
			mean += v[i] / float64(n)
		}
		s, err := spectrum.Of(v, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		if s.Points != n {
			t.Fatal(s.Points)
		}
		terms := []float64{0.21557895, -0.41663158, 0.277263158, -0.083578947, 0.006947368}
		for k := 1; k < n/2; k++ {
			sum := complex(0, 0)
			for i := range v {
				w := 0.0
				for m, a := range terms {
					w += a * math.Cos(2*math.Pi*float64(m*i)/float64(n))
				}
				sum += complex((v[i]-mean)*w, 0) * cmplx.Exp(complex(0, -2*math.Pi*float64(k*i)/float64(n)))
			}
			dataset.Near(t, fmt.Sprint("point ", k, " of ", n), s.Amplitude[k], 2*cmplx.Abs(sum)/(float64(n)*terms[0]), 1e-12)
		}
	}
}

// Only lengths without large prime factors are transformed.
func TestLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 1<<24).Draw(t, "n")
		l := spectrum.Length(n)
		if l > n || float64(l) < 0.85*float64(n) && n > 16 {
			t.Fatalf("%d becomes %d", n, l)
		}
		for _, p := range []int{2, 3, 5} {
			for l%p == 0 {
				l /= p
			}
		}
		if l != 1 {
			t.Fatalf("%d has another factor: %d", n, l)
		}
	})
	if spectrum.Length(1_000_003) != 1_000_000 || spectrum.Length(4_000_000) != 4_000_000 {
		t.Error(spectrum.Length(1_000_003))
	}
}

// Averaging keeps the amplitude of a steady line and of one that wanders, and
// makes one line of it.
func TestAveraged(t *testing.T) {
	const interval = 1e-3
	random := rand.New(rand.NewPCG(8, 8))
	v := make([]float64, 100_000)
	phase, frequency := 0.0, 50.0
	for i := range v {
		frequency += 0.0005 * random.NormFloat64()
		frequency += (50 - frequency) * 1e-4
		phase += 2 * math.Pi * frequency * interval
		v[i] = 12 + 0.2*math.Sin(phase) + 0.1*math.Sin(2*math.Pi*173*float64(i)*interval) + 0.02*random.NormFloat64()
	}
	s, err := spectrum.Averaged(v, interval, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	lines := s.Lines(10)
	if len(lines) != 2 || s.Points != 100_000 || s.Step != 0.5 {
		t.Fatalf("%v, %d points, %v Hz", lines, s.Points, s.Step)
	}
	dataset.Near(t, "the wandering line", lines[0].Amplitude, 0.2, 0.002)
	dataset.Near(t, "its frequency", lines[0].Frequency, 50, 0.1)
	dataset.Near(t, "the steady line", lines[1].Amplitude, 0.1, 0.0005)
	if _, err := spectrum.Averaged(v, interval, 0); err == nil {
		t.Error("a resolution of nothing passes")
	}
	if whole, err := spectrum.Averaged(v, interval, 1e-4); err != nil || whole.Points != 100_000 || whole.Step != 0.01 {
		t.Errorf("%+v", err)
	}
}

// Noise alone has no lines to speak of.
func TestNoiseHasNoLines(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	found := 0
	for range 50 {
		v := make([]float64, 8192)
		for i := range v {
			v[i] = random.NormFloat64()
		}
		s, err := spectrum.Of(v, 1e-3)
		if err != nil {
			t.Fatal(err)
		}
		found += len(s.Lines(100))
	}
	if found > 2 {
		t.Errorf("%d lines in 50 stretches of noise", found)
	}
}

// Lines of a supply with both kinds of ripple get their names.
func TestNames(t *testing.T) {
	const interval = 2e-6
	v := make([]float64, 250_000)
	for i := range v {
		x := 2 * math.Pi * float64(i) * interval
		v[i] = 12 + 0.02*math.Sin(50*x) + 0.3*math.Sin(100.1*x) + 0.05*math.Sin(150*x) + 0.04*math.Sin(200.2*x) + 0.08*math.Sin(31_250*x) + 0.01*math.Sin(62_500*x) + 0.03*math.Sin(15_625*x) + 0.015*math.Sin(7_777*x)
	}
	s, err := spectrum.Of(v, interval)
	if err != nil {
		t.Fatal(err)
	}
	lines := s.Lines(10)
	mains, switching := spectrum.MainsOf(lines, s.Step), spectrum.SwitchingOf(lines, s.Step)
	dataset.Near(t, "switching", switching, 31_250, 1)
	var got []string
	for _, l := range spectrum.Name(lines, mains, switching, s.Step) {
		got = append(got, fmt.Sprintf("%s %.3f", l, l.Amplitude))
	}
	want := "[twice mains 0.300 switching 0.080 3 × mains 0.050 4 × mains 0.040 half of switching 0.030 mains 0.020 other 0.015 2 × switching 0.010]"
	if fmt.Sprint(got) != want {
		t.Errorf("got  %v\nwant %s", got, want)
	}
}

func TestRefusals(t *testing.T) {
	for what, run := range map[string]func() error{
		"too few":     func() error { _, err := spectrum.Of(make([]float64, 3), 1); return err },
		"no interval": func() error { _, err := spectrum.Of(make([]float64, 64), 0); return err },
		"a gap":       func() error { _, err := spectrum.Of(append(make([]float64, 63), math.NaN()), 1); return err },
		"uneven":      func() error { _, err := spectrum.Even([]float64{0, 1, 2.3, 3, 4}); return err },
		"nothing":     func() error { _, err := spectrum.Sum([]float64{math.NaN()}); return err },
		"one time":    func() error { _, err := spectrum.Even([]float64{1, 1}); return err },
	} {
		if run() == nil {
			t.Errorf("%s: no error", what)
		}
	}
}

func ExampleName() {
	v := make([]float64, 10_000)
	for i := range v {
		v[i] = 15 + 0.1*math.Sin(2*math.Pi*100*float64(i)*1e-4)
	}
	s, err := spectrum.Of(v, 1e-4)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range spectrum.Name(s.Lines(3), 50, 0, s.Step) {
		fmt.Printf("%.1f Hz, %.1f mV peak: %s\n", l.Frequency, 1000*l.Amplitude, l)
	}
	// Output: 100.0 Hz, 100.0 mV peak: twice mains
}

// BenchmarkOf is a spectrum of four million readings, and the bare transform
// beneath it.
func BenchmarkOf(b *testing.B) {
	v := make([]float64, 4_000_000)
	for i := range v {
		v[i] = math.Sin(float64(i))
	}
	b.Run("bare transform", func(b *testing.B) {
		for b.Loop() {
			fourier.NewFFT(len(v)).Coefficients(nil, v)
		}
	})
	b.Run("spectrum", func(b *testing.B) { benchmarkOf(b, v) })
}

func benchmarkOf(b *testing.B, v []float64) {
	for b.Loop() {
		if _, err := spectrum.Of(v, 1e-6); err != nil {
			b.Fatal(err)
		}
	}
}
