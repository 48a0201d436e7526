package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"

	"halfsplit/internal/record"
)

var (
	sqlChainedEntries = statement("SELECT " + entrySelection + ", entries.chain, jobs.unit FROM entries LEFT JOIN jobs ON jobs.id = entries.job ORDER BY entries.job, entries.number")
	sqlLogEnds        = statement("SELECT job, last, chain, seconds, cost FROM logs ORDER BY job")
	sqlAllTallies     = statement("SELECT verb, who, count FROM tallies")
	sqlHanging        = statement("SELECT (SELECT count(*) FROM swaps), (SELECT count(*) FROM attachments)")
	sqlTexts          = statement("SELECT count(*) FROM texts")
)

// logbooks verifies the chain of each logbook, and that none of its last entries
// is lost.
func (f *findings) logbooks(ctx context.Context, q querier) error {
	ends := map[record.ID]logEnd{}
	tallies := map[[2]string]int{}
	var now account
	hanging := [2]int{}
	var job record.ID
	var at logEnd
	err := each(ctx, q, sqlChainedEntries, nil, func(scan func(...any) error) error {
		var e record.Entry
		var kept seal
		var unit record.ID
		more, err := scanEntry(scan, &e, &kept, reference(&unit))
		if err != nil {
			return err
		}
		if more {
			if err := loadEntry(ctx, q, &e); err != nil {
				return err
			}
		}
		if e.Job != job {
			ends[job] = at
			job, at = e.Job, logEnd{}
		}
		where := fmt.Sprintf("logbook of job %d", e.Job)
		if e.Number != at.last+1 {
			f.add("logbooks", where, doRestore, "entry e%d follows e%d; what was between is lost", e.Number, at.last)
		}
		made, err := at.chain.follow(e)
		if err != nil {
			return err
		}
		if made != kept {
			f.add("logbooks", where, doRestore, "entry %s (number %d) is not as it was written: the chain of the logbook does not fit", e.Name(), e.ID)
		}
		at.last, at.chain = e.Number, kept
		if e.CorrectedBy == 0 {
			at.seconds += e.Seconds
			at.cost += e.Cost
		}
		tallies[[2]string{e.Verb, e.Who}]++
		hanging[0] += len(e.Swaps)
		hanging[1] += len(e.Photos) + len(e.Traces)
		now.count++
		now.sum = now.sum.add(kept)
		now.last = max(now.last, e.ID)
		f.wordsOf(ctx, q, record.KindEntry, e.ID, aboutEntry(&e, unit))
		return ctx.Err()
	})
	if err != nil {
		return err
	}
	ends[job] = at
	delete(ends, 0)
	if err := f.ledger(ctx, q, record.KindEntry, now); err != nil {
		return err
	}
	if err := f.ends(ctx, q, ends); err != nil {
		return err
	}
	var swaps, attachments int
	if err := one(ctx, q, sqlHanging, nil, &swaps, &attachments); err != nil {
		return err
	}
	if swaps != hanging[0] || attachments != hanging[1] {
		f.add("logbooks", fileName, doRestore, "there are swaps or attachments that belong to no entry")
	}
	return each(ctx, q, sqlAllTallies, nil, func(scan func(...any) error) error {
		var verb, who string
		var count int
		if err := scan(&verb, &who, &count); err != nil {
			return err
		}
		if tallies[[2]string{verb, who}] != count {
			f.add("tallies", fileName, doIndex, "the number of entries %q by %q is counted wrong", verb, who)
		}
		return nil
	})
}

// ends compares where logbooks end with where they should.
func (f *findings) ends(ctx context.Context, q querier, ends map[record.ID]logEnd) error {
	err := each(ctx, q, sqlLogEnds, nil, func(scan func(...any) error) error {
		var job record.ID
		var end logEnd
		if err := scan(integer(&job), &end.last, &end.chain, &end.seconds, &end.cost); err != nil {
			return err
		}
		where := fmt.Sprintf("logbook of job %d", job)
		found := ends[job]
		if found.last != end.last || found.chain != end.chain {
			f.add("logbooks", where, doRestore, "ends with entry e%d, it should be e%d as it was written", found.last, end.last)
		} else if found.cost != end.cost || math.Abs(found.seconds-end.seconds) > 1e-6*(1+math.Abs(found.seconds)+float64(end.last)) {
			f.add("work", where, doIndex, "its time and money are added up wrong")
		}
		delete(ends, job)
		return nil
	})
	for job := range ends {
		f.add("logbooks", fmt.Sprintf("logbook of job %d", job), doRestore, "was never begun")
	}
	return err
}

// wordsOf compares the words that a record is found by with its own.
func (f *findings) wordsOf(ctx context.Context, q querier, kind record.Kind, id record.ID, a about) {
	var kept about
	number, _ := textNumber(kind, id)
	err := one(ctx, q, sqlWords, []any{number}, reference(&kept.unit), reference(&kept.job), moment(&kept.at), &kept.title, &kept.body)
	if errors.Is(err, sql.ErrNoRows) && kind == record.KindSheet {
		return // an older version
	}
	if err != nil || kept.unit != a.unit || kept.job != a.job || !kept.at.Equal(a.at) || kept.title != a.title || kept.body != a.body {
		f.add("words", fmt.Sprintf("%s %d", kind, id), doIndex, "is not found by its own words")
	}
}

// texts compares the number of words kept with that of the records.
func (f *findings) texts(ctx context.Context, q querier) error {
	var kept, owned int
	if err := one(ctx, q, sqlTexts, nil, &kept); err != nil {
		return err
	}
	if err := one(ctx, q, sqlOwners, nil, &owned); err != nil {
		return err
	}
	if kept != owned {
		f.add("words", fileName, doIndex, "words are kept of %d records, it should be %d", kept, owned)
	}
	return nil
}

var (
	sqlWords  = statement("SELECT unit, job, at, title, body FROM texts WHERE id = ?")
	sqlOwners = statement("SELECT (SELECT count(*) FROM units) + (SELECT count(*) FROM jobs) + (SELECT count(DISTINCT name) FROM sheets) + (SELECT count(*) FROM instruments)" +
		" + (SELECT count(*) FROM stocks) + (SELECT count(*) FROM bins) + (SELECT count(*) FROM orders) + (SELECT count(*) FROM needs) + (SELECT count(*) FROM traces)" +
		" + (SELECT count(*) FROM photos) + (SELECT count(*) FROM entries) + (SELECT count(*) FROM soaks)")
	sqlCheckWords      = statement("INSERT INTO words (words, rank) VALUES ('integrity-check', 1)")
	sqlCheckEntryWords = statement("INSERT INTO entry_words (entry_words, rank) VALUES ('integrity-check', 1)")
)

// verifyIndex compares the index of words with the words.
func (s *Store) verifyIndex(ctx context.Context, f *findings) {
	for _, check := range []string{sqlCheckWords, sqlCheckEntryWords} {
		err := s.write(ctx, func(t *transaction) error {
			_, err := t.exec(t.ctx, check)
			return err
		})
		if err != nil && ctx.Err() == nil {
			f.add("words", fileName, doIndex, "the index of words does not fit: %v", err)
		}
	}
}
