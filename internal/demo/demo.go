package demo

import (
	"context"
	"fmt"
	"time"

	"halfsplit/examples"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// Fill makes the records of the demo. They must be empty. Now is the evening on
// which the demo is looked at: what has happened happened before it.
func Fill(ctx context.Context, s *store.Store, b *bench.Bench, now time.Time) error {
	f := &filler{ctx: ctx, store: s, bench: b, now: now}
	for _, step := range []struct {
		what string
		do   func() error
	}{
		{"settings", f.settings},
		{"meters", f.meters},
		{"machines", f.machines},
		{"collection", f.collection},
		{"drawer", f.drawer},
		{"photos", f.photos},
		{"traces", f.traces},
	} {
		if err := step.do(); err != nil {
			return fmt.Errorf("demo, %s: %w", step.what, err)
		}
	}
	return nil
}

// filler fills records.
type filler struct {
	ctx   context.Context
	store *store.Store
	bench *bench.Bench
	now   time.Time
	jobs  map[string]*record.Job // by case
}

// settings are those of the workshop.
func (f *filler) settings() error {
	c, err := f.store.Settings(f.ctx)
	if err != nil {
		return err
	}
	c.Workshop, c.Prefix, c.People = "Saltmarsh Sound Archive", "SSA-", []string{"Ines", "Joost", "Maren"}
	c.Mains, c.Frequency, c.Currency, c.Temperature, c.HoursPerDay = 230, 50, "EUR", 17, 1
	return f.store.SaveSettings(f.ctx, &c)
}

// meters are the instruments, some due for calibration.
func (f *filler) meters() error {
	for _, m := range []record.Instrument{
		{Name: "bench meter", Line: "{like: bench 6½-digit multimeter}", Calibrated: "2025-06", Due: "2027-06"},
		{Name: "handheld", Line: "{like: handheld 3½-digit multimeter}", Calibrated: "2023-02", Due: "2025-02", Note: "the one with the taped lid"},
		{Name: "LCR", Line: "{capacitance: 1 % + 2 digits, ohms: 1 % + 3 digits}", Calibrated: "2024-09", Due: "2026-12"},
	} {
		if err := f.store.SaveInstrument(f.ctx, &m); err != nil {
			return err
		}
	}
	return nil
}

// machine is one of the machines with a job.
type machine struct {
	sheet   string // file of its service sheet
	unit    record.Unit
	history []work
}

// work is a job of a machine.
type work struct {
	example  string // the case file, without its ending
	outcome  record.Outcome
	lesson   string
	finished time.Time
	needs    []record.Need
}

// machines takes in the machines and their jobs.
func (f *filler) machines() error {
	f.jobs = map[string]*record.Job{}
	for _, m := range theMachines {
		var unit record.ID
		for i, w := range m.history {
			file, err := caseFile(w.example, m.sheet)
			if err != nil {
				return err
			}
			job, err := f.bench.ImportCase(f.ctx, *file, unit)
			if err != nil {
				return fmt.Errorf("%s: %w", w.example, err)
			}
			unit = job.Unit
			if i == 0 {
				if err := f.describe(unit, m.unit); err != nil {
					return err
				}
			}
			if w.outcome != record.Open {
				job.Outcome, job.Lesson, job.Closed, job.Stage = w.outcome, w.lesson, w.finished, record.HandBack
				if err := f.store.SaveJob(f.ctx, job); err != nil {
					return err
				}
			}
			for _, n := range w.needs {
				n.Job = job.ID
				if err := f.store.SaveNeed(f.ctx, &n); err != nil {
					return err
				}
			}
			f.jobs[w.example] = job
		}
	}
	return nil
}

// describe adds to a unit what its case does not tell.
func (f *filler) describe(id record.ID, more record.Unit) error {
	u, err := f.store.Unit(f.ctx, id)
	if err != nil {
		return err
	}
	u.Place, u.Source, u.Fitted, u.LastOn, u.Owner = more.Place, more.Source, more.Fitted, more.LastOn, more.Owner
	return f.store.SaveUnit(f.ctx, &u)
}

// caseFile reads a case and its sheet from the examples.
func caseFile(name, sheet string) (*bench.CaseFile, error) {
	file := &bench.CaseFile{Name: name + ".case.yaml", SheetName: sheet}
	var err error
	if file.Text, err = examples.Files.ReadFile(file.Name); err != nil {
		return nil, err
	}
	file.SheetText, err = examples.Files.ReadFile(sheet)
	return file, err
}

// collection takes in the rest of the collection.
func (f *filler) collection() error {
	for _, u := range theRest {
		u.Standing = record.Kept
		if err := f.store.SaveUnit(f.ctx, &u); err != nil {
			return err
		}
	}
	return nil
}

// drawer fills the parts drawer.
func (f *filler) drawer() error {
	for _, b := range theDrawer {
		bin := record.Bin{Code: b.code, Place: b.place}
		if err := f.store.SaveBin(f.ctx, &bin); err != nil {
			return err
		}
		for _, k := range b.stock {
			k.Bin = bin.ID
			if err := f.store.SaveStock(f.ctx, &k); err != nil {
				return err
			}
		}
	}
	return nil
}
