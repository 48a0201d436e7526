package bench

import (
	"context"
	"sync"
	"time"

	"halfsplit/internal/record"
	"halfsplit/prediction"
)

// Records is where a bench finds and keeps what it works with.
type Records interface {
	Unit(ctx context.Context, id record.ID) (record.Unit, error)
	SaveUnit(ctx context.Context, u *record.Unit) error
	Job(ctx context.Context, id record.ID) (record.Job, error)
	SaveJob(ctx context.Context, j *record.Job) error
	Log(ctx context.Context, job record.ID) ([]record.Entry, error)
	AddEntry(ctx context.Context, e *record.Entry) error
	Sheet(ctx context.Context, id record.ID) (record.Sheet, error)
	SheetNamed(ctx context.Context, name string) (record.Sheet, error)
	SaveSheet(ctx context.Context, s *record.Sheet) error
	Instruments(ctx context.Context) ([]record.Instrument, error)
	SaveInstrument(ctx context.Context, i *record.Instrument) error
	Settings(ctx context.Context) (record.Settings, error)
}

// Bench works with records. It is safe for concurrent use.
type Bench struct {
	records Records
	cache   prediction.Cache
	now     func() time.Time

	mu     sync.Mutex
	kept   map[record.ID]*reasoning // by job
	recent []record.ID              // jobs in the order of use, the latest last

	learning sync.Mutex
	learned  *learned // as of the last change of the records that it was asked after
}

// Options say how a bench works. The zero value will do.
type Options struct {
	// Cache keeps what circuits were found to do; nothing is kept when nil.
	Cache prediction.Cache
	// Now is the clock; the system's when nil.
	Now func() time.Time
}

// New gives a bench that works with records.
func New(records Records, with Options) *Bench {
	if with.Now == nil {
		with.Now = time.Now
	}
	return &Bench{records: records, cache: with.Cache, now: with.Now, kept: map[record.ID]*reasoning{}}
}
