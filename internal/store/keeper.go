package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"halfsplit/internal/record"
)

// A keeper is a table whatever it holds, for what is done with all of them.
type keeper interface {
	of() record.Kind
	table() string
	// walk goes through every record by number.
	walk(ctx context.Context, q querier, visit func(visited) error) error
	// take writes a record that was written out.
	take(t *transaction, plain []byte) error
}

// visited is a record that is walked by.
type visited struct {
	id    record.ID
	plain any  // as written out
	kept  seal // beside it
	made  seal // of what was read
	about about
	words bool // whether it is found by its words
}

// keepers lists the tables in the order in which they are written out: nothing
// refers to what comes later. The logbooks come after the traces.
var keepers = []keeper{settings, units, sheets, instruments, jobs, bins, stocks, photos, traces, orders, needs, reports}

// afterEntries are those that refer to entries, and those that are not written
// out.
var (
	afterEntries = []keeper{soaks}
	unwritten    = []keeper{devices}
)

func (d *table[T]) of() record.Kind { return d.kind }
func (d *table[T]) table() string   { return d.name }

func (d *table[T]) walk(ctx context.Context, q querier, visit func(visited) error) error {
	return each(ctx, q, d.withSeals, nil, func(scan func(...any) error) error {
		var v T
		var kept seal
		if err := d.scan(scan, &v, &kept); err != nil {
			return err
		}
		if d.load != nil {
			if err := d.load(ctx, q, &v); err != nil {
				return err
			}
		}
		made, err := d.seal(&v)
		if err != nil {
			return err
		}
		w := visited{id: *d.number(&v), plain: d.written(&v), kept: kept, made: made}
		if d.about != nil {
			w.words = true
			if w.about, err = d.about(ctx, q, &v); err != nil {
				return err
			}
		}
		return visit(w)
	})
}

func (d *table[T]) take(t *transaction, plain []byte) error {
	var v T
	if err := strict(plain, d.written(&v)); err != nil {
		return err
	}
	if d.check != nil {
		if err := d.check(&v); err != nil {
			return err
		}
	}
	if id := *d.number(&v); id < 0 || id >= 1<<kindShift {
		return fmt.Errorf("%d is no number of a record", id)
	}
	return d.put(t, nil, &v)
}

// strict reads JSON that has no key which is not known.
func strict(plain []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(plain))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something follows the record on its line")
	}
	return nil
}
