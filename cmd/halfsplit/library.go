package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"halfsplit/internal/prose"
	"halfsplit/library"
	"halfsplit/sheet"
)

// libraryCommands are the commands about the library of sheets.
type libraryCommands struct {
	List libraryList `cmd:"" help:"List the sheets of common circuits."`
	Show libraryShow `cmd:"" help:"Show a sheet of the library: what it covers, what it was drawn from, what can be set."`
	Copy libraryCopy `cmd:"" help:"Copy a sheet of the library to a file of your own, with the values that you read off the parts."`
}

// libraryList lists the library.
type libraryList struct {
	JSON bool `name:"json" help:"Print for a program, as JSON."`
}

// Run prints the list.
func (c *libraryList) Run(to console) error {
	list := library.List()
	if c.JSON {
		return writeJSON(to, list)
	}
	width := 0
	for _, e := range list {
		width = max(width, len(e.Name))
	}
	kind := ""
	for _, e := range list {
		if e.Kind != kind {
			kind = e.Kind
			fmt.Fprintf(to.out, "%s\n", kind)
		}
		fmt.Fprintf(to.out, "  %-*s  %s\n", width, e.Name, e.Title)
	}
	_, err := fmt.Fprintln(to.out, "\nTake the one that is nearest to what you see: halfsplit library show NAME")
	return err
}

// libraryShow shows a sheet.
type libraryShow struct {
	Name string `arg:"" help:"The sheet, by its name in the list."`
	Text bool   `help:"Print the sheet itself."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

// shownSheet is a sheet of the library for a program.
type shownSheet struct {
	library.Entry
	Values []library.Value `json:"values"`
	Sheet  string          `json:"sheet"`
}

// Run prints what the sheet is.
func (c *libraryShow) Run(to console) error {
	text, s, err := library.Open(c.Name)
	if err != nil {
		return badInput{err}
	}
	if c.Text && !c.JSON {
		_, err := to.out.Write(text)
		return err
	}
	values, err := library.Values(s.File(), text)
	if err != nil {
		return err
	}
	if c.JSON {
		entry := library.Entry{Name: c.Name, Title: s.Model.Name, Kind: s.Model.Kind, About: s.Model.Covers, Source: s.Model.Papers}
		return writeJSON(to, shownSheet{entry, values, string(text)})
	}
	return c.print(to.out, s, values)
}

// print prints it for people.
func (c *libraryShow) print(out io.Writer, s *sheet.Sheet, values []library.Value) error {
	w := prose.New(out)
	w.Line("%s (%s)", s.Model.Name, s.Model.Kind)
	w.Line("")
	for _, part := range []struct{ what, text string }{{"Covers: ", s.Model.Covers}, {"Drawn from: ", s.Model.Papers}, {"Note: ", s.Model.Note}} {
		if part.text != "" {
			w.Fold(part.what, "  ", part.text)
		}
	}
	for _, h := range s.Hazards {
		w.Fold("Hazard: ", "  ", fmt.Sprintf("%s (%s). Before %s: %s", h.Name, h.Where, gate(h.Before), h.Do))
	}
	w.Line("\nWhat can be set, as it stands:")
	wide, long := 0, 0
	for _, v := range values {
		wide, long = max(wide, utf8.RuneCountInString(v.Of)), max(long, utf8.RuneCountInString(v.Key))
	}
	of := ""
	for _, v := range values {
		name := ""
		if v.Of != of {
			of, name = v.Of, v.Of
		}
		w.Line("  %-*s  %-*s  %s", wide, name, long, v.Key, v.Text)
	}
	w.Line("\nCopy it: halfsplit library copy %s my.sheet.yaml --set \"%s = ...\"", c.Name, values[0].Name())
	return w.Err()
}

// gate is the step that a hazard holds up.
func gate(g sheet.Gate) string {
	if g == "" {
		return string(sheet.GatePower)
	}
	return string(g)
}

// libraryCopy copies a sheet.
type libraryCopy struct {
	Name  string   `arg:"" help:"The sheet, by its name in the list."`
	File  string   `arg:"" help:"Where to write it; - prints it."`
	Set   []string `sep:"none" placeholder:"'KEY of NAME = VALUE'" help:"Set a value: 'value of C1 = 2200 uF', 'T1 secondary = 18 V', 'limits of out = ±2 %'. May be given several times."`
	Force bool     `help:"Overwrite a file that is there."`
}

// Help says what follows from what is set.
func (libraryCopy) Help() string {
	return "What follows from the values is worked out by solving the circuit: the voltages to expect on rails and at test points, and the ripple of what is not regulated. Comments and layout of the sheet stay."
}

// Run copies the sheet.
func (c *libraryCopy) Run(ctx context.Context, to console) error {
	text, err := library.Copy(ctx, c.Name, c.Set)
	var unknown *library.Unknown
	var wrong *library.Wrong
	switch {
	case errors.As(err, &unknown), errors.As(err, &wrong):
		return badInput{err}
	case err != nil:
		return err
	}
	if c.File == "-" {
		_, err := to.out.Write(text)
		return err
	}
	how := os.O_WRONLY | os.O_CREATE | os.O_EXCL
	if c.Force {
		how = os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	}
	f, err := os.OpenFile(c.File, how, 0o644)
	switch {
	case errors.Is(err, os.ErrExist):
		return badInput{fmt.Errorf("%s is there already; choose another name, or overwrite it with --force", c.File)}
	case err != nil:
		return badInput{fmt.Errorf("cannot write %s: %w", c.File, errors.Unwrap(err))}
	}
	if _, err := f.Write(text); err != nil {
		return errors.Join(err, f.Close())
	}
	if err := f.Close(); err != nil {
		return err
	}
	values := "with the values as they were drawn"
	if len(c.Set) > 0 {
		values = "with " + strings.Join(c.Set, ", ")
	}
	_, err = fmt.Fprintf(to.out, "%s is a copy of %s %s.\nNext: halfsplit hazard %s, and halfsplit circuit solve %s\n", c.File, c.Name, values, c.File, c.File)
	return err
}
