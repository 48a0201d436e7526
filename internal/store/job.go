package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"halfsplit/internal/record"
)

var jobs = prepare(table[record.Job]{
	kind: record.KindJob, name: "jobs",
	number:   func(j *record.Job) *record.ID { return &j.ID },
	revision: func(j *record.Job) *int { return &j.Revision },
	check:    (*record.Job).Check,
	columns: func(j *record.Job) []column {
		return []column{
			{"unit", integer(&j.Unit)}, {"title", text(&j.Title)}, {"complaint", text(&j.Complaint)}, {"stage", text(&j.Stage)},
			{"sheet", reference(&j.Sheet)}, {"sure", real(&j.Sure)}, {"repair_right", real(&j.RepairRight)},
			{"done_when", text(&j.DoneWhen)}, {"outcome", text(&j.Outcome)}, {"reason", text(&j.Reason)},
			{"lesson", text(&j.Lesson)}, {"opened", moment(&j.Opened)}, {"closed", moment(&j.Closed)}, {"changed", moment(&j.Changed)},
		}
	},
	settle: settleJob,
	after:  keepJobInstruments,
	load:   loadJobInstruments,
	about: func(_ context.Context, _ querier, j *record.Job) (about, error) {
		return about{unit: j.Unit, job: j.ID, at: j.Opened, title: j.Title, body: join(j.Complaint, j.DoneWhen, j.Reason, j.Lesson)}, nil
	},
})

func settleJob(t *transaction, old, j *record.Job) error {
	var wrong record.Invalid
	if _, err := must(t, &wrong, "unit", units, j.Unit); err != nil {
		return err
	}
	if _, err := must(t, &wrong, "sheet", sheets, j.Sheet); err != nil {
		return err
	}
	for i, id := range j.Instruments {
		if _, err := must(t, &wrong, fmt.Sprintf("instruments[%d]", i), instruments, id); err != nil {
			return err
		}
		if slices.Contains(j.Instruments[:i], id) {
			wrong = append(wrong, record.Wrong{Field: fmt.Sprintf("instruments[%d]", i), Message: "is named twice"})
		}
	}
	if old != nil && old.Unit != j.Unit {
		wrong = append(wrong, record.Wrong{Field: "unit", Message: "a job stays with its unit; close this one and open another"})
	}
	if len(j.Instruments) == 0 {
		j.Instruments = nil
	}
	j.Changed = t.now
	switch {
	case old != nil && j.Opened.IsZero():
		j.Opened = old.Opened
	case j.Opened.IsZero():
		j.Opened = t.now
	}
	if !j.IsOpen() && j.Closed.IsZero() {
		j.Closed = t.now
	}
	return asError(wrong)
}

var (
	sqlJobInstruments     = statement("SELECT instrument FROM job_instruments WHERE job = ? ORDER BY place")
	sqlDropJobInstruments = statement("DELETE FROM job_instruments WHERE job = ?")
	sqlAddJobInstrument   = statement("INSERT INTO job_instruments (job, place, instrument) VALUES (?, ?, ?)")
)

func keepJobInstruments(t *transaction, old, j *record.Job) error {
	if old != nil && slices.Equal(old.Instruments, j.Instruments) {
		return nil
	}
	if _, err := t.exec(t.ctx, sqlDropJobInstruments, int64(j.ID)); err != nil {
		return err
	}
	for i, id := range j.Instruments {
		if _, err := t.exec(t.ctx, sqlAddJobInstrument, int64(j.ID), i, int64(id)); err != nil {
			return err
		}
	}
	return nil
}

func loadJobInstruments(ctx context.Context, q querier, j *record.Job) error {
	return each(ctx, q, sqlJobInstruments, []any{int64(j.ID)}, func(scan func(...any) error) error {
		var id record.ID
		err := scan(integer(&id))
		j.Instruments = append(j.Instruments, id)
		return err
	})
}

// Job reads a job; the error wraps record.ErrNotFound when there is none.
func (s *Store) Job(ctx context.Context, id record.ID) (record.Job, error) {
	return jobs.find(ctx, s.readers, jobs.byID, int64(id))
}

// SaveJob saves a job: a new one when its ID is 0, else as the next revision. It
// sets ID, Revision and Changed, Opened when it is empty, and Closed when the job
// has an outcome but no closing date. An open job has none: empty it to open a
// job again. Errors are as those of SaveUnit.
func (s *Store) SaveJob(ctx context.Context, j *record.Job) error {
	return save(ctx, s, jobs, j)
}

// jobRowColumns are those of a job and of its row in a list.
var jobRowColumns = strings.TrimPrefix(strings.TrimSuffix(jobs.selects, " FROM jobs"), "SELECT ") +
	", units.code, units.maker, units.model" +
	", coalesce(logs.last, 0), coalesce(logs.seconds, 0.0), coalesce(logs.cost, 0)"

// Jobs lists jobs.
func (s *Store) Jobs(ctx context.Context, f record.JobFilter) (record.List[record.JobRow], error) {
	l, ok, err := jobListing(f)
	rows := record.List[record.JobRow]{}
	if err != nil || !ok {
		return rows, err
	}
	rows.Next, rows.Total, err = l.page(ctx, s.readers, f.Page, func(scan func(...any) error, keys []any) error {
		var r record.JobRow
		var u record.Unit
		err := jobs.scan(scan, &r.Job, append([]any{&r.UnitCode, &u.Maker, &u.Model, integer(&r.Entries), &r.Seconds, &r.Cost}, keys...)...)
		r.UnitName = u.Name()
		rows.Items = append(rows.Items, r)
		return err
	})
	for i := range rows.Items {
		r := &rows.Items[i]
		if err == nil {
			err = loadJobInstruments(ctx, s.readers, &r.Job)
		}
	}
	return rows, explain(err)
}

// jobListing is the list that a filter asks for; false when nothing can be in
// it.
func jobListing(f record.JobFilter) (*listing, bool, error) {
	l := &listing{columns: jobRowColumns, from: "jobs JOIN units ON units.id = jobs.unit LEFT JOIN logs ON logs.job = jobs.id", counted: "jobs", downwards: true}
	switch f.Order {
	case "", "changed":
		l.keys = []string{"jobs.changed", "jobs.id"}
	case "opened":
		l.keys = []string{"jobs.opened", "jobs.id"}
	default:
		return nil, false, badOrder(f.Order, "opened, changed")
	}
	if f.Unit != 0 {
		l.only("jobs.unit = ?", int64(f.Unit))
	}
	if f.Stage != "" {
		l.only("jobs.stage = ?", string(f.Stage))
	}
	if f.Open != nil && *f.Open {
		l.only("jobs.outcome = ''")
	} else if f.Open != nil {
		l.only("jobs.outcome <> ''")
	}
	return l, l.search(record.KindJob, "jobs.id", f.Text), nil
}
