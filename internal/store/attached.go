package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"halfsplit/internal/record"
)

var photos = prepare(table[record.Photo]{
	kind: record.KindPhoto, name: "photos",
	number:   func(p *record.Photo) *record.ID { return &p.ID },
	revision: func(p *record.Photo) *int { return &p.Revision },
	check:    (*record.Photo).Check,
	columns: func(p *record.Photo) []column {
		return []column{
			{"unit", integer(&p.Unit)}, {"job", reference(&p.Job)}, {"file", text(&p.File)}, {"media", text(&p.Media)},
			{"width", integer(&p.Width)}, {"height", integer(&p.Height)}, {"caption", text(&p.Caption)}, {"taken", moment(&p.Taken)},
			{"cover", yesNo(&p.Cover)}, {"spots", list(&p.Spots)}, {"hidden", yesNo(&p.Hidden)},
		}
	},
	about: func(_ context.Context, _ querier, p *record.Photo) (about, error) {
		var spots []string
		for _, s := range p.Spots {
			spots = append(spots, s.Name+" "+s.Note)
		}
		return about{unit: p.Unit, job: p.Job, at: p.Taken, title: p.Caption, body: strings.Join(spots, "\n")}, nil
	},
})

var (
	sqlPhotosOfUnit = statement(photos.selects + " WHERE photos.unit = ? AND photos.hidden = 0 ORDER BY photos.cover DESC, photos.id")
	sqlPhotosOfJob  = statement(photos.selects + " WHERE photos.job = ? AND photos.hidden = 0 ORDER BY photos.id")
	sqlCovers       = statement(photos.selects + " WHERE photos.unit = ? AND photos.hidden IN (0, 1) AND photos.cover = 1 AND photos.id <> ?")
)

func init() { photos.settle = settlePhoto } // which reads photos

func settlePhoto(t *transaction, _, p *record.Photo) error {
	var wrong record.Invalid
	if _, err := must(t, &wrong, "unit", units, p.Unit); err != nil {
		return err
	}
	job, err := must(t, &wrong, "job", jobs, p.Job)
	if err != nil {
		return err
	}
	if job.ID != 0 && job.Unit != p.Unit {
		wrong = append(wrong, record.Wrong{Field: "job", Message: "is a job on another unit"})
	}
	file, err := mustFile(t, &wrong, "file", p.File)
	if err != nil {
		return err
	}
	if p.Media == "" {
		p.Media = file.Media
	}
	if p.Hidden {
		p.Cover = false
	}
	if !p.Cover {
		return asError(wrong)
	}
	// There is one cover: the others are laid below.
	covers, err := photos.all(t.ctx, t, sqlCovers, int64(p.Unit), int64(p.ID))
	if err != nil {
		return err
	}
	for _, other := range covers {
		was := other
		other.Cover = false
		other.Revision++
		if err := photos.put(t, &was, &other); err != nil {
			return err
		}
	}
	return asError(wrong)
}

// Photos lists the pictures of a job, or when that is 0 of a unit, the cover
// first. Hidden ones are left out.
func (s *Store) Photos(ctx context.Context, unit, job record.ID) ([]record.Photo, error) {
	if job != 0 {
		list, err := photos.all(ctx, s.readers, sqlPhotosOfJob, int64(job))
		if unit == 0 || err != nil {
			return list, err
		}
		var own []record.Photo
		for _, p := range list {
			if p.Unit == unit {
				own = append(own, p)
			}
		}
		return own, nil
	}
	return photos.all(ctx, s.readers, sqlPhotosOfUnit, int64(unit))
}

// Photo reads a picture; the error wraps record.ErrNotFound when there is none.
func (s *Store) Photo(ctx context.Context, id record.ID) (record.Photo, error) {
	return photos.find(ctx, s.readers, photos.byID, int64(id))
}

// SavePhoto saves a picture whose file was kept (PutFile). When it is the cover
// of its unit, no other one is any more. Errors are as those of SaveUnit.
func (s *Store) SavePhoto(ctx context.Context, p *record.Photo) error {
	return save(ctx, s, photos, p)
}

// RemovePhoto takes a picture off the pages; it and its file are still kept, for
// the logbook may speak of it.
func (s *Store) RemovePhoto(ctx context.Context, id record.ID) error {
	return s.write(ctx, func(t *transaction) error {
		p, err := photos.find(t.ctx, t, photos.byID, int64(id))
		if err != nil || p.Hidden {
			return err
		}
		p.Hidden = true
		return photos.save(t, &p)
	})
}

