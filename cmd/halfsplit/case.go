package main

import (
	"context"
	"encoding/json"

	"halfsplit/findings"
	"halfsplit/internal/report"
	"halfsplit/logbook"
)

// caseCommand reasons over a case.
type caseCommand struct {
	File string `arg:"" help:"The case file; it names its service sheet."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

// Run reads the case and its sheet and prints what follows.
func (c *caseCommand) Run(ctx context.Context, to console) error {
	logCase, s, err := logbook.Load(c.File)
	if err != nil {
		return err
	}
	r, err := findings.Reason(ctx, logCase, s, findings.Options{})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(to, r)
	}
	return report.Text(to.out, r)
}

// writeJSON prints a value as indented JSON.
func writeJSON(to console, value any) error {
	encoder := json.NewEncoder(to.out)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	return encoder.Encode(value)
}
