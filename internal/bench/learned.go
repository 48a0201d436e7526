package bench

import (
	"context"
	"fmt"
	"strings"
	"time"

	"halfsplit/experience"
	"halfsplit/internal/record"
	"halfsplit/part/datecode"
	"halfsplit/sheet"
)

// Workshop is where what a whole workshop has done is found.
type Workshop interface {
	Lister
	Identity() string
	LastChange(ctx context.Context) (int64, error)
	Reports(ctx context.Context) ([]record.Report, error)
	SaveReport(ctx context.Context, r *record.Report) error
}

// Learned is what this bench, and the benches that sent their counts, have seen
// of failing parts. Own counts come from the swaps in the logbooks, and from the
// parts of units that were on the bench and are at work again; reports of
// others as they came.
func Learned(ctx context.Context, w Workshop, now time.Time) (*experience.Book, error) {
	own, err := ownCounts(ctx, w, now)
	if err != nil {
		return nil, err
	}
	books := []*experience.Book{own}
	reports, err := w.Reports(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range reports {
		book, err := experience.Parse("report of "+r.Bench, []byte(r.Text))
		if err != nil {
			return nil, err
		}
		books = append(books, book)
	}
	return experience.Merge(books...), nil
}

// TakeReport keeps the counts that another bench sent. The error is
// form.Problems when they cannot be read; a report of this bench itself is
// refused, since it is counted already.
func TakeReport(ctx context.Context, w Workshop, file string, text []byte, now time.Time) error {
	book, err := experience.Parse(file, text)
	if err != nil {
		return err
	}
	benches := map[string]bool{}
	for _, r := range book.Records() {
		benches[r.Bench] = true
	}
	if benches[w.Identity()] {
		return Wrong{"this report holds the counts of this bench itself, which are counted already"}
	}
	names := make([]string, 0, len(benches))
	for name := range benches {
		names = append(names, name)
	}
	return w.SaveReport(ctx, &record.Report{Bench: strings.Join(names, ", "), Text: string(text), Taken: now})
}

// Own gives the counts of this bench alone, to be sent to others.
func Own(ctx context.Context, w Workshop, now time.Time) (*experience.Book, error) {
	return ownCounts(ctx, w, now)
}

// ownCounts counts what the logbooks tell.
func ownCounts(ctx context.Context, w Workshop, now time.Time) (*experience.Book, error) {
	book := &experience.Book{}
	identity := w.Identity()
	swapped := map[record.ID]map[string]int{} // by unit and kind
	for s, err := range w.Swaps(ctx) {
		if err != nil {
			return nil, err
		}
		if s.Kind == "" {
			continue
		}
		if swapped[s.Unit] == nil {
			swapped[s.Unit] = map[string]int{}
		}
		swapped[s.Unit][s.Kind]++
		years := age(&s)
		one := experience.Record{Bench: identity, ID: fmt.Sprintf("entry %d %s", s.Entry, s.Part), Revision: 1,
			Key: experience.Key{Kind: s.Kind, Family: s.OutFamily, Maker: s.OutMaker, Batch: s.OutBatch}, Count: experience.Count{Years: years}}
		if years > 0 {
			one.Age = experience.BandOf(years)
		}
		switch s.Condition {
		case record.ConditionFailed, record.ConditionSpent:
			one.Failed = 1
		case record.ConditionGood, record.ConditionWorn:
			one.Good = 1
		default:
			one.Replaced = 1
		}
		if err := book.Add(one); err != nil {
			continue // a kind that no sheet knows teaches nothing
		}
	}
	return book, survivors(ctx, w, book, swapped, now)
}

// age is how old a part was when it was taken out, in years; 0 when not known.
func age(s *record.SwapRow) float64 {
	year := s.OutYear
	if year == 0 && s.OutBatch != "" {
		if readings, _, err := datecode.Read(s.OutBatch, datecode.Window{Unit: s.Year, Now: s.At.Year()}); err == nil && len(readings) > 0 {
			year = readings[0].Year
		}
	}
	if year == 0 {
		year = s.Year
	}
	if year == 0 || s.At.Year() < year {
		return 0
	}
	return float64(s.At.Year() - year)
}

// survivors adds the years that the parts of repaired units have lived, those
// apart that were changed.
func survivors(ctx context.Context, w Workshop, book *experience.Book, swapped map[record.ID]map[string]int, now time.Time) error {
	kinds := map[string]map[string]int{} // parts by kind, by sheet
	repaired := map[record.ID]bool{}
	closed := false
	f := record.JobFilter{Open: &closed}
	err := all(func(p record.Page) (record.List[record.JobRow], error) { f.Page = p; return w.Jobs(ctx, f) }, func(j *record.JobRow) {
		if j.Outcome == record.Repaired || j.Outcome == record.NoFault {
			repaired[j.Unit] = true
		}
	})
	if err != nil || len(repaired) == 0 {
		return err
	}
	var failed error
	units := record.UnitFilter{}
	err = all(func(p record.Page) (record.List[record.UnitRow], error) { units.Page = p; return w.Units(ctx, units) }, func(u *record.UnitRow) {
		if failed != nil || !repaired[u.ID] || u.Sheet == "" || u.Year == 0 || now.Year() <= u.Year {
			return
		}
		if kinds[u.Sheet] == nil {
			if kinds[u.Sheet], failed = partsByKind(ctx, w, u.Sheet); failed != nil {
				return
			}
		}
		age := now.Year() - u.Year
		for kind, n := range kinds[u.Sheet] {
			if n -= swapped[u.ID][kind]; n <= 0 {
				continue
			}
			// A revision a year: the latest counts in place of those before.
			one := experience.Record{Bench: w.Identity(), ID: fmt.Sprintf("unit %d %s", u.ID, kind), Revision: now.Year(),
				Key: experience.Key{Kind: kind}, Age: experience.BandOf(float64(age)), Count: experience.Count{Years: float64(n * age)}}
			if err := book.Add(one); err != nil {
				continue // not a kind that can fail by itself
			}
		}
	})
	if failed != nil {
		return failed
	}
	return err
}

// partsByKind counts the parts of a sheet.
func partsByKind(ctx context.Context, w Workshop, name string) (map[string]int, error) {
	version, err := w.SheetNamed(ctx, name)
	if err != nil {
		return nil, err
	}
	s, err := sheet.Parse(name+".sheet.yaml", []byte(version.Text))
	if err != nil {
		return nil, err
	}
	count := map[string]int{}
	for i := range s.Parts {
		if kind := s.Parts[i].Kind.Text; kind != "" {
			count[kind]++
		}
	}
	return count, nil
}

// learned is what was learned as of a change of the records.
type learned struct {
	change int64
	text   string // stands for it: the same text, the same counts
	tally  *experience.Tally
}

// whatIsLearned gives what the workshop has learned, with no tally where the records
// are not those of a whole one or nothing was counted yet. It is counted once for
// each change of the records.
func (b *Bench) whatIsLearned(ctx context.Context) (*learned, error) {
	w, whole := b.records.(Workshop)
	if !whole {
		return &learned{}, nil
	}
	b.learning.Lock()
	defer b.learning.Unlock()
	change, err := w.LastChange(ctx)
	if err != nil {
		return nil, err
	}
	if b.learned != nil && b.learned.change == change {
		return b.learned, nil
	}
	book, err := Learned(ctx, w, b.now())
	if err != nil {
		return nil, err
	}
	one := &learned{change: change}
	if len(book.Records()) > 0 {
		text, err := book.MarshalJSON()
		if err != nil {
			return nil, err
		}
		one.text, one.tally = string(text), book.Tally()
	}
	b.learned = one
	return one, nil
}
