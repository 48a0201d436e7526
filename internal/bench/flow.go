package bench

import (
	"context"
	"fmt"
	"slices"

	"halfsplit/internal/record"
	"halfsplit/sheet"
)

// MoveTo moves a job to a stage of the flow; the job is not saved yet. From make
// safe onwards a job whose unit can kill is held up until each such hazard is
// answered, or accepted with a reason; then the error is Wrong and says which.
func (b *Bench) MoveTo(ctx context.Context, j *record.Job, to record.Stage) error {
	stages := record.Stages()
	if !slices.Contains(stages, to) {
		return Wrong{fmt.Sprintf("%q is no stage of a job", string(to))}
	}
	if slices.Index(stages, to) > slices.Index(stages, record.MakeSafe) {
		held, err := b.Held(ctx, j.ID)
		if err != nil {
			return err
		}
		if len(held) > 0 {
			return held
		}
	}
	j.Stage = to
	return nil
}

// Held says which hazards hold a job up before the unit may be powered, nil when
// none does. A job without a sheet is not held up: nothing is known of it.
func (b *Bench) Held(ctx context.Context, job record.ID) (Wrong, error) {
	c, meters, mains, err := b.gather(ctx, job)
	if err != nil || c.Sheet == nil {
		return nil, err
	}
	if err := c.read(meters, mains); err != nil {
		return nil, err
	}
	answered := map[string]bool{}
	for i := range c.Case.Log {
		if e := &c.Case.Log[i]; !e.Corrected() {
			answered[e.Safe.Text] = true
			answered[e.Accept.Text] = true
		}
	}
	var held Wrong
	for _, h := range c.Case.Hazards(c.Sheet) {
		if h.Kind.Kills() && !answered[h.Name] {
			held = append(held, fmt.Sprintf("the hazard %q (%s) is not answered; make it safe and say so, or accept it with the reason", h.Name, h.Kind))
		}
	}
	return held, nil
}

// GiveSheet keeps a sheet in the records and gives it to a job, and to its unit
// when that has none. The job is not saved yet. The sheet was read from text.
func (b *Bench) GiveSheet(ctx context.Context, j *record.Job, file string, text []byte, s *sheet.Sheet) error {
	version := &record.Sheet{Name: sheetName(file), Title: title(s), Text: string(text)}
	if err := b.records.SaveSheet(ctx, version); err != nil {
		return err
	}
	j.Sheet = version.ID
	u, err := b.records.Unit(ctx, j.Unit)
	if err != nil || u.Sheet != "" {
		return err
	}
	u.Sheet = version.Name
	return b.records.SaveUnit(ctx, &u)
}
