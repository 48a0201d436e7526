package main

import (
	"context"
	"encoding/json"
	"io"

	"halfsplit/findings"
	"halfsplit/internal/report"
	"halfsplit/logbook"
)

// caseCommand reasons over a case.
type caseCommand struct {
	File     string `arg:"" help:"The case file; it names its service sheet."`
	JSON     bool   `name:"json" help:"Print for a program, as JSON."`
	Circuits string `enum:"quick,all,none" default:"quick" help:"Which circuits of the sheet to solve with each part failing: quick, all (may take minutes the first time) or none."`
	Plot     string `placeholder:"FILE.svg" help:"Draw what was read in circuits against what the leading suspects would make of it."`
	Anew     bool   `help:"Solve circuits anew; do not use what was kept."`
}

// Run reads the case and its sheet and prints what follows.
func (c *caseCommand) Run(ctx context.Context, to console) error {
	if err := plotName(c.Plot); err != nil {
		return badInput{err}
	}
	logCase, s, err := logbook.Load(c.File)
	if err != nil {
		return err
	}
	shown := newProgress(to.errors, 0)
	with := findings.Options{Progress: shown.tried}
	switch c.Circuits {
	case "all":
		with.Circuits = findings.AllCircuits
	case "none":
		with.Circuits = findings.NoCircuits
	}
	if !c.Anew {
		with.Cache = kept()
	}
	r, err := findings.Reason(ctx, logCase, s, with)
	shown.clear()
	if err != nil {
		return err
	}
	print := func() error { return report.Text(to.out, r) }
	if c.JSON {
		print = func() error { return writeJSON(to, r) }
	}
	if err := print(); err != nil || c.Plot == "" {
		return err
	}
	return draw(c.Plot, func(out io.Writer) error { return report.Draw(out, r) })
}

// writeJSON prints a value as indented JSON.
func writeJSON(to console, value any) error {
	encoder := json.NewEncoder(to.out)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(value)
}