var traces = prepare(table[record.Trace]{
	kind: record.KindTrace, name: "traces",
	number:   func(r *record.Trace) *record.ID { return &r.ID },
	revision: func(r *record.Trace) *int { return &r.Revision },
	check:    (*record.Trace).Check,
	columns: func(r *record.Trace) []column {
		return []column{
			{"job", integer(&r.Job)}, {"name", text(&r.Name)}, {"file", text(&r.File)}, {"source", nullText(&r.Source)},
			{"channels", list(&r.Channels)}, {"rows", integer(&r.Rows)}, {"seconds", real(&r.Seconds)}, {"taken", moment(&r.Taken)},
			{"note", text(&r.Note)},
		}
	},
	settle: func(t *transaction, _, r *record.Trace) error {
		var wrong record.Invalid
		_, err := must(t, &wrong, "job", jobs, r.Job)
		if err == nil {
			_, err = mustFile(t, &wrong, "file", r.File)
		}
		if err == nil && r.Source != "" {
			_, err = mustFile(t, &wrong, "source", r.Source)
		}
		if err != nil {
			return err
		}
		if r.Rows < 0 || !(r.Seconds >= 0) {
			wrong = append(wrong, record.Wrong{Field: "rows", Message: "a recording is not shorter than nothing"})
		}
		return asError(wrong)
	},
	about: func(ctx context.Context, q querier, r *record.Trace) (about, error) {
		unit, err := unitOf(ctx, q, r.Job)
		return about{unit: unit, job: r.Job, at: r.Taken, title: r.Name, body: join(strings.Join(r.Channels, " "), r.Note)}, err
	},
})

var sqlTracesOfJob = statement(traces.selects + " WHERE traces.job = ? ORDER BY traces.id")

// Traces lists the recordings of a job.
func (s *Store) Traces(ctx context.Context, job record.ID) ([]record.Trace, error) {
	return traces.all(ctx, s.readers, sqlTracesOfJob, int64(job))
}

// Trace reads a recording; the error wraps record.ErrNotFound when there is
// none.
func (s *Store) Trace(ctx context.Context, id record.ID) (record.Trace, error) {
	return traces.find(ctx, s.readers, traces.byID, int64(id))
}

// SaveTrace saves a recording whose files were kept (PutFile). Errors are as
// those of SaveUnit.
func (s *Store) SaveTrace(ctx context.Context, r *record.Trace) error {
	return save(ctx, s, traces, r)
}

var soaks = prepare(table[record.Soak]{
	kind: record.KindSoak, name: "soaks",
	number:   func(k *record.Soak) *record.ID { return &k.ID },
	revision: func(k *record.Soak) *int { return &k.Revision },
	check:    (*record.Soak).Check,
	columns: func(k *record.Soak) []column {
		return []column{
			{"job", integer(&k.Job)}, {"started", moment(&k.Started)}, {"temperature", nullReal(&k.Temperature)}, {"note", text(&k.Note)},
			{"ended", moment(&k.Ended)}, {"failed", yesNo(&k.Failed)}, {"entry", reference(&k.Entry)},
		}
	},
	settle: func(t *transaction, _, k *record.Soak) error {
		var wrong record.Invalid
		if _, err := must(t, &wrong, "job", jobs, k.Job); err != nil {
			return err
		}
		if k.Entry != 0 {
			e, err := entryOf(t.ctx, t, sqlEntry, int64(k.Entry))
			if err != nil && !errors.Is(err, record.ErrNotFound) {
				return err
			}
			if err != nil || e.Job != k.Job {
				wrong = append(wrong, record.Wrong{Field: "entry", Message: fmt.Sprintf("%d is no entry of this job", k.Entry)})
			}
		}
		return asError(wrong)
	},
	about: func(ctx context.Context, q querier, k *record.Soak) (about, error) {
		unit, err := unitOf(ctx, q, k.Job)
		return about{unit: unit, job: k.Job, at: k.Started, title: "soak", body: k.Note}, err
	},
})

var sqlSoaksOfJob = statement(soaks.selects + " WHERE soaks.job = ? ORDER BY soaks.id")

// Soaks lists the soak runs of a job.
func (s *Store) Soaks(ctx context.Context, job record.ID) ([]record.Soak, error) {
	return soaks.all(ctx, s.readers, sqlSoaksOfJob, int64(job))
}

// Soak reads a soak run; the error wraps record.ErrNotFound when there is none.
func (s *Store) Soak(ctx context.Context, id record.ID) (record.Soak, error) {
	return soaks.find(ctx, s.readers, soaks.byID, int64(id))
}

// SaveSoak saves a soak run. Errors are as those of SaveUnit.
func (s *Store) SaveSoak(ctx context.Context, k *record.Soak) error {
	return save(ctx, s, soaks, k)
}
