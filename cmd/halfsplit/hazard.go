package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"halfsplit/internal/ask"
	"halfsplit/internal/safety"
	"halfsplit/sheet"
)

// hazardCommand lists what can hurt in a unit.
type hazardCommand struct {
	File string `arg:"" help:"The service sheet."`

	ask.Hazards

	Plot string `placeholder:"FILE.svg" help:"Draw the discharge curves."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help says where the list comes from.
func (hazardCommand) Help() string {
	return "The list holds the hazards of the sheet and those that follow from its parts. Local codes come first; leave what you are not practised or licensed for to those who are."
}

// Run prints the list.
func (c *hazardCommand) Run(to console) error {
	answers, err := c.Answers()
	if err == nil {
		err = plotName(c.Plot)
	}
	if err != nil {
		return badInput{err}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	r, err := safety.Assess(s, answers)
	if err != nil {
		return badInput{fmt.Errorf("%s: %w", c.File, err)}
	}
	if c.Plot != "" {
		if err := draw(c.Plot, func(w io.Writer) error { return safety.Draw(w, r) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(to, r)
	}
	return safety.Text(to.out, r)
}

// plotName checks the name of a picture.
func plotName(name string) error {
	if name != "" && !strings.EqualFold(filepath.Ext(name), ".svg") {
		return fmt.Errorf("--plot: %s does not end in .svg; the picture is an SVG", name)
	}
	return nil
}

// draw makes a picture and writes it; when it cannot be made no file is.
func draw(name string, make func(io.Writer) error) error {
	var b strings.Builder
	if err := make(&b); err != nil {
		return badInput{fmt.Errorf("--plot: %w", err)}
	}
	return writeFile(name, func(w io.Writer) error {
		_, err := io.WriteString(w, b.String())
		return err
	})
}
