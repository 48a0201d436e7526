package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/plain"
	"halfsplit/internal/record"
	"halfsplit/internal/report"
	"halfsplit/sheet"
)

// showCommand shows a unit or a job.
type showCommand struct {
	recordsFolder
	What     string `arg:"" help:"The code of a unit, such as SSA-0017, or the number of a job, such as 12."`
	Findings bool   `help:"For a job: what follows from it, as halfsplit case prints it."`
	JSON     bool   `name:"json" help:"Print for a program, as JSON."`
}

// Run shows.
func (c *showCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		u, err := w.UnitByCode(ctx, c.What)
		if err == nil {
			return c.unit(ctx, w, to, &u)
		}
		if !errors.Is(err, record.ErrNotFound) {
			return err
		}
		job, err := jobNumber(c.What)
		if err != nil {
			return badInput{fmt.Errorf("there is no unit with the code %q, and it is no number of a job; see halfsplit list", c.What)}
		}
		if c.Findings {
			return c.findings(ctx, w, to, job)
		}
		return c.job(ctx, w, to, job)
	})
}

// unit shows a unit with its jobs.
func (c *showCommand) unit(ctx context.Context, w *workshop, to console, u *record.Unit) error {
	jobs, err := w.Jobs(ctx, record.JobFilter{Unit: u.ID, Page: record.Page{Limit: 500}})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(to, map[string]any{"unit": u, "jobs": jobs.Items})
	}
	p := plain.To(to.out)
	p.Line("%s  %s", u.Code, u.Name())
	facts(p, "serial", u.Serial, "made", year(u.Year), "standing", string(u.Standing), "owner", u.Owner, "came from", u.Source, "place", u.Place,
		"sheet", u.Sheet, "last on", string(u.LastOn), "history", u.History, "note", u.Note)
	for _, f := range u.Fitted {
		facts(p, "fitted", strings.Join(strings.Fields(strings.Join([]string{f.Name, f.Marking, f.DateCode, string(f.Original), string(f.Since), f.Note}, " ")), " "))
	}
	for _, j := range jobs.Items {
		p.Line("")
		p.Line("job %d  %s (%s)", j.ID, j.Title, standing(&j.Job))
	}
	return p.Err()
}

// standing is where a job stands.
func standing(j *record.Job) string {
	if j.IsOpen() {
		return string(j.Stage)
	}
	return string(j.Outcome)
}

func year(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// facts prints pairs of a name and a value, those without a value left out.
func facts(p *plain.Printer, pairs ...string) {
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			p.Line("    %-10s %s", pairs[i], pairs[i+1])
		}
	}
}

// job shows a job with its logbook.
func (c *showCommand) job(ctx context.Context, w *workshop, to console, id record.ID) error {
	j, err := w.Store.Job(ctx, id)
	if err != nil {
		return err
	}
	u, err := w.Store.Unit(ctx, j.Unit)
	if err != nil {
		return err
	}
	log, err := w.Log(ctx, id)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(to, map[string]any{"unit": u, "job": j, "log": log})
	}
	p := plain.To(to.out)
	p.Line("job %d  %s %s: %s", j.ID, u.Code, u.Name(), j.Title)
	facts(p, "stands at", standing(&j), "complaint", j.Complaint, "done when", j.DoneWhen, "reason", j.Reason, "lesson", j.Lesson)
	for i := range log {
		e := &log[i]
		line := fmt.Sprintf("%-4s %s  %s", e.Name(), e.At.Format("2006-01-02 15:04"), bench.Said(e))
		if e.Who != "" {
			line += "  – " + e.Who
		}
		if e.CorrectedBy != 0 {
			line += "  [corrected]"
		}
		p.Line("%s", line)
	}
	return p.Err()
}

// findings prints what follows from a job.
func (c *showCommand) findings(ctx context.Context, w *workshop, to console, id record.ID) error {
	r, err := w.Reason(ctx, id)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(to, r.Report)
	}
	if err := report.Text(to.out, r.Report); err != nil {
		return err
	}
	p := plain.To(to.out)
	for _, u := range r.Unfit {
		p.Line("Entry %d is not reasoned with: %s", u.Entry, u.Why)
	}
	return p.Err()
}

// unitCommands add units and change them.
type unitCommands struct {
	Add    unitAddCommand    `cmd:"" help:"Take a unit into the collection."`
	Change unitChangeCommand `cmd:"" help:"Change what is known of a unit."`
}

