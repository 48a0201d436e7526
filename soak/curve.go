package soak

import "math"

// Point is one point of the curve of confidence against hot running time.
type Point struct {
	Time                 float64 // clean running since the repair that counts, seconds, all runs together
	SurvivalIfUnrepaired float64 // chance that a unit not repaired would have come through it
	Fixed                float64 // chance that the unit is fixed
}

// curvePoints is the number of points of a curve, enough to draw it smoothly.
const curvePoints = 121

// confidenceCurve follows the clean runs in the order in which they were made,
// and then the last of them going on, in equal steps up to the given time.
func confidenceCurve(law predictive, clean []float64, prior, end float64) []Point {
	if !(end > 0) {
		return nil
	}
	if len(clean) == 0 {
		clean = []float64{0}
	}
	points := make([]Point, curvePoints)
	run, before := 0, 0.0 // the run under way, and the running in those before it
	survival := law.survivalAfter(nil)
	for i := range points {
		t := end * float64(i) / (curvePoints - 1)
		for run < len(clean)-1 && t > before+clean[run] {
			before += clean[run]
			run++
			survival = law.survivalAfter(clean[:run])
		}
		logSurvival := survival(math.Max(0, t-before))
		points[i] = Point{Time: t, SurvivalIfUnrepaired: math.Exp(logSurvival)}
		points[i].Fixed, _ = belief(prior, logSurvival)
	}
	return points
}

// curveEnd returns the time up to which a curve is worth drawing: somewhat past
// what was run, and past what the level needs where that can be reached.
func curveEnd(needs Target, cleanTime, scale float64) float64 {
	end := math.Max(cleanTime, scale)
	for _, more := range []float64{needs.BySurvival.Continuing, needs.ByBelief.Continuing} {
		if more <= longestTime {
			end = math.Max(end, cleanTime+more)
		}
	}
	return 1.2 * end
}
