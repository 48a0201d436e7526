package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

func main() {
	if err := run("tools/boards/layouts", "examples", "docs/guide"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// run draws the layouts of one folder into another, where their sheets lie, and
// into the guide.
func run(layouts, examples, guide string) error {
	boards, err := readLayouts(layouts)
	if err != nil {
		return err
	}
	var sheets []string
	for _, b := range boards {
		picture, err := drawBoard(b)
		if err != nil {
			return fmt.Errorf("%s: %w", b.Board, err)
		}
		if err := os.WriteFile(filepath.Join(examples, b.Board+".png"), picture, 0o644); err != nil {
			return err
		}
		if b.Guide != "" {
			if err := os.WriteFile(filepath.Join(guide, b.Guide), picture, 0o644); err != nil {
				return err
			}
		}
		if !slices.Contains(sheets, b.Sheet) {
			sheets = append(sheets, b.Sheet)
		}
	}
	for _, name := range sheets {
		file := filepath.Join(examples, name)
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		text, err = withPhotos(name, text, boards)
		if err != nil {
			return err
		}
		if err := os.WriteFile(file, text, 0o644); err != nil {
			return err
		}
	}
	return nil
}
