package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfsplit/internal/record"
)

// entryColumns are those of an entry, its number of swaps and attachments apart.
func entryColumns(e *record.Entry) []column {
	return []column{
		{"id", integer(&e.ID)}, {"job", integer(&e.Job)}, {"number", integer(&e.Number)}, {"key", text(&e.Key)},
		{"at", moment(&e.At)}, {"kept", moment(&e.Kept)}, {"verb", text(&e.Verb)}, {"line", text(&e.Line)},
		{"who", text(&e.Who)}, {"seconds", real(&e.Seconds)}, {"cost", integer(&e.Cost)},
		{"corrects", reference(&e.Corrects)}, {"instrument", reference(&e.Instrument)},
	}
}

// swapColumns are those of a swap.
func swapColumns(w *record.Swap) []column {
	return []column{
		{"part", text(&w.Part)}, {"kind", text(&w.Kind)},
		{"out_marking", text(&w.OutMarking)}, {"out_family", text(&w.OutFamily)}, {"out_maker", text(&w.OutMaker)},
		{"out_batch", text(&w.OutBatch)}, {"out_year", integer(&w.OutYear)}, {"condition", text(&w.Condition)},
		{"mode", text(&w.Mode)}, {"measured", text(&w.Measured)}, {"in_marking", text(&w.InMarking)},
		{"in_maker", text(&w.InMaker)}, {"in_batch", text(&w.InBatch)}, {"stock", reference(&w.Stock)},
	}
}

// selection is the column names of a table, for a SELECT.
func selection(table string, columns []column) string {
	return table + "." + strings.Join(names(columns), ", "+table+".")
}

var (
	entrySelection = selection("entries", entryColumns(new(record.Entry))) +
		", (SELECT later.id FROM entries AS later WHERE later.corrects = entries.id), entries.swaps, entries.attachments"
	swapSelection = selection("swaps", swapColumns(new(record.Swap)))

	sqlEntry       = statement("SELECT " + entrySelection + " FROM entries WHERE entries.id = ?")
	sqlEntryByKey  = statement("SELECT " + entrySelection + " FROM entries WHERE entries.key = ?")
	sqlLog         = statement("SELECT " + entrySelection + " FROM entries WHERE entries.job = ? ORDER BY entries.number")
	sqlEntrySwaps  = statement("SELECT " + swapSelection + " FROM swaps WHERE swaps.entry = ? ORDER BY swaps.place")
	sqlAttachments = statement("SELECT photo, trace FROM attachments WHERE entry = ? ORDER BY place")
)

// scanEntry reads an entry from a row of entrySelection, without what hangs on
// it; hanging says whether something does.
func scanEntry(scan func(...any) error, e *record.Entry, more ...any) (hanging bool, err error) {
	var swaps, attachments int
	err = scan(append(append(targets(entryColumns(e)), reference(&e.CorrectedBy), &swaps, &attachments), more...)...)
	return swaps+attachments > 0, err
}

// loadEntry reads what hangs on an entry.
func loadEntry(ctx context.Context, q querier, e *record.Entry) error {
	err := each(ctx, q, sqlEntrySwaps, []any{int64(e.ID)}, func(scan func(...any) error) error {
		var w record.Swap
		err := scan(targets(swapColumns(&w))...)
		e.Swaps = append(e.Swaps, w)
		return err
	})
	if err != nil {
		return err
	}
	return each(ctx, q, sqlAttachments, []any{int64(e.ID)}, func(scan func(...any) error) error {
		var photo, trace record.ID
		err := scan(reference(&photo), reference(&trace))
		if photo != 0 {
			e.Photos = append(e.Photos, photo)
		} else {
			e.Traces = append(e.Traces, trace)
		}
		return err
	})
}

