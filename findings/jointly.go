package findings

import (
	"context"
	"encoding/binary"
	"slices"
	"sync"

	"halfsplit/diagnosis"
	"halfsplit/flow"
)

// How many times sets of faults are worked out together, how many of them, and
// from which probability on that matters.
const (
	mostRounds  = 4
	mostJointly = 24
	matters     = 0.01
)

// search weighs sets of faults. What several faults do together in a circuit is
// first put together from each by itself; where that leads among the likeliest
// sets they are worked out together, and all is weighed again.
func (w *work) search(ctx context.Context) (*diagnosis.Posterior, error) {
	memory := &remembering{Evidence: w.evidence, sets: map[string]float64{}}
	w.problem.Model = memory
	for round := 1; ; round++ {
		p, err := diagnosis.Search(ctx, w.problem, diagnosis.Limits{})
		if err != nil || round > mostRounds {
			return p, err
		}
		fresh := w.jointly(p)
		if len(fresh) == 0 {
			return p, nil
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		memory.forget(fresh, w.inCircuits)
	}
}

// jointly works out together what the likeliest sets do in circuits. It gives the
// parts of them in circuits, where any was not worked out before.
func (w *work) jointly(p *diagnosis.Posterior) [][]int {
	if len(w.sections) == 0 {
		return nil
	}
	w.evidence.Anew()
	for _, s := range w.sections {
		s.solver.together(true)
	}
	var asked [][]int
	for _, set := range p.Sets[:min(mostJointly, len(p.Sets))] {
		if part := w.inCircuits(set.Faults); set.Probability >= matters && len(part) > 1 {
			w.evidence.Signals(set.Faults)
			asked = append(asked, part)
		}
	}
	fresh := 0
	for _, s := range w.sections {
		fresh += s.solver.together(false)
	}
	w.evidence.Anew()
	if fresh == 0 {
		return nil
	}
	return asked
}

// inCircuits gives the faults of a set that do something in circuits: those of
// their parts, and those that may load them.
func (w *work) inCircuits(set []int) []int {
	return slices.DeleteFunc(slices.Clone(set), func(f int) bool { return !w.model.InSection(f) })
}

// remembering is the evidence with what it said of every set.
type remembering struct {
	*flow.Evidence
	lock sync.RWMutex
	sets map[string]float64
}

// LogLikelihood implements diagnosis.Model.
func (r *remembering) LogLikelihood(faults []int) float64 {
	key := make([]byte, 0, 16)
	for _, f := range faults {
		key = binary.AppendUvarint(key, uint64(f))
	}
	r.lock.RLock()
	l, known := r.sets[string(key)]
	r.lock.RUnlock()
	if !known {
		l = r.Evidence.LogLikelihood(faults)
		r.lock.Lock()
		r.sets[string(key)] = l
		r.lock.Unlock()
	}
	return l
}

// forget drops what was said of sets of which more is known now.
func (r *remembering) forget(fresh [][]int, part func([]int) []int) {
	r.lock.Lock()
	defer r.lock.Unlock()
	for key := range r.sets {
		var set []int
		for rest := []byte(key); len(rest) > 0; {
			f, n := binary.Uvarint(rest)
			set, rest = append(set, int(f)), rest[n:]
		}
		in := part(set)
		if len(in) < 2 {
			continue
		}
		if slices.ContainsFunc(fresh, func(asked []int) bool {
			return !slices.ContainsFunc(in, func(f int) bool { return !slices.Contains(asked, f) })
		}) {
			delete(r.sets, key)
		}
	}
}
