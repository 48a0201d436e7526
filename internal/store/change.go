package store

import (
	"context"
	"sync"
	"time"

	"halfsplit/internal/record"
)

var (
	sqlAddChange   = statement("INSERT INTO changes (kind, record, unit, job, at) VALUES (?, ?, ?, ?, ?)")
	sqlDropChanges = statement("DELETE FROM changes WHERE number <= (SELECT max(number) FROM changes) - ?")
	sqlChanges     = statement("SELECT number, kind, record, unit, job, at FROM changes WHERE number > ? ORDER BY number LIMIT ?")
	sqlLastChange  = statement("SELECT coalesce(max(number), 0) FROM changes")
)

// mostChanges is how many changes are kept; who is further behind looks at
// everything anew.
const mostChanges = 20_000

// changed notes that a record was changed, once in a transaction.
func (t *transaction) changed(kind record.Kind, id, unit, job record.ID) {
	for _, c := range t.told {
		if c.Kind == kind && c.ID == id {
			return
		}
	}
	if !t.quiet {
		t.told = append(t.told, record.Change{Kind: kind, ID: id, Unit: unit, Job: job})
	}
}

// tell writes the changes down.
func (t *transaction) tell() error {
	for _, c := range t.told {
		if _, err := t.exec(t.ctx, sqlAddChange, string(c.Kind), int64(c.ID), cellValue(reference(&c.Unit)), cellValue(reference(&c.Job)), t.now.UnixNano()); err != nil {
			return err
		}
	}
	if len(t.told) == 0 {
		return nil
	}
	_, err := t.exec(t.ctx, sqlDropChanges, mostChanges)
	return err
}

// cellValue is what a cell that cannot fail writes.
func cellValue(c cell) any {
	value, _ := c.Value()
	return value
}

// Changes lists the changes after one, oldest first, at most limit (0 for 500).
// Only the newest 20,000 are kept: when the first one listed does not follow
// upon after, some were missed, and whoever asks must look at everything anew.
func (s *Store) Changes(ctx context.Context, after int64, limit int) ([]record.Change, error) {
	if limit <= 0 {
		limit = 500
	}
	var list []record.Change
	err := each(ctx, s.readers, sqlChanges, []any{after, limit}, func(scan func(...any) error) error {
		var c record.Change
		err := scan(&c.Number, text(&c.Kind), integer(&c.ID), reference(&c.Unit), reference(&c.Job), moment(&c.At))
		list = append(list, c)
		return err
	})
	return list, explain(err)
}

// LastChange is the number of the last change; 0 when there was none.
func (s *Store) LastChange(ctx context.Context) (int64, error) {
	var last int64
	err := one(ctx, s.readers, sqlLastChange, nil, &last)
	return last, explain(err)
}

// watchers wakes those who wait for changes.
type watchers struct {
	mutex  sync.Mutex
	closed bool
	wake   chan struct{} // closed at each change; nil when nobody waits
}

func (w *watchers) tell() {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.wake != nil {
		close(w.wake)
		w.wake = nil
	}
}

func (w *watchers) close() {
	w.tell()
	w.mutex.Lock()
	w.closed = true
	w.mutex.Unlock()
}

// wait is a channel that is closed at the next change; false when the records
// were closed.
func (w *watchers) wait() (<-chan struct{}, bool) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.wake == nil {
		w.wake = make(chan struct{})
	}
	return w.wake, !w.closed
}

// lookEvery is how often changes made by other programs are looked for.
const lookEvery = 500 * time.Millisecond

// Watch sends each change from now on, also those that other programs make to
// the same records. The channel is closed when the context ends or the records
// are closed. A slow reader misses nothing unless it falls 20,000 changes behind.
func (s *Store) Watch(ctx context.Context) <-chan record.Change {
	out := make(chan record.Change, 64)
	last, err := s.LastChange(ctx)
	go func() {
		defer close(out)
		ticker := time.NewTicker(lookEvery)
		defer ticker.Stop()
		for err == nil {
			wake, open := s.watch.wait()
			if !open {
				return
			}
			var list []record.Change
			if list, err = s.Changes(ctx, last, 0); err != nil {
				return
			}
			for _, c := range list {
				select {
				case out <- c:
					last = c.Number
				case <-ctx.Done():
					return
				}
			}
			if len(list) > 0 {
				continue
			}
			select {
			case <-wake:
			case <-ticker.C:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out
}
