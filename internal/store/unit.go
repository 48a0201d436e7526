package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"halfsplit/internal/record"
)

var units = prepare(table[record.Unit]{
	kind: record.KindUnit, name: "units",
	number:   func(u *record.Unit) *record.ID { return &u.ID },
	revision: func(u *record.Unit) *int { return &u.Revision },
	check:    (*record.Unit).Check,
	columns: func(u *record.Unit) []column {
		return []column{
			{"code", text(&u.Code)}, {"maker", text(&u.Maker)}, {"model", text(&u.Model)}, {"serial", text(&u.Serial)},
			{"year", integer(&u.Year)}, {"standing", text(&u.Standing)}, {"owner", text(&u.Owner)}, {"source", text(&u.Source)},
			{"place", text(&u.Place)}, {"mains", real(&u.Mains)}, {"hours_per_day", real(&u.HoursPerDay)},
			{"temperature", nullReal(&u.Temperature)}, {"last_on", text(&u.LastOn)}, {"history", text(&u.History)},
			{"note", text(&u.Note)}, {"sheet", text(&u.Sheet)}, {"fitted", list(&u.Fitted)},
			{"created", moment(&u.Created)}, {"changed", moment(&u.Changed)},
		}
	},
	settle: settleUnit,
	about: func(_ context.Context, _ querier, u *record.Unit) (about, error) {
		var fitted []string
		for _, f := range u.Fitted {
			fitted = append(fitted, strings.Join([]string{f.Name, f.What, f.Marking, f.Serial, f.DateCode, f.Note}, " "))
		}
		return about{unit: u.ID, at: u.Created, title: u.Code + " " + u.Name(),
			body: join(u.Serial, u.Owner, u.Source, u.Place, u.Sheet, u.History, u.Note, join(fitted...))}, nil
	},
})

var (
	sqlUnitCode  = statement("SELECT id, code FROM units WHERE lower(code) = lower(?)")
	sqlUnitCodes = statement("SELECT code FROM units WHERE substr(code, 1, ?) = ?")
)

func settleUnit(t *transaction, old, u *record.Unit) error {
	u.Code = strings.TrimSpace(u.Code)
	if u.Code == "" {
		if old != nil {
			return record.Invalid{{Field: "code", Message: "must be given: it is on the label of the unit"}}
		}
		code, err := nextCode(t)
		if err != nil {
			return err
		}
		u.Code = code
	}
	var other record.ID
	var code string
	switch err := one(t.ctx, t, sqlUnitCode, []any{u.Code}, integer(&other), &code); {
	case err == nil && other != u.ID:
		return record.Invalid{{Field: "code", Message: fmt.Sprintf("%s is the code of another unit (number %d); each has its own", code, other)}}
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return err
	}
	u.Created, u.Changed = t.now, t.now
	if old != nil {
		u.Created = old.Created
	}
	return nil
}

// nextCode is the code after the highest one given, "SSA-0018" after "SSA-0017".
func nextCode(t *transaction) (string, error) {
	settings, err := currentSettings(t.ctx, t)
	if err != nil {
		return "", err
	}
	highest := int64(0)
	length := len([]rune(settings.Prefix))
	err = each(t.ctx, t, sqlUnitCodes, []any{length, settings.Prefix}, func(scan func(...any) error) error {
		var code string
		if err := scan(&code); err != nil {
			return err
		}
		if n, err := strconv.ParseInt(strings.TrimPrefix(code, settings.Prefix), 10, 64); err == nil {
			highest = max(highest, n)
		}
		return nil
	})
	return fmt.Sprintf("%s%04d", settings.Prefix, highest+1), err
}

// Unit reads a unit; the error wraps record.ErrNotFound when there is none.
func (s *Store) Unit(ctx context.Context, id record.ID) (record.Unit, error) {
	return units.find(ctx, s.readers, units.byID, int64(id))
}

var sqlUnitByCode = statement(units.selects + " WHERE lower(code) = lower(?)")

// UnitByCode reads the unit with a code; capitals make no difference.
func (s *Store) UnitByCode(ctx context.Context, code string) (record.Unit, error) {
	return units.find(ctx, s.readers, sqlUnitByCode, strings.TrimSpace(code))
}

// SaveUnit saves a unit: a new one when its ID is 0 (an empty code becomes the
// next free one), else as the next revision. It sets ID, Code, Revision, Created
// and Changed. The error is a *record.Stale when the unit was changed since it
// was read, record.Invalid when it cannot be right; then nothing is saved.
func (s *Store) SaveUnit(ctx context.Context, u *record.Unit) error {
	return save(ctx, s, units, u)
}

// unitRowColumns are those of a unit and of its row in a list.
var unitRowColumns = strings.TrimPrefix(strings.TrimSuffix(units.selects, " FROM units"), "SELECT ") +
	", (SELECT count(*) FROM jobs WHERE jobs.unit = units.id AND jobs.outcome = '')" +
	", (SELECT count(*) FROM jobs WHERE jobs.unit = units.id)" +
	", (SELECT photos.file FROM photos WHERE photos.unit = units.id AND photos.hidden = 0 ORDER BY photos.cover DESC, photos.id DESC LIMIT 1)"

// Units lists units.
func (s *Store) Units(ctx context.Context, f record.UnitFilter) (record.List[record.UnitRow], error) {
	l, ok, err := unitListing(f)
	rows := record.List[record.UnitRow]{}
	if err != nil || !ok {
		return rows, err
	}
	rows.Next, rows.Total, err = l.page(ctx, s.readers, f.Page, func(scan func(...any) error, keys []any) error {
		var r record.UnitRow
		err := units.scan(scan, &r.Unit, append([]any{&r.OpenJobs, &r.Jobs, text(&r.Cover)}, keys...)...)
		rows.Items = append(rows.Items, r)
		return err
	})
	return rows, err
}

// unitListing is the list that a filter asks for; false when nothing can be in
// it.
func unitListing(f record.UnitFilter) (*listing, bool, error) {
	l := &listing{columns: unitRowColumns, from: "units"}
	switch f.Order {
	case "", "code":
		l.keys = []string{"units.code", "units.id"}
	case "name":
		l.keys = []string{"units.maker", "units.model", "units.id"}
	case "year":
		l.keys = []string{"units.year", "units.id"}
	case "changed":
		l.keys, l.downwards = []string{"units.changed", "units.id"}, true
	default:
		return nil, false, badOrder(f.Order, "code, name, year, changed")
	}
	for _, c := range []struct{ column, value string }{{"standing", string(f.Standing)}, {"maker", f.Maker}, {"place", f.Place}, {"sheet", f.Sheet}} {
		if c.value != "" {
			l.only("units."+c.column+" = ?", c.value)
		}
	}
	if f.OpenJobs {
		l.only("EXISTS (SELECT 1 FROM jobs WHERE jobs.unit = units.id AND jobs.outcome = '')")
	}
	return l, l.search(record.KindUnit, "units.id", f.Text), nil
}

// search adds the condition that a record has the words of a text, if there are
// any; false when the text has signs but no word, so that nothing is found.
func (l *listing) search(kind record.Kind, id, text string) bool {
	if strings.TrimSpace(text) == "" {
		return true
	}
	condition, arguments, ok := found(kind, id, text)
	if ok {
		l.only(condition, arguments...)
	}
	return ok
}

// badOrder is the error for an order that there is not.
func badOrder(order, orders string) error {
	return record.Invalid{{Field: "order", Message: fmt.Sprintf("%q is not one of: %s", order, orders)}}
}
