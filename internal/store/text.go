package store

import (
	"context"
	"slices"
	"strings"

	"halfsplit/internal/record"
)

// searched lists the kinds with words, in the order in which hits are shown. A
// new kind goes to the end: the place stands in the numbers of texts.
var searched = []record.Kind{record.KindUnit, record.KindJob, record.KindSheet, record.KindInstrument, record.KindStock, record.KindBin,
	record.KindOrder, record.KindNeed, record.KindTrace, record.KindPhoto, record.KindEntry, record.KindSoak}

// kindShift is by how many bits the place of a kind stands left of the number of
// a record.
const kindShift = 40

// textNumber is the number of the words of a record.
func textNumber(kind record.Kind, id record.ID) int64 {
	return int64(slices.Index(searched, kind)+1)<<kindShift + int64(id)
}

// textOwner is the record that words belong to.
func textOwner(number int64) (record.Kind, record.ID) {
	return searched[number>>kindShift-1], record.ID(number & (1<<kindShift - 1))
}

var (
	sqlKeepWords = statement("INSERT INTO texts (id, unit, job, at, title, body) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET unit = excluded.unit, job = excluded.job, at = excluded.at, title = excluded.title, body = excluded.body" +
		" WHERE (texts.unit, texts.job, texts.at, texts.title, texts.body) IS DISTINCT FROM (excluded.unit, excluded.job, excluded.at, excluded.title, excluded.body)")
	sqlDropWords = statement("DELETE FROM texts WHERE id = ?")
)

// keepWords keeps the words of a record for searching.
func (t *transaction) keepWords(kind record.Kind, id record.ID, a about) error {
	if !slices.Contains(searched, kind) {
		return nil
	}
	_, err := t.exec(t.ctx, sqlKeepWords, textNumber(kind, id), cellValue(number(&a.unit)), cellValue(number(&a.job)), cellValue(moment(&a.at)), a.title, a.body)
	return err
}

// dropWords forgets the words of a record.
func (t *transaction) dropWords(kind record.Kind, id record.ID) error {
	if !slices.Contains(searched, kind) {
		return nil
	}
	_, err := t.exec(t.ctx, sqlDropWords, textNumber(kind, id))
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
