package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfsplit/internal/record"
)

// A table says how one kind of record is kept. Everything that can be edited is
// saved in the same way (save), so that seals, revisions, changes and the index
// of words cannot be forgotten for one of them.
type table[T any] struct {
	kind    record.Kind
	name    string              // of the table
	columns func(*T) []column   // all but id, revision and seal
	number  func(*T) *record.ID // its id
	// revision is nil for what is not edited.
	revision func(*T) *int
	check    func(*T) error
	// plain is what is written out as JSON, when it is not the record itself.
	plain func(*T) any
	// sealed is what the seal is of, when that is more than what is written out.
	sealed func(*T) any
	// settle makes right what the store decides (codes, times) and finds what
	// does not fit the other records; old is nil for a new one.
	settle func(t *transaction, old, now *T) error
	// after does what else is to be done, once the record is in its table.
	after func(t *transaction, old, now *T) error
	// load reads what is kept in other tables.
	load func(ctx context.Context, q querier, v *T) error
	// about tells where it belongs and which words it is found by.
	about func(ctx context.Context, q querier, v *T) (about, error)

	selects, withSeals, inserts, updates, byID, removes, sealByID string
}

// about is where a record belongs, and its words.
type about struct {
	unit, job   record.ID
	at          time.Time
	title, body string
}

// prepare writes the statements of a table.
func prepare[T any](t table[T]) *table[T] {
	var none T
	columns := names(t.columns(&none))
	fixed := []string{"id"}
	if t.revision != nil {
		fixed = append(fixed, "revision")
	}
	all := append(fixed, columns...)
	qualified := make([]string, len(all))
	for i, c := range all {
		qualified[i] = t.name + "." + c
	}
	t.selects = statement("SELECT " + strings.Join(qualified, ", ") + " FROM " + t.name)
	t.withSeals = statement("SELECT " + strings.Join(qualified, ", ") + ", " + t.name + ".seal FROM " + t.name + " ORDER BY " + t.name + ".id")
	t.byID = statement(t.selects + " WHERE " + t.name + ".id = ?")
	t.sealByID = statement("SELECT seal FROM " + t.name + " WHERE id = ?")
	t.inserts = statement("INSERT INTO " + t.name + " (" + strings.Join(all, ", ") + ", seal) VALUES (" + strings.Repeat("?, ", len(all)) + "?)")
	t.updates = statement("UPDATE " + t.name + " SET " + strings.Join(append(all[1:], "seal"), " = ?, ") + " = ? WHERE id = ?")
	t.removes = statement("DELETE FROM " + t.name + " WHERE id = ?")
	return &t
}

// whole lists every column but the seal.
func (d *table[T]) whole(v *T) []column {
	all := []column{{"id", integer(d.number(v))}}
	if d.revision != nil {
		all = append(all, column{"revision", integer(d.revision(v))})
	}
	return append(all, d.columns(v)...)
}

// scan reads a record from a row of selects, and more after it.
func (d *table[T]) scan(scan func(...any) error, v *T, more ...any) error {
	return scan(append(targets(d.whole(v)), more...)...)
}

// find reads the record that a statement selects; the error wraps
// record.ErrNotFound when there is none.
func (d *table[T]) find(ctx context.Context, q querier, statement string, arguments ...any) (T, error) {
	var v T
	err := one(ctx, q, statement, arguments, targets(d.whole(&v))...)
	if errors.Is(err, sql.ErrNoRows) {
		return v, fmt.Errorf("%s %v: %w", d.kind, arguments[0], record.ErrNotFound)
	}
	if err == nil && d.load != nil {
		err = d.load(ctx, q, &v)
	}
	return v, explain(err)
}

// all reads every record that a statement selects.
func (d *table[T]) all(ctx context.Context, q querier, statement string, arguments ...any) ([]T, error) {
	var list []T
	err := each(ctx, q, statement, arguments, func(scan func(...any) error) error {
		var v T
		err := d.scan(scan, &v)
		list = append(list, v)
		return err
	})
	if d.load != nil {
		for i := range list {
			if err == nil {
				err = d.load(ctx, q, &list[i])
			}
		}
	}
	return list, explain(err)
}

