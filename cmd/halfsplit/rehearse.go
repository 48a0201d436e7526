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
	Sure   string `default:"95%" help:"How sure of a suspect one must be before it is replaced."`
	Draw   uint64 `default:"1" placeholder:"NUMBER" help:"Another number draws other faults and misreadings."`
	Plot   string `placeholder:"FILE.svg" help:"Draw whether its probabilities can be believed, and how long hunts take, for the signal flow."`
	JSON   bool   `name:"json" help:"Print for a program, as JSON."`

	Circuits string `enum:"quick,none" default:"quick" help:"Which circuits of the sheet to play by themselves: quick (those that take seconds) or none."`
	Anew     bool   `help:"Solve circuits anew; do not use what was kept."`
}

// Help says what is played.
func (rehearseCommand) Help() string {
	return "Faults that the sheet describes are put in on paper, one or two at a time, and hunted with every reading, check and part test within reach. Then each circuit that can be solved is played by itself: every fault of every part, in units whose parts are off within their tolerances."
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
	options := rehearsal.Options{Trials: c.Trials, Draw: c.Draw, Rules: rehearsal.Rules{Sure: sure, Leaning: sure - 0.15}}
	all := &rehearsed{}
	all.Result, err = rehearsal.Rehearse(ctx, bench, options, bar.share)
	bar.clear()
	if err != nil {
		return err
	}
	if c.Circuits != "none" {
		err = all.circuits(ctx, s, c.Anew, options, bar)
		bar.clear()
		if err != nil {
			return err
		}
	}
	if c.Plot != "" {
		if err := writeFile(c.Plot, func(w io.Writer) error { return scorecard.Draw(w, all.Result) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, all)
	}
	return all.print(to.out)
}

// rehearsed is what a rehearsal of a whole sheet came to.
type rehearsed struct {
	*rehearsal.Result
	Circuits  []scorecard.Circuit  `json:"circuits,omitempty"`
	NotSolved []findings.NotSolved `json:"circuits_not_played,omitempty"`
}

// circuits plays the circuits of the sheet.
func (r *rehearsed) circuits(ctx context.Context, s *sheet.Sheet, anew bool, options rehearsal.Options, bar *progress) error {
	with := findings.Options{Progress: bar.tried}
	if !anew {
		with.Cache = kept()
	}
	benches, err := findings.CircuitBenches(ctx, s, with)
	if err != nil {
		return err
	}
	r.NotSolved = benches.NotSolved
	for i, bench := range benches.Benches {
		result, err := rehearsal.Rehearse(ctx, bench, options, bar.share)
		if err != nil {
			return err
		}
		r.Circuits = append(r.Circuits, scorecard.Circuit{Name: benches.Names[i], Result: result, Unseen: bench.Unseen, Unsolved: bench.Unsolved})
	}
	return nil
}

// print prints all for people.
func (r *rehearsed) print(to io.Writer) error {
	if err := scorecard.Text(to, r.Result); err != nil {
		return err
	}
	for i := range r.Circuits {
		if err := r.Circuits[i].Text(to); err != nil {
			return err
		}
	}
	for _, c := range r.NotSolved {
		if _, err := fmt.Fprintf(to, "\nThe circuit %s was not played: %s.\n", c.Circuit, c.Why); err != nil {
			return err
		}
	}
	return nil
}
