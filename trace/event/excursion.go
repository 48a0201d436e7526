package event

import (
	"errors"
	"math"
	"slices"

	"halfsplit/quantity"
	"halfsplit/signal"
	"halfsplit/trace/fit"
)

// Kind is what happened.
type Kind string

// The kinds of excursion out of the limits.
const (
	Sag      Kind = "sag"      // below the limit, but not down to half of it
	Restart  Kind = "restart"  // below half the limit, and back: logic supplied from it starts anew
	Shutdown Kind = "shutdown" // below half the limit, and not back by the end
	Over     Kind = "over"     // further from zero than the limit allows
	Outside  Kind = "outside"  // out of limits that have zero within or at one end
)

// An Excursion is a spell of readings outside the limits. Readings that are
// missing neither begin nor end one.
type Excursion struct {
	Kind       Kind
	LastGood   float64 // time of the last reading within before it; NaN where there is none
	Start      float64 // time of the first reading outside
	End        float64 // time of the first reading within again, or of the last of all
	Ongoing    bool    // it lasts to the end
	Extreme    float64 // the reading furthest outside
	Readings   int     // outside
	Confidence float64 // that it is more than noise and slips

	first int // index of the first reading outside
}

// SureEnough is the confidence from which an excursion is taken for a failure. A
// single reading may be a slip of the meter, and a failure that was none would
// make a soak look shorter than it must be.
const SureEnough = 0.99

// Sure gives the excursions that are sure enough to be failures, and how many are
// not.
func Sure(list []Excursion) (sure []Excursion, doubtful int) {
	for _, e := range list {
		if e.Confidence >= SureEnough {
			sure = append(sure, e)
		}
	}
	return sure, len(list) - len(sure)
}

// Length is how long it lasted, in seconds, as far as the readings tell.
func (e Excursion) Length() float64 { return e.End - e.Start }

// Excursions finds the spells of a series outside limits. A spell ends when a
// reading lies within the limits by at least the hysteresis, which is 0 or more,
// in the unit of the values.
//
// Confidence is computed from the noise of the readings within the limits, as
// the chance that noise alone would not have gone as far out anywhere in the
// series, times the chance that so many readings in a row did not slip (package
// signal, Slip).
func Excursions(times, values []float64, limit quantity.Interval, hysteresis float64) ([]Excursion, error) {
	switch {
	case len(times) != len(values):
		return nil, errors.New("event: there is not one time for each value")
	case !(limit.Low <= limit.High) || math.IsInf(limit.Low, -1) && math.IsInf(limit.High, 1):
		return nil, errors.New("event: the limits leave everything within; give at least one that is finite")
	case !(hysteresis >= 0):
		return nil, errors.New("event: the hysteresis is below zero")
	case !(limit.Low+hysteresis <= limit.High-hysteresis):
		return nil, errors.New("event: the hysteresis is more than half the distance of the limits, so that nothing would count as back")
	}
	var list []Excursion
	var open *Excursion
	lastGood, last := math.NaN(), math.NaN()
	for i, v := range values {
		if math.IsNaN(v) {
			continue
		}
		last = times[i]
		outside := !limit.Contains(v)
		if open != nil && !outside {
			outside = v < limit.Low+hysteresis || v > limit.High-hysteresis
		}
		switch {
		case outside && open == nil:
			list = append(list, Excursion{LastGood: lastGood, Start: times[i], Extreme: v, first: i})
			open = &list[len(list)-1]
			fallthrough
		case outside:
			if beyond(v, limit) > beyond(open.Extreme, limit) {
				open.Extreme = v
			}
			open.Readings++
		default:
			if open != nil {
				open.End, open = times[i], nil
			}
			lastGood = times[i]
		}
	}
	if open != nil {
		open.End, open.Ongoing = last, true
	}
	judge(list, values, limit)
	return list, nil
}

// beyond is how far a value lies outside; negative within.
func beyond(v float64, limit quantity.Interval) float64 {
	return max(limit.Low-v, v-limit.High)
}

// judge says of each excursion what kind it is and how sure.
func judge(list []Excursion, values []float64, limit quantity.Interval) {
	if len(list) == 0 {
		return
	}
	var good []float64
	for _, v := range values {
		if limit.Contains(v) && !math.IsInf(v, 0) {
			good = append(good, v)
		}
	}
	normal, noise := math.NaN(), 0.0
	if len(good) > 0 {
		noise = fit.Noise(good)
		slices.Sort(good)
		normal = good[len(good)/2]
	}
	for i := range list {
		e := &list[i]
		e.Kind = kindOf(*e, limit)
		byNoise := 0.0
		if noise > 0 {
			z := math.Abs(e.Extreme-normal) / noise
			byNoise = min(1, float64(len(values))*math.Erfc(z/math.Sqrt2))
		}
		e.Confidence = (1 - byNoise) * (1 - math.Pow(signal.Slip, float64(e.Readings)))
	}
}

// kindOf tells the kind of an excursion.
func kindOf(e Excursion, limit quantity.Interval) Kind {
	nearest, v := limit.Low, e.Extreme
	switch {
	case limit.Low > 0 && !math.IsInf(limit.Low, 0):
	case limit.High < 0 && !math.IsInf(limit.High, 0): // a negative rail: the same mirrored
		nearest, v = -limit.High, -v
	default:
		return Outside
	}
	switch {
	case v >= nearest:
		return Over
	case v >= nearest/2:
		return Sag
	case e.Ongoing:
		return Shutdown
	}
	return Restart
}

// A Cycling is a unit that goes on and off by itself at a steady pace.
type Cycling struct {
	Start, End float64 // of the first and the last excursion in it, seconds
	Times      int     // excursions
	Period     float64 // seconds from one to the next, mean
	Spread     float64 // standard deviation of the period, seconds
	Off        float64 // share of the time outside the limits
	Confidence float64
	First      int // the place of the first among the excursions
}

// The least number of excursions that make a cycling, and how far a period may
// lie from the one before, as a share. Common practice, no source.
const (
	fewestCycles = 4
	unsteady     = 0.3
)

// Cycles finds excursions that follow each other at a steady pace.
//
// Confidence is the chance that excursions which come at random would not look
// so steady: of two intervals between random events the one lies within 30 % of
// the other with a chance of 1.3/2.3 - 0.7/1.7 = 0.153 (the ratio of two
// exponential times), for each interval but the first.
func Cycles(list []Excursion) []Cycling {
	const byChance = (1+unsteady)/(2+unsteady) - (1-unsteady)/(2-unsteady)
	var cycles []Cycling
	for first := 0; first+fewestCycles <= len(list); {
		last := first + 1
		period := list[last].Start - list[first].Start
		for last+1 < len(list) {
			next := list[last+1].Start - list[last].Start
			mean := (list[last].Start - list[first].Start) / float64(last-first)
			if math.Abs(next-mean) > unsteady*mean {
				break
			}
			last++
		}
		count := last - first + 1
		if count < fewestCycles || !(period > 0) {
			first++
			continue
		}
		c := Cycling{Start: list[first].Start, End: list[last].End, Times: count, First: first}
		c.Period = (list[last].Start - list[first].Start) / float64(count-1)
		sum, off := 0.0, 0.0
		for i := first + 1; i <= last; i++ {
			d := list[i].Start - list[i-1].Start - c.Period
			sum += d * d
			off += list[i-1].Length()
		}
		c.Spread = math.Sqrt(sum / float64(count-1))
		c.Off = off / (list[last].Start - list[first].Start)
		c.Confidence = 1 - math.Pow(byChance, float64(count-2))
		cycles = append(cycles, c)
		first = last + 1
	}
	return cycles
}
