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

// SheetText is a service sheet as a text.
type SheetText struct {
	Name, Title, Text string
}

// Sheets gives the service sheets of the workshop.
type Sheets interface {
	// SheetTexts lists them by name, each in its latest version.
	SheetTexts(ctx context.Context) ([]SheetText, error)
}

// noSheets is a workshop without sheets of its own.
type noSheets struct{}

func (noSheets) SheetTexts(context.Context) ([]SheetText, error) { return nil, nil }

// ofLibrary marks the name of a sheet of the library among those of the workshop.
const ofLibrary = "library/"

// sheetOptions are the sheets to choose from: the workshop's, then the library's.
func (s *Server) sheetOptions(ctx context.Context) []look.Option {
	var list []look.Option
	own, err := s.sheets.SheetTexts(ctx)
	if err != nil {
		s.log.Error("sheets", "error", err)
	}
	for _, one := range own {
		list = append(list, look.Option{Value: one.Name, Text: one.Title})
	}
	for _, e := range library.List() {
		list = append(list, look.Option{Value: ofLibrary + e.Name, Text: "library: " + e.Title})
	}
	return list
}

// sheetOf gives the sheet that was chosen.
func (s *Server) sheetOf(ctx context.Context, name string) (*sheet.Sheet, error) {
	if rest, ok := strings.CutPrefix(name, ofLibrary); ok {
		_, found, err := library.Open(rest)
		return found, err
	}
	own, err := s.sheets.SheetTexts(ctx)
	if err != nil {
		return nil, err
	}
	for _, one := range own {
		if one.Name == name {
			return sheet.Parse(name, []byte(one.Text))
		}
	}
	return nil, fmt.Errorf("there is no sheet %q; choose one from the list", name)
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
