package main

import (
	"fmt"
	"os"
	"path/filepath"

	"go.yaml.in/yaml/v4"
)

// layout is a board. Lengths are in millimetres from its upper left corner.
type layout struct {
	Board string     `yaml:"board"` // name of the picture, without its ending
	Sheet string     `yaml:"sheet"` // the service sheet whose parts it shows
	What  string     `yaml:"what"`
	Guide string     `yaml:"guide"` // name of a copy in docs/guide, where it is shown
	Size  [2]float64 `yaml:"size"`
	Mask  string     `yaml:"mask"` // colour of the board

	Parts   []placed     `yaml:"parts"`
	Points  []placed     `yaml:"points"` // test points, and pins where one measures
	Tracks  [][]string   `yaml:"tracks"` // what is joined to what, from pad to nearest pad
	Holes   [][2]float64 `yaml:"holes"`
	Texts   []placed     `yaml:"texts"`
	Lines   [][4]float64 `yaml:"lines"`   // printed in white
	Scorch  [][3]float64 `yaml:"scorch"`  // centre and radius of browned spots
	Residue [][3]float64 `yaml:"residue"` // the same, of green residue
}

// placed is something at a place.
type placed struct {
	Name  string     `yaml:"name"`
	Body  string     `yaml:"body"`
	At    [2]float64 `yaml:"at"`
	Size  []float64  `yaml:"size"` // of the body, before it is turned
	Turn  float64    `yaml:"turn"` // degrees, clockwise
	Pins  int        `yaml:"pins"`
	Mark  string     `yaml:"mark"`  // printed on it
	Bands string     `yaml:"bands"` // value, for colour bands
	Tint  string     `yaml:"tint"`
	Label string     `yaml:"label"` // above, below, left, right, none
	Spot  string     `yaml:"spot"`  // the name in the sheet, where it is another
}

// spot is the name by which a sheet knows it.
func (p placed) spot() string {
	if p.Spot != "" {
		return p.Spot
	}
	return p.Name
}

// readLayouts reads all layouts of a folder, in the order of their names.
func readLayouts(folder string) ([]*layout, error) {
	files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no layouts in %s: run it from the root of the repository", folder)
	}
	var boards []*layout
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		b := new(layout)
		if err := yaml.Load(text, b, yaml.WithKnownFields()); err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		boards = append(boards, b)
	}
	return boards, nil
}
