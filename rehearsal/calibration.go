package rehearsal

import "math"

// Calibration tells how far stated probabilities can be believed: of all times
// that the first suspect was named with 70 %, it should have been bad in seven
// of ten.
type Calibration struct {
	// Bins is the reliability table, over all statements about the first
	// suspect, one after each test of each hunt.
	Bins []Bin `json:"reliability"`
	// Brier is the mean squared difference between what was stated and 1 for
	// right, 0 for wrong (Brier, "Verification of forecasts expressed in terms of
	// probability", Monthly Weather Review 78, 1950).
	Brier float64 `json:"brier"`
	// Error is the expected calibration error: the mean difference, bin by bin,
	// between what was stated and what was so, weighed by the statements in each
	// (Naeini, Cooper and Hauskrecht, "Obtaining well calibrated probabilities
	// using Bayesian binning", AAAI 2015). Chance alone makes it about Chance.
	Error float64 `json:"calibration_error"`
	// Chance is the calibration error that a perfectly honest statement would
	// show on average in so few hunts.
	Chance float64 `json:"calibration_error_by_chance"`
	// Last is the calibration error of what was stated when suspects were first
	// named.
	Last float64 `json:"calibration_error_when_named"`
}

// Bin is a row of the reliability table.
type Bin struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Stated float64 `json:"stated"` // the mean in the bin
	// Right is how often it was so. Statements of one hunt hang together, so the
	// limits count hunts, not statements.
	Right      Share `json:"right"`
	Statements int   `json:"statements"`
}

// bins is the number of rows.
const bins = 10

func calibrate(trials []Trial) Calibration {
	type tally struct {
		statements, right, hunts int
		stated, variance         float64
	}
	var rows, last [bins]tally
	var c Calibration
	statements := 0
	row := func(p float64) int { return min(bins-1, int(p*bins)) }
	for i := range trials {
		var seen [bins]bool
		list := trials[i].Statements
		for k, s := range list {
			b := row(s.Stated)
			add := func(t *tally) {
				t.statements++
				t.stated += s.Stated
				t.variance += s.Stated * (1 - s.Stated)
				if s.Right {
					t.right++
				}
			}
			add(&rows[b])
			if k == trials[i].Last {
				add(&last[b])
			}
			if !seen[b] {
				seen[b] = true
				rows[b].hunts++
			}
			right := 0.0
			if s.Right {
				right = 1
			}
			c.Brier += (s.Stated - right) * (s.Stated - right)
			statements++
		}
	}
	if statements == 0 {
		return c
	}
	c.Brier /= float64(statements)
	for b, t := range rows {
		if t.statements == 0 {
			continue
		}
		n := float64(t.statements)
		stated, right := t.stated/n, float64(t.right)/n
		c.Error += math.Abs(stated-right) * n / float64(statements)
		// mean of |x| for a normal x; the statements of one hunt count as one
		c.Chance += math.Sqrt(2/math.Pi*t.variance/n/float64(t.hunts)) * n / float64(statements)
		s := share(int(math.Round(right*float64(t.hunts))), t.hunts)
		s.Value = right
		c.Bins = append(c.Bins, Bin{float64(b) / bins, float64(b+1) / bins, stated, s, t.statements})
	}
	ended := 0
	for _, t := range last {
		ended += t.statements
	}
	for _, t := range last {
		if t.statements > 0 {
			c.Last += math.Abs(t.stated-float64(t.right)) / float64(ended)
		}
	}
	return c
}
