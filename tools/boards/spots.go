package main

import (
	"bytes"
	"fmt"
	"strings"

	"halfsplit/sheet"
)

// withPhotos is the text of a sheet with the pictures of its boards, and a spot
// for all that the sheet describes and a board shows. They stand at its end.
func withPhotos(name string, text []byte, boards []*layout) ([]byte, error) {
	s, err := sheet.Parse(name, text)
	if err != nil {
		return nil, err
	}
	known := names(s)
	if at := bytes.Index(text, []byte("\nphotos:\n")); at >= 0 {
		text = text[:at]
	}
	var b bytes.Buffer
	b.Write(bytes.TrimRight(text, "\n"))
	b.WriteString("\n\nphotos:\n")
	for _, board := range boards {
		if board.Sheet != name {
			continue
		}
		fmt.Fprintf(&b, "  - photo: %s.png\n    what: %q\n    spots:\n", board.Board, board.What)
		for _, p := range append(append([]placed{}, board.Parts...), board.Points...) {
			if !known[p.spot()] {
				continue
			}
			x, y := board.fraction(p.At)
			fmt.Fprintf(&b, "      - {spot: %s, x: %.3f, y: %.3f}\n", quoted(p.spot()), x, y)
		}
	}
	return b.Bytes(), nil
}

// fraction is a place as parts of the picture.
func (b *layout) fraction(at [2]float64) (x, y float64) {
	return (at[0] + margin) / (b.Size[0] + 2*margin), (at[1] + margin) / (b.Size[1] + 2*margin)
}

// quoted is a name as a sheet has it.
func quoted(name string) string {
	if strings.ContainsAny(name, "+-#:,[]{}\"'") {
		return fmt.Sprintf("%q", name)
	}
	return name
}

// names are the parts, blocks, memory chips and test points of a sheet.
func names(s *sheet.Sheet) map[string]bool {
	known := map[string]bool{}
	for _, p := range s.Parts {
		known[p.Name.Text] = true
	}
	for _, b := range s.Blocks {
		known[b.Name.Text] = true
	}
	for _, m := range s.Memories {
		for _, bank := range m.Banks {
			for _, chip := range bank.Chips {
				known[chip.Text] = true
			}
		}
	}
	for _, p := range s.Points {
		known[p.Name.Text] = true
	}
	return known
}
