package bench

import (
	"context"
	"crypto/sha256"
	"errors"
	"slices"
	"sync"

	"halfsplit/experience"
	"halfsplit/findings"
	"halfsplit/internal/record"
)

// mostKept is how many jobs' findings are kept ready.
const mostKept = 16

// Reasoned is what follows from a job.
type Reasoned struct {
	*Casework
	Report *findings.Report
}

// Progress is how far the reasoning over a job has come.
type Progress struct {
	Circuit string `json:"circuit,omitempty"` // that is being solved
	Done    int    `json:"done"`
	Of      int    `json:"of"`
}

// reasoning is the state of reasoning over one job.
type reasoning struct {
	key  [32]byte      // of what is reasoned over
	done chan struct{} // closed when ended
	stop context.CancelFunc

	mu       sync.Mutex
	progress Progress
	result   *Reasoned
	err      error
	last     *Reasoned // the last that ended well, maybe of an earlier state
}

// Reason gives what follows from a job as it now stands; it waits until that is
// known, or ctx ends. What is known already is given at once.
func (b *Bench) Reason(ctx context.Context, job record.ID) (*Reasoned, error) {
	r, err := b.begin(ctx, job)
	if err != nil {
		return nil, err
	}
	select {
	case <-r.done:
		return r.result, r.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Latest gives what is known of a job without waiting: the last findings, nil
// when there are none yet; whether they are of the job as it now stands; and
// how far the reasoning has come when it goes on. When it ends, ended is
// closed; it is nil when nothing goes on.
func (b *Bench) Latest(ctx context.Context, job record.ID) (last *Reasoned, fresh bool, p Progress, ended <-chan struct{}, err error) {
	r, err := b.begin(ctx, job)
	if err != nil {
		return nil, false, Progress{}, nil, err
	}
	select {
	case <-r.done:
		if r.err != nil {
			return r.last, false, Progress{}, nil, r.err
		}
		return r.result, true, Progress{}, nil, nil
	default:
		r.mu.Lock()
		defer r.mu.Unlock()
		return r.last, false, r.progress, r.done, nil
	}
}

// Cancel stops the reasoning over a job, if it goes on.
func (b *Bench) Cancel(job record.ID) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if r := b.kept[job]; r != nil {
		r.stop()
	}
}

// begin finds or starts the reasoning over a job as it now stands.
func (b *Bench) begin(ctx context.Context, job record.ID) (*reasoning, error) {
	work, err := b.Casework(ctx, job)
	if err != nil {
		return nil, err
	}
	known, err := b.whatIsLearned(ctx)
	if err != nil {
		return nil, err
	}
	key := sha256.Sum256([]byte(work.Text + "\x00" + work.Version.Text + "\x00" + known.text))
	b.mu.Lock()
	defer b.mu.Unlock()
	old := b.kept[job]
	if old != nil && old.key == key && !old.cancelled() {
		b.used(job)
		return old, nil
	}
	run, stop := context.WithCancel(context.WithoutCancel(ctx))
	r := &reasoning{key: key, done: make(chan struct{}), stop: stop}
	if old != nil {
		old.stop()
		r.last = old.latest()
	}
	b.kept[job] = r
	b.used(job)
	go r.run(run, work, known.tally, b)
	return r, nil
}

// used notes that a job was used, and forgets the one used longest ago when
// there are too many.
func (b *Bench) used(job record.ID) {
	b.recent = slices.DeleteFunc(b.recent, func(id record.ID) bool { return id == job })
	b.recent = append(b.recent, job)
	if len(b.recent) > mostKept {
		if r := b.kept[b.recent[0]]; r != nil {
			r.stop()
		}
		delete(b.kept, b.recent[0])
		b.recent = b.recent[1:]
	}
}

// run reasons.
func (r *reasoning) run(ctx context.Context, work *Casework, learned *experience.Tally, b *Bench) {
	defer close(r.done)
	defer r.stop()
	report, err := findings.Reason(ctx, work.Case, work.Sheet, findings.Options{Cache: b.cache, Experience: learned, Progress: func(circuit string, done, of int) {
		r.mu.Lock()
		r.progress = Progress{circuit, done, of}
		r.mu.Unlock()
	}})
	if err != nil {
		r.err = err
		return
	}
	r.mu.Lock()
	r.result = &Reasoned{work, report}
	r.last = r.result
	r.mu.Unlock()
}

// latest is the last result that ended well, or nil.
func (r *reasoning) latest() *Reasoned {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.last
}

// cancelled reports whether it ended because it was stopped.
func (r *reasoning) cancelled() bool {
	select {
	case <-r.done:
		return errors.Is(r.err, context.Canceled)
	default:
		return false
	}
}
