package main

import (
	"context"

	"halfsplit/internal/ask"
	"halfsplit/internal/report"
	"halfsplit/part/drawer"
	"halfsplit/part/replacement"
)

// replaceCommand says what may stand in the place of a part.
type replaceCommand struct {
	Part []string `arg:"" optional:"" help:"As it is marked, such as \"4700 uF 35 V electrolytic\" or \"60 V 15 A npn transistor\", or a service sheet and a designator."`

	ask.Replacing

	Drawer string `placeholder:"FILE" help:"A list of the parts at hand, as a file."`
	JSON   bool   `name:"json" help:"Print for a program, as JSON."`
}

// Help gives examples.
func (replaceCommand) Help() string {
	return `Examples: halfsplit replace p6.sheet.yaml C1 --from "4 x 2200 uF 35 V"; halfsplit replace 100 nF 250 V X2 --with "100 nF 630 V film"; halfsplit replace 4k7 0.25W --bears 0.2W,30V --drawer drawer.yaml`
}

// Run finds what will serve and prints it.
func (c *replaceCommand) Run(ctx context.Context, to console) error {
	n, err := nameOf(c.Part, replacement.Part{})
	if err != nil {
		return err
	}
	var more func(replacement.Part) ([]replacement.Stocked, error)
	if c.Drawer != "" {
		more = func(like replacement.Part) ([]replacement.Stocked, error) { return drawer.Load(c.Drawer, like) }
	}
	answer, err := c.Find(ctx, n, more)
	if err != nil {
		return asked(err)
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	return report.ReplacingText(to.out, answer)
}