// save saves a record: a new one when its number is 0, else the next revision of
// one whose last revision was seen. It is left as it was when that fails.
func save[T any](ctx context.Context, s *Store, d *table[T], v *T) error {
	kept := *v
	err := s.write(ctx, func(t *transaction) error {
		return d.save(t, &kept)
	})
	if err == nil {
		*v = kept
	}
	return err
}

func (d *table[T]) save(t *transaction, v *T) error {
	var old *T
	if id := *d.number(v); id != 0 {
		found, err := d.find(t.ctx, t, d.byID, id)
		if err != nil {
			return err
		}
		old = &found
		if d.revision != nil {
			if seen, now := *d.revision(v), *d.revision(old); seen != now {
				return &record.Stale{Kind: d.kind, ID: id, Seen: seen, Now: now}
			}
		}
	}
	if d.settle != nil {
		if err := d.settle(t, old, v); err != nil {
			return err
		}
	}
	if d.check != nil {
		if err := d.check(v); err != nil {
			return err
		}
	}
	if d.revision != nil {
		*d.revision(v) = 1
		if old != nil {
			*d.revision(v) = *d.revision(old) + 1
		}
	}
	return d.put(t, old, v)
}

// written is what is written out of a record.
func (d *table[T]) written(v *T) any {
	if d.plain != nil {
		return d.plain(v)
	}
	return v
}

// seal is the seal of a record.
func (d *table[T]) seal(v *T) (seal, error) {
	if d.sealed != nil {
		return sealOf(d.sealed(v))
	}
	return sealOf(d.written(v))
}

// put writes a record with its seal and all that hangs on it; a new one is given
// its number.
func (d *table[T]) put(t *transaction, old, v *T) error {
	if old == nil && *d.number(v) == 0 {
		next, err := t.next(d.kind)
		if err != nil {
			return err
		}
		*d.number(v) = next
	}
	// Writing the columns settles the fields; the seal is of what comes of it.
	values, err := write(d.whole(v))
	if err != nil {
		return record.Invalid{{Field: string(d.kind), Message: err.Error()}}
	}
	now, err := d.seal(v)
	if err != nil {
		return err
	}
	id := *d.number(v)
	if old == nil {
		if _, err := t.exec(t.ctx, d.inserts, append(values, now[:])...); err != nil {
			return err
		}
		err = t.count(d.kind, id, 1, now)
	} else {
		var before seal
		if err := one(t.ctx, t, d.sealByID, []any{id}, &before); err != nil {
			return err
		}
		if _, err := t.exec(t.ctx, d.updates, append(values[1:], now[:], id)...); err != nil {
			return err
		}
		err = t.count(d.kind, id, 0, now.subtract(before))
	}
	if err != nil {
		return err
	}
	if d.after != nil {
		if err := d.after(t, old, v); err != nil {
			return err
		}
	}
	return d.mention(t, v)
}

// mention keeps the words of a record, and tells that it was changed.
func (d *table[T]) mention(t *transaction, v *T) error {
	var a about
	if d.about != nil {
		var err error
		if a, err = d.about(t.ctx, t, v); err != nil {
			return err
		}
		if err := t.keepWords(d.kind, *d.number(v), a); err != nil {
			return err
		}
	}
	t.changed(d.kind, *d.number(v), a.unit, a.job)
	return nil
}

// remove takes a record out.
func (d *table[T]) remove(t *transaction, id record.ID) error {
	old, err := d.find(t.ctx, t, d.byID, id)
	if err != nil {
		return err
	}
	var before seal
	if err := one(t.ctx, t, d.sealByID, []any{id}, &before); err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, d.removes, id); err != nil {
		return err
	}
	if err := t.count(d.kind, id, -1, seal{}.subtract(before)); err != nil {
		return err
	}
	if err := t.dropWords(d.kind, id); err != nil {
		return err
	}
	t.changed(d.kind, *d.number(&old), 0, 0)
	return nil
}
