package memory

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Batch is a lot of chips of one marking and date, which share their fate: what
// one of them did in service is evidence for the others.
type Batch struct {
	Mark   string
	Fitted int // chips of it that have been in service in this array
	Failed int // of those, found bad before today
}

// SwapChip is a chip that may be replaced.
type SwapChip struct {
	Name  string
	Bad   float64 // probability that it is bad now
	Batch int     // number of its batch
}

// SwapCosts are what replacing takes. The zero value of a field is no cost.
type SwapCosts struct {
	Teardown float64 // minutes to take the unit apart and put it together, once for each time
	Swap     float64 // minutes for one chip: seconds in a socket, long when soldered
	Test     float64 // minutes for one run of the test
	Chip     float64 // price of one chip
	Minute   float64 // worth of a minute, in the same money
}

// Service is how long the chips have served and are to serve.
type Service struct {
	Years   float64 // in use so far
	Horizon float64 // years for which further failures count
}

// The prior law of the yearly failure rate of a chip, a beta law: half a failure
// in 250 chip-years. Common practice, no source; chips of a bad batch overrule it
// soon.
const (
	priorFailures = 0.5
	priorYears    = 250.0
)

// Policy is a way to replace chips.
type Policy string

// The policies.
const (
	OneByOne  Policy = "one by one"
	HalfBank  Policy = "half at a time"
	WholeBank Policy = "all at once"
)

// Plan is what a policy is expected to take.
type Plan struct {
	Policy  Policy   `json:"policy"`
	Order   []string `json:"order"`   // the chips, in the order or in the lots in which they are replaced
	Chips   float64  `json:"chips"`   // used now
	Minutes float64  `json:"minutes"` // now
	Wasted  float64  `json:"wasted"`  // good chips thrown out now
	Further float64  `json:"further_failures"`
	Later   float64  `json:"later_minutes"` // for those
	Cost    float64  `json:"cost"`          // now and later, in money
	// Survival is the chance of no further failure by each year up to the
	// horizon, beginning with year 0.
	Survival []float64 `json:"survival"`
}

// Swaps compares the policies.
type Swaps struct {
	Plans []Plan `json:"plans"`
	Best  Policy `json:"best"`
	// Rates are the expected yearly failure rates of the batches, from their own
	// record.
	Rates []float64 `json:"yearly_rates"`
}

// ErrNoSuspect says that no chip is suspected at all.
var ErrNoSuspect = errors.New("no chip is suspected: a plan needs a chip that may be bad")

// PlanSwaps works out, given that at least one of the chips is bad, what each
// policy takes. The probabilities are taken as independent.
//
// One by one replaces the likeliest first and tests after each; half at a time
// replaces the likelier half, tests, and then the other if need be; all at once
// replaces everything and tests once. Chips that stay fail further with a
// beta-binomial law: a batch of which k failed in n chip-years has a rate with a
// beta law of k + ½ against n − k + 250, and the same chance every year. Each
// further failure takes a teardown, a test for the diagnosis, a swap and a test,
// and a chip. New chips are taken to last.
func PlanSwaps(chips []SwapChip, batches []Batch, costs SwapCosts, service Service) (Swaps, error) {
	if err := checkSwaps(chips, batches, costs, service); err != nil {
		return Swaps{}, err
	}
	order := slices.Clone(chips)
	slices.SortStableFunc(order, func(a, b SwapChip) int { return cmp.Compare(b.Bad, a.Bad) })
	if order[0].Bad <= 0 {
		return Swaps{}, ErrNoSuspect
	}
	laws := laws(chips, batches, service)
	var s Swaps
	for _, l := range laws {
		s.Rates = append(s.Rates, l.a/(l.a+l.b))
	}
	n := len(order)
	for _, p := range []struct {
		policy Policy
		lot    int
	}{{OneByOne, 1}, {HalfBank, (n + 1) / 2}, {WholeBank, n}} {
		plan := Plan{Policy: p.policy}
		for _, c := range order {
			plan.Order = append(plan.Order, c.Name)
		}
		plan.lots(order, p.lot, costs, laws, service)
		s.Plans = append(s.Plans, plan)
	}
	s.Best = slices.MinFunc(s.Plans, func(a, b Plan) int { return cmp.Compare(a.Cost, b.Cost) }).Policy
	return s, nil
}

