package store

import (
	"context"
	"slices"
	"strings"

	"halfsplit/internal/record"
)

// searched lists the kinds with words, in the order in which hits are shown;
// entries come after them. A new kind goes to the end: the place stands in the
// numbers of texts.
var searched = []record.Kind{record.KindUnit, record.KindJob, record.KindSheet, record.KindInstrument, record.KindStock, record.KindBin,
	record.KindOrder, record.KindNeed, record.KindTrace, record.KindPhoto, record.KindSoak}

// kindShift is by how many bits the place of a kind stands left of the number of
// a record; entryPlace is the place of entries.
const (
	kindShift  = 40
	entryPlace = 1 << 16
)

// textNumber is the number of the words of a record; false for a kind without.
func textNumber(kind record.Kind, id record.ID) (int64, bool) {
	place := int64(slices.Index(searched, kind) + 1)
	if kind == record.KindEntry {
		place = entryPlace
	}
	return place<<kindShift + int64(id), place > 0
}

// recordNumber is the number of the record that words belong to.
func recordNumber(text int64) record.ID { return record.ID(text & (1<<kindShift - 1)) }

var (
	sqlKeepWords = statement("INSERT INTO texts (id, unit, job, at, title, body) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET unit = excluded.unit, job = excluded.job, at = excluded.at, title = excluded.title, body = excluded.body" +
		" WHERE (texts.unit, texts.job, texts.at, texts.title, texts.body) IS DISTINCT FROM (excluded.unit, excluded.job, excluded.at, excluded.title, excluded.body)")
	sqlDropWords = statement("DELETE FROM texts WHERE id = ?")
)

// keepWords keeps the words of a record for searching.
func (t *transaction) keepWords(kind record.Kind, id record.ID, a about) error {
	number, ok := textNumber(kind, id)
	if !ok {
		return nil
	}
	_, err := t.exec(t.ctx, sqlKeepWords, number, cellValue(reference(&a.unit)), cellValue(reference(&a.job)), cellValue(moment(&a.at)), a.title, a.body)
	return err
}

// dropWords forgets the words of a record.
func (t *transaction) dropWords(kind record.Kind, id record.ID) error {
	number, ok := textNumber(kind, id)
	if !ok {
		return nil
	}
	_, err := t.exec(t.ctx, sqlDropWords, number)
	return err
}

// join puts the texts that are not empty on lines of their own.
func join(texts ...string) string {
	var kept []string
	for _, text := range texts {
		if strings.TrimSpace(text) != "" {
			kept = append(kept, text)
		}
	}
	return strings.Join(kept, "\n")
}

var sqlJobUnit = statement("SELECT unit FROM jobs WHERE id = ?")

// unitOf is the unit of a job.
func unitOf(ctx context.Context, q querier, job record.ID) (record.ID, error) {
	var unit record.ID
	err := one(ctx, q, sqlJobUnit, []any{int64(job)}, integer(&unit))
	return unit, err
}
