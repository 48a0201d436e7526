package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"halfsplit/internal/bench"
	"halfsplit/internal/paper"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// collectionScreens are the screens of units, the drawer, upkeep and search.
func (s *Server) collectionScreens() []Page {
	if s.records == nil {
		return nil
	}
	return slices.Concat([]Page{
		{"GET /collection", s.collection, "/collection"},
		{"GET /lists/{list}", s.listFile, ""},
		{"GET /labels", s.labels, ""},
		{"GET /search", s.search, "/search?q=warm"},
		{"GET /units/new", s.newUnit, "/units/new"},
		{"POST /units", s.addUnit, ""},
		{"GET /units/{unit}", s.unit, "/units/1"},
		{"GET /units/{unit}/edit", s.editUnit, "/units/1/edit"},
		{"POST /units/{unit}", s.changeUnit, ""},
	}, s.drawerScreens(), s.upkeepScreens(), s.workshopScreens())
}

// beside puts what a record cannot be beside the fields of a form; fields are named
// as in JSON. Whatever belongs to no field, and what somebody else has changed,
// is told under the name "form". Other errors are returned.
func beside(in *Input, err error) error {
	var invalid record.Invalid
	var stale *record.Stale
	var wrong bench.Wrong
	switch {
	case errors.As(err, &invalid):
		for _, w := range invalid {
			in.Wrong(w.Field, sentence(w.Message))
		}
	case errors.As(err, &wrong):
		in.Wrong("form", sentence(wrong.Error()))
	case errors.As(err, &stale):
		in.Wrong("form", sentence(stale.Error()))
	default:
		return err
	}
	return nil
}

// collection lists the units.
func (s *Server) collection(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	f := record.UnitFilter{Text: in.Text("q"), Standing: record.Standing(in.Text("standing")), OpenJobs: in.Text("open") != "", Order: in.Text("order")}
	f.After, f.Limit = in.Text("after"), 50
	if _, sent := in.values["standing"]; !sent {
		f.Standing = record.Kept
	}
	list, err := s.records.Units(r.Context(), f)
	if err != nil {
		return View{}, err
	}
	more := ""
	if list.Next != "" {
		q := url.Values{"q": {f.Text}, "standing": {string(f.Standing)}, "order": {f.Order}, "after": {list.Next}}
		if f.OpenJobs {
			q.Set("open", "yes")
		}
		more = "/collection?" + q.Encode()
	}
	fields := []look.Field{
		{Name: "q", Label: "Words", Value: f.Text, Hint: "Code, maker, model, serial, place, anything."},
		{Name: "standing", Label: "Standing", Kind: "select", Value: string(f.Standing), Options: standings()},
		{Name: "order", Label: "In order of", Kind: "select", Value: f.Order, Options: []look.Option{{Value: "", Text: "code"}, {Value: "name", Text: "name"}, {Value: "year", Text: "year"}, {Value: "changed", Text: "last change"}}},
		{Name: "open", Label: "With open jobs only", Kind: "check", Value: in.Text("open")},
	}
	return View{Title: "Collection", Place: "/collection", Body: collectionPage(list, fields, more, f)}, nil
}

// standings are the choices of a unit's standing, with all of them first.
func standings() []look.Option {
	list := []look.Option{{Value: "", Text: "all"}}
	for _, w := range record.Standings() {
		list = append(list, look.Option{Value: string(w), Text: string(w)})
	}
	return list
}

// listFile gives a whole list for a spreadsheet.
func (s *Server) listFile(r *http.Request) (View, error) {
	name, ok := strings.CutSuffix(r.PathValue("list"), ".csv")
	if names, _ := bench.Lists(); !ok || !slices.Contains(names, name) {
		return View{}, ErrNotFound
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	chosen := bench.Chosen{Text: in.Text("q"), Standing: record.Standing(in.Text("standing")), Open: in.Text("open") != "", Short: in.Text("short") != ""}
	list, err := bench.List(r.Context(), s.records, name, chosen)
	if err != nil {
		return View{}, err
	}
	var out bytes.Buffer
	if err := list.CSV(&out); err != nil {
		return View{}, err
	}
	return View{File: &File{Name: name + ".csv", Kind: "text/csv; charset=utf-8", Content: out.Bytes()}}, nil
}

// labels prints labels for units (?unit=3&unit=4) and bins (?bin=2), so many
// places of the first sheet left free (?skip=5).
func (s *Server) labels(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	ctx := r.Context()
	var tags []paper.Tag
	for _, text := range in.All("unit") {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return View{}, ErrNotFound
		}
		u, err := s.records.Unit(ctx, record.ID(id))
		if err != nil {
			return View{}, missing(err)
		}
		tags = append(tags, paper.Tag{Code: u.Code, Lines: compact(u.Name(), labelled("serial", u.Serial), yearText(u.Year)), Link: s.linkTo("/units/" + text)})
	}
	for _, text := range in.All("bin") {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return View{}, ErrNotFound
		}
		b, err := s.records.Bin(ctx, record.ID(id))
		if err != nil {
			return View{}, missing(err)
		}
		tags = append(tags, paper.Tag{Code: b.Code, Lines: compact(b.Place, b.Note), Link: s.linkTo("/drawer?bin=" + text)})
	}
	skip, err := strconv.Atoi(in.Text("skip"))
	if in.Text("skip") != "" && (err != nil || skip < 0 || skip > 23) {
		return View{}, Refused(http.StatusUnprocessableEntity, "The places to leave free are a number from 0 to 23.")
	}
	var out bytes.Buffer
	if err := paper.Tags(&out, paper.Sheet24, skip, tags); err != nil {
		return View{}, err
	}
	return View{File: &File{Name: "labels.pdf", Kind: "application/pdf", Content: out.Bytes()}}, nil
}

// linkTo is an address that a phone on the network can open, or the path alone.
func (s *Server) linkTo(path string) string {
	if list := s.phones(); len(list) > 0 {
		return list[0] + path
	}
	return path
}

// compact leaves out empty texts.
func compact(texts ...string) []string {
	return slices.DeleteFunc(texts, func(t string) bool { return strings.TrimSpace(t) == "" })
}

// labelled puts a word before a text, unless that is empty.
func labelled(word, text string) string {
	if text == "" {
		return ""
	}
	return word + " " + text
}

// yearText is a year, "" when it is not known.
func yearText(year int) string {
	if year == 0 {
		return ""
	}
	return strconv.Itoa(year)
}

// search looks through everything.
func (s *Server) search(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	text := in.Text("q")
	var hits []record.Hit
	if text != "" {
		if hits, err = s.records.Search(r.Context(), text, nil, 50); err != nil {
			return View{}, err
		}
	}
	return View{Title: "Search", Place: "/search", Body: searchPage(text, hits)}, nil
}

// pathOf is where a record is shown.
func pathOf(h record.Hit) string {
	switch h.Kind {
	case record.KindUnit:
		return fmt.Sprintf("/units/%d", h.ID)
	case record.KindJob:
		return fmt.Sprintf("/jobs/%d", h.ID)
	case record.KindEntry:
		return fmt.Sprintf("/jobs/%d/log?entry=%d#entry-%d", h.Job, h.ID, h.ID)
	case record.KindInstrument:
		return fmt.Sprintf("/settings/instruments/%d", h.ID)
	case record.KindStock, record.KindBin, record.KindOrder:
		return "/drawer"
	}
	switch {
	case h.Job != 0:
		return fmt.Sprintf("/jobs/%d", h.Job)
	case h.Unit != 0:
		return fmt.Sprintf("/units/%d", h.Unit)
	}
	return "/library"
}
