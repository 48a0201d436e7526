package web

import (
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"

	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/library"
	"halfsplit/schematic"
	"halfsplit/sheet"
)

// sheetDraft is a sheet in the editor.
type sheetDraft struct {
	name    string // of the workshop's sheets; empty for a new one
	text    string
	version int // that it was begun from; zero for a new one
	checked sheetChecked
	figures []sheetFigure
}

// sheetFigure is the drawing of a circuit.
type sheetFigure struct {
	name, svg, problem string
}

// check checks the text of a draft and draws its circuits.
func (d *sheetDraft) check() {
	d.checked = checkSheet(d.text)
	if len(d.checked.Problems) > 0 {
		return
	}
	s, err := sheet.Parse("sheet", []byte(d.text))
	if err != nil {
		return // it was checked just now
	}
	d.figures = figuresOf(s)
}

// figuresOf draws the circuits of a sheet.
func figuresOf(s *sheet.Sheet) []sheetFigure {
	var list []sheetFigure
	for i := range s.Circuits {
		c := &s.Circuits[i]
		figure := sheetFigure{name: c.Key.Text}
		drawing, err := schematic.Draw(schematic.Of(s, c.Key.Text, c.Value), nil)
		if err == nil {
			var b strings.Builder
			err = drawing.WriteSVG(&b, schematic.Format{Within: true, Prefix: fmt.Sprintf("circuit-%d-", i+1)})
			figure.svg = b.String()
		}
		if err != nil {
			figure.problem = sentence(err.Error())
		}
		list = append(list, figure)
	}
	return list
}

// titleOfSheet is what a sheet is about.
func titleOfSheet(s *sheet.Sheet) string {
	return strings.TrimSpace(s.Model.Maker + " " + s.Model.Name)
}

// blankSheet is what a new sheet begins with.
const blankSheet = `sheet: 1
model:
  maker:
  name:
  kind:
rails:
  - {rail: +5, nominal: 5 V, limits: ±5 %}
testpoints:
  - {point: TP1, signal: +5, where: }
`

// newSheet opens the editor on a new sheet: a blank one, or one of the library
// with some values set.
func (s *Server) newSheet(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	draft := sheetDraft{text: blankSheet}
	if name := in.Text("library"); name != "" {
		entry, ok := libraryEntry(name)
		if !ok {
			return View{}, ErrNotFound
		}
		changes, err := libraryChanges(in, name)
		if err != nil {
			return View{}, err
		}
		text, err := library.Copy(r.Context(), name, changes)
		var wrong *library.Wrong
		switch {
		case errors.As(err, &wrong):
			field, _, _ := strings.Cut(wrong.Change, " = ")
			in.Wrong(field, sentence(strings.TrimSpace(wrong.Problem+". "+wrong.Hint)))
			return s.libraryView(in, entry)
		case err != nil:
			in.Wrong("", sentence(err.Error()))
			return s.libraryView(in, entry)
		}
		draft.text = string(text)
	}
	draft.check()
	return s.editorView(in, draft), nil
}

// openSheet opens the editor on a sheet of the workshop.
func (s *Server) openSheet(r *http.Request) (View, error) {
	if s.records == nil {
		return View{}, ErrNotFound
	}
	found, err := s.records.SheetNamed(r.Context(), r.PathValue("name"))
	if errors.Is(err, record.ErrNotFound) {
		return View{}, ErrNotFound
	}
	if err != nil {
		return View{}, err
	}
	draft := sheetDraft{name: found.Name, text: found.Text, version: found.Version}
	draft.check()
	return s.editorView(&Input{problems: map[string]string{}}, draft), nil
}

// checkedSheet shows a sheet with its mistakes, without keeping it.
func (s *Server) checkedSheet(r *http.Request) (View, error) {
	in, draft, err := s.sentSheet(r)
	if err != nil {
		return View{}, err
	}
	return s.editorView(in, draft), nil
}

// sentSheet reads what the editor sent.
func (s *Server) sentSheet(r *http.Request) (*Input, sheetDraft, error) {
	in, err := Read(r)
	if err != nil {
		return nil, sheetDraft{}, err
	}
	draft := sheetDraft{text: strings.ReplaceAll(r.FormValue("text"), "\r\n", "\n")}
	if r.FormValue("version") != "" {
		draft.name = in.Text("name")
		fmt.Sscan(in.Text("version"), &draft.version)
	}
	draft.check()
	return in, draft, nil
}

var sheetName = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]{0,59}$`)

// keepSheet keeps a sheet as its next version. A sheet with mistakes is not kept,
// nor one that somebody else has changed since it was opened.
func (s *Server) keepSheet(r *http.Request) (View, error) {
	in, draft, err := s.sentSheet(r)
	if err != nil {
		return View{}, err
	}
	if s.records == nil {
		return View{}, Refused(http.StatusConflict, "This bench keeps no records.")
	}
	name := in.Text("name")
	if !sheetName.MatchString(name) {
		in.Wrong("name", "A short name in small letters, digits and hyphens, such as vt9.")
	}
	if len(draft.checked.Problems) > 0 {
		in.Wrong("text", fmt.Sprintf("It has mistakes: %d. They are listed below with their lines.", len(draft.checked.Problems)))
	}
	if in.OK() {
		last, err := s.records.SheetNamed(r.Context(), name)
		switch {
		case err != nil && !errors.Is(err, record.ErrNotFound):
			return View{}, err
		case err == nil && draft.version == 0:
			in.Wrong("name", "There is a sheet of this name; choose another, or open that one.")
		case err == nil && draft.version != last.Version:
			in.Wrong("text", fmt.Sprintf("Version %d was kept elsewhere since you opened version %d. Compare with it first; yours is still here.", last.Version, draft.version))
		}
	}
	if !in.OK() {
		view := s.editorView(in, draft)
		view.Status = in.Status()
		return view, nil
	}
	kept := &record.Sheet{Name: name, Title: draft.checked.Title, Text: draft.text, Note: in.Text("note")}
	if err := s.records.SaveSheet(r.Context(), kept); err != nil {
		return View{}, err
	}
	return View{Go: "/sheets/" + name, Said: fmt.Sprintf("%s is kept as version %d.", name, kept.Version)}, nil
}

// editorView shows the editor.
func (s *Server) editorView(in *Input, draft sheetDraft) View {
	title := "A new sheet"
	if draft.name != "" {
		title = "Sheet " + draft.name
	}
	name := in.Field(look.Field{Name: "name", Label: "Name of the sheet", Like: "vt9", Need: true, Value: draft.name})
	note := in.Field(look.Field{Name: "note", Label: "What is new in it", Hint: "Stands in the list of versions."})
	return View{Title: title, Place: "/library", Back: look.Link{Text: "Library", Path: "/library"}, Wide: true, Scripts: []string{"bundle-editor.js"},
		Body: editorPage(draft, title, name, note, in.problems["text"], s.records != nil)}
}
