package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"halfsplit/banks"
	"halfsplit/internal/ask"
	"halfsplit/internal/chips"
	"halfsplit/memory"
	"halfsplit/sheet"
)

// memoryCommand turns failing addresses and bits into chips and a plan.
type memoryCommand struct {
	File     string   `arg:"" help:"The service sheet."`
	Failures []string `arg:"" optional:"" help:"Lists of failing accesses, one line each: address, expected, read, in hexadecimal; - reads from the input."`

	ask.Memory

	Plot     string `placeholder:"FILE.svg" help:"Draw the array with its failing chips."`
	Survival string `placeholder:"FILE.svg" help:"Draw the chance of no further failure for each way to replace chips."`
	JSON     bool   `name:"json" help:"Print for a program, as JSON."`
}

// Run reads, reasons and prints.
func (c *memoryCommand) Run(to console) error {
	q, err := c.Question()
	if err == nil {
		err = plotName(c.Plot)
	}
	if err == nil && plotName(c.Survival) != nil {
		err = fmt.Errorf("--survival: %s", strings.TrimPrefix(plotName(c.Survival).Error(), "--plot: "))
	}
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
