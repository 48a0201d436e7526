package rehearsal

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// Options of a rehearsal.
type Options struct {
	// Trials is how many hunts are played, at least one. The truths are spread
	// evenly over the priors, so that each hypothesis with a chance above one in
	// Trials comes up.
	Trials int
	// Draw picks the sample: another number, other units and misreadings.
	Draw  uint64
	Rules Rules
	// Hidden plays with faults kept from whoever looks for them: every
	// hypothesis that shares a suspect with the truth is taken out of the table.
	Hidden bool
	// Workers is how many hunts are played at a time, as many as there are cores
	// by default. The outcome does not depend on it.
	Workers int
	// Progress, when set, is told from time to time how many hunts are done. It
	// is called by one worker at a time.
	Progress func(done int)
}

// mostTrials bounds the hunts of one rehearsal.
const mostTrials = 1_000_000

// Play plays hunts and returns them in their order. It stops with the
// context's error when cancelled.
func Play(ctx context.Context, bench Bench, strategy Strategy, options Options) ([]Trial, error) {
	if err := check(bench); err != nil {
		return nil, err
	}
	if options.Trials < 1 || options.Trials > mostTrials {
		return nil, fmt.Errorf("rehearsal: %d trials; play from 1 to %d", options.Trials, mostTrials)
	}
	if options.Workers <= 0 {
		options.Workers = runtime.GOMAXPROCS(0)
	}
	rules := options.Rules.withDefaults()
	truths, err := spreadTruths(bench.Setup(), options)
	if err != nil {
		return nil, err
	}
	trials := make([]Trial, options.Trials)
	var next, done atomic.Int64
	var telling sync.Mutex
	var workers sync.WaitGroup
	for range min(options.Workers, options.Trials) {
		workers.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= options.Trials {
					return
				}
				random := rand.New(rand.NewPCG(options.Draw, uint64(i)))
				trials[i] = hunt(bench, strategy, rules, truths[i], options.Hidden, random)
				n := int(done.Add(1))
				if options.Progress != nil {
					telling.Lock()
					options.Progress(n)
					telling.Unlock()
				}
			}
		})
	}
	workers.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return trials, nil
}

// spreadTruths picks the truth of each hunt: the hypotheses laid end to end by
// their priors, cut at even steps from a random start (systematic sampling:
// Cochran, Sampling Techniques, 1977, chapter 8). With hidden faults only
// described ones are picked.
func spreadTruths(setup *Setup, options Options) ([]int, error) {
	total := 0.0
	weight := make([]float64, len(setup.Hypotheses))
	for h := range setup.Hypotheses {
		if !(options.Hidden && setup.Hypotheses[h].Undescribed()) {
			weight[h] = setup.Hypotheses[h].Prior
			total += weight[h]
		}
	}
	if total == 0 {
		return nil, fmt.Errorf("rehearsal: no fault is described that could be hidden")
	}
	truths := make([]int, options.Trials)
	at := rand.New(rand.NewPCG(options.Draw, 1<<63)).Float64()
	h := slices.IndexFunc(weight, func(w float64) bool { return w > 0 })
	passed := weight[h]
	for i := range truths {
		x := (float64(i) + at) / float64(options.Trials) * total
		for next := h + 1; passed < x && next < len(weight); next++ {
			if weight[next] > 0 {
				h = next
				passed += weight[h]
			}
		}
		truths[i] = h
	}
	return truths, nil
}
