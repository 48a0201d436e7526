package store

import (
	"context"
	"iter"
	"strings"

	"halfsplit/internal/record"
)

// Entries lists entries of one logbook, or of all. By "newest" those done last
// come first; found by a text, those written last. Counting by a text or times
// stops at 100,000.
func (s *Store) Entries(ctx context.Context, f record.EntryFilter) (record.List[record.Entry], error) {
	rows := record.List[record.Entry]{}
	l, ok, err := entryListing(f)
	if err != nil || !ok {
		return rows, err
	}
	var hanging []int
	rows.Next, rows.Total, err = l.page(ctx, s.readers, f.Page, func(scan func(...any) error, keys []any) error {
		var e record.Entry
		more, err := scanEntry(scan, &e, keys...)
		if more {
			hanging = append(hanging, len(rows.Items))
		}
		rows.Items = append(rows.Items, e)
		return err
	})
	for _, i := range hanging {
		if err == nil {
			err = loadEntry(ctx, s.readers, &rows.Items[i])
		}
	}
	return rows, explain(err)
}

// entryListing is the list that a filter asks for; false when nothing can be in
// it.
func entryListing(f record.EntryFilter) (*listing, bool, error) {
	l := &listing{columns: entrySelection, from: "entries", downwards: true}
	switch {
	case f.Order == "number" || f.Order == "" && f.Job != 0:
		l.keys, l.downwards = []string{"entries.job", "entries.number"}, false
	case f.Order == "" || f.Order == "newest":
		l.keys = []string{"entries.at", "entries.id"}
	default:
		return nil, false, badOrder(f.Order, "number, newest")
	}
	if f.Job != 0 {
		l.only("entries.job = ?", int64(f.Job))
	}
	if f.Unit != 0 {
		// The + keeps the database from walking all entries by time for the few
		// of a unit.
		l.only("entries.job IN (SELECT jobs.id FROM jobs WHERE jobs.unit = ?)", int64(f.Unit))
		if l.downwards {
			l.keys = []string{"+entries.at", "+entries.id"}
		}
	}
	if f.Verb != "" {
		l.only("entries.verb = ?", f.Verb)
	}
	if f.Who != "" {
		l.only("entries.who = ?", f.Who)
	}
	if !f.From.IsZero() {
		l.only("entries.at >= ?", f.From.UnixNano())
	}
	if !f.To.IsZero() {
		l.only("entries.at < ?", f.To.UnixNano())
	}
	if strings.TrimSpace(f.Text) != "" {
		_, match := matching(f.Text)
		if match == "" {
			return nil, false, nil
		}
		// Led by the index of words, which gives its hits by number.
		l.from = "entry_words CROSS JOIN entries ON entries.id = entry_words.rowid - 72057594037927936"
		if len(l.where) == 0 {
			l.count = func(ctx context.Context, q querier) (int, error) {
				var total int
				err := one(ctx, q, sqlCountWords, []any{match, mostCounted}, &total)
				return total, err
			}
		}
		l.only("entry_words MATCH ?", match)
		if l.downwards {
			l.keys = []string{"entry_words.rowid"}
		}
	} else if f.Job == 0 && f.Unit == 0 && f.From.IsZero() && f.To.IsZero() {
		l.count = func(ctx context.Context, q querier) (int, error) { return tally(ctx, q, f.Verb, f.Who) }
	}
	return l, true, nil
}

var (
	sqlCountWords = statement("SELECT count(*) FROM (SELECT 1 FROM entry_words WHERE entry_words MATCH ? LIMIT ?)")
	sqlTallies    = statement("SELECT coalesce(sum(count), 0) FROM tallies WHERE (? = '' OR verb = ?) AND (? = '' OR who = ?)")
)

// tally counts entries without walking through them.
func tally(ctx context.Context, q querier, verb, who string) (int, error) {
	var total int
	err := one(ctx, q, sqlTallies, []any{verb, verb, who, who}, &total)
	return total, err
}

var sqlSwaps = statement("SELECT " + swapSelection + ", entries.id, entries.job, jobs.unit, units.year, entries.at" +
	" FROM swaps JOIN entries ON entries.id = swaps.entry JOIN jobs ON jobs.id = entries.job JOIN units ON units.id = jobs.unit" +
	" WHERE NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entries.id) ORDER BY swaps.entry, swaps.place")

// Swaps goes through every swap of every logbook, oldest entry first, those of
// corrected entries left out.
func (s *Store) Swaps(ctx context.Context) iter.Seq2[record.SwapRow, error] {
	return func(yield func(record.SwapRow, error) bool) {
		rows, err := s.readers.query(ctx, sqlSwaps, nil)
		if err != nil {
			yield(record.SwapRow{}, explain(err))
			return
		}
		defer rows.Close()
		for rows.Next() {
			var r record.SwapRow
			err := rows.Scan(append(targets(swapColumns(&r.Swap)), integer(&r.Entry), integer(&r.Job), integer(&r.Unit), integer(&r.Year), moment(&r.At))...)
			if !yield(r, explain(err)) || err != nil {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(record.SwapRow{}, explain(err))
		}
	}
}
