package main

import (
	"fmt"
	"strings"
)

// page gives the text of docs/formulas.md.
func page(root string) (string, error) {
	all, err := chapters(root)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(`# Formulas and their sources

Every formula, method and table that the program calculates with, and where it is
from, package by package, as the comments beside the code say it. The page is
written by ` + "`go run ./tools/formulas`" + `; a test fails when it is out of date. How each is
held against its source stands in [checks](checks.md).

`)
	b.WriteString("| package | what it is about | formulas with a source | figures of the trade |\n|---|---|---:|---:|\n")
	formulas, figures := 0, 0
	for _, c := range all {
		with := c.count(true)
		formulas, figures = formulas+with, figures+len(c.entries)-with
		name := c.folder
		if with > 0 {
			name = fmt.Sprintf("[%s](#%s)", c.folder, strings.ReplaceAll(c.folder, "/", ""))
		}
		fmt.Fprintf(&b, "| %s | %s | %d | %d |\n", name, cell(c.about), with, len(c.entries)-with)
	}
	fmt.Fprintf(&b, "| all | | %d | %d |\n", formulas, figures)
	for _, c := range all {
		if c.count(true) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n## %s\n", c.folder)
		for _, e := range c.entries {
			if e.sourced {
				fmt.Fprintf(&b, "\n#### %s\n\n%s\n\n[%s](../%s)\n", e.name, e.text, e.file, e.file)
			}
		}
	}
	b.WriteString("\n## Figures of the trade\n\nCommon practice, without a source. They are where judgement went in.\n\n")
	b.WriteString("| package | what |\n|---|---|\n")
	for _, c := range all {
		for _, e := range c.entries {
			if !e.sourced {
				fmt.Fprintf(&b, "| [%s](../%s) | %s |\n", c.folder, e.file, cell(e.text))
			}
		}
	}
	return b.String(), nil
}

// count gives the number of entries with or without a source.
func (c *chapter) count(sourced bool) (n int) {
	for _, e := range c.entries {
		if e.sourced == sourced {
			n++
		}
	}
	return n
}

// cell makes a text fit for a cell of a table.
func cell(s string) string {
	return strings.NewReplacer("|", `\|`, "\n", " ").Replace(strings.Join(strings.Fields(s), " "))
}
