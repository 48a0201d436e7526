package main

import (
	"context"
	"errors"
	"path/filepath"
	"strings"

	"halfsplit/internal/bench"
	"halfsplit/internal/plain"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// backupCommand makes one archive of everything.
type backupCommand struct {
	recordsFolder
	File string `arg:"" help:"The archive to write; it must not be there yet."`
}

// Run backs up.
func (c *backupCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		if err := w.Backup(ctx, c.File); err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("Everything is in %s.", c.File)
		return p.Err()
	})
}

// restoreCommand puts a backup in place.
type restoreCommand struct {
	recordsFolder
	File  string `arg:"" help:"The archive that halfsplit backup wrote."`
	Check bool   `help:"Only check that the archive is whole."`
}

// Run checks the backup and puts it in place; what was there is kept aside.
func (c *restoreCommand) Run(ctx context.Context, to console) error {
	p := plain.To(to.out)
	if c.Check {
		found, err := store.VerifyBackup(ctx, c.File)
		if err != nil {
			return complaintOf(err)
		}
		for _, f := range found {
			p.Line("%s", f)
		}
		if len(found) > 0 {
			return errors.Join(p.Err(), errBackup)
		}
		p.Line("%s is whole.", c.File)
		return p.Err()
	}
	folder, err := c.folder()
	if err != nil {
		return err
	}
	aside, err := store.Restore(ctx, c.File, folder)
	if err != nil {
		return err
	}
	p.Line("Restored to %s.", folder)
	if aside != "" {
		p.Line("What was there before is kept in %s.", aside)
	}
	return p.Err()
}

// verifyCommand looks whether everything is whole.
type verifyCommand struct {
	recordsFolder
}

// The errors when something is wrong with the records, or with a backup.
var (
	errNotWhole = errors.New("the records are not whole; restore the last backup, or keep a copy of the folder before anything else is tried")
	errBackup   = errors.New("the archive is not whole; take another one")
)

// Run verifies.
func (c *verifyCommand) Run(ctx context.Context, to console) error {
	folder, err := c.folder()
	if err != nil {
		return err
	}
	found, err := store.VerifyFolder(ctx, folder)
	if err != nil {
		return err
	}
	p := plain.To(to.out)
	for _, f := range found {
		p.Line("%s", f)
	}
	if len(found) > 0 {
		return errors.Join(p.Err(), errNotWhole)
	}
	p.Line("Everything is whole.")
	return p.Err()
}

// exportCommand writes everything in the open form.
type exportCommand struct {
	recordsFolder
	File string `arg:"" help:"The archive to write (docs/records.md); it must not be there yet."`
}

// Run exports.
func (c *exportCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		if err := w.Export(ctx, c.File); err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("Exported to %s.", c.File)
		return p.Err()
	})
}

// importCommand reads an export into empty records.
type importCommand struct {
	recordsFolder
	File string `arg:"" help:"An archive that halfsplit export wrote, or a case file to be made a job."`
	Unit string `placeholder:"CODE" help:"For a case file: the unit it belongs to; a new one when not given."`
}

// Run imports.
func (c *importCommand) Run(ctx context.Context, to console) error {
	if ext := strings.ToLower(filepath.Ext(c.File)); ext == ".yaml" || ext == ".yml" {
		return c.importCase(ctx, to)
	}
	if c.Unit != "" {
		return badInput{errors.New("--unit goes with a case file only; an export brings its own units")}
	}
	return c.with(ctx, func(w *workshop) error {
		if err := w.Import(ctx, c.File); err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("Imported from %s.", c.File)
		return p.Err()
	})
}

// importCase makes a job of a case file.
func (c *importCommand) importCase(ctx context.Context, to console) error {
	file, err := bench.ReadCase(c.File)
	if err != nil {
		return err
	}
	return c.with(ctx, func(w *workshop) error {
		var unit record.ID
		if c.Unit != "" {
			u, err := w.UnitByCode(ctx, c.Unit)
			if err != nil {
				return err
			}
			unit = u.ID
		}
		job, err := w.ImportCase(ctx, *file, unit)
		if err != nil {
			return err
		}
		u, err := w.Store.Unit(ctx, job.Unit)
		if err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("Job %d on %s, %s: %s", job.ID, u.Code, u.Name(), job.Title)
		return p.Err()
	})
}
