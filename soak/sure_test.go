package soak_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfsplit/soak"
)

// sessions is how a bench day goes: the case warms from the room's temperature
// towards 25 K above it with a time constant of 20 min, and is switched off after
// 3 h.
const (
	sessionLength = 3 * 3600
	warming       = 1200
	sampling      = 30
)

// day is the temperature of a case over a session, every half minute.
func day(room float64) (times, temperature []float64) {
	for t := 0.0; t <= sessionLength; t += sampling {
		times, temperature = append(times, t), append(temperature, room+25*(1-math.Exp(-t/warming)))
	}
	return times, temperature
}

// verdicts counts what became of units.
type verdicts struct{ units, sure, wrong, again, never int }

// soakOne makes a thermal intermittent fail once, repairs it or not, and soaks it
// until the advice is to stop: only time at least as hot as the failure, less
// the margin, counts. It may fail only above a temperature of its own, at random.
func (v *verdicts) soakOne(t *testing.T, random *rand.Rand, right float64) {
	v.units++
	from := 28 + 8*random.Float64()                      // degrees Celsius from which it may fail
	life := math.Exp(math.Log(300) + 4*random.Float64()) // mean time to failure when that hot: 5 min to 4.5 h
	hotBefore := life * random.ExpFloat64()              // time as hot as that until it fails, all sessions
	room, fails := 20+3*random.Float64(), false          // the day before the repair
	var history []soak.Run
	for range 40 {
		times, temperature := day(room)
		for i := range times {
			if temperature[i] >= from {
				hotBefore -= sampling
			}
			if hotBefore <= 0 {
				history = append(history, soak.Run{Duration: max(times[i], sampling), Failed: true, Temperature: temperature[i]})
				fails = true
				break
			}
		}
		if fails {
			break
		}
		history = append(history, soak.Run{Duration: sessionLength, Temperature: temperature[len(temperature)-1]})
	}
	if !fails {
		v.never++
		return
	}
	given := soak.StrictAssumptions(right)
	limit := soak.HotLimit(history, given.Margin)
	plan, err := soak.Assess(history, nil, given)
	must(t, plan, err)
	need := plan.Advice.Restarting
	repaired := random.Float64() < right
	hotAfter := life * random.ExpFloat64()
	counted := 0.0
	for counted < need {
		times, temperature := day(20 + 3*random.Float64())
		for i := 1; i < len(times) && counted < need; i++ {
			seconds, _ := soak.HotTime(times[i-1:i+1], temperature[i-1:i+1], limit)
			counted += seconds
			if temperature[i] >= from {
				hotAfter -= sampling
			}
			if !repaired && hotAfter <= 0 {
				v.again++
				return
			}
		}
		if counted == 0 {
			v.never++ // the days are too cool to tell
			return
		}
	}
	v.sure++
	if !repaired {
		v.wrong++
	}
}

// Ten thousand units with a thermal intermittent, one third, half or four fifths
// of them truly repaired, each made to fail once before the repair and soaked
// until halfsplit calls it 95 % sure: of those no more than 5 % are wrong. The
// thermometer, the warming up and the cold minutes are part of it.
func TestSureIsWrongInOneOfTwentyAtMost(t *testing.T) {
	random := rand.New(rand.NewPCG(1979, 220))
	for _, c := range []struct {
		right float64
		units int
	}{{0.3, 3000}, {0.5, 4000}, {0.8, 3000}} {
		var v verdicts
		for range c.units {
			v.soakOne(t, random, c.right)
		}
		wrong := float64(v.wrong) / float64(v.sure)
		t.Logf("%.0f %% repaired: %d units, %d sure, %d of them wrong (%.2f %%), %d failed again, %d never told", 100*c.right, v.units, v.sure, v.wrong, 100*wrong, v.again, v.never)
		if wrong > 0.05 {
			t.Errorf("%.0f %% repaired: 95 %% sure is wrong in %.2f %%", 100*c.right, 100*wrong)
		}
		if v.sure < c.units/5 {
			t.Errorf("%.0f %% repaired: only %d of %d units ever pass", 100*c.right, v.sure, c.units)
		}
	}
}

// The same with two failures each and lives that gather around a time or come at
// random, where the answer rests on Weibull lives. What is needed depends on the
// ratio of the two failure times alone, so that it is worked out for sixty ratios
// and read between them.
func TestSureAfterTwoFailures(t *testing.T) {
	random := rand.New(rand.NewPCG(1979, 221))
	const right, ratios, reach = 0.5, 60, 8.0
	var need [ratios + 1]float64 // logarithm, in units of the longer time
	for i := range need {
		ratio := math.Exp(-reach * float64(i) / ratios)
		a, err := soak.Assess([]soak.Run{failed(1000, unknown), failed(1000*ratio, unknown)}, nil, soak.StrictAssumptions(right))
		must(t, a, err)
		need[i] = math.Log(a.Advice.Restarting / 1000)
	}
	for _, shape := range []float64{1, 2, 4} {
		life, err := soak.NewWeibull(shape, 1)
		must(t, life, err)
		sure, wrong := 0, 0
		for range 10_000 {
			a, b := life.Quantile(random.Float64()), life.Quantile(random.Float64())
			at := min(math.Log(max(a, b)/min(a, b))/reach*ratios, ratios-1e-9)
			i := int(at)
			soaked := max(a, b) * math.Exp(need[i]+(at-float64(i))*(need[i+1]-need[i]))
			repaired := random.Float64() < right
			if repaired || life.Quantile(random.Float64()) > soaked {
				sure++
				if !repaired {
					wrong++
				}
			}
		}
		share := float64(wrong) / float64(sure)
		t.Logf("shape %v: %d of 10000 sure, %.2f %% of them wrong", shape, sure, 100*share)
		if share > 0.05 {
			t.Errorf("shape %v: 95 %% sure is wrong in %.2f %%", shape, 100*share)
		}
	}
}
