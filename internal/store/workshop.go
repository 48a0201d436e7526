package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"halfsplit/internal/record"
)

var sheets = prepare(table[record.Sheet]{
	kind: record.KindSheet, name: "sheets",
	number: func(h *record.Sheet) *record.ID { return &h.ID },
	check:  (*record.Sheet).Check,
	columns: func(h *record.Sheet) []column {
		return []column{
			{"name", text(&h.Name)}, {"version", integer(&h.Version)}, {"title", text(&h.Title)}, {"text", text(&h.Text)},
			{"note", text(&h.Note)}, {"created", moment(&h.Created)},
		}
	},
	// Only the last version is found by its words.
	after: func(t *transaction, _, h *record.Sheet) error {
		var before record.ID
		err := one(t.ctx, t, sqlSheetBefore, []any{h.Name, h.Version - 1}, integer(&before))
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		return t.dropWords(record.KindSheet, before)
	},
	about: func(_ context.Context, _ querier, h *record.Sheet) (about, error) {
		return about{at: h.Created, title: h.Name + " " + h.Title, body: join(h.Note, h.Text)}, nil
	},
})

var (
	sqlSheets        = statement("SELECT id, name, version, title, note, created FROM sheets WHERE version = (SELECT max(other.version) FROM sheets AS other WHERE other.name = sheets.name) ORDER BY name")
	sqlSheetBefore   = statement("SELECT id FROM sheets WHERE name = ? AND version = ?")
	sqlSheetNamed    = statement(sheets.selects + " WHERE sheets.name = ? ORDER BY sheets.version DESC LIMIT 1")
	sqlSheetVersions = statement("SELECT id, name, version, title, note, created FROM sheets WHERE name = ? ORDER BY version DESC")
)

// Sheets lists the last version of each sheet, by name, without the text.
func (s *Store) Sheets(ctx context.Context) ([]record.Sheet, error) {
	return sheetHeads(ctx, s.readers, sqlSheets)
}

// SheetVersions lists the versions of a sheet, the last one first, without the
// text.
func (s *Store) SheetVersions(ctx context.Context, name string) ([]record.Sheet, error) {
	return sheetHeads(ctx, s.readers, sqlSheetVersions, name)
}

func sheetHeads(ctx context.Context, q querier, statement string, arguments ...any) ([]record.Sheet, error) {
	var list []record.Sheet
	err := each(ctx, q, statement, arguments, func(scan func(...any) error) error {
		var h record.Sheet
		err := scan(integer(&h.ID), text(&h.Name), integer(&h.Version), text(&h.Title), text(&h.Note), moment(&h.Created))
		list = append(list, h)
		return err
	})
	return list, explain(err)
}

// Sheet reads a version of a sheet; the error wraps record.ErrNotFound when
// there is none.
func (s *Store) Sheet(ctx context.Context, id record.ID) (record.Sheet, error) {
	return sheets.find(ctx, s.readers, sheets.byID, int64(id))
}

// SheetNamed reads the last version of a sheet; the error wraps
// record.ErrNotFound when there is none.
func (s *Store) SheetNamed(ctx context.Context, name string) (record.Sheet, error) {
	return sheets.find(ctx, s.readers, sqlSheetNamed, name)
}

// SaveSheet keeps the text of a sheet as its next version, and sets ID, Version
// and Created. The text of the last version is not kept again: then that version
// is read into h.
func (s *Store) SaveSheet(ctx context.Context, h *record.Sheet) error {
	kept := *h
	err := s.write(ctx, func(t *transaction) error {
		last, err := sheets.find(t.ctx, t, sqlSheetNamed, kept.Name)
		switch {
		case err == nil && last.Text == kept.Text:
			kept = last
			return nil
		case err != nil && !errors.Is(err, record.ErrNotFound):
			return err
		}
		kept.ID, kept.Version, kept.Created = 0, last.Version+1, t.now
		return sheets.save(t, &kept)
	})
	if err == nil {
		*h = kept
	}
	return err
}

var instruments = prepare(table[record.Instrument]{
	kind: record.KindInstrument, name: "instruments",
	number:   func(i *record.Instrument) *record.ID { return &i.ID },
	revision: func(i *record.Instrument) *int { return &i.Revision },
	check:    (*record.Instrument).Check,
	columns: func(i *record.Instrument) []column {
		return []column{
			{"name", text(&i.Name)}, {"line", text(&i.Line)}, {"calibrated", text(&i.Calibrated)}, {"due", text(&i.Due)},
			{"address", text(&i.Address)}, {"note", text(&i.Note)},
		}
	},
	settle: func(t *transaction, _, i *record.Instrument) error {
		return alone(t, sqlInstrumentNamed, i.Name, i.ID, "name", "instrument")
	},
	about: func(_ context.Context, _ querier, i *record.Instrument) (about, error) {
		return about{title: i.Name, body: join(i.Line, i.Address, i.Note)}, nil
	},
})

