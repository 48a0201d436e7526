package bench

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"halfsplit/form"
	"halfsplit/internal/record"
	"halfsplit/logbook"
	"halfsplit/sheet"
)

// CaseFile is a case as files: the case and the sheet that it names.
type CaseFile struct {
	Name      string // of the case file
	Text      []byte
	SheetName string // as the case names it
	SheetText []byte
}

// ExportCase writes a job as a case file with its sheet, every entry in it, also
// those that do not fit the sheet. The error is ErrNoSheet when it has none.
func (b *Bench) ExportCase(ctx context.Context, job record.ID) (*CaseFile, error) {
	c, meters, mains, err := b.gather(ctx, job)
	if err != nil {
		return nil, err
	}
	if c.Sheet == nil {
		return nil, ErrNoSheet
	}
	used := meters[:0:0]
	for _, m := range meters {
		if usesMeter(c, m) {
			used = append(used, m)
		}
	}
	file := &CaseFile{
		Name:      fmt.Sprintf("%s-%d.case.yaml", fileName(c.Unit.Code), c.Job.ID),
		SheetName: fileName(c.Version.Name) + ".sheet.yaml",
		SheetText: []byte(c.Version.Text),
	}
	file.Text = []byte(compose(&c.Unit, &c.Job, file.SheetName, used, c.Log, mains).text.String())
	return file, nil
}

// ReadCase reads a case file and the sheet that it names from beside it.
func ReadCase(path string) (*CaseFile, error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil, err
	}
	c, _, err := logbook.Load(path) // finds the sheet, and every mistake in either
	if err != nil {
		return nil, err
	}
	file := &CaseFile{Name: filepath.Base(path), Text: text, SheetName: filepath.Base(c.Sheet.Text)}
	file.SheetText, err = form.ReadFile(filepath.Join(filepath.Dir(path), c.Sheet.Text))
	return file, err
}

// usesMeter reports whether a job uses a meter.
func usesMeter(c *Casework, m record.Instrument) bool {
	for _, id := range c.Job.Instruments {
		if id == m.ID {
			return true
		}
	}
	for i := range c.Log {
		if c.Log[i].Instrument == m.ID {
			return true
		}
	}
	return false
}

var notInFileNames = regexp.MustCompile(`[^A-Za-z0-9_-]+`)

// fileName makes a text fit to be part of a file's name.
func fileName(text string) string {
	if text = strings.Trim(notInFileNames.ReplaceAllString(text, "-"), "-"); text == "" {
		return "unnamed"
	}
	return text
}

// ImportCase makes a job of a case file: its unit, unless unit names one in
// the records; its sheet as a version; its meters, unless there are some of the
// same names; and every entry. Entries without a time get the time of the
// import. An import that is done again into the same job, because it broke off,
// writes nothing twice: give the job that was begun. Mistakes in the files are
// form.Problems, and then nothing was written.
func (b *Bench) ImportCase(ctx context.Context, file CaseFile, unit record.ID) (*record.Job, error) {
	s, err := sheet.Parse(file.SheetName, file.SheetText)
	if err != nil {
		return nil, err
	}
	c, err := logbook.Parse(file.Name, file.Text, s)
	if err != nil {
		return nil, err
	}
	now := b.now()
	u, err := b.importUnit(ctx, c, s, unit)
	if err != nil {
		return nil, err
	}
	name := sheetName(file.SheetName)
	version := &record.Sheet{Name: name, Title: title(s), Text: string(file.SheetText)}
	if err := b.records.SaveSheet(ctx, version); err != nil {
		return nil, err
	}
	if u.Sheet == "" {
		u.Sheet = name
	}
	if err := b.records.SaveUnit(ctx, u); err != nil {
		return nil, err
	}
	meters, err := b.importMeters(ctx, c)
	if err != nil {
		return nil, err
	}
	job := &record.Job{Unit: u.ID, Title: jobTitle(c), Stage: record.Intake, Sheet: version.ID, DoneWhen: c.Proof.Done, Opened: opened(c, now)}
	for _, m := range c.Meters {
		job.Instruments = append(job.Instruments, meters[m.Name.Text])
	}
	if q := c.Proof.Sure; q != nil {
		job.Sure = q.Value
	}
	if q := c.Proof.Right; q != nil {
		job.RepairRight = q.Value
	}
	job.Stage = reached(c)
	if err := b.records.SaveJob(ctx, job); err != nil {
		return nil, err
	}
	return job, b.importLog(ctx, job, c, s, meters, file, now)
}

// importUnit finds or makes the unit of a case; it is not saved yet.
func (b *Bench) importUnit(ctx context.Context, c *logbook.Case, s *sheet.Sheet, id record.ID) (*record.Unit, error) {
	if id != 0 {
		u, err := b.records.Unit(ctx, id)
		return &u, err
	}
	u := &record.Unit{Maker: s.Model.Maker, Model: s.Model.Name, Serial: c.Unit.Serial, Year: c.Unit.Year, Owner: c.Unit.Owner,
		History: c.Unit.History, Note: c.Unit.Note, Standing: record.Kept}
	if c.Unit.Model != "" && u.Name() != c.Unit.Model {
		u.Maker, u.Model = "", c.Unit.Model
	}
	if u.Model == "" {
		u.Model = "unit without a name"
	}
	if u.Year == 0 {
		u.Year = s.Model.Year
	}
	if q := c.Unit.Mains; q != nil {
		u.Mains = q.Value
	}
	return u, u.Check()
}