// entriesOf reads the entries that a statement selects, with what hangs on them.
func entriesOf(ctx context.Context, q querier, statement string, arguments ...any) ([]record.Entry, error) {
	var list []record.Entry
	var hanging []int
	err := each(ctx, q, statement, arguments, func(scan func(...any) error) error {
		var e record.Entry
		more, err := scanEntry(scan, &e)
		if more {
			hanging = append(hanging, len(list))
		}
		list = append(list, e)
		return err
	})
	for _, i := range hanging {
		if err == nil {
			err = loadEntry(ctx, q, &list[i])
		}
	}
	return list, explain(err)
}

// entryOf reads the one entry that a statement selects.
func entryOf(ctx context.Context, q querier, statement string, argument any) (record.Entry, error) {
	list, err := entriesOf(ctx, q, statement, argument)
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("entry %v: %w", argument, record.ErrNotFound)
	}
	if err != nil {
		return record.Entry{}, err
	}
	return list[0], nil
}

// Entry reads an entry; the error wraps record.ErrNotFound when there is none.
func (s *Store) Entry(ctx context.Context, id record.ID) (record.Entry, error) {
	return entryOf(ctx, s.readers, sqlEntry, int64(id))
}

// EntryByKey reads the entry that was sent with a key; the error wraps
// record.ErrNotFound when there is none.
func (s *Store) EntryByKey(ctx context.Context, key string) (record.Entry, error) {
	return entryOf(ctx, s.readers, sqlEntryByKey, key)
}

// Log reads the whole logbook of a job, in order.
func (s *Store) Log(ctx context.Context, job record.ID) ([]record.Entry, error) {
	return entriesOf(ctx, s.readers, sqlLog, int64(job))
}

var (
	sqlLogEnd    = statement("SELECT last, chain, seconds, cost FROM logs WHERE job = ?")
	sqlSetLogEnd = statement("INSERT INTO logs (job, last, chain, seconds, cost) VALUES (?, ?, ?, ?, ?) ON CONFLICT (job) DO UPDATE SET last = excluded.last, chain = excluded.chain, seconds = excluded.seconds, cost = excluded.cost")
	sqlWork      = statement("SELECT seconds, cost FROM entries WHERE id = ?")
	sqlLastKept  = statement("SELECT kept FROM entries ORDER BY id DESC LIMIT 1")
	sqlTally     = statement("INSERT INTO tallies (verb, who, count) VALUES (?, ?, 1) ON CONFLICT (verb, who) DO UPDATE SET count = count + 1")
	sqlAddSwap   = statement("INSERT INTO swaps (entry, place, " + strings.Join(names(swapColumns(new(record.Swap))), ", ") + ") VALUES (?, ?" + strings.Repeat(", ?", len(swapColumns(new(record.Swap)))) + ")")
	sqlAttach    = statement("INSERT INTO attachments (entry, place, photo, trace) VALUES (?, ?, ?, ?)")
	sqlAddEntry  = statement("INSERT INTO entries (" + strings.Join(names(entryColumns(new(record.Entry))), ", ") + ", swaps, attachments, chain) VALUES (" + strings.Repeat("?, ", len(entryColumns(new(record.Entry)))) + "?, ?, ?)")
)

// AddEntry writes an entry down, for good: when it returns nil the entry is on
// disk. It fills ID, Number, Kept, and Key when that is empty. An entry that was
// kept already, told by its Key, is not kept twice: it is read into e. Corrects
// must be an entry of the same job that nothing corrects yet. Each swap with a
// Stock takes one part off it; a correction first puts back what the corrected
// entry took.
func (s *Store) AddEntry(ctx context.Context, e *record.Entry) error {
	kept := *e
	if kept.Key == "" {
		kept.Key = rand.Text()
	}
	err := s.write(ctx, func(t *transaction) error { return addEntry(t, &kept) })
	if err == nil {
		*e = kept
	}
	return err
}