var (
	sqlInstrumentNamed = statement("SELECT id FROM instruments WHERE name = ?")
	sqlInstruments     = statement(instruments.selects + " ORDER BY instruments.name")
	sqlInstrumentUsed  = statement("SELECT (SELECT count(*) FROM entries WHERE instrument = ?) + (SELECT count(*) FROM job_instruments WHERE instrument = ?)")
)

// alone finds out whether a name is already that of another record.
func alone(t *transaction, statement, name string, id record.ID, field, what string) error {
	var other record.ID
	err := one(t.ctx, t, statement, []any{name}, integer(&other))
	if err == nil && other != id {
		return record.Invalid{{Field: field, Message: fmt.Sprintf("%q is the %s of another %s (number %d); each has its own", name, field, what, other)}}
	}
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	return err
}

// unused finds out whether nothing refers to a record; the statement counts, and
// takes its number twice.
func unused(t *transaction, statement string, id record.ID, field, advice string) error {
	var uses int
	if err := one(t.ctx, t, statement, []any{int64(id), int64(id)}, &uses); err != nil {
		return err
	}
	if uses > 0 {
		return record.Invalid{{Field: field, Message: fmt.Sprintf("is named in %d other records, so it stays; %s", uses, advice)}}
	}
	return nil
}

// Instruments lists the instruments by name.
func (s *Store) Instruments(ctx context.Context) ([]record.Instrument, error) {
	return instruments.all(ctx, s.readers, sqlInstruments)
}

// Instrument reads an instrument; the error wraps record.ErrNotFound when there
// is none.
func (s *Store) Instrument(ctx context.Context, id record.ID) (record.Instrument, error) {
	return instruments.find(ctx, s.readers, instruments.byID, int64(id))
}

// SaveInstrument saves an instrument. Errors are as those of SaveUnit.
func (s *Store) SaveInstrument(ctx context.Context, i *record.Instrument) error {
	return save(ctx, s, instruments, i)
}

// RemoveInstrument takes an instrument out; one that was used in an entry or
// a job stays, and the error is record.Invalid.
func (s *Store) RemoveInstrument(ctx context.Context, id record.ID) error {
	return s.write(ctx, func(t *transaction) error {
		if err := unused(t, sqlInstrumentUsed, id, "instrument", "note that it is gone"); err != nil {
			return err
		}
		return instruments.remove(t, id)
	})
}

var devices = prepare(table[record.Device]{
	kind: record.KindDevice, name: "devices",
	number:   func(d *record.Device) *record.ID { return &d.ID },
	revision: func(d *record.Device) *int { return &d.Revision },
	sealed: func(d *record.Device) any {
		return struct {
			record.Device
			Secret record.Hash `json:"token"`
		}{*d, d.Token}
	},
	columns: func(d *record.Device) []column {
		return []column{{"name", text(&d.Name)}, {"token", text(&d.Token)}, {"created", moment(&d.Created)}, {"seen", moment(&d.Seen)}, {"revoked", moment(&d.Revoked)}}
	},
	settle: func(t *transaction, old, d *record.Device) error {
		if !d.Token.Valid() {
			return record.Invalid{{Field: "token", Message: "is not the SHA-256 of a token"}}
		}
		if err := alone(t, sqlTokenOwner, string(d.Token), d.ID, "token", "device"); err != nil {
			return err
		}
		d.Created = t.now
		if old != nil {
			d.Created = old.Created
		}
		return nil
	},
})

var (
	sqlTokenOwner    = statement("SELECT id FROM devices WHERE token = ?")
	sqlDevices       = statement(devices.selects + " ORDER BY devices.id")
	sqlDeviceByToken = statement(devices.selects + " WHERE devices.token = ?")
)

// Devices lists the devices that were ever let in.
func (s *Store) Devices(ctx context.Context) ([]record.Device, error) {
	return devices.all(ctx, s.readers, sqlDevices)
}

// DeviceByToken reads the device with a token, given its SHA-256; also one that
// was revoked, which Revoked tells. The error wraps record.ErrNotFound when there
// is none.
func (s *Store) DeviceByToken(ctx context.Context, token record.Hash) (record.Device, error) {
	d, err := devices.find(ctx, s.readers, sqlDeviceByToken, string(token))
	if errors.Is(err, record.ErrNotFound) {
		err = fmt.Errorf("device with this token: %w", record.ErrNotFound)
	}
	return d, err
}