// importMeters finds or makes the meters of a case, by name.
func (b *Bench) importMeters(ctx context.Context, c *logbook.Case) (map[string]record.ID, error) {
	known, err := b.records.Instruments(ctx)
	if err != nil {
		return nil, err
	}
	ids := map[string]record.ID{}
	for _, m := range known {
		ids[m.Name] = m.ID
	}
	for i := range c.Meters {
		m := c.Meters[i]
		if ids[m.Name.Text] != 0 {
			continue
		}
		made := &record.Instrument{Name: m.Name.Text, Calibrated: record.Day(m.Calibrated)}
		if _, ok := made.Calibrated.Begins(); !ok {
			made.Calibrated, made.Note = "", m.Calibrated
		}
		m.Name, m.Calibrated = form.Word{Text: "m"}, "" // they have fields of their own
		if rest, ok := strings.CutPrefix(form.Line(&m), "{meter: m, "); ok {
			made.Line = "{" + rest
		}
		if err := b.records.SaveInstrument(ctx, made); err != nil {
			return nil, err
		}
		ids[made.Name] = made.ID
	}
	return ids, nil
}

// importLog writes every entry of a case.
func (b *Bench) importLog(ctx context.Context, job *record.Job, c *logbook.Case, s *sheet.Sheet, meters map[string]record.ID, file CaseFile, now time.Time) error {
	sum := sha256.Sum256(file.Text)
	named := map[string]record.ID{}
	for i := range c.Log {
		e := c.Log[i]
		entry := &record.Entry{Job: job.ID, Key: fmt.Sprintf("case %s %d %d", hex.EncodeToString(sum[:8]), job.ID, i+1),
			At: when(&e, now), Verb: e.Verb(), Who: e.Who, Corrects: named[e.Corrects.Text], Instrument: meters[e.With.Text]}
		if e.Took != nil {
			entry.Seconds = e.Took.Value
		}
		entry.Swaps = swaps(&e, s)
		name := e.Name.Text
		if _, ok := moment(e.When); ok {
			e.When = ""
		}
		e.Who, e.Took, e.Name, e.Corrects = "", nil, form.Word{}, form.Word{}
		entry.Line = e.Line()
		if err := b.records.AddEntry(ctx, entry); err != nil {
			return fmt.Errorf("%s:%d: %w", file.Name, c.Log[i].Place.Line, err)
		}
		if name != "" {
			named[name] = entry.ID
		}
	}
	return nil
}

// Swaps are the parts that an entry changed, with their kinds from the sheet;
// nil when it changed none. s may be nil.
func Swaps(e *logbook.Entry, s *sheet.Sheet) []record.Swap { return swaps(e, s) }

func swaps(e *logbook.Entry, s *sheet.Sheet) []record.Swap {
	var list []record.Swap
	for _, w := range e.Swap {
		one := record.Swap{Part: w.Text, OutMarking: e.Old, InMarking: e.New, Condition: record.ConditionUnknown}
		if s != nil {
			one.Kind = s.KindOf(w.Text)
			if p := s.Part(w.Text); p != nil {
				one.OutFamily, one.OutBatch = p.Type, p.Date
			}
		}
		list = append(list, one)
	}
	return list
}

// when is the time of an entry, now when it has none that can be read.
func when(e *logbook.Entry, now time.Time) time.Time {
	if t, ok := moment(e.When); ok {
		return t
	}
	return now
}

// moment reads a time as people write it.
func moment(text string) (time.Time, bool) {
	for _, layout := range []string{timeForm, "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02"} {
		if t, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// opened is the time of the first entry that has one.
func opened(c *logbook.Case, now time.Time) time.Time {
	for i := range c.Log {
		if t, ok := moment(c.Log[i].When); ok {
			return t
		}
	}
	return now
}

// jobTitle is the first symptom.
func jobTitle(c *logbook.Case) string {
	for i := range c.Log {
		if text := strings.Join(strings.Fields(c.Log[i].Symptom), " "); text != "" {
			if r := []rune(text); len(r) > record.LongestLine {
				text = string(r[:record.LongestLine])
			}
			return text
		}
	}
	return "imported case"
}

// reached is the stage to which the entries of a case have brought it.
func reached(c *logbook.Case) record.Stage {
	stage := record.Intake
	for i := range c.Log {
		switch e := &c.Log[i]; e.Verb() {
		case "safe", "accept":
			stage = later(stage, record.MakeSafe)
		case "measure", "check", "memory":
			stage = later(stage, record.Measure)
		case "test", "chill", "heat", "press", "piggyback":
			stage = later(stage, record.Suspects)
		case "swap", "mend":
			stage = later(stage, record.Repair)
		case "soak", "cold starts":
			if stage == record.Repair {
				stage = record.Prove
			}
		}
	}
	return stage
}

// later is the later of two stages of the flow.
func later(a, b record.Stage) record.Stage {
	for _, s := range record.Stages() {
		switch s {
		case a:
			return b
		case b:
			return a
		}
	}
	return a
}

// sheetName is the name of a sheet by that of its file.
func sheetName(file string) string {
	name := filepath.Base(file)
	for _, end := range []string{".yaml", ".yml", ".sheet"} {
		name = strings.TrimSuffix(name, end)
	}
	return fileName(name)
}

// title is what a sheet is about.
func title(s *sheet.Sheet) string {
	return strings.TrimSpace(s.Model.Maker + " " + s.Model.Name)
}

// IsBadInput reports whether an error is one of what somebody typed or gave.
func IsBadInput(err error) bool {
	var problems form.Problems
	var invalid record.Invalid
	var wrong Wrong
	return errors.As(err, &problems) || errors.As(err, &invalid) || errors.As(err, &wrong)
}
