package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/scorecard"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
)

// rehearseCommand plays the hunt on paper.
type rehearseCommand struct {
	File   string `arg:"" help:"The service sheet."`
	Trials int    `default:"200" help:"How many faults to hunt with each strategy; four times as many halve the ranges."`
	Sure   string `default:"90%" help:"How sure of a suspect one must be before it is replaced."`
	Draw   uint64 `default:"1" placeholder:"NUMBER" help:"Another number draws other faults and misreadings."`
	Plot   string `placeholder:"FILE.svg" help:"Draw whether its probabilities can be believed, and how long hunts take."`
	JSON   bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help says what is played.
func (rehearseCommand) Help() string {
	return "Faults that the sheet describes are put in on paper, one or two at a time, and hunted with every reading, check and part test within reach."
}

// Run plays and prints.
func (c *rehearseCommand) Run(ctx context.Context, to console) error {
	sure, err := share("--sure", c.Sure)
	switch {
	case err != nil:
		return badInput{err}
	case c.Trials < 10 || c.Trials > 100_000:
		return badInput{fmt.Errorf("--trials is %d; play from 10 to 100000", c.Trials)}
	case c.Plot != "" && !strings.EqualFold(filepath.Ext(c.Plot), ".svg"):
		return badInput{fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", c.Plot)}
	case sure < 0.5:
		return badInput{errors.New("--sure: below 50 % it would replace parts that are more likely good than bad")}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	bench, err := findings.Bench(s)
	if err != nil {
		return err
	}
	bar := newProgress(to.errors, 0)
	rules := rehearsal.Rules{Sure: sure, Leaning: sure - 0.15}
	result, err := rehearsal.Rehearse(ctx, bench, rehearsal.Options{Trials: c.Trials, Draw: c.Draw, Rules: rules}, bar.share)
	bar.clear()
	if err != nil {
		return err
	}
	if c.Plot != "" {
		if err := writeFile(c.Plot, func(w io.Writer) error { return scorecard.Draw(w, result) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, result)
	}
	return scorecard.Text(to.out, result)
}
