package web

import (
	"context"
	"errors"
	"math"
	"sync"
	"time"

	"halfsplit/instrument"
	"halfsplit/internal/record"
	"halfsplit/internal/watch"
)

// Limits of the live readings.
const (
	metersMost   = 8                // meters that are read at once
	lookersMost  = 40               // screens that look at them
	readingEvery = time.Second      // between two readings of a meter
	meterRest    = 5 * time.Second  // after nobody looks any more
	connectAgain = 3 * time.Second  // before a connection is tried again
	connectFor   = 10 * time.Second // that an attempt may take
)

// liveReading is what a meter shows now.
type liveReading struct {
	State   watch.State
	Value   float64 // NaN unless State is a reading
	At      time.Time
	Trouble string // why there is no reading; empty when all is well
	Number  int    // counts what was seen of this meter
}

// meterWatch reads the meters that somebody looks at, each once however many look,
// and lets go of those that nobody looks at. The zero value is ready.
type meterWatch struct {
	mutex   sync.Mutex
	reading map[string]*meterRead
	lookers int
}

// meterRead is the reading of one meter.
type meterRead struct {
	stop    context.CancelFunc
	ended   chan struct{}
	lookers int
	timer   *time.Timer // ends it when nobody has looked for a while

	mutex   sync.Mutex
	last    liveReading
	changed chan struct{} // closed at the next reading
}

// errTooMany says that the bench reads and shows as much as it can.
var errTooMany = errors.New("too many meters or screens are watched at once; close one")

// look begins to look at a meter; leave ends it.
func (m *meterWatch) look(i record.Instrument, now func() time.Time) (read *meterRead, leave func(), err error) {
	wanted, err := wantedMeter(i)
	if err != nil {
		return nil, nil, err
	}
	m.mutex.Lock()
	defer m.mutex.Unlock()
	key := i.Name + "\x00" + i.Address
	one := m.reading[key]
	if m.lookers >= lookersMost || one == nil && len(m.reading) >= metersMost {
		return nil, nil, errTooMany
	}
	if m.reading == nil {
		m.reading = map[string]*meterRead{}
	}
	if one == nil {
		ctx, stop := context.WithCancel(context.Background())
		one = &meterRead{stop: stop, ended: make(chan struct{}), changed: make(chan struct{}), last: liveReading{State: watch.Missing, Value: math.NaN()}}
		m.reading[key] = one
		go func() {
			defer close(one.ended)
			one.run(ctx, wanted.Setup, now)
		}()
	}
	if one.timer != nil {
		one.timer.Stop()
		one.timer = nil
	}
	one.lookers++
	m.lookers++
	var once sync.Once
	return one, func() { once.Do(func() { m.leave(key, one) }) }, nil
}

// leave ends the look of one; a page that is loaded anew comes back at once, so
// that the meter is kept for a moment.
func (m *meterWatch) leave(key string, one *meterRead) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.lookers--
	one.lookers--
	if one.lookers > 0 {
		return
	}
	one.timer = time.AfterFunc(meterRest, func() {
		m.mutex.Lock()
		defer m.mutex.Unlock()
		if one.lookers == 0 && m.reading[key] == one {
			delete(m.reading, key)
			one.stop()
		}
	})
}

// close lets go of every meter.
func (m *meterWatch) close() {
	m.mutex.Lock()
	var all []*meterRead
	for key, one := range m.reading {
		delete(m.reading, key)
		one.stop()
		all = append(all, one)
	}
	m.mutex.Unlock()
	for _, one := range all {
		<-one.ended
	}
}

// count is how many meters are read now.
func (m *meterWatch) count() int {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return len(m.reading)
}

// now gives what the meter shows, and a channel that is closed when it shows
// something new.
func (r *meterRead) now() (liveReading, <-chan struct{}) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	return r.last, r.changed
}

// tell takes in what the meter shows.
func (r *meterRead) tell(l liveReading) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	l.Number = r.last.Number + 1
	r.last = l
	close(r.changed)
	r.changed = make(chan struct{})
}

// run reads the meter until the context ends, and connects again whenever the
// connection is gone.
func (r *meterRead) run(ctx context.Context, setup instrument.Setup, now func() time.Time) {
	var meter *instrument.Kept
	defer func() {
		if meter != nil {
			meter.Close()
		}
	}()
	beat := time.NewTicker(readingEvery)
	defer beat.Stop()
	for {
		wait := beat.C
		if meter == nil {
			trying, stop := context.WithTimeout(ctx, connectFor)
			kept, err := instrument.Keep(trying, setup, now)
			stop()
			if err != nil {
				r.tell(liveReading{State: watch.Missing, Value: math.NaN(), At: now(), Trouble: err.Error()})
				wait = time.After(connectAgain)
			} else {
				meter = kept
			}
		}
		if meter != nil {
			r.tell(readOnce(ctx, meter, now))
		}
		select {
		case <-ctx.Done():
			return
		case <-wait:
		}
	}
}

// readOnce takes one reading.
func readOnce(ctx context.Context, meter *instrument.Kept, now func() time.Time) liveReading {
	v, err := meter.Read(ctx)
	l := liveReading{State: watch.Measured, Value: v, At: now()}
	switch {
	case err != nil:
		l.State, l.Value, l.Trouble = watch.Missing, math.NaN(), err.Error()
	case math.IsInf(v, 1):
		l.State, l.Value = watch.Overload, math.NaN()
	case math.IsInf(v, -1):
		l.State, l.Value = watch.NegativeOverload, math.NaN()
	case math.IsNaN(v):
		l.State = watch.NoValue
	}
	return l
}
