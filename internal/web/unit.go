package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
)

// labelsOf is where the labels of units are printed.
func labelsOf(list []record.UnitRow) string {
	q := url.Values{}
	for _, u := range list {
		q.Add("unit", strconv.FormatInt(int64(u.ID), 10))
	}
	return "/labels?" + q.Encode()
}

// unit shows a unit with its jobs.
func (s *Server) unit(r *http.Request) (View, error) {
	id, err := number(r, "unit")
	if err != nil {
		return View{}, err
	}
	u, err := s.records.Unit(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	jobs, err := s.records.Jobs(r.Context(), record.JobFilter{Unit: id, Order: "opened", Page: record.Page{Limit: 500}})
	if err != nil {
		return View{}, err
	}
	photos, err := s.records.Photos(r.Context(), id, 0)
	if err != nil {
		return View{}, err
	}
	return View{Title: u.Code + " " + u.Name(), Place: "/collection", Back: look.Link{Text: "Collection", Path: "/collection"}, Body: unitPage(u, jobs.Items, photos)}, nil
}

// unitForm is a form about a unit.
type unitForm struct {
	unit   record.Unit
	in     *Input
	sheets []look.Option
	people []string
}

// newUnit shows the form of a unit to be taken in.
func (s *Server) newUnit(r *http.Request) (View, error) {
	return s.unitView(r, record.Unit{Standing: record.Kept}, blank())
}

// editUnit shows the form of a unit.
func (s *Server) editUnit(r *http.Request) (View, error) {
	id, err := number(r, "unit")
	if err != nil {
		return View{}, err
	}
	u, err := s.records.Unit(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return s.unitView(r, u, blank())
}

// unitView is the form, with what was typed and what is wrong with it.
func (s *Server) unitView(r *http.Request, u record.Unit, in *Input) (View, error) {
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	sheets, err := s.records.Sheets(r.Context())
	if err != nil {
		return View{}, err
	}
	form := unitForm{unit: u, in: in, people: settings.People, sheets: []look.Option{{Value: "", Text: "none yet"}}}
	for _, one := range sheets {
		form.sheets = append(form.sheets, look.Option{Value: one.Name, Text: one.Title + " (" + one.Name + ")"})
	}
	view := View{Title: "Take in a unit", Place: "/collection", Back: look.Link{Text: "Collection", Path: "/collection"}, Body: unitFormPage(form), Status: in.Status()}
	if u.ID != 0 {
		view.Title, view.Back = "Change "+u.Code, look.Link{Text: u.Code, Path: fmt.Sprintf("/units/%d", u.ID)}
	}
	return view, nil
}

// readUnit reads the form into a unit.
func readUnit(in *Input, u *record.Unit) {
	u.Code, u.Maker, u.Model, u.Serial = in.Text("code"), in.Text("maker"), in.Text("model"), in.Text("serial")
	u.Owner, u.Source, u.Place, u.History, u.Note = in.Text("owner"), in.Text("source"), in.Text("place"), in.Text("history"), in.Text("note")
	u.Sheet, u.LastOn, u.Standing = in.Text("sheet"), record.Day(in.Text("last_on")), record.Standing(in.Text("standing"))
	u.Year = in.whole("year", "Write the year with four digits, such as 1981, or leave it empty.")
	u.Mains = valueOf(in.Figure("mains_volts", quantity.Volt))
	u.HoursPerDay = in.plain("hours_per_day", "Write hours a day as a number, such as 2, or leave it empty.")
	u.Temperature = nil
	if in.Text("temperature_celsius") != "" {
		t := in.plain("temperature_celsius", "Write degrees Celsius as a number, such as 18.")
		u.Temperature = &t
	}
	u.Fitted = nil
	names := in.All("fitted_name")
	at := func(name string, i int) string {
		if list := in.All(name); i < len(list) {
			return list[i]
		}
		return ""
	}
	for i, name := range names {
		f := record.Fitted{Name: name, What: at("fitted_what", i), Marking: at("fitted_marking", i), DateCode: at("fitted_date", i),
			Original: record.Originality(at("fitted_original", i)), Since: record.Day(at("fitted_since", i)), Note: at("fitted_note", i)}
		if f.Name != "" || f.Marking != "" || f.DateCode != "" || f.Note != "" {
			u.Fitted = append(u.Fitted, f)
		}
	}
	u.Revision = in.whole("revision", "")
}

// valueOf is a value that was given, 0 for none.
func valueOf(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}

// whole reads a whole number, 0 when the field is empty.
func (in *Input) whole(name, advice string) int {
	text := in.Text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		in.Wrong(name, advice)
	}
	return n
}

// plain reads a number without a unit, 0 when the field is empty.
func (in *Input) plain(name, advice string) float64 {
	text := in.Text(name)
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v != v {
		in.Wrong(name, advice)
		return 0
	}
	return v
}

// addUnit takes a unit in.
func (s *Server) addUnit(r *http.Request) (View, error) { return s.saveUnit(r, record.Unit{}) }

// changeUnit changes what is known of a unit.
func (s *Server) changeUnit(r *http.Request) (View, error) {
	id, err := number(r, "unit")
	if err != nil {
		return View{}, err
	}
	u, err := s.records.Unit(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return s.saveUnit(r, u)
}

// saveUnit saves what was typed; when it cannot, the form is shown again.
func (s *Server) saveUnit(r *http.Request, u record.Unit) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	readUnit(in, &u)
	if in.OK() {
		if err := beside(in, s.records.SaveUnit(r.Context(), &u)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return s.unitView(r, u, in)
	}
	said := "Saved."
	if u.Revision == 1 {
		said = u.Code + " is taken in."
	}
	return View{Go: fmt.Sprintf("/units/%d", u.ID), Said: said}, nil
}
