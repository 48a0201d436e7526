package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"halfsplit/internal/ask"
	"halfsplit/internal/report"
	"halfsplit/part/replacement"
)

// capacitorCommand judges a capacitor from what was read and seen.
type capacitorCommand struct {
	Part []string `arg:"" optional:"" help:"As it is marked, such as \"4700 uF 35 V electrolytic\", or a service sheet and a designator."`

	ask.Capacitor

	Plot string `placeholder:"FILE.svg" help:"Draw the life, or with --reform the steps."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help gives examples.
func (capacitorCommand) Help() string {
	return `Any of the readings will do; what is missing is named. Examples: halfsplit capacitor 4700 uF 35 V electrolytic --capacitance 3900uF --esr 0.08 --frequency 120Hz --how "out of circuit"; halfsplit capacitor vt9.sheet.yaml C3 --reform`
}

// Run judges the capacitor and prints what was found.
func (c *capacitorCommand) Run(ctx context.Context, to console) error {
	if c.Plot != "" && !strings.EqualFold(filepath.Ext(c.Plot), ".svg") {
		return badInput{fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", c.Plot)}
	}
	n, err := nameOf(c.Part, replacement.Part{Kind: replacement.Capacitor})
	if err != nil {
		return err
	}
	answer, err := c.Judge(ctx, n)
	if err != nil {
		return asked(err)
	}
	if c.Plot != "" {
		if answer.Draw == nil {
			return badInput{errors.New("--plot: there is nothing to draw; give --age for the life of an electrolytic, or --reform for the steps")}
		}
		if err := writeFile(c.Plot, answer.Draw); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, answer.Report)
	}
	return report.CapacitorText(to.out, answer.Report)
}
