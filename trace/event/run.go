package event

import (
	"math"
	"slices"

	"halfsplit/trace"
)

// A Run is a stretch of running within limits, from a switching-on to the
// failure that ended it or to the end of the trace.
type Run struct {
	Start, End  float64 // seconds
	Failed      bool
	Temperature float64 // at the failure, or the highest of a run without one; NaN where not known
}

// Length is how long it ran, in seconds.
func (r Run) Length() float64 { return r.End - r.Start }

// Runs cuts a trace into runs at the excursions found in it. A unit that fails
// and cycles on and off has failed once: it must stay within the limits for at
// least so long, in seconds, before another run begins. The temperature may be
// nil.
func Runs(times, values, temperature []float64, list []Excursion, least float64) []Run {
	begin := math.NaN()
	if i := slices.IndexFunc(values, func(v float64) bool { return !math.IsNaN(v) }); i >= 0 && (len(list) == 0 || list[0].first != i) {
		begin = times[i]
	}
	var runs []Run
	add := func(r Run) {
		if temperature != nil {
			if r.Failed {
				r.Temperature = trace.At(times, temperature, r.End)
			} else {
				r.Temperature = highest(times, temperature, r.Start, r.End)
			}
		} else {
			r.Temperature = math.NaN()
		}
		runs = append(runs, r)
	}
	for _, e := range list {
		if !math.IsNaN(begin) && e.Start-begin >= least {
			add(Run{Start: begin, End: e.Start, Failed: true})
		}
		begin = e.End
		if e.Ongoing {
			begin = math.NaN()
		}
	}
	if n := len(times); !math.IsNaN(begin) && n > 0 && times[n-1]-begin >= least {
		add(Run{Start: begin, End: times[n-1]})
	}
	return runs
}

// highest is the highest temperature between two times.
func highest(times, temperature []float64, from, to float64) float64 {
	most := math.NaN()
	for i, t := range times {
		if v := temperature[i]; t >= from && t <= to && !math.IsNaN(v) && !math.IsInf(v, 0) && !(v <= most) {
			most = v
		}
	}
	return most
}
