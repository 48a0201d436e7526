package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/plain"
	"halfsplit/internal/record"
	"halfsplit/quantity"
)

// inkFlags go with every entry that is written.
type inkFlags struct {
	recordsFolder
	Who      string `placeholder:"NAME" help:"Who did it."`
	At       string `placeholder:"TIME" help:"When, as in 2026-03-02 10:40; now when not given."`
	Took     string `placeholder:"TIME" help:"Time spent, as in 20min."`
	Corrects string `placeholder:"ENTRY" help:"The entry of the job that this one replaces, as in e3; it is kept, but no longer counts."`
	Cost     string `placeholder:"AMOUNT" help:"Money spent, as in 4.20."`
}

// write writes an entry and prints what it was judged.
func (f *inkFlags) write(ctx context.Context, to console, job, line string, swaps []record.Swap) error {
	id, err := jobNumber(job)
	if err != nil {
		return err
	}
	e := &record.Entry{Job: id, Line: line, Who: f.Who, Swaps: swaps, At: time.Now()}
	if f.At != "" {
		if e.At, err = time.ParseInLocation("2006-01-02 15:04", f.At, time.Local); err != nil {
			return badInput{fmt.Errorf("--at: %q is no time; write it as in 2026-03-02 10:40", f.At)}
		}
	}
	if f.Took != "" {
		q, err := quantity.ParseAs(f.Took, quantity.Second)
		if err != nil {
			return badInput{fmt.Errorf("--took: %w", err)}
		}
		e.Seconds = q.Value
	}
	if f.Cost != "" {
		if e.Cost, err = bench.Money(f.Cost); err != nil {
			return badInput{fmt.Errorf("--cost: %w", err)}
		}
	}
	return f.with(ctx, func(w *workshop) error {
		if f.Corrects != "" {
			log, err := w.Log(ctx, id)
			if err != nil {
				return err
			}
			for i := range log {
				if log[i].Name() == f.Corrects {
					e.Corrects = log[i].ID
				}
			}
			if e.Corrects == 0 {
				return badInput{fmt.Errorf("--corrects: job %d has no entry %q; see halfsplit show %d", id, f.Corrects, id)}
			}
		}
		judged, line, err := w.Write(ctx, e)
		if err != nil {
			return err
		}
		p := plain.To(to.out)
		p.Line("%s  %s", e.Name(), bench.Said(e))
		verdictsOf(p, judged, line)
		return p.Err()
	})
}

// readCommand writes a reading.
type readCommand struct {
	inkFlags
	Job     string   `arg:"" help:"The number of the job."`
	Place   string   `arg:"" help:"The test point, signal or rail."`
	Reads   []string `arg:"" help:"What it read: a value with its unit, or a word such as good, absent, hum; several when read several times."`
	With    string   `placeholder:"METER" help:"The instrument."`
	OnFor   string   `placeholder:"TIME" help:"Time since power-on, as in 12min."`
	Warm    bool     `help:"It was warm."`
	Cold    bool     `help:"It was cold."`
	Off     bool     `help:"Power was off."`
	Load    string   `enum:",normal,dummy,none" default:"" help:"The load on the supply: normal, dummy or none."`
	Without []string `placeholder:"BOARD" help:"Boards that were pulled."`
	Expect  string   `placeholder:"VALUE" help:"What it should read, where the sheet does not say."`
	Note    string   `placeholder:"TEXT" help:"Anything worth knowing."`
}

// Run writes the reading.
func (c *readCommand) Run(ctx context.Context, to console) error {
	state := []bench.Field{{Key: "on for", Value: c.OnFor}, {Key: "load", Value: c.Load}, {Key: "without", List: c.Without}}
	switch {
	case c.Warm && c.Cold:
		return badInput{fmt.Errorf("it cannot be warm and cold at once; read it twice")}
	case c.Warm:
		state = append(state, bench.Field{Key: "warm", Value: "yes"})
	case c.Cold:
		state = append(state, bench.Field{Key: "warm", Value: "no"})
	}
	if c.Off {
		state = append(state, bench.Field{Key: "power", Value: "off"})
	}
	return c.write(ctx, to, c.Job, bench.Line(bench.Field{Key: "measure", Value: c.Place}, bench.Field{Key: "reads", List: c.Reads}, bench.Field{Key: "expect", Value: c.Expect},
		bench.Field{Key: "with", Value: c.With}, bench.Field{Key: "state", In: state}, bench.Field{Key: "note", Value: c.Note}), nil)
}

// noteCommand writes a note.
type noteCommand struct {
	inkFlags
	Job  string   `arg:"" help:"The number of the job."`
	Text []string `arg:"" help:"What is to be noted."`
}

// Run writes the note.
func (c *noteCommand) Run(ctx context.Context, to console) error {
	return c.write(ctx, to, c.Job, bench.Line(bench.Field{Key: "note", Value: strings.Join(c.Text, " ")}), nil)
}

// swapCommand writes that a part was replaced.
type swapCommand struct {
	inkFlags
	Job       string `arg:"" help:"The number of the job."`
	Part      string `arg:"" help:"Its designator, or the block."`
	Condition string `enum:"not measured,good,worn,spent,failed" default:"not measured" help:"What the old one was: good, worn, spent, failed or not measured."`
	Mode      string `placeholder:"HOW" help:"How it failed: open, shorted, leaky ..."`
	Measured  string `placeholder:"TEXT" help:"What was measured of it."`
	Old       string `placeholder:"TEXT" help:"Marking of the old one."`
	OldBatch  string `placeholder:"CODE" help:"Date code of the old one."`
	OldMaker  string `placeholder:"NAME" help:"Maker of the old one."`
	New       string `placeholder:"TEXT" help:"Marking of the new one."`
	NewBatch  string `placeholder:"CODE" help:"Date code of the new one."`
	NewMaker  string `placeholder:"NAME" help:"Maker of the new one."`
	Why       string `placeholder:"TEXT" help:"Why it was replaced."`
}

// Run writes the swap.
func (c *swapCommand) Run(ctx context.Context, to console) error {
	line := bench.Line(bench.Field{Key: "swap", Value: c.Part}, bench.Field{Key: "new", Value: c.New}, bench.Field{Key: "old", Value: c.Old}, bench.Field{Key: "why", Value: c.Why})
	return c.write(ctx, to, c.Job, line, []record.Swap{{Part: c.Part, Condition: record.Condition(c.Condition), Mode: c.Mode, Measured: c.Measured,
		OutMarking: c.Old, OutBatch: c.OldBatch, OutMaker: c.OldMaker, InMarking: c.New, InBatch: c.NewBatch, InMaker: c.NewMaker}})
}

// entryCommand writes any entry.
type entryCommand struct {
	inkFlags
	Job  string `arg:"" help:"The number of the job."`
	Line string `arg:"" help:"The entry as in a case file (docs/case.md), as in '{test: C1, esr: 3.2 ohm, how: out of circuit}'."`
}

// Run writes the entry.
func (c *entryCommand) Run(ctx context.Context, to console) error {
	return c.write(ctx, to, c.Job, c.Line, nil)
}
