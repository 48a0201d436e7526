package soak

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// SequentialRow is what a plan says for one number of failures.
type SequentialRow struct {
	RejectUpTo float64 // reject when this failure comes at or before this total running time; 0 when it cannot reject
	AcceptFrom float64 // accept when the total running time reaches this with no further failure; +Inf in the last row
}

// SequentialPlan is a truncated sequential test as a table: Rows[r] holds for r
// failures. The last row rejects whatever the plan has not accepted by then.
type SequentialPlan struct {
	Name  string  // designation, if it is a published plan
	Ratio float64 // discrimination ratio of a published plan: upper over lower mean time between failures; 0 for others
	Rows  []SequentialRow
}

// Scaled returns the plan with all times multiplied by a factor above zero: a
// published plan, which counts in multiples of the lower mean time between
// failures, becomes one in units of time.
func (p SequentialPlan) Scaled(factor float64) (SequentialPlan, error) {
	if err := checkPositive("scale factor", factor); err != nil {
		return SequentialPlan{}, err
	}
	p.Rows = slices.Clone(p.Rows)
	for r := range p.Rows {
		p.Rows[r].RejectUpTo *= factor
		p.Rows[r].AcceptFrom *= factor
	}
	return p, p.check()
}

// check returns an error unless the plan ends in a decision whatever happens.
func (p SequentialPlan) check() error {
	if len(p.Rows) < 2 {
		return fmt.Errorf("soak: a sequential plan of %d rows; it has at least one row that accepts and one that rejects", len(p.Rows))
	}
	before := SequentialRow{}
	for r, row := range p.Rows {
		inRange := row.RejectUpTo <= longestTime && (row.AcceptFrom <= longestTime || math.IsInf(row.AcceptFrom, 1))
		if !inRange || !(row.RejectUpTo >= before.RejectUpTo) || !(row.AcceptFrom >= before.AcceptFrom) {
			return fmt.Errorf("soak: row %d of the sequential plan, reject up to %v and accept from %v, cannot follow the row before it; both are times that do not fall from row to row, of at most %v", r, row.RejectUpTo, row.AcceptFrom, longestTime)
		}
		before = row
	}
	last := len(p.Rows) - 1
	if p.Rows[0].RejectUpTo != 0 || !(p.Rows[0].AcceptFrom > 0) || p.Rows[last].RejectUpTo < p.Rows[last-1].AcceptFrom || !math.IsInf(p.Rows[last].AcceptFrom, 1) {
		return errors.New("soak: the sequential plan does not end: row 0 must not reject and must accept after some time, and the last row must reject up to the last time at which the row before accepts, and accept from +Inf")
	}
	return nil
}

// Outcome is what a sequential test has come to.
type Outcome string

// The outcomes.
const (
	Accept   Outcome = "accept"
	Reject   Outcome = "reject"
	Continue Outcome = "continue"
)

// Decision is the outcome of a sequential test, and when it fell.
type Decision struct {
	Outcome  Outcome
	Time     float64 // total running time at the decision, or now if it continues
	Failures int     // failures by then
}

// Decide walks through the plan. The failure times are total running times of
// all units together, in order; now is the total running time so far, and +Inf
// if the units are known to have run on without further failure.
func (p SequentialPlan) Decide(failureTimes []float64, now float64) (Decision, error) {
	if err := p.check(); err != nil {
		return Decision{}, err
	}
	if !(now >= 0) {
		return Decision{}, fmt.Errorf("soak: total running time now is %v; it must be zero or more", now)
	}
	before := 0.0
	for i, t := range failureTimes {
		if !(t >= before && t <= now) || math.IsInf(t, 1) {
			return Decision{}, fmt.Errorf("soak: failure %d is at %v of total running time; failures must be in order of time and not later than now, %v", i+1, t, now)
		}
		before = t
		if t >= p.Rows[i].AcceptFrom {
			return Decision{Outcome: Accept, Time: p.Rows[i].AcceptFrom, Failures: i}, nil
		}
		if t <= p.Rows[i+1].RejectUpTo {
			return Decision{Outcome: Reject, Time: t, Failures: i + 1}, nil
		}
	}
	r := len(failureTimes)
	if from := p.Rows[r].AcceptFrom; now >= from {
		return Decision{Outcome: Accept, Time: from, Failures: r}, nil
	}
	return Decision{Outcome: Continue, Time: now, Failures: r}, nil
}

// Characteristic is how a sequential plan treats units of one quality.
type Characteristic struct {
	Accept, Reject float64 // chances; each computed by itself
	ExpectedTime   float64 // mean total running time to the decision
}

// Characteristic returns, exactly, how the plan treats units with a given mean
// time between failures. Between two times of the table the count of failures
// is a Poisson process that is stopped when it reaches the row that rejects; at
// a time of the table the rows that accept are taken out.
//
// Source of the method: direct calculation by stages, L. A. Aroian, Sequential
// Analysis, Direct Method, Technometrics 10 (1968), 125-132.
func (p SequentialPlan) Characteristic(mtbf float64) (Characteristic, error) {
	if err := first(p.check(), checkTime("mean time between failures", mtbf)); err != nil {
		return Characteristic{}, err
	}
	const negligible = 1e-30 // chance of so many failures in one stretch that more are left out
	var times []float64
	for _, row := range p.Rows {
		for _, t := range []float64{row.RejectUpTo, row.AcceptFrom} {
			if t > 0 && !math.IsInf(t, 1) {
				times = append(times, t)
			}
		}
	}
	slices.Sort(times)
	times = slices.Compact(times)

	var c Characteristic
	running := make([]float64, len(p.Rows)) // chance of being under test with r failures
	next := make([]float64, len(p.Rows))
	running[0] = 1
	now := 0.0
	for _, t := range times {
		rejects := 0 // smallest number of failures that rejects up to t
		for p.Rows[rejects].RejectUpTo < t {
			rejects++
		}
		m := (t - now) / mtbf
		clear(next)
		for r, chance := range running[:rejects] {
			if chance == 0 {
				continue
			}
			c.Reject += chance * poissonAtLeast(rejects-r, m)
			for k := range rejects - r {
				p := poissonExactly(k, m)
				next[r+k] += chance * p
				// The mean time spent with k failures more, of this stretch.
				c.ExpectedTime += chance * mtbf * poissonAtLeast(k+1, m)
				if float64(k) > m && p < negligible {
					break
				}
			}
		}
		running, next = next, running
		for r := range rejects {
			if p.Rows[r].AcceptFrom <= t {
				c.Accept += running[r]
				running[r] = 0
			}
		}
		now = t
	}
	return c, nil
}

// ProducerRisk returns the chance that a published plan rejects units of the
// upper mean time between failures.
func (p SequentialPlan) ProducerRisk() (float64, error) {
	c, err := p.Characteristic(p.Ratio)
	return c.Reject, err
}

// ConsumerRisk returns the chance that a published plan accepts units of the
// lower mean time between failures.
func (p SequentialPlan) ConsumerRisk() (float64, error) {
	c, err := p.Characteristic(1)
	return c.Accept, err
}
