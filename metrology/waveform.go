package metrology

import (
	"fmt"
	"math"
)

// Waveform holds the factors that tie peak, average and root mean square of
// an ideal wave together.
//
// Source: any textbook of measurement; derived from the definitions.
type Waveform struct {
	// Name is the usual name of the wave.
	Name string
	// Crest is peak over root mean square.
	Crest float64
	// Form is root mean square over the average of the rectified wave.
	Form float64
	// RMSOverPeakToPeak is for the wave without its mean; zero for rectified
	// waves, whose mean is part of them.
	RMSOverPeakToPeak float64
	// AverageMeterRatio is what a meter shows that averages the rectified wave
	// and is scaled for a sine, over the true root mean square; zero where it
	// depends on how the meter treats the mean.
	AverageMeterRatio float64
}

// Sine returns the factors of a sine wave.
func Sine() Waveform {
	return Waveform{Name: "sine", Crest: math.Sqrt2, Form: sineForm, RMSOverPeakToPeak: 1 / (2 * math.Sqrt2), AverageMeterRatio: 1}
}

// Square returns the factors of a square wave, on for half of the time.
func Square() Waveform {
	return Waveform{Name: "square", Crest: 1, Form: 1, RMSOverPeakToPeak: 0.5, AverageMeterRatio: sineForm}
}

// Triangle returns the factors of a triangle wave, which are those of a
// sawtooth, and so of the ripple on a reservoir capacitor.
func Triangle() Waveform {
	form := 2 / math.Sqrt(3)
	return Waveform{Name: "triangle", Crest: math.Sqrt(3), Form: form, RMSOverPeakToPeak: 1 / (2 * math.Sqrt(3)), AverageMeterRatio: sineForm / form}
}

// HalfWave returns the factors of a sine behind one diode, its mean included.
func HalfWave() Waveform {
	return Waveform{Name: "half-wave rectified sine", Crest: 2, Form: math.Pi / 2}
}

// FullWave returns the factors of a sine behind a bridge, its mean included.
func FullWave() Waveform {
	return Waveform{Name: "full-wave rectified sine", Crest: math.Sqrt2, Form: sineForm, AverageMeterRatio: 1}
}

// sineForm is the form factor of a sine, π/(2√2).
const sineForm = math.Pi / (2 * math.Sqrt2)

// RMSOverPeak returns root mean square over peak.
func (w Waveform) RMSOverPeak() float64 { return 1 / w.Crest }

// FromAverageReading returns the true root mean square behind the reading of
// an average-responding meter. It is an error for a wave of which the reading
// depends on how the meter treats the mean.
func (w Waveform) FromAverageReading(reading float64) (float64, error) {
	if w.AverageMeterRatio == 0 {
		return 0, fmt.Errorf("metrology: what an averaging meter shows of a %s depends on the meter; use one that reads true root mean square", w.Name)
	}
	return reading / w.AverageMeterRatio, nil
}

// FromPeakToPeak returns the root mean square of a wave, without its mean,
// from its peak-to-peak value. Rectified waves have no such factor and give
// an error.
func (w Waveform) FromPeakToPeak(value float64) (float64, error) {
	if w.RMSOverPeakToPeak == 0 {
		return 0, fmt.Errorf("metrology: the peak-to-peak value of a %s does not give its root mean square without the mean", w.Name)
	}
	return value * w.RMSOverPeakToPeak, nil
}

// PulseCrest returns the crest factor of a train of pulses from zero, on for
// the fraction duty of the time: 1/√duty. Meters state the largest crest
// factor for which their AC accuracy holds, often 3.
func PulseCrest(duty float64) (float64, error) {
	if !(duty > 0 && duty <= 1) {
		return 0, fmt.Errorf("metrology: a duty of %g; it must be above 0 and at most 1", duty)
	}
	return 1 / math.Sqrt(duty), nil
}

// TotalRMS returns the root mean square of a steady part and a ripple that
// were read separately, which is what heats a resistor.
func TotalRMS(dc, acRMS float64) float64 { return math.Hypot(dc, acRMS) }

// Ripple returns a peak-to-peak ripple as a fraction of the rail it rides on.
func Ripple(peakToPeak, dc float64) (float64, error) {
	if !finite(peakToPeak, dc) || dc == 0 {
		return 0, fmt.Errorf("metrology: ripple of %g V on a rail of %g V; the rail must not be at zero", peakToPeak, dc)
	}
	return math.Abs(peakToPeak / dc), nil
}

// RiseTime returns the rise time, 10 to 90 %, in seconds, of a scope or
// amplifier with the given bandwidth in hertz: 0.35/bandwidth. What is seen
// on the screen is the [Quadrature] of the rise times of signal, probe and
// scope.
//
// Source: single-pole response, ln 9/(2π) = 0.35; any textbook of
// measurement.
func RiseTime(bandwidth float64) (float64, error) {
	if !(bandwidth > 0) || math.IsInf(bandwidth, 0) {
		return 0, fmt.Errorf("metrology: a bandwidth of %g Hz; it must be finite and above zero", bandwidth)
	}
	return 0.35 / bandwidth, nil
}

// LevelVolts returns the root-mean-square voltage across a load, in ohms, of
// a level in decibels over one milliwatt: 0.775 V for 0 dBm in 600 Ω.
func LevelVolts(dBm, load float64) (float64, error) {
	if !finite(dBm, load) || !(load > 0) {
		return 0, fmt.Errorf("metrology: a level of %g dBm in %g Ω; the load must be above zero", dBm, load)
	}
	return math.Sqrt(1e-3 * load * math.Pow(10, dBm/10)), nil
}
