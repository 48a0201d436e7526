package store

import (
	"context"
	"slices"
	"strings"

	"halfsplit/internal/record"
)

// The signs that the index puts around a word that was found.
const (
	foundBegins = "\x02"
	foundEnds   = "\x03"
)

var (
	sqlHits = statement("SELECT words.rowid, texts.unit, texts.job, texts.at, texts.title, snippet(words, -1, char(2), char(3), '…', 16)" +
		" FROM words JOIN texts ON texts.id = words.rowid WHERE words MATCH ? AND words.rowid >= ? AND words.rowid < ? ORDER BY words.rowid DESC LIMIT ?")
	sqlEntryHits = statement("SELECT entry_words.rowid, texts.unit, texts.job, texts.at, texts.title, snippet(entry_words, -1, char(2), char(3), '…', 16)" +
		" FROM entry_words JOIN texts ON texts.id = entry_words.rowid WHERE entry_words MATCH ? AND entry_words.rowid >= ? AND entry_words.rowid < ? ORDER BY entry_words.rowid DESC LIMIT ?")

	sqlUnitTitle  = statement("SELECT code FROM units WHERE id = ?")
	sqlJobTitle   = statement("SELECT title FROM jobs WHERE id = ?")
	sqlEntryTitle = statement("SELECT number FROM entries WHERE id = ?")
)

// Search finds records by their words: each word must be in the record, the last
// one may be the beginning of a word, and what stands in double quotes must
// follow upon each other. Capitals and accents make no difference. Kinds may
// bound what is looked through; all when there are none. Hits come kind by kind,
// units first and entries last, at most limit (0 for 50) in all, and each kind
// has its share. Within a kind those with all words in their title come first,
// then the newest.
func (s *Store) Search(ctx context.Context, text string, kinds []record.Kind, limit int) ([]record.Hit, error) {
	whole, open := matching(text)
	if whole == "" {
		return nil, nil
	}
	if limit <= 0 {
		limit = usualPage
	}
	limit = min(limit, mostPage)
	var byKind [][]record.Hit
	for _, kind := range append(searched[:len(searched):len(searched)], record.KindEntry) {
		if len(kinds) > 0 && !slices.Contains(kinds, kind) {
			continue
		}
		hits, err := s.hitsOf(ctx, kind, whole, open, limit)
		if err != nil {
			return nil, explain(err)
		}
		byKind = append(byKind, hits)
	}
	var hits []record.Hit
	for i, share := range shares(byKind, limit) {
		hits = append(hits, byKind[i][:share]...)
	}
	for i := range hits {
		if err := s.entitle(ctx, &hits[i]); err != nil {
			return nil, explain(err)
		}
	}
	return hits, nil
}

// hitsOf finds records of one kind: by whole words first, which is quick, and by
// the beginning of the last one when that is not enough.
func (s *Store) hitsOf(ctx context.Context, kind record.Kind, whole, open string, limit int) ([]record.Hit, error) {
	statement := sqlHits
	tries := []string{"{title} : (" + whole + ")", whole, "{title} : (" + open + ")", open}
	if kind == record.KindEntry {
		statement = sqlEntryHits
		tries = []string{whole, open}
	}
	switch {
	case whole == open:
		tries = tries[:len(tries)/2]
	case kind == record.KindEntry && strings.Contains(whole, `" "`):
		tries = []string{open} // two goes through a million entries would take too long
	}
	var hits []record.Hit
	seen := map[record.ID]bool{}
	for _, match := range tries {
		if len(hits) == limit {
			break
		}
		more, err := s.hits(ctx, statement, kind, match, limit)
		if err != nil {
			return nil, err
		}
		for _, hit := range more {
			if len(hits) < limit && !seen[hit.ID] {
				hits = append(hits, hit)
				seen[hit.ID] = true
			}
		}
	}
	return hits, nil
}

// hits finds records of one kind, the newest first.
func (s *Store) hits(ctx context.Context, statement string, kind record.Kind, match string, limit int) ([]record.Hit, error) {
	first, _ := textNumber(kind, 0)
	var hits []record.Hit
	err := each(ctx, s.readers, statement, []any{match, first, first + 1<<kindShift, limit}, func(scan func(...any) error) error {
		hit := record.Hit{Kind: kind}
		var place int64
		var snippet string
		err := scan(&place, reference(&hit.Unit), reference(&hit.Job), moment(&hit.At), &hit.Title, &snippet)
		hit.ID = recordNumber(place)
		hit.Snippet = pieces(snippet)
		hits = append(hits, hit)
		return err
	})
	return hits, err
}

// shares says how many hits of each kind are shown: the longest lists are cut
// until there are no more than limit.
func shares(byKind [][]record.Hit, limit int) []int {
	share := make([]int, len(byKind))
	total := 0
	for i, hits := range byKind {
		share[i] = len(hits)
		total += len(hits)
	}
	for ; total > limit; total-- {
		longest := 0
		for i := range share {
			if share[i] >= share[longest] {
				longest = i
			}
		}
		share[longest]--
	}
	return share
}

// entitle says in the title of a hit what unit and job it belongs to.
func (s *Store) entitle(ctx context.Context, hit *record.Hit) error {
	var parts []string
	if hit.Unit != 0 && hit.Kind != record.KindUnit {
		var code string
		if err := one(ctx, s.readers, sqlUnitTitle, []any{int64(hit.Unit)}, &code); err != nil {
			return err
		}
		parts = append(parts, code)
	}
	if hit.Kind == record.KindEntry {
		var job string
		var e record.Entry
		if err := one(ctx, s.readers, sqlJobTitle, []any{int64(hit.Job)}, &job); err != nil {
			return err
		}
		if err := one(ctx, s.readers, sqlEntryTitle, []any{int64(hit.ID)}, &e.Number); err != nil {
			return err
		}
		parts = append(parts, job+", "+e.Name()+", "+hit.Title)
	} else if hit.Title != "" {
		parts = append(parts, hit.Title)
	}
	hit.Title = strings.Join(parts, " ")
	return nil
}

// pieces takes a snippet apart.
func pieces(snippet string) []record.Snippet {
	var list []record.Snippet
	for snippet != "" {
		plain, rest, found := strings.Cut(snippet, foundBegins)
		if plain = strings.ReplaceAll(plain, foundEnds, ""); plain != "" {
			list = append(list, record.Snippet{Text: plain})
		}
		if !found {
			break
		}
		word, after, _ := strings.Cut(rest, foundEnds)
		list = append(list, record.Snippet{Text: word, Found: true})
		snippet = after
	}
	return list
}