// unitFacts are what may be said of a unit; nil leaves it as it is.
type unitFacts struct {
	Maker    *string  `placeholder:"NAME" help:"Maker."`
	Model    *string  `placeholder:"NAME" help:"Model."`
	Serial   *string  `placeholder:"NUMBER" help:"Serial number."`
	Year     *int     `placeholder:"YEAR" help:"Year of make."`
	Owner    *string  `placeholder:"NAME" help:"Whose it is."`
	Source   *string  `placeholder:"TEXT" help:"Where it came from."`
	Place    *string  `placeholder:"TEXT" help:"Where it stands."`
	Mains    *float64 `placeholder:"VOLTS" help:"The mains it is run on."`
	LastOn   *string  `placeholder:"DATE" help:"When it was last on."`
	History  *string  `placeholder:"TEXT" help:"What is known of earlier repairs, storage, use."`
	Note     *string  `placeholder:"TEXT" help:"Anything else."`
	Sheet    *string  `placeholder:"NAME" help:"The service sheet in the records that describes it."`
	Standing *string  `placeholder:"WORD" help:"kept, passed on, donor or gone."`
}

// set puts what was said into a unit.
func (f *unitFacts) set(u *record.Unit) {
	for _, s := range []struct {
		from *string
		to   *string
	}{{f.Maker, &u.Maker}, {f.Model, &u.Model}, {f.Serial, &u.Serial}, {f.Owner, &u.Owner}, {f.Source, &u.Source}, {f.Place, &u.Place},
		{f.History, &u.History}, {f.Note, &u.Note}, {f.Sheet, &u.Sheet}} {
		if s.from != nil {
			*s.to = *s.from
		}
	}
	if f.Year != nil {
		u.Year = *f.Year
	}
	if f.Mains != nil {
		u.Mains = *f.Mains
	}
	if f.LastOn != nil {
		u.LastOn = record.Day(*f.LastOn)
	}
	if f.Standing != nil {
		u.Standing = record.Standing(*f.Standing)
	}
}

type unitAddCommand struct {
	recordsFolder
	Code string `placeholder:"CODE" help:"What its label says; the next free one when not given."`
	unitFacts
}

// Run adds a unit.
func (c *unitAddCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		u := &record.Unit{Code: c.Code, Standing: record.Kept}
		c.set(u)
		if err := w.SaveUnit(ctx, u); err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("%s  %s", u.Code, u.Name())
		return p.Err()
	})
}

type unitChangeCommand struct {
	recordsFolder
	Code string `arg:"" help:"The code of the unit."`
	unitFacts
}

// Run changes a unit.
func (c *unitChangeCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		u, err := w.UnitByCode(ctx, c.Code)
		if err != nil {
			return err
		}
		c.set(&u)
		return w.SaveUnit(ctx, &u)
	})
}

// jobCommands do what is done with jobs beside their logbooks.
type jobCommands struct {
	Open   jobOpenCommand   `cmd:"" help:"Open a job on a unit."`
	Stage  jobStageCommand  `cmd:"" help:"Say where in the flow a job is."`
	Sheet  jobSheetCommand  `cmd:"" help:"Reason over a job with a service sheet, kept with the records from then on."`
	Close  jobCloseCommand  `cmd:"" help:"Close a job."`
	Export jobExportCommand `cmd:"" help:"Write a job as a case file with its sheet."`
}

type jobOpenCommand struct {
	recordsFolder
	Unit      string `arg:"" help:"The code of the unit."`
	Title     string `arg:"" help:"What is wrong, in a few words."`
	Complaint string `placeholder:"TEXT" help:"What the owner says."`
	DoneWhen  string `placeholder:"TEXT" help:"What will count as done."`
}

// Run opens a job.
func (c *jobOpenCommand) Run(ctx context.Context, to console) error {
	return c.with(ctx, func(w *workshop) error {
		u, err := w.UnitByCode(ctx, c.Unit)
		if err != nil {
			return err
		}
		j := &record.Job{Unit: u.ID, Title: c.Title, Complaint: c.Complaint, DoneWhen: c.DoneWhen, Stage: record.Intake, Opened: time.Now()}
		if u.Sheet != "" {
			s, err := w.SheetNamed(ctx, u.Sheet)
			if err != nil {
				return err
			}
			j.Sheet = s.ID
		}
		if err := w.SaveJob(ctx, j); err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("Job %d on %s, %s: %s", j.ID, u.Code, u.Name(), j.Title)
		return p.Err()
	})
}

