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
	hitSelection = "SELECT words.rowid, texts.unit, texts.job, texts.at, texts.title, snippet(words, -1, char(2), char(3), '…', 16)" +
		" FROM words JOIN texts ON texts.id = words.rowid WHERE words MATCH ? AND words.rowid >= ? AND words.rowid < ?"
	sqlBestHits   = statement(hitSelection + " AND rank MATCH 'bm25(8.0, 1.0)' ORDER BY rank LIMIT ?")
	sqlNewestHits = statement(hitSelection + " ORDER BY words.rowid DESC LIMIT ?")

	sqlUnitTitle  = statement("SELECT code FROM units WHERE id = ?")
	sqlJobTitle   = statement("SELECT title FROM jobs WHERE id = ?")
	sqlEntryTitle = statement("SELECT number FROM entries WHERE id = ?")
)

// weighed are the kinds of which there are not so many that their hits could not
// be weighed against each other; of the others the newest come first.
var weighed = []record.Kind{record.KindUnit, record.KindSheet, record.KindInstrument, record.KindStock, record.KindBin, record.KindOrder}

// Search finds records by their words: each word must be in the record, the last
// one may be the beginning of a word, and what stands in double quotes must
// follow upon each other. Capitals and accents make no difference. Kinds may
// bound what is looked through; all when there are none. Hits come kind by kind,
// units first, at most limit (0 for 50) in all, and each kind has its share.
func (s *Store) Search(ctx context.Context, text string, kinds []record.Kind, limit int) ([]record.Hit, error) {
	match, ok := matching(text)
	if !ok {
		return nil, nil
	}
	if limit <= 0 {
		limit = usualPage
	}
	limit = min(limit, mostPage)
	byKind := make([][]record.Hit, len(searched))
	for i, kind := range searched {
		if len(kinds) > 0 && !slices.Contains(kinds, kind) {
			continue
		}
		order := sqlNewestHits
		if slices.Contains(weighed, kind) {
			order = sqlBestHits
		}
		first := textNumber(kind, 0)
		err := each(ctx, s.readers, order, []any{match, first, first + 1<<kindShift, limit}, func(scan func(...any) error) error {
			var hit record.Hit
			var place int64
			var snippet string
			err := scan(&place, number(&hit.Unit), number(&hit.Job), moment(&hit.At), &hit.Title, &snippet)
			hit.Kind, hit.ID = textOwner(place)
			hit.Snippet = pieces(snippet)
			byKind[i] = append(byKind[i], hit)
			return err
		})
		if err != nil {
			return nil, explain(err)
		}
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
