package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"halfsplit/banks"
	"halfsplit/internal/chips"
	"halfsplit/memory"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// memoryCommand turns failing addresses and bits into chips and a plan.
type memoryCommand struct {
	File      string   `arg:"" help:"The service sheet."`
	Failures  []string `arg:"" optional:"" help:"Lists of failing accesses, one line each: address, expected, read, in hexadecimal; - reads from the input."`
	Array     string   `placeholder:"NAME" help:"Which of the sheet's memories; needed when it has several."`
	Says      []string `placeholder:"TEXT" sep:"none" help:"What a self-test says, such as \"bit 3 at 4000-7FFF\", \"mask 08 bank 1\", \"first at 4A37 expected 55 read 54\"."`
	At        []string `placeholder:"ADDRESS" sep:"," help:"An address to look up, in hexadecimal."`
	Test      string   `placeholder:"MARCH" help:"The march test that found the failures, by name (\"March C-\") or by its elements."`
	Runs      int      `default:"1" placeholder:"N" help:"How often that test ran."`
	Batch     []string `placeholder:"MARK=CHIPS" sep:"none" help:"Chips of one marking and date, such as 8112=U10,U11; 8112/2=U10,U11 when two of it were found bad before."`
	Teardown  string   `default:"30min" placeholder:"TIME" help:"Time to take the unit apart and put it together again."`
	Swap      string   `default:"6min" placeholder:"TIME" help:"Time to replace one chip: less in a socket, more on a tight board."`
	Check     string   `default:"3min" placeholder:"TIME" help:"Time of one run of the memory test."`
	ChipPrice float64  `default:"8" placeholder:"PRICE" help:"What a chip is worth, in the money of --hour; when neither is given costs count in minutes, and a chip as eight."`
	Hour      float64  `default:"60" placeholder:"PRICE" help:"What an hour is worth."`
	Years     float64  `default:"10" placeholder:"YEARS" help:"Years that the chips have been in use."`
	Horizon   float64  `default:"5" placeholder:"YEARS" help:"Years for which further failures count."`
	Plot      string   `placeholder:"FILE.svg" help:"Draw the array with its failing chips."`
	Survival  string   `placeholder:"FILE.svg" help:"Draw the chance of no further failure for each way to replace chips."`
	JSON      bool     `name:"json" help:"Print for a program, as JSON."`
}

// Run reads, reasons and prints.
func (c *memoryCommand) Run(to console) error {
	q, err := c.question()
	if err != nil {
		return badInput{err}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	closeAll, err := c.open(&q)
	defer closeAll()
	if err != nil {
		return err
	}
	answer, err := banks.Ask(s, q)
	var wrong *memory.ListError
	switch {
	case errors.As(err, &wrong) && len(c.Failures) == 1:
		return badInput{fmt.Errorf("%s:%d: %s", c.Failures[0], wrong.Line, wrong.Message)}
	case err != nil:
		return badInput{err}
	}
	for _, picture := range []struct {
		file string
		draw func(io.Writer, *banks.Answer) error
	}{{c.Plot, chips.DrawChips}, {c.Survival, chips.DrawSurvival}} {
		if picture.file == "" {
			continue
		}
		if err := draw(picture.file, func(w io.Writer) error { return picture.draw(w, answer) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	return chips.Text(to.out, answer)
}

// question reads the options.
func (c *memoryCommand) question() (banks.Question, error) {
	q := banks.Question{Array: c.Array, Service: memory.Service{Years: c.Years, Horizon: c.Horizon}}
	q.Costs.Chip, q.Costs.Minute = c.ChipPrice, c.Hour/60
	for _, o := range []struct {
		flag, text string
		into       *float64
	}{{"--teardown", c.Teardown, &q.Costs.Teardown}, {"--swap", c.Swap, &q.Costs.Swap}, {"--check", c.Check, &q.Costs.Test}} {
		t, err := quantity.ParseAs(o.text, quantity.Second)
		if err != nil {
			return q, fmt.Errorf("%s: %w", o.flag, err)
		}
		if t.Value < 0 {
			return q, fmt.Errorf("%s is %s; it cannot be below zero", o.flag, t)
		}
		*o.into = t.Value / 60
	}
	for _, says := range c.Says {
		s, err := memory.ParseStatement(says)
		if err != nil {
			return q, fmt.Errorf("--says: %w", err)
		}
		q.Says = append(q.Says, s)
	}
	for _, at := range c.At {
		address, ok := sheet.Address(strings.TrimSpace(at))
		if !ok {
			return q, fmt.Errorf("--at: %.40q is no address; write it in hexadecimal, as in 3FFF", at)
		}
		q.At = append(q.At, address)
	}
	for _, text := range c.Batch {
		b, err := banks.ParseBatch(text)
		if err != nil {
			return q, fmt.Errorf("--batch: %w", err)
		}
		q.Batches = append(q.Batches, b)
	}
	if c.Test != "" {
		m, err := memory.FindMarch(c.Test)
		if err != nil {
			return q, fmt.Errorf("--test: %w", err)
		}
		if m.Name == "" {
			m.Name = m.String()
		}
		q.Test.March = m
	}
	if q.Test.Runs = c.Runs; c.Runs < 1 || c.Runs > 1_000_000 {
		return q, fmt.Errorf("--runs is %d; write how often the test ran, 1 or more", c.Runs)
	}
	if err := plotName(c.Plot); err != nil {
		return q, err
	}
	if err := plotName(c.Survival); err != nil {
		return q, fmt.Errorf("--survival: %s", strings.TrimPrefix(err.Error(), "--plot: "))
	}
	return q, nil
}

// open opens the lists, one after the other.
func (c *memoryCommand) open(q *banks.Question) (closeAll func(), err error) {
	var files []*os.File
	closeAll = func() {
		for _, f := range files {
			f.Close()
		}
	}
	var readers []io.Reader
	for i, name := range c.Failures {
		if i > 0 {
			readers = append(readers, strings.NewReader("\n"))
		}
		if name == "-" {
			readers = append(readers, os.Stdin)
			continue
		}
		f, err := os.Open(name)
		if err != nil {
			return closeAll, err
		}
		files = append(files, f)
		readers = append(readers, f)
	}
	if len(readers) > 0 {
		q.Failures = io.MultiReader(readers...)
	}
	return closeAll, nil
}
