package web

import (
	"context"
	"fmt"
	"io"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
)

// Records are the records that the screens show and change. They are safe for use
// by several goroutines.
type Records interface {
	bench.Workshop
	Devices

	UnitByCode(ctx context.Context, code string) (record.Unit, error)
	Entry(ctx context.Context, id record.ID) (record.Entry, error)

	Photos(ctx context.Context, unit, job record.ID) ([]record.Photo, error)
	Photo(ctx context.Context, id record.ID) (record.Photo, error)
	SavePhoto(ctx context.Context, p *record.Photo) error
	RemovePhoto(ctx context.Context, id record.ID) error
	PutFile(ctx context.Context, from io.Reader, media string, limit int64) (record.File, error)
	OpenFile(ctx context.Context, hash record.Hash) (io.ReadSeekCloser, record.File, error)
	FilePath(hash record.Hash) string

	Traces(ctx context.Context, job record.ID) ([]record.Trace, error)
	Trace(ctx context.Context, id record.ID) (record.Trace, error)
	SaveTrace(ctx context.Context, t *record.Trace) error
	Soaks(ctx context.Context, job record.ID) ([]record.Soak, error)
	Soak(ctx context.Context, id record.ID) (record.Soak, error)
	SaveSoak(ctx context.Context, k *record.Soak) error

	SheetVersions(ctx context.Context, name string) ([]record.Sheet, error)

	Instrument(ctx context.Context, id record.ID) (record.Instrument, error)
	RemoveInstrument(ctx context.Context, id record.ID) error

	Bin(ctx context.Context, id record.ID) (record.Bin, error)
	SaveBin(ctx context.Context, b *record.Bin) error
	RemoveBin(ctx context.Context, id record.ID) error
	Stock(ctx context.Context, id record.ID) (record.Stock, error)
	SaveStock(ctx context.Context, k *record.Stock) error
	RemoveStock(ctx context.Context, id record.ID) error
	Need(ctx context.Context, id record.ID) (record.Need, error)
	SaveNeed(ctx context.Context, n *record.Need) error
	Order(ctx context.Context, id record.ID) (record.Order, error)
	SaveOrder(ctx context.Context, o *record.Order) error

	SaveSettings(ctx context.Context, c *record.Settings) error

	Search(ctx context.Context, text string, kinds []record.Kind, limit int) ([]record.Hit, error)
	Watch(ctx context.Context) <-chan record.Change
}

// follow tells the screens of every change of the records, also of those that
// other programs make, until the context ends.
func (s *Server) follow(ctx context.Context) {
	for c := range s.records.Watch(ctx) {
		s.hub.Publish(topics(c)...)
	}
}

// topics are what a change concerns: the record itself (job/12), what it belongs
// to (unit/3, job/12), and the list it stands in.
func topics(c record.Change) []string {
	list := []string{topic(c.Kind, c.ID)}
	if c.Unit != 0 && c.Kind != record.KindUnit {
		list = append(list, topic(record.KindUnit, c.Unit))
	}
	if c.Job != 0 && c.Kind != record.KindJob {
		list = append(list, topic(record.KindJob, c.Job))
	}
	switch c.Kind {
	case record.KindUnit, record.KindJob, record.KindPhoto:
		list = append(list, "collection")
	case record.KindBin, record.KindStock, record.KindNeed, record.KindOrder:
		list = append(list, "drawer")
	case record.KindDevice:
		list = append(list, "devices")
	case record.KindSettings, record.KindInstrument:
		list = append(list, "settings")
	case record.KindSheet:
		list = append(list, "sheets")
	case record.KindReport:
		list = append(list, "learned")
	}
	return list
}

// topic names a record, as in job/12.
func topic(kind record.Kind, id record.ID) string { return fmt.Sprintf("%s/%d", kind, id) }
