package main

import (
	"context"
	"fmt"
	"math"
	"slices"

	"halfsplit/density"
)

// sizes say how much to simulate, per class.
type sizes struct {
	samples int // known to each method
	few     int // known to the nearest neighbour where little is known
	tests   int // put to each method
}

// votes are the numbers of neighbours that vote.
var votes = []int{1, 5, 15, 51}

// An outcome is how often each method named the right fault, of all tests.
type outcome struct {
	ours       judged    // densities of simulated boards
	normal     float64   // the same with one normal distribution for each fault
	few        float64   // ours, with few boards
	neighbours []float64 // by how many of them vote
	fewNearest float64   // one neighbour, few boards
	most       float64   // that any method can have; see mostPossible
	widths     []float64 // of the kernels, by class
}

// run plays a trial.
func (t trial) run(ctx context.Context, size sizes, seed uint64) (*outcome, error) {
	known, err := t.known(ctx, size.samples, seed)
	if err != nil {
		return nil, err
	}
	tests, err := t.tests(ctx, size.tests, seed)
	if err != nil {
		return nil, err
	}
	fewer := make([][][]float64, len(known))
	for k := range known {
		fewer[k] = known[k][:size.few]
	}
	ours, err := t.densities(known, 0)
	if err != nil {
		return nil, err
	}
	normal, err := t.densities(known, 1)
	if err != nil {
		return nil, err
	}
	few, err := t.densities(fewer, 0)
	if err != nil {
		return nil, err
	}
	result := &outcome{ours: judge(ours, tests), normal: judge(normal, tests).share, few: judge(few, tests).share}
	for _, d := range ours {
		result.widths = append(result.widths, d.Width())
	}
	// Neighbours have to be met as they are read, meter and all.
	meet(known, seed+3)
	result.neighbours = nearest(known, tests, votes)
	result.fewNearest = nearest(fewer, tests, votes[:1])[0]
	result.most = mostPossible(result.neighbours[0], len(known))
	return result, nil
}

// judged is how densities did.
type judged struct {
	share      float64 // of tests in which the right class was the likeliest
	error      float64 // standard error of that
	calibrated float64 // expected calibration error of the chances given
	confusion  [][]int // class that was, class that was named
}

// judge asks densities for the class of each test board.
func judge(densities []*density.Density, tests [][][]float64) judged {
	result := judged{confusion: make([][]int, len(tests))}
	told := make([][]certainty, len(tests))
	_ = inParallel(len(tests), func(k int) error {
		result.confusion[k] = make([]int, len(tests))
		for _, row := range tests[k] {
			named, chance := name(densities, row)
			result.confusion[k][named]++
			told[k] = append(told[k], certainty{chance, named == k})
		}
		return nil
	})
	total := 0.0
	for k := range tests {
		result.share += float64(result.confusion[k][k])
		total += float64(len(tests[k]))
	}
	result.share /= total
	result.error = math.Sqrt(result.share * (1 - result.share) / total)
	result.calibrated = calibration(slices.Concat(told...))
	return result
}

// densities are those of the gains under each class; a width of 0 is found.
func (t trial) densities(known [][][]float64, width float64) ([]*density.Density, error) {
	columns, u := make([]int, len(t.gains)), make([]float64, len(t.gains))
	for i := range t.gains {
		columns[i], u[i] = i, meter
	}
	list := make([]*density.Density, len(known))
	return list, inParallel(len(known), func(k int) error {
		cloud, err := density.New(known[k])
		if err != nil {
			return fmt.Errorf("%s, %v: %w", t.name, t.classes()[k], err)
		}
		if width > 0 {
			list[k], err = cloud.OfWidth(columns, u, width)
		} else {
			list[k], err = cloud.Of(columns, u)
		}
		return err
	})
}

// name is the likeliest class, all being equally likely before, and its chance.
func name(densities []*density.Density, row []float64) (int, float64) {
	priors := make([]float64, len(densities))
	for k := range priors {
		priors[k] = 1
	}
	posterior, err := density.Posterior(priors, densities, row)
	if err != nil {
		panic(err) // the priors are as they should be
	}
	best := 0
	for k, p := range posterior {
		if p > posterior[best] {
			best = k
		}
	}
	return best, posterior[best]
}

// nearest is how often neighbours name the right class, by how many of them vote.
func nearest(known, tests [][][]float64, numbers []int) []float64 {
	among := newNeighbours(known)
	right := make([][]float64, len(tests))
	_ = inParallel(len(tests), func(k int) error {
		right[k] = make([]float64, len(numbers))
		for _, row := range tests[k] {
			for i, named := range among.vote(row, numbers) {
				if named == k {
					right[k][i]++
				}
			}
		}
		return nil
	})
	shares := make([]float64, len(numbers))
	for k := range right {
		for i, n := range right[k] {
			shares[i] += n / float64(len(tests)*len(tests[k]))
		}
	}
	return shares
}

// A certainty is the chance that was given to a name, and whether it was right.
type certainty struct {
	chance float64
	right  bool
}

// calibration is the expected calibration error in ten bins of chance.
func calibration(told []certainty) float64 {
	var stated, right [10]float64
	for _, c := range told {
		bin := min(int(c.chance*10), 9)
		stated[bin] += c.chance
		if c.right {
			right[bin]++
		}
	}
	sum := 0.0
	for i := range stated {
		sum += math.Abs(stated[i] - right[i])
	}
	return sum / float64(len(told))
}
