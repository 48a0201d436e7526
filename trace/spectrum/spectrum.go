package spectrum

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A Spectrum is the amplitude of a stretch of readings over frequency.
type Spectrum struct {
	Step      float64   // hertz from point to point, from 0 upwards
	Amplitude []float64 // of a sine at each point, peak, through the flat-top window
	Points    int       // readings used; some at the end may be left out
	Span      float64   // seconds of the readings used

	hann []float64 // magnitudes through the Hann window, for frequencies
}

// Length is the greatest number up to n whose only prime factors are 2, 3 and 5:
// the lengths for which a Fourier transform is quick.
func Length(n int) int {
	best := 0
	for a := 1; a <= n; a *= 2 {
		for b := a; b <= n; b *= 3 {
			c := b
			for c*5 <= n {
				c *= 5
			}
			best = max(best, c)
		}
	}
	return best
}

// The flat-top window: 1 - 1.93 cos x + 1.29 cos 2x - ..., here with the
// coefficients that G. D'Antona, A. Ferrero, "Digital signal processing for
// measurement systems" (2006), page 70, gives; they read a line within 0.01 dB.
var flatTop = [...]float64{0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368}

var hann = [...]float64{0.5, 0.5}

// reachOfFlatTop is on how many points to either side a single line shows.
const reachOfFlatTop = len(flatTop)

// fewest is the number of readings below which there is no spectrum to speak of.
const fewest = 16

// Of computes the spectrum of readings taken at equal intervals, in seconds,
// about their mean. Readings at the end that would make the transform slow are
// left out; no more than a few per cent.
func Of(values []float64, interval float64) (*Spectrum, error) {
	if !(interval > 0) || math.IsInf(interval, 0) {
		return nil, fmt.Errorf("spectrum: the interval between readings is %v s; it must be above zero", interval)
	}
	n := Length(len(values))
	if n < fewest {
		return nil, fmt.Errorf("spectrum: there are %d readings; %d or more are needed", len(values), fewest)
	}
	sum := 0.0
	for i, v := range values[:n] {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("spectrum: reading %d is missing; choose a stretch without gaps", i+1)
		}
		sum += v
	}
	mean := sum / float64(n)
	about := make([]float64, n)
	for i, v := range values[:n] {
		about[i] = v - mean
	}
	plain := fourier.NewFFT(n).Coefficients(nil, about)
	s := &Spectrum{Step: 1 / (float64(n) * interval), Points: n, Span: float64(n) * interval}
	s.Amplitude, s.hann = windowed(plain, n, flatTop[:]), windowed(plain, n, hann[:])
	s.Amplitude[0] /= 2
	return s, nil
}

// Averaged computes the spectrum with steps of about a resolution, in hertz, as the
// mean square over stretches that follow each other. A frequency that wanders a
// little, as that of the mains does, then stays one line, and noise is evened
// out. Where the readings make up less than two such stretches it is as Of.
//
// Source: P. D. Welch, "The use of fast Fourier transform for the estimation of
// power spectra", IEEE Transactions on Audio and Electroacoustics 15 (1967), with
// stretches that do not overlap.
func Averaged(values []float64, interval, resolution float64) (*Spectrum, error) {
	if !(resolution > 0) || math.IsInf(resolution, 0) {
		return nil, fmt.Errorf("spectrum: a resolution of %v Hz; it must be above zero", resolution)
	}
	wanted := 1 / (resolution * interval)
	if !(wanted <= float64(len(values))/2) || wanted < fewest {
		return Of(values, interval)
	}
	n := Length(int(wanted))
	var sum *Spectrum
	count := 0.0
	for begin := 0; begin+n <= len(values); begin += n {
		s, err := Of(values[begin:begin+n], interval)
		if err != nil {
			return nil, err
		}
		count++
		for k := range s.Amplitude {
			s.Amplitude[k] *= s.Amplitude[k]
			s.hann[k] *= s.hann[k]
			if sum != nil {
				sum.Amplitude[k] += s.Amplitude[k]
				sum.hann[k] += s.hann[k]
			}
		}
		if sum == nil {
			sum = s
		}
	}
	for k := range sum.Amplitude {
		sum.Amplitude[k] = math.Sqrt(sum.Amplitude[k] / count)
		sum.hann[k] = math.Sqrt(sum.hann[k] / count)
	}
	sum.Points, sum.Span = n*int(count), float64(n)*count*interval
	return sum, nil
}

// windowed gives the amplitudes through a window that is a sum of cosines. To
// multiply readings by a cosine is to add up neighbours of their transform, so
// that one transform serves every window.
func windowed(plain []complex128, n int, terms []float64) []float64 {
	at := func(k int) complex128 { // beyond either end the transform goes on mirrored
		if k < 0 {
			return cmplx.Conj(plain[-k])
		}
		if k >= len(plain) {
			return cmplx.Conj(plain[n-k])
		}
		return plain[k]
	}
	factors := make([]float64, len(terms)) // with the sign that puts the window's middle in the middle
	for m, t := range terms {
		factors[m] = t / (float64(n) * terms[0])
		if m%2 == 1 {
			factors[m] = -factors[m]
		}
	}
	out := make([]float64, len(plain))
	reach := len(terms) - 1
	for k := range plain {
		re, im := 2*factors[0]*real(plain[k]), 2*factors[0]*imag(plain[k])
		inside := k >= reach && k < len(plain)-reach
		for m := 1; m <= reach; m++ {
			var left, right complex128
			if inside {
				left, right = plain[k-m], plain[k+m]
			} else {
				left, right = at(k-m), at(k+m)
			}
			re += factors[m] * (real(left) + real(right))
			im += factors[m] * (imag(left) + imag(right))
		}
		out[k] = math.Sqrt(re*re + im*im)
	}
	return out
}

