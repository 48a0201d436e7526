package instrument

import (
	"context"
	"math"
	"time"
)

// Kept is a meter that is connected again whenever the connection fails, for
// long watches. It is used by one goroutine at a time.
type Kept struct {
	setup    Setup
	now      func() time.Time
	meter    *Meter
	failures int       // connections in a row that did not come about
	next     time.Time // when the next one is tried
	last     error     // why there is no connection
}

// The pauses between attempts to connect begin with the first and double up to
// the longest.
const (
	firstPause   = time.Second
	longestPause = 30 * time.Second
)

// Keep connects a meter, and keeps it connected. The clock only says when to try
// again. An error is one of Connect.
func Keep(ctx context.Context, s Setup, now func() time.Time) (*Kept, error) {
	m, err := Connect(ctx, s)
	if err != nil {
		return nil, err
	}
	return &Kept{setup: s, now: now, meter: m}, nil
}

// Meter is the meter as it was connected last; nil while it is away.
func (k *Kept) Meter() *Meter { return k.meter }

// Close closes the connection, if there is one.
func (k *Kept) Close() error {
	if k.meter == nil {
		return nil
	}
	return k.meter.Close()
}

// Away is the error of a meter that is not connected, until it is.
type Away struct {
	Reason error // of the last attempt, or of what ended the connection
	Next   time.Time
}

// Error says why it is away.
func (a *Away) Error() string { return "not connected: " + a.Reason.Error() }

// Unwrap gives the reason.
func (a *Away) Unwrap() error { return a.Reason }

// Read takes a reading, and connects first where the connection has failed
// before. While it waits before the next attempt it returns an *Away error at
// once. A *Failure ends the connection.
func (k *Kept) Read(ctx context.Context) (float64, error) {
	if k.meter == nil {
		if k.now().Before(k.next) {
			return math.NaN(), &Away{k.last, k.next}
		}
		m, err := Connect(ctx, k.setup)
		if err != nil {
			k.wait(err)
			return math.NaN(), &Away{k.last, k.next}
		}
		k.meter, k.last = m, nil
	}
	v, err := k.meter.Read(ctx)
	if err != nil {
		k.meter.Close()
		k.meter = nil
		k.wait(err)
		return v, err
	}
	k.failures = 0
	return v, nil
}

// wait puts off the next attempt, longer after each failure in a row.
func (k *Kept) wait(err error) {
	pause := firstPause << min(k.failures, 10)
	k.failures++
	k.last, k.next = err, k.now().Add(min(pause, longestPause))
}

// History says in words what the meter had stored when it was connected last,
// and what could not be set; empty when there is nothing to say.
func (k *Kept) History() []string {
	if k.meter == nil {
		return nil
	}
	return k.meter.History()
}
