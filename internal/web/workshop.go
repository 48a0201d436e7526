package web

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
)

// workshopScreens are the settings of the workshop and its instruments.
func (s *Server) workshopScreens() []Page {
	return []Page{
		{"GET /settings/workshop", s.workshop, "/settings/workshop"},
		{"POST /settings/workshop", s.saveWorkshop, ""},
		{"GET /settings/instruments", s.instruments, "/settings/instruments"},
		{"GET /settings/instruments/new", s.newInstrument, "/settings/instruments/new"},
		{"POST /settings/instruments", s.addInstrument, ""},
		{"GET /settings/instruments/{instrument}", s.editInstrument, "/settings/instruments/1"},
		{"POST /settings/instruments/{instrument}", s.changeInstrument, ""},
		{"POST /settings/instruments/{instrument}/remove", s.removeInstrument, ""},
	}
}

// workshop shows the settings.
func (s *Server) workshop(r *http.Request) (View, error) {
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	return workshopView(settings, blank()), nil
}

func workshopView(settings record.Settings, in *Input) View {
	return View{Title: "Workshop", Place: "/settings", Back: look.Link{Text: "Settings", Path: "/settings"}, Body: workshopPage(settings, in), Status: in.Status()}
}

// saveWorkshop saves the settings.
func (s *Server) saveWorkshop(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	settings.Revision = in.whole("revision", "")
	settings.Workshop, settings.Prefix, settings.Currency, settings.Caution = in.Text("workshop"), in.Text("prefix"), in.Text("currency"), in.Text("caution")
	settings.Mains, settings.Frequency = valueOf(in.Figure("mains_volts", quantity.Volt)), valueOf(in.Figure("mains_hertz", quantity.Hertz))
	settings.Temperature = in.plain("temperature_celsius", "Write degrees Celsius as a number, such as 18.")
	settings.HoursPerDay = in.plain("hours_per_day", "Write hours a day as a number, such as 2.")
	settings.People = nil
	for _, name := range strings.FieldsFunc(in.Text("people"), func(c rune) bool { return c == ',' || c == '\n' || c == ';' }) {
		if name = strings.TrimSpace(name); name != "" {
			settings.People = append(settings.People, name)
		}
	}
	if in.OK() {
		if err := beside(in, s.records.SaveSettings(r.Context(), &settings)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return workshopView(settings, in), nil
	}
	return View{Go: "/settings", Said: "Saved."}, nil
}

// instruments lists the meters.
func (s *Server) instruments(r *http.Request) (View, error) {
	list, err := s.records.Instruments(r.Context())
	if err != nil {
		return View{}, err
	}
	return View{Title: "Instruments", Place: "/settings", Back: look.Link{Text: "Settings", Path: "/settings"}, Body: instrumentsPage(list, s.now())}, nil
}

func (s *Server) newInstrument(r *http.Request) (View, error) {
	return instrumentView(record.Instrument{}, blank()), nil
}

func (s *Server) editInstrument(r *http.Request) (View, error) {
	id, err := number(r, "instrument")
	if err != nil {
		return View{}, err
	}
	m, err := s.records.Instrument(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return instrumentView(m, blank()), nil
}

func instrumentView(m record.Instrument, in *Input) View {
	return View{Title: "Instrument", Place: "/settings", Back: look.Link{Text: "Instruments", Path: "/settings/instruments"}, Body: instrumentPage(m, in), Status: in.Status()}
}

func (s *Server) addInstrument(r *http.Request) (View, error) {
	return s.saveInstrument(r, record.Instrument{})
}

func (s *Server) changeInstrument(r *http.Request) (View, error) {
	id, err := number(r, "instrument")
	if err != nil {
		return View{}, err
	}
	m, err := s.records.Instrument(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return s.saveInstrument(r, m)
}

// saveInstrument saves what was typed, once its accuracies can be read.
func (s *Server) saveInstrument(r *http.Request, m record.Instrument) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	if m.ID != 0 {
		m.Revision = in.whole("revision", "")
	}
	m.Name, m.Line, m.Address, m.Note = in.Text("name"), in.Text("line"), in.Text("address"), in.Text("note")
	m.Calibrated, m.Due = record.Day(in.Text("calibrated")), record.Day(in.Text("due"))
	if err := bench.CheckMeter(m); err != nil {
		in.Wrong("line", sentence(err.Error()))
	}
	if in.OK() {
		if err := beside(in, s.records.SaveInstrument(r.Context(), &m)); err != nil {
			return View{}, err
		}
	}
	if !in.OK() {
		return instrumentView(m, in), nil
	}
	return View{Go: "/settings/instruments", Said: m.Name + " is kept."}, nil
}

// removeInstrument removes a meter that no entry names.
func (s *Server) removeInstrument(r *http.Request) (View, error) {
	id, err := number(r, "instrument")
	if err != nil {
		return View{}, err
	}
	in := blank()
	if err := beside(in, s.records.RemoveInstrument(r.Context(), id)); err != nil {
		return View{}, missing(err)
	}
	if !in.OK() {
		return View{Go: fmt.Sprintf("/settings/instruments/%d", id), Said: in.problems["form"]}, nil
	}
	return View{Go: "/settings/instruments", Said: "Removed."}, nil
}

// overdue reports whether the calibration of a meter is due.
func overdue(m record.Instrument, now time.Time) bool {
	due, ok := m.Due.Begins()
	return ok && !due.After(now)
}

// benchToday is what stands on the first screen.
type benchToday struct {
	settings record.Settings
	jobs     []record.JobRow
	needs    int
	short    int
	due      []record.Instrument
	queue    []next
	units    int
}

// lookAtToday gathers what is next.
func (s *Server) lookAtToday(ctx context.Context) (*benchToday, error) {
	t := &benchToday{}
	var err error
	if t.settings, err = s.records.Settings(ctx); err != nil {
		return nil, err
	}
	open := true
	jobs, err := s.records.Jobs(ctx, record.JobFilter{Open: &open, Page: record.Page{Limit: 30}})
	if err != nil {
		return nil, err
	}
	t.jobs = jobs.Items
	needs, err := s.records.Needs(ctx, 0)
	if err != nil {
		return nil, err
	}
	for _, n := range needs {
		if n.Progress == record.Wanted {
			t.needs++
		}
	}
	short, err := s.records.Stocks(ctx, record.StockFilter{Short: true, Page: record.Page{Limit: 1}})
	if err != nil {
		return nil, err
	}
	t.short = short.Total
	meters, err := s.records.Instruments(ctx)
	if err != nil {
		return nil, err
	}
	for _, m := range meters {
		if overdue(m, s.now()) {
			t.due = append(t.due, m)
		}
	}
	places, terms, err := s.ranked(ctx)
	if err != nil {
		return nil, err
	}
	t.units = len(places)
	t.queue, err = s.reasons(ctx, places, terms, 0, 3)
	return t, err
}
