package main

import (
	"fmt"
	"strings"

	"halfsplit/form"
	"halfsplit/logbook"
	"halfsplit/part/drawer"
	"halfsplit/sheet"
)

// sheetCommands are the commands about service sheets.
type sheetCommands struct {
	Check  sheetCheck  `cmd:"" help:"Check a service sheet; every mistake is shown with its line and column."`
	Schema sheetSchema `cmd:"" help:"Print the JSON Schema of sheets, cases or drawers, for editors."`
}

// sheetCheck checks a sheet.
type sheetCheck struct {
	File string `arg:"" help:"The service sheet."`
}

// Run checks the sheet and says what it holds.
func (c *sheetCheck) Run(to console) error {
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	var parts []string
	for _, count := range []struct {
		n    int
		what string
	}{
		{len(s.Rails), "rails"}, {len(s.Points), "test points"}, {len(s.Parts), "parts"}, {len(s.Blocks), "blocks"},
		{len(s.Circuits), "circuits"}, {len(s.Memories), "memories"}, {len(s.Checks), "checks"}, {len(s.Hazards), "hazards"}, {len(s.Photos), "photos"},
	} {
		if count.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", count.n, count.what))
		}
	}
	if len(parts) == 0 {
		parts = append(parts, "nothing described yet")
	}
	_, err = fmt.Fprintf(to.out, "%s is in order: %s\n", c.File, strings.Join(parts, ", "))
	return err
}

// sheetSchema prints a schema.
type sheetSchema struct {
	Of string `arg:"" optional:"" enum:"sheet,case,drawer" default:"sheet" help:"What to print the schema of: sheet, case or drawer."`
}

// Run prints the schema.
func (c *sheetSchema) Run(to console) error {
	title, target := "halfsplit service sheet", any(&sheet.Sheet{})
	switch c.Of {
	case "case":
		title, target = "halfsplit case", &logbook.Case{}
	case "drawer":
		title, target = "halfsplit drawer", &drawer.Drawer{}
	}
	text, err := form.Schema(title, target)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "%s\n", text)
	return err
}
