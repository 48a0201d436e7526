package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"halfsplit/form"
	"halfsplit/internal/solution"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// circuitCommands are the commands about circuits.
type circuitCommands struct {
	Draw  circuitDraw  `cmd:"" help:"Draw the schematic of a circuit of a service sheet."`
	Solve circuitSolve `cmd:"" help:"Work out what a meter or scope would read in a circuit of a service sheet."`
}

// circuitSolve solves a circuit of a sheet.
type circuitSolve struct {
	File     string   `arg:"" help:"The service sheet."`
	Circuit  string   `placeholder:"NAME" help:"Which of its circuits; needed when it has several."`
	Node     []string `placeholder:"NODE" sep:"," help:"Where to read, in place of the nodes that the circuit lists under reach."`
	AC       string   `name:"ac" placeholder:"FROM..TO" help:"Frequency response to a small signal, over a range such as 10Hz..100kHz."`
	Until    string   `placeholder:"TIME" help:"Follow it from the moment of switching on, for a time such as 50ms."`
	Plot     string   `placeholder:"FILE.svg" help:"Draw the voltages over time, or the gain over frequency."`
	Limit    string   `default:"2min" placeholder:"TIME" help:"How long it may compute; what was found until then is shown."`
	Accuracy string   `default:"0.01%" placeholder:"PERCENT" help:"Error allowed in each step of time; 0.1% is quicker, but may show spikes that are none."`
	Spread   bool     `help:"Add how far each reading may be off because parts have tolerances, and which part that comes from most."`
	JSON     bool     `name:"json" help:"Print for a program, as JSON."`
}

// Help says what is solved when no option is given.
func (circuitSolve) Help() string {
	return "Without --ac and --until: the voltages at rest, or, when the mains or a signal drives the circuit, the readings once it repeats itself."
}

// Run solves the circuit and prints what was found.
func (c *circuitSolve) Run(ctx context.Context, to console) error {
	question, limit, err := c.question()
	if err != nil {
		return badInput{err}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	name, described, err := pickCircuit(s, c.File, c.Circuit)
	if err != nil {
		return badInput{err}
	}
	wired, err := s.Wire(described, question.Moment())
	if err != nil {
		return err
	}
	moving := c.AC != "" || c.Until != "" || wired.Period > 0
	if question.Nodes, err = c.nodes(described, moving); err != nil {
		return badInput{err}
	}
	bar := newProgress(to.errors, question.Until)
	question.Progress = bar.show
	ctx, stop := context.WithTimeout(ctx, limit)
	defer stop()
	answer, err := solution.Ask(ctx, wired, question)
	bar.clear()
	if answer != nil {
		answer.Circuit = name
		if wrong := c.print(to, answer); wrong != nil {
			return wrong
		}
	}
	var about solution.Description
	switch {
	case errors.As(err, &about):
		return badInput{fmt.Errorf("circuit %q of %s: %w", name, c.File, err)}
	case errors.Is(err, context.DeadlineExceeded):
		return fmt.Errorf("circuit %q: not solved within %s; allow more with --limit, or ask for less", name, c.Limit)
	case err != nil:
		return fmt.Errorf("circuit %q: %w", name, err)
	}
	return nil
}

// question reads the options.
func (c *circuitSolve) question() (solution.Question, time.Duration, error) {
	var q solution.Question
	limit, err := quantity.ParseAs(c.Limit, quantity.Second)
	switch {
	case err != nil:
		return q, 0, fmt.Errorf("--limit: %w", err)
	case !(limit.Value > 0 && limit.Value < 1e9):
		return q, 0, errors.New("--limit: write a time above zero, such as 2min")
	case c.AC != "" && c.Until != "":
		return q, 0, errors.New("--ac and --until are different questions; ask one at a time")
	case c.Spread && (c.AC != "" || c.Until != ""):
		return q, 0, errors.New("--spread is about a circuit at rest, or once it repeats itself; leave out --ac and --until")
	case c.Plot != "" && !strings.EqualFold(filepath.Ext(c.Plot), ".svg"):
		return q, 0, fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", c.Plot)
	}
	accuracy, err := quantity.ParseAs(c.Accuracy, quantity.Percent)
	if err != nil {
		return q, 0, fmt.Errorf("--accuracy: %w", err)
	}
	if !(accuracy.Value >= 1e-7 && accuracy.Value <= 0.01) {
		return q, 0, errors.New("--accuracy: write a percentage from 0.00001% to 1%")
	}
	q.Accuracy, q.Spread = accuracy.Value, c.Spread
	if c.Until != "" {
		until, err := quantity.ParseAs(c.Until, quantity.Second)
		if err != nil {
			return q, 0, fmt.Errorf("--until: %w", err)
		}
		if !(until.Value > 0) {
			return q, 0, errors.New("--until: write a time above zero, such as 50ms")
		}
		q.Until = until.Value
	}
	if c.AC != "" {
		span, err := quantity.ParseIntervalAs(c.AC, quantity.Hertz)
		if err != nil {
			return q, 0, fmt.Errorf("--ac: %w", err)
		}
		if !(span.Low > 0) || math.IsInf(span.High, 0) || span.Low == span.High || span.High > 1e12*span.Low {
			return q, 0, errors.New("--ac: write a range of frequencies above zero, such as 10Hz..100kHz")
		}
		q.Low, q.High = span.Low, span.High
	}
	return q, time.Duration(limit.Value * float64(time.Second)), nil
}

// nodes gives the nodes to read: those asked for, else those within reach where
// there is much to say of each, else none for all.
func (c *circuitSolve) nodes(described *sheet.Circuit, moving bool) ([]string, error) {
	var known, nodes []string
	for _, p := range described.Parts {
		for _, n := range p.Nodes {
			if !slices.Contains(known, n.Text) {
				known = append(known, n.Text)
			}
		}
	}
	for _, n := range c.Node {
		n = strings.TrimSpace(n)
		if !slices.Contains(known, n) {
			return nil, fmt.Errorf("--node: there is no node %q; %s", n, form.Suggest(n, known))
		}
		nodes = append(nodes, n)
	}
	if len(nodes) == 0 && moving {
		for _, n := range described.Reach {
			nodes = append(nodes, n.Text)
		}
	}
	return nodes, nil
}

// print prints the answer and draws the picture.
func (c *circuitSolve) print(to console, answer *solution.Answer) error {
	if c.Plot != "" {
		if !solution.Drawable(answer) {
			return badInput{errors.New("--plot: a circuit at rest has no course over time to draw; add --until or --ac")}
		}
		if err := writeFile(c.Plot, func(w io.Writer) error { return solution.Draw(w, answer) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	return solution.Text(to.out, answer)
}

// writeFile writes a file, and says when it could not be written whole.
func writeFile(name string, write func(io.Writer) error) error {
	f, err := os.Create(name)
	if err != nil {
		return badInput{fmt.Errorf("cannot write %s: %w", name, errors.Unwrap(err))}
	}
	return errors.Join(write(f), f.Close())
}