// SaveDevice saves a device. Errors are as those of SaveUnit.
func (s *Store) SaveDevice(ctx context.Context, d *record.Device) error {
	return save(ctx, s, devices, d)
}

// keptSettings are the settings as they stand in a table, with a number.
type keptSettings struct {
	ID record.ID
	record.Settings
}

var settings = prepare(table[keptSettings]{
	kind: record.KindSettings, name: "settings",
	number:   func(c *keptSettings) *record.ID { return &c.ID },
	revision: func(c *keptSettings) *int { return &c.Revision },
	check:    func(c *keptSettings) error { return c.Check() },
	plain:    func(c *keptSettings) any { return &c.Settings },
	columns: func(c *keptSettings) []column {
		return []column{
			{"workshop", text(&c.Workshop)}, {"prefix", text(&c.Prefix)}, {"mains", real(&c.Mains)}, {"frequency", real(&c.Frequency)},
			{"currency", text(&c.Currency)}, {"temperature", real(&c.Temperature)}, {"hours_per_day", real(&c.HoursPerDay)},
			{"people", list(&c.People)}, {"caution", text(&c.Caution)},
		}
	},
})

// currentSettings reads the settings; those of new records have revision 0.
func currentSettings(ctx context.Context, q querier) (record.Settings, error) {
	c, err := settings.find(ctx, q, settings.byID, int64(1))
	if errors.Is(err, record.ErrNotFound) {
		return record.DefaultSettings(), nil
	}
	return c.Settings, err
}

// Settings reads the settings of the workshop; those of record.DefaultSettings,
// with revision 0, when none were saved.
func (s *Store) Settings(ctx context.Context) (record.Settings, error) {
	return currentSettings(ctx, s.readers)
}

// SaveSettings saves the settings. Errors are as those of SaveUnit.
func (s *Store) SaveSettings(ctx context.Context, c *record.Settings) error {
	kept := keptSettings{Settings: *c}
	err := s.write(ctx, func(t *transaction) error {
		now, err := currentSettings(t.ctx, t)
		if err != nil {
			return err
		}
		if now.Revision != c.Revision {
			return &record.Stale{Kind: record.KindSettings, ID: 1, Seen: c.Revision, Now: now.Revision}
		}
		if now.Revision > 0 {
			kept.ID = 1
		}
		return settings.save(t, &kept)
	})
	if err == nil {
		*c = kept.Settings
	}
	return err
}

var reports = prepare(table[record.Report]{
	kind: record.KindReport, name: "reports",
	number: func(r *record.Report) *record.ID { return &r.ID },
	columns: func(r *record.Report) []column {
		return []column{{"bench", text(&r.Bench)}, {"text", text(&r.Text)}, {"taken", moment(&r.Taken)}}
	},
	settle: func(t *transaction, old, r *record.Report) error {
		if r.Bench == "" {
			return record.Invalid{{Field: "bench", Message: "must say which bench learned it"}}
		}
		if len(r.Text) > record.LongestSheet {
			return record.Invalid{{Field: "text", Message: fmt.Sprintf("has %d bytes; it may have %d", len(r.Text), record.LongestSheet)}}
		}
		if r.Taken.IsZero() {
			r.Taken = t.now
		}
		return nil
	},
})

var (
	sqlReports  = statement(reports.selects + " ORDER BY reports.bench")
	sqlReportOf = statement(reports.selects + " WHERE reports.bench = ?")
)

// Reports lists what other benches have learned, the last report of each.
func (s *Store) Reports(ctx context.Context) ([]record.Report, error) {
	return reports.all(ctx, s.readers, sqlReports)
}

// SaveReport keeps what another bench has learned, in place of its last report;
// it sets ID, and Taken when that is empty.
func (s *Store) SaveReport(ctx context.Context, r *record.Report) error {
	kept := *r
	err := s.write(ctx, func(t *transaction) error {
		last, err := reports.find(t.ctx, t, sqlReportOf, kept.Bench)
		if err != nil && !errors.Is(err, record.ErrNotFound) {
			return err
		}
		kept.ID = last.ID
		return reports.save(t, &kept)
	})
	if err == nil {
		*r = kept
	}
	return err
}

// begin gives new records their identity.
func (s *Store) begin(ctx context.Context) (string, error) {
	identity := ""
	err := s.write(ctx, func(t *transaction) error {
		err := one(t.ctx, t, sqlIdentity, nil, &identity)
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		identity = randomName()
		return t.identify(identity)
	})
	return identity, err
}
