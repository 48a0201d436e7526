package web

import (
	"context"
	"net/http"
	"slices"

	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/library"
)

// libraryScreen lists the sheets of the workshop and the circuits of the library.
func (s *Server) libraryScreen(r *http.Request) (View, error) {
	own, err := s.ownSheets(r.Context())
	if err != nil {
		return View{}, err
	}
	return View{Title: "Library", Place: "/library", Body: libraryPage(own, library.List())}, nil
}

// ownSheets lists the sheets of the workshop.
func (s *Server) ownSheets(ctx context.Context) ([]record.Sheet, error) {
	if s.records == nil {
		return nil, nil
	}
	return s.records.Sheets(ctx)
}

// libraryEntry finds a sheet of the library.
func libraryEntry(name string) (library.Entry, bool) {
	list := library.List()
	at := slices.IndexFunc(list, func(e library.Entry) bool { return e.Name == name })
	if at < 0 {
		return library.Entry{}, false
	}
	return list[at], true
}

// libraryChanges are the values of a form that differ from those of the library.
func libraryChanges(in *Input, name string) ([]string, error) {
	text, _, err := library.Open(name)
	if err != nil {
		return nil, err
	}
	values, err := library.Values(name, text)
	if err != nil {
		return nil, err
	}
	var changes []string
	for _, v := range values {
		if to := in.Text(v.Name()); to != "" && to != v.Text {
			changes = append(changes, v.Name()+" = "+to)
		}
	}
	return changes, nil
}

// libraryCircuit shows a sheet of the library with the values that can be set.
func (s *Server) libraryCircuit(r *http.Request) (View, error) {
	entry, ok := libraryEntry(r.PathValue("name"))
	if !ok {
		return View{}, ErrNotFound
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	return s.libraryView(in, entry)
}

func (s *Server) libraryView(in *Input, entry library.Entry) (View, error) {
	text, found, err := library.Open(entry.Name)
	if err != nil {
		return View{}, err
	}
	values, err := library.Values(entry.Name, text)
	if err != nil {
		return View{}, err
	}
	groups := []fieldGroup{}
	for _, v := range values {
		field := in.Field(look.Field{Name: v.Name(), Label: v.Key, Value: v.Text})
		if len(groups) == 0 || groups[len(groups)-1].title != v.Of {
			groups = append(groups, fieldGroup{title: v.Of})
		}
		last := &groups[len(groups)-1]
		last.fields = append(last.fields, field)
	}
	return View{Title: entry.Title, Place: "/library", Back: look.Link{Text: "Library", Path: "/library"}, Wide: true, Status: in.Status(),
		Body: libraryCircuitPage(entry, groups, in.problems[""], figuresOf(found), string(text))}, nil
}
