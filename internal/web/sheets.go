package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"halfsplit/internal/recording"
	"halfsplit/internal/web/look"
	"halfsplit/library"
	"halfsplit/sheet"
	"halfsplit/soak"
)

// ofLibrary marks the name of a sheet of the library among those of the workshop.
const ofLibrary = "library/"

// sheetOptions are the sheets to choose from: the workshop's, then the library's.
func (s *Server) sheetOptions(ctx context.Context) []look.Option {
	var list []look.Option
	if s.records != nil {
		own, err := s.records.Sheets(ctx)
		if err != nil {
			s.log.Error("sheets", "error", err)
		}
		for _, one := range own {
			list = append(list, look.Option{Value: one.Name, Text: one.Title})
		}
	}
	for _, e := range library.List() {
		list = append(list, look.Option{Value: ofLibrary + e.Name, Text: "library: " + e.Title})
	}
	return list
}

// sheetText gives the text of the sheet that was chosen, in its last version.
func (s *Server) sheetText(ctx context.Context, name string) (string, error) {
	if rest, ok := strings.CutPrefix(name, ofLibrary); ok {
		text, _, err := library.Open(rest)
		return string(text), err
	}
	if s.records == nil {
		return "", fmt.Errorf("there is no sheet %q; choose one from the list", name)
	}
	found, err := s.records.SheetNamed(ctx, name)
	return found.Text, err
}

// sheetOf gives the sheet that was chosen.
func (s *Server) sheetOf(ctx context.Context, name string) (*sheet.Sheet, error) {
	text, err := s.sheetText(ctx, name)
	if err != nil {
		return nil, err
	}
	return sheet.Parse(name, []byte(text))
}

// yearOf reads a year.
func yearOf(text string, now int) (int, error) {
	var year int
	if _, err := fmt.Sscanf(text+"\n", "%d\n", &year); err != nil || year < 1900 || year > now {
		return 0, errors.New("write the year with four digits, such as 1981")
	}
	return year, nil
}

// drawSoak draws how sure one is.
func drawSoak(a soak.Assessment, level float64) func(io.Writer) error {
	return func(to io.Writer) error { return recording.DrawSoak(to, a, level) }
}