// A Line is one frequency that stands out.
type Line struct {
	Frequency float64 `json:"hertz"`
	Amplitude float64 `json:"amplitude"` // peak, of the sine
	RMS       float64 `json:"rms"`
}

// rounding is the share of the largest line below which a line may come from the
// rounding of the arithmetic.
const rounding = 1e-7

// standsOut is how many times the middle of its surroundings a line must reach.
// With a Rayleigh spread of noise the largest of a million points is about 4.5
// times the middle one.
const standsOut = 6

// Lines lists the lines that stand out of the noise, the largest first, no more
// than so many.
func (s *Spectrum) Lines(most int) []Line {
	floor := s.floor()
	var lines []Line
	n := len(s.hann)
	for k := 2; k < n-1; k++ {
		v := s.hann[k]
		if v <= standsOut*floor[k/floorWidth] || v < s.hann[k-1] || v < s.hann[k+1] || v == 0 {
			continue
		}
		peak := true
		for j := max(1, k-3); j <= min(n-1, k+3) && peak; j++ {
			peak = s.hann[j] <= v && (j >= k || s.hann[j] < v)
		}
		if !peak {
			continue
		}
		l := Line{Frequency: s.frequency(k)}
		l.Amplitude = max(s.Amplitude[k-1], s.Amplitude[k], s.Amplitude[k+1])
		l.RMS = l.Amplitude / math.Sqrt2
		lines = append(lines, l)
	}
	slices.SortStableFunc(lines, func(a, b Line) int {
		switch {
		case a.Amplitude > b.Amplitude:
			return -1
		case a.Amplitude < b.Amplitude:
			return 1
		}
		return 0
	})
	lines = s.alone(lines)
	for i, l := range lines {
		if l.Amplitude < rounding*lines[0].Amplitude {
			lines = lines[:i]
			break
		}
	}
	return lines[:min(most, len(lines))]
}

// alone leaves out what is only the foot of a larger line, as far as the flat
// top reaches, or below what its window lets through.
func (s *Spectrum) alone(lines []Line) []Line {
	const leak = 1e-4 // of a Hann window, some twenty points away
	var kept []Line
	for _, l := range lines {
		foot := false
		for _, larger := range kept {
			apart := math.Abs(l.Frequency-larger.Frequency) / s.Step
			foot = foot || apart < 4 || apart < float64(reachOfFlatTop)+1 && l.Amplitude < 0.5*larger.Amplitude || apart < 20 && l.Amplitude < leak*larger.Amplitude
		}
		if !foot {
			kept = append(kept, l)
		}
	}
	return kept
}

// frequency reads a peak by a parabola through the logarithms of three points.
func (s *Spectrum) frequency(k int) float64 {
	a, b, c := math.Log(s.hann[k-1]), math.Log(s.hann[k]), math.Log(s.hann[k+1])
	shift := 0.0
	if bend := a - 2*b + c; bend < 0 && !math.IsInf(a, 0) && !math.IsInf(c, 0) {
		shift = (a - c) / (2 * bend)
	}
	return (float64(k) + shift) * s.Step
}

// floorWidth is over how many points the noise floor is judged.
const floorWidth = 64

// floor is the middle magnitude of each stretch of the spectrum and those beside
// it.
func (s *Spectrum) floor() []float64 {
	n := len(s.hann)
	count := (n + floorWidth - 1) / floorWidth
	floor := make([]float64, count)
	var some []float64
	for i := range floor {
		some = append(some[:0], s.hann[max(0, (i-1)*floorWidth):min(n, (i+2)*floorWidth)]...)
		slices.Sort(some)
		floor[i] = some[len(some)/2]
	}
	return floor
}

// Ripple sums up readings about their mean.
type Ripple struct {
	Mean       float64 `json:"mean"`
	RMS        float64 `json:"rms"` // about the mean
	PeakToPeak float64 `json:"peak_to_peak"`
	Crest      float64 `json:"crest"` // the largest deviation over the RMS; 0 where there is none
	Readings   int     `json:"readings"`
}

// Sum sums up the readings that are numbers.
func Sum(values []float64) (Ripple, error) {
	var r Ripple
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			low, high, sum = min(low, v), max(high, v), sum+v
			r.Readings++
		}
	}
	if r.Readings == 0 {
		return r, errors.New("spectrum: there is no reading")
	}
	r.Mean, r.PeakToPeak = sum/float64(r.Readings), high-low
	square := 0.0
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			square += (v - r.Mean) * (v - r.Mean)
		}
	}
	r.RMS = math.Sqrt(square / float64(r.Readings))
	if r.RMS > 0 {
		r.Crest = max(high-r.Mean, r.Mean-low) / r.RMS
	}
	return r, nil
}