func addEntry(t *transaction, e *record.Entry) error {
	switch before, err := entryOf(t.ctx, t, sqlEntryByKey, e.Key); {
	case err == nil && before.Job == e.Job && before.Verb == e.Verb && before.Line == e.Line:
		*e = before
		return nil
	case err == nil:
		return record.Invalid{{Field: "key", Message: fmt.Sprintf("was used for another entry (%s of job %d); each entry has its own", before.Name(), before.Job)}}
	case !errors.Is(err, record.ErrNotFound):
		return err
	}
	e.ID, e.Number, e.CorrectedBy = 0, 0, 0
	if err := e.Check(); err != nil {
		return err
	}
	job, corrected, err := settleEntry(t, e)
	if err != nil {
		return err
	}
	if e.Kept, err = keptTime(t); err != nil {
		return err
	}
	if e.ID, err = t.next(record.KindEntry); err != nil {
		return err
	}
	if err := putEntry(t, e, job.Unit, seal{}); err != nil {
		return err
	}
	if err := moveStock(t, e.Swaps, corrected.Swaps); err != nil {
		return err
	}
	if corrected.ID != 0 {
		t.changed(record.KindEntry, corrected.ID, job.Unit, job.ID)
	}
	// The job moves up in lists; its revision stays, for who edits it meanwhile.
	worked := job
	worked.Changed = e.Kept
	return jobs.put(t, &job, &worked)
}

// settleEntry finds what does not fit the other records.
func settleEntry(t *transaction, e *record.Entry) (job record.Job, corrected record.Entry, err error) {
	var wrong record.Invalid
	bad := func(field, format string, arguments ...any) {
		wrong = append(wrong, record.Wrong{Field: field, Message: fmt.Sprintf(format, arguments...)})
	}
	if job, err = must(t, &wrong, "job", jobs, e.Job); err != nil {
		return job, corrected, err
	}
	if e.Corrects != 0 {
		corrected, err = entryOf(t.ctx, t, sqlEntry, int64(e.Corrects))
		switch {
		case errors.Is(err, record.ErrNotFound) || err == nil && corrected.Job != e.Job:
			bad("corrects", "must be an earlier entry of this job")
		case err != nil:
			return job, corrected, err
		case corrected.CorrectedBy != 0:
			bad("corrects", "%s was corrected already, by entry %d: correct that one", corrected.Name(), corrected.CorrectedBy)
		}
	}
	if _, err = must(t, &wrong, "instrument", instruments, e.Instrument); err != nil {
		return job, corrected, err
	}
	for i, id := range e.Photos {
		photo, err := must(t, &wrong, fmt.Sprintf("photos[%d]", i), photos, id)
		if err != nil {
			return job, corrected, err
		}
		if photo.ID != 0 && photo.Unit != job.Unit {
			bad(fmt.Sprintf("photos[%d]", i), "is a picture of another unit")
		}
	}
	for i, id := range e.Traces {
		trace, err := must(t, &wrong, fmt.Sprintf("traces[%d]", i), traces, id)
		if err != nil {
			return job, corrected, err
		}
		if trace.ID != 0 && trace.Job != e.Job {
			bad(fmt.Sprintf("traces[%d]", i), "is a recording of another job")
		}
	}
	for i, w := range e.Swaps {
		if _, err := must(t, &wrong, fmt.Sprintf("swaps[%d].stock", i), stocks, w.Stock); err != nil {
			return job, corrected, err
		}
	}
	return job, corrected, asError(wrong)
}

// keptTime is now, or when the entry before was kept if the clock went back.
func keptTime(t *transaction) (time.Time, error) {
	var last time.Time
	err := one(t.ctx, t, sqlLastKept, nil, moment(&last))
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return last, err
	}
	if last.After(t.now) {
		return last, nil
	}
	return t.now, nil
}

// logEnd is where a logbook ends, and the time and money in it.
type logEnd struct {
	last    int
	chain   seal
	seconds float64
	cost    int64
}

