package store

import (
	"database/sql"
	"errors"
	"fmt"

	"halfsplit/internal/record"
)

// statements lists every fixed statement of this package, for the test that
// prepares them all.
var statements []string

// statement notes a statement.
func statement(text string) string {
	statements = append(statements, text)
	return text
}

var (
	sqlIdentity    = statement("SELECT identity FROM origin WHERE id = 1")
	sqlSetIdentity = statement("INSERT INTO origin (id, identity) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET identity = excluded.identity")
	sqlLedger      = statement("SELECT last, count, sum FROM ledger WHERE kind = ?")
	sqlSetLedger   = statement("INSERT INTO ledger (kind, last, count, sum) VALUES (?, ?, ?, ?) ON CONFLICT (kind) DO UPDATE SET last = excluded.last, count = excluded.count, sum = excluded.sum")
)

// kindOrigin is the identity of the records in the ledger.
const kindOrigin record.Kind = "origin"

// identify gives the records their identity, with its seal.
func (t *transaction) identify(identity string) error {
	mark, err := sealOf(identity)
	if err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, sqlSetIdentity, identity); err != nil {
		return err
	}
	_, err = t.exec(t.ctx, sqlSetLedger, string(kindOrigin), 0, 1, mark[:])
	return err
}

// account is a line of the ledger.
type account struct {
	last  record.ID // highest number ever given
	count int64
	sum   seal
}

func accountOf(t *transaction, kind record.Kind) (account, error) {
	var a account
	err := one(t.ctx, t, sqlLedger, []any{string(kind)}, &a.last, &a.count, &a.sum)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return a, err
}

// next gives a number that was never given before.
func (t *transaction) next(kind record.Kind) (record.ID, error) {
	a, err := accountOf(t, kind)
	return a.last + 1, err
}

// count notes in the ledger that records of a kind became more or fewer, and
// what is to be added to the sum of their seals.
func (t *transaction) count(kind record.Kind, id record.ID, more int64, difference seal) error {
	a, err := accountOf(t, kind)
	if err != nil {
		return err
	}
	a.last = max(a.last, id)
	a.count += more
	a.sum = a.sum.add(difference)
	_, err = t.exec(t.ctx, sqlSetLedger, string(kind), int64(a.last), a.count, a.sum[:])
	return err
}

// must finds out whether a record that another one refers to is there; 0 refers
// to none.
func must[T any](t *transaction, wrong *record.Invalid, field string, d *table[T], id record.ID) (T, error) {
	var v T
	if id == 0 {
		return v, nil
	}
	v, err := d.find(t.ctx, t, d.byID, id)
	if errors.Is(err, record.ErrNotFound) {
		*wrong = append(*wrong, record.Wrong{Field: field, Message: fmt.Sprintf("there is no %s %d in the records", d.kind, id)})
		return v, nil
	}
	return v, err
}

// asError is the list as an error, nil when it is empty.
func asError(wrong record.Invalid) error {
	if len(wrong) == 0 {
		return nil
	}
	return wrong
}