func checkSwaps(chips []SwapChip, batches []Batch, costs SwapCosts, service Service) error {
	if len(chips) == 0 {
		return ErrNoSuspect
	}
	for _, c := range chips {
		switch {
		case !(c.Bad >= 0 && c.Bad <= 1):
			return fmt.Errorf("chip %s is bad with a probability of %g; it lies between 0 and 1", c.Name, c.Bad)
		case c.Batch < 0 || c.Batch >= len(batches):
			return fmt.Errorf("chip %s is of batch number %d; there are %d", c.Name, c.Batch, len(batches))
		}
	}
	for _, b := range batches {
		if b.Failed < 0 || b.Fitted < b.Failed {
			return fmt.Errorf("batch %q: %d of %d chips failed", b.Mark, b.Failed, b.Fitted)
		}
	}
	for _, v := range []struct {
		what  string
		value float64
	}{
		{"the teardown", costs.Teardown}, {"a swap", costs.Swap}, {"a test", costs.Test}, {"a chip", costs.Chip}, {"a minute", costs.Minute},
		{"the time in use", service.Years}, {"the horizon", service.Horizon},
	} {
		if !(v.value >= 0 && v.value <= 1e9) {
			return fmt.Errorf("%s is %g; it cannot be below zero or beyond measure", v.what, v.value)
		}
	}
	if service.Horizon > 200 {
		return fmt.Errorf("the horizon is %g years; at most 200", service.Horizon)
	}
	return nil
}

// law is the beta law of a batch's yearly failure rate.
type law struct{ a, b float64 }

// laws gives what each batch's record says of its rate, the chips suspected now
// counted by their probabilities.
func laws(chips []SwapChip, batches []Batch, service Service) []law {
	list := make([]law, len(batches))
	for i, b := range batches {
		failed := float64(b.Failed)
		for _, c := range chips {
			if c.Batch == i {
				failed += c.Bad
			}
		}
		years := float64(b.Fitted) * service.Years
		list[i] = law{priorFailures + failed, priorYears + max(years-failed, 0)}
	}
	return list
}

// lots fills in a plan that replaces so many chips at a time, the likeliest
// first, until the test passes.
func (p *Plan) lots(order []SwapChip, lot int, costs SwapCosts, laws []law, service Service) {
	n := len(order)
	// sound[i] is the chance that all from i on are good.
	sound := make([]float64, n+1)
	sound[n] = 1
	for i := n - 1; i >= 0; i-- {
		sound[i] = sound[i+1] * (1 - order[i].Bad)
	}
	wrong := 1 - sound[0] // it is given that something is
	left := make([]float64, len(laws))
	for _, c := range order {
		left[c.Batch]++
	}
	bad := 0.0
	tests := 0.0
	for i := 0; i < n; i += lot {
		end := min(i+lot, n)
		reached := (1 - sound[i]) / wrong // one of these or of the later ones is bad
		tests += reached
		for _, c := range order[i:end] {
			p.Chips += reached
			left[c.Batch] -= reached
		}
	}
	for _, c := range order {
		bad += c.Bad / wrong
	}
	p.Wasted = max(p.Chips-bad, 0)
	p.Minutes = costs.Teardown + costs.Swap*p.Chips + costs.Test*tests
	p.Survival = make([]float64, int(math.Ceil(service.Horizon))+1)
	for year := range p.Survival {
		p.Survival[year] = 1
		for i, l := range laws {
			chipYears := left[i] * min(float64(year), service.Horizon)
			p.Survival[year] *= survives(l, chipYears)
		}
	}
	for i, l := range laws {
		p.Further += left[i] * failsWithin(l, service.Horizon)
	}
	p.Later = p.Further * (costs.Teardown + costs.Swap + 2*costs.Test)
	p.Cost = (p.Chips+p.Further)*costs.Chip + (p.Minutes+p.Later)*costs.Minute
}

// survives is the chance of no failure in so many chip-years:
// B(a, b+t)/B(a, b).
func survives(l law, chipYears float64) float64 {
	return min(math.Exp(logBeta(l.a, l.b+chipYears)-logBeta(l.a, l.b)), 1)
}

// failsWithin is the chance that one chip fails within so many years.
func failsWithin(l law, years float64) float64 { return 1 - survives(l, years) }
