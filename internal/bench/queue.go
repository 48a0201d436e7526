package bench

import (
	"context"
	"fmt"
	"strings"
	"time"

	"halfsplit/internal/record"
	"halfsplit/logbook"
	"halfsplit/sheet"
	"halfsplit/upkeep"
)

// absoluteZero in degrees Celsius.
const absoluteZero = -273.15

// Collection is the kept units as package upkeep takes them, with what was learned
// of their parts. ID is the code of a unit.
func Collection(ctx context.Context, w Workshop, now time.Time) ([]upkeep.Unit, upkeep.Terms, error) {
	terms := upkeep.Terms{Now: now, Years: 5}
	book, err := Learned(ctx, w, now)
	if err != nil {
		return nil, terms, err
	}
	terms.Experience = book.Tally()
	settings, err := w.Settings(ctx)
	if err != nil {
		return nil, terms, err
	}
	done, err := whatWasDone(ctx, w)
	if err != nil {
		return nil, terms, err
	}
	sheets := map[string]*described{}
	var list []upkeep.Unit
	var failed error
	f := record.UnitFilter{Standing: record.Kept}
	err = all(func(p record.Page) (record.List[record.UnitRow], error) { f.Page = p; return w.Units(ctx, f) }, func(u *record.UnitRow) {
		if failed != nil {
			return
		}
		d := sheets[u.Sheet]
		if d == nil {
			if d, failed = describe(ctx, w, u.Sheet); failed != nil {
				return
			}
			sheets[u.Sheet] = d
		}
		list = append(list, unitFor(&u.Unit, d, done[u.ID], settings, now))
	})
	if failed != nil {
		err = failed
	}
	return list, terms, err
}

// Queue ranks the kept units: which is the next to burn, to spoil or to fail. An
// error with places names units of which something cannot be right; the others
// are ranked.
func Queue(ctx context.Context, w Workshop, now time.Time) ([]upkeep.Place, upkeep.Terms, error) {
	units, terms, err := Collection(ctx, w, now)
	if err != nil {
		return nil, terms, err
	}
	places, err := upkeep.Rank(units, terms)
	return places, terms, err
}

// described is what a sheet tells of every unit of a model.
type described struct {
	kind     string
	contents upkeep.Contents
}

// describe reads a sheet; a unit without one is not described.
func describe(ctx context.Context, w Workshop, name string) (*described, error) {
	if name == "" {
		return &described{}, nil
	}
	version, err := w.SheetNamed(ctx, name)
	if err != nil {
		return nil, err
	}
	s, err := sheet.Parse(name+".sheet.yaml", []byte(version.Text))
	if err != nil {
		return nil, fmt.Errorf("the sheet %q cannot be read: %w", name, err)
	}
	return &described{kind: s.Model.Kind, contents: upkeep.FromSheet(s)}, nil
}

// deeds are what the logbooks of one unit tell.
type deeds struct {
	answered []string
	replaced map[string]time.Time
	damaged  map[string]string
}

// whatWasDone gathers from all logbooks what was made safe, replaced, and seen to
// be damaged, by unit.
func whatWasDone(ctx context.Context, w Workshop) (map[record.ID]*deeds, error) {
	unitOf := map[record.ID]record.ID{}
	err := all(func(p record.Page) (record.List[record.JobRow], error) { return w.Jobs(ctx, record.JobFilter{Page: p}) }, func(j *record.JobRow) { unitOf[j.ID] = j.Unit })
	if err != nil {
		return nil, err
	}
	done := map[record.ID]*deeds{}
	of := func(unit record.ID) *deeds {
		if done[unit] == nil {
			done[unit] = &deeds{replaced: map[string]time.Time{}, damaged: map[string]string{}}
		}
		return done[unit]
	}
	for _, verb := range []string{"look", "safe"} {
		f := record.EntryFilter{Verb: verb}
		err := all(func(p record.Page) (record.List[record.Entry], error) { f.Page = p; return w.Entries(ctx, f) }, func(e *record.Entry) {
			read, err := logbook.ParseEntry(e.Line)
			if err != nil || e.CorrectedBy != 0 {
				return
			}
			d := of(unitOf[e.Job])
			switch {
			case verb == "safe":
				d.answered = append(d.answered, read.Safe.Text)
			case read.At.Text != "" && len(read.Reads) > 0 && isDamage(read.Reads[0].Text):
				d.damaged[read.At.Text] = read.Reads[0].Text
			}
		})
		if err != nil {
			return nil, err
		}
	}
	for s, err := range w.Swaps(ctx) {
		if err != nil {
			return nil, err
		}
		d := of(s.Unit)
		if s.At.After(d.replaced[s.Part]) {
			d.replaced[s.Part] = s.At
		}
		delete(d.damaged, s.Part)
	}
	return done, nil
}

// isDamage reports whether what was seen of a part is damage that goes on.
func isDamage(text string) bool {
	for _, word := range []string{"leak", "crack", "bulg", "burn", "corro", "swollen", "residue"} {
		if strings.Contains(strings.ToLower(text), word) {
			return true
		}
	}
	return false
}

// unitFor is a unit as package upkeep takes it.
func unitFor(u *record.Unit, d *described, done *deeds, settings record.Settings, now time.Time) upkeep.Unit {
	one := upkeep.Unit{ID: u.Code, Name: u.Name(), Kind: d.kind, Year: u.Year, Contents: d.contents, HoursADay: settings.HoursPerDay,
		Temperature: settings.Temperature - absoluteZero}
	if one.Year > now.Year() {
		one.Year = 0
	}
	if u.Temperature != nil {
		one.Temperature = *u.Temperature - absoluteZero
	}
	if u.HoursPerDay > 0 {
		one.HoursADay = u.HoursPerDay
	}
	if t, ok := u.LastOn.Begins(); ok && !t.After(now) {
		one.LastPowered = t
	}
	if done != nil {
		one.Answered, one.Damaged = done.answered, done.damaged
		one.Replaced = map[string]time.Time{}
		for part, at := range done.replaced {
			if at.After(now) { // a clock was wrong, here or when it was written
				at = now
			}
			one.Replaced[part] = at
		}
	}
	for _, f := range u.Fitted {
		if !strings.Contains(strings.ToLower(f.What+" "+f.Name), "battery") && f.What != "accumulator" {
			continue
		}
		b := upkeep.Battery{Name: f.Name, Chemistry: chemistry(f.Name + " " + f.What + " " + f.Marking + " " + f.Note)}
		if t, ok := f.Since.Begins(); ok && t.Before(now) {
			b.Age = now.Sub(t).Hours() / 24 / 365.25
		}
		one.Batteries = append(one.Batteries, b)
	}
	return one
}

// chemistry finds the chemistry of a battery in what is said of it; "" when
// nothing is.
func chemistry(text string) upkeep.Chemistry {
	text = strings.ToLower(text)
	for _, c := range upkeep.Chemistries() {
		if c != "" && strings.Contains(text, strings.ToLower(string(c))) {
			return c
		}
	}
	return ""
}
