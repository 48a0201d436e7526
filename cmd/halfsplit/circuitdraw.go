package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"halfsplit/form"
	"halfsplit/schematic"
	"halfsplit/sheet"
)

// circuitDraw draws a circuit of a sheet.
type circuitDraw struct {
	File    string `arg:"" help:"The service sheet."`
	Circuit string `placeholder:"NAME" help:"Which of its circuits; needed when it has several."`
	Plot    string `required:"" placeholder:"FILE.svg" help:"Where to draw it."`
}

// Help says what decides where a part stands.
func (circuitDraw) Help() string {
	return "Every part with its designator and value, every node with its name and test points. The parts find their places by themselves; where that is not good enough, the key drawn of a part says where it stands."
}

// Run draws the circuit and says where.
func (c *circuitDraw) Run(to console) error {
	if !strings.EqualFold(filepath.Ext(c.Plot), ".svg") {
		return badInput{fmt.Errorf("--plot: %s does not end in .svg; the drawing is an SVG", c.Plot)}
	}
	s, err := sheet.Load(c.File)
	if err != nil {
		return err
	}
	name, described, err := pickCircuit(s, c.File, c.Circuit)
	if err != nil {
		return badInput{err}
	}
	drawing, err := schematic.Draw(schematic.Of(s, name, described), nil)
	if err != nil {
		return badInput{fmt.Errorf("circuit %q of %s: %w", name, c.File, err)}
	}
	if err := writeFile(c.Plot, func(w io.Writer) error { return drawing.WriteSVG(w, schematic.Format{}) }); err != nil {
		return err
	}
	_, err = fmt.Fprintf(to.out, "Circuit %q: %d parts and %d nodes, drawn in %s.\n", name, len(drawing.Parts), len(drawing.Nodes), c.Plot)
	return err
}

// pickCircuit finds the circuit that is meant: the one of that name, or the only
// one.
func pickCircuit(s *sheet.Sheet, file, name string) (string, *sheet.Circuit, error) {
	keys := s.Circuits.Keys()
	switch {
	case len(keys) == 0:
		return "", nil, fmt.Errorf("%s describes no circuit; list its parts between nodes under circuits", file)
	case name == "" && len(keys) > 1:
		return "", nil, fmt.Errorf("%s has several circuits; choose one with --circuit: %s", file, strings.Join(keys, ", "))
	case name == "":
		return keys[0], s.Circuits[0].Value, nil
	}
	found, ok := s.Circuits.Get(name)
	if !ok {
		return "", nil, fmt.Errorf("%s has no circuit %q; %s", file, name, form.Suggest(name, keys))
	}
	return name, found, nil
}