// work adds the time and money of an entry, in place of what it corrects.
func (l *logEnd) work(t *transaction, e *record.Entry) error {
	l.seconds += e.Seconds
	l.cost += e.Cost
	if e.Corrects == 0 {
		return nil
	}
	var seconds float64
	var cost int64
	if err := one(t.ctx, t, sqlWork, []any{int64(e.Corrects)}, &seconds, &cost); err != nil {
		return fmt.Errorf("entry %d of job %d corrects one that is not there: %w", e.Number, e.Job, err)
	}
	l.seconds -= seconds
	l.cost -= cost
	return nil
}

// putEntry writes an entry at the end of its logbook. An expected chain that is
// not zero must come out.
func putEntry(t *transaction, e *record.Entry, unit record.ID, expected seal) error {
	var end logEnd
	if err := one(t.ctx, t, sqlLogEnd, []any{int64(e.Job)}, &end.last, &end.chain, &end.seconds, &end.cost); err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	if e.Number == 0 {
		e.Number = end.last + 1
	} else if e.Number != end.last+1 {
		return fmt.Errorf("entry %d of job %d follows entry %d; one is missing", e.Number, e.Job, end.last)
	}
	end.last = e.Number
	for _, list := range []*[]record.ID{&e.Photos, &e.Traces} {
		if len(*list) == 0 {
			*list = nil
		}
	}
	if len(e.Swaps) == 0 {
		e.Swaps = nil
	}
	values, err := write(entryColumns(e))
	if err != nil {
		return record.Invalid{{Field: "entry", Message: err.Error()}}
	}
	if end.chain, err = end.chain.follow(*e); err != nil {
		return err
	}
	if expected != (seal{}) && end.chain != expected {
		return fmt.Errorf("entry %d of job %d is not as it was written: its chain does not fit", e.Number, e.Job)
	}
	values = append(values, len(e.Swaps), len(e.Photos)+len(e.Traces), end.chain[:])
	if _, err := t.exec(t.ctx, sqlAddEntry, values...); err != nil {
		return err
	}
	if err := putHanging(t, e); err != nil {
		return err
	}
	if err := end.work(t, e); err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, sqlSetLogEnd, int64(e.Job), end.last, end.chain[:], end.seconds, end.cost); err != nil {
		return err
	}
	if _, err := t.exec(t.ctx, sqlTally, e.Verb, e.Who); err != nil {
		return err
	}
	if err := t.count(record.KindEntry, e.ID, 1, end.chain); err != nil {
		return err
	}
	if err := t.keepWords(record.KindEntry, e.ID, aboutEntry(e, unit)); err != nil {
		return err
	}
	t.changed(record.KindEntry, e.ID, unit, e.Job)
	return nil
}

// putHanging writes the swaps of an entry, and what belongs to it.
func putHanging(t *transaction, e *record.Entry) error {
	for i := range e.Swaps {
		values, err := write(swapColumns(&e.Swaps[i]))
		if err != nil {
			return record.Invalid{{Field: fmt.Sprintf("swaps[%d]", i), Message: err.Error()}}
		}
		if _, err := t.exec(t.ctx, sqlAddSwap, append([]any{int64(e.ID), i}, values...)...); err != nil {
			return err
		}
	}
	for i, id := range e.Photos {
		if _, err := t.exec(t.ctx, sqlAttach, int64(e.ID), i, int64(id), nil); err != nil {
			return err
		}
	}
	for i, id := range e.Traces {
		if _, err := t.exec(t.ctx, sqlAttach, int64(e.ID), len(e.Photos)+i, nil, int64(id)); err != nil {
			return err
		}
	}
	return nil
}

// aboutEntry is the words of an entry.
func aboutEntry(e *record.Entry, unit record.ID) about {
	body := join(e.Line, e.Who)
	for _, w := range e.Swaps {
		body = join(body, strings.Join([]string{w.Part, w.Kind, w.OutMarking, w.OutFamily, w.OutMaker, w.OutBatch, string(w.Condition), w.Mode, w.Measured, w.InMarking, w.InMaker, w.InBatch}, " "))
	}
	return about{unit: unit, job: e.Job, at: e.At, title: e.Verb, body: body}
}