// change changes a job.
func (r recordsFolder) change(ctx context.Context, text string, how func(*workshop, *record.Job) error) error {
	id, err := jobNumber(text)
	if err != nil {
		return err
	}
	return r.with(ctx, func(w *workshop) error {
		j, err := w.Store.Job(ctx, id)
		if err != nil {
			return err
		}
		if err := how(w, &j); err != nil {
			return err
		}
		return w.SaveJob(ctx, &j)
	})
}

type jobStageCommand struct {
	recordsFolder
	Job   string `arg:"" help:"The number of the job."`
	Stage string `arg:"" enum:"intake,make safe,measure,suspects,repair,prove,hand back" help:"One of: intake, make safe, measure, suspects, repair, prove, hand back."`
}

// Run says where a job is.
func (c *jobStageCommand) Run(ctx context.Context) error {
	return c.change(ctx, c.Job, func(w *workshop, j *record.Job) error {
		return w.MoveTo(ctx, j, record.Stage(c.Stage))
	})
}

type jobSheetCommand struct {
	recordsFolder
	Job  string `arg:"" help:"The number of the job."`
	File string `arg:"" help:"The service sheet."`
}

// Run keeps the sheet and gives it to the job and to its unit.
func (c *jobSheetCommand) Run(ctx context.Context) error {
	text, err := os.ReadFile(c.File)
	if err != nil {
		return err
	}
	s, err := sheet.Parse(filepath.Base(c.File), text)
	if err != nil {
		return err
	}
	return c.change(ctx, c.Job, func(w *workshop, j *record.Job) error {
		return w.GiveSheet(ctx, j, filepath.Base(c.File), text, s)
	})
}

type jobCloseCommand struct {
	recordsFolder
	Job     string `arg:"" help:"The number of the job."`
	Outcome string `arg:"" enum:"repaired,no fault found,beyond repair,not worth it,handed back unrepaired" help:"One of: repaired, no fault found, beyond repair, not worth it, handed back unrepaired."`
	Reason  string `placeholder:"TEXT" help:"Why; needed for beyond repair and not worth it."`
	Lesson  string `placeholder:"TEXT" help:"What makes the next one easier."`
}

// Run closes a job.
func (c *jobCloseCommand) Run(ctx context.Context) error {
	return c.change(ctx, c.Job, func(w *workshop, j *record.Job) error {
		if !j.IsOpen() {
			return badInput{fmt.Errorf("job %d is closed already: %s", j.ID, j.Outcome)}
		}
		j.Outcome, j.Reason, j.Lesson, j.Closed, j.Stage = record.Outcome(c.Outcome), c.Reason, c.Lesson, time.Now(), record.HandBack
		return nil
	})
}

type jobExportCommand struct {
	recordsFolder
	Job    string `arg:"" help:"The number of the job."`
	Folder string `arg:"" type:"existingdir" default:"." help:"The folder to write the case and its sheet to."`
}

// Run writes the case and its sheet.
func (c *jobExportCommand) Run(ctx context.Context, to console) error {
	id, err := jobNumber(c.Job)
	if err != nil {
		return err
	}
	return c.with(ctx, func(w *workshop) error {
		file, err := w.ExportCase(ctx, id)
		if err != nil {
			return err
		}
		p := plain.To(to.out)
		for name, text := range map[string][]byte{file.Name: file.Text, file.SheetName: file.SheetText} {
			path := filepath.Join(c.Folder, name)
			if old, err := os.ReadFile(path); err == nil && string(old) != string(text) {
				return badInput{fmt.Errorf("%s is there already and holds something else", path)}
			}
			if err := os.WriteFile(path, text, 0o644); err != nil {
				return err
			}
		}
		p.Line("%s", filepath.Join(c.Folder, file.Name))
		return p.Err()
	})
}

// verdictsOf prints what an entry was judged.
func verdictsOf(p *plain.Printer, r *findings.Report, line int) {
	if r == nil {
		return
	}
	for _, v := range r.Verdicts {
		if v.Line == line {
			p.Line("%s: %s is %s", v.At, v.Reading, v.Word)
		}
	}
	for _, v := range r.Capacitors {
		if v.Line == line {
			p.Line("%s", strings.Join(append([]string{v.Condition}, v.Reasons...), "; "))
		}
	}
	for _, v := range r.Unused {
		if v.Line == line {
			p.Line("Not reasoned with: %s", v.Why)
		}
	}
}
