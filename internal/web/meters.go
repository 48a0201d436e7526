package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/watch"
	"halfsplit/internal/web/look"
	"halfsplit/metrology"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// meterPages are the screens of live meters.
func (s *Server) meterPages() []Page {
	if s.records == nil {
		return nil
	}
	return []Page{
		{"GET /meters", s.metersScreen, "/meters"},
		{"POST /meters/{meter}/write", s.writeMeter, ""},
	}
}

// wantedMeter reads the address of an instrument, with what it is set to, as in
// 192.168.1.20 measure=temperature (docs/meters.md).
func wantedMeter(i record.Instrument) (watch.Wanted, error) {
	w, err := watch.ParseWanted("meter="+i.Address, false)
	if err == nil && w.Pretend {
		err = errors.New("a pretended meter has no place in the records; write where the meter is")
	}
	if err != nil {
		return w, errors.New(strings.TrimPrefix(err.Error(), `meter "meter": `))
	}
	w.Name = i.Name
	return w, nil
}

// liveMeter is a meter as its screen shows it.
type liveMeter struct {
	Instrument record.Instrument
	Measures   string
	Place      string // of the job's sheet, that it is held to
	Problem    string // why it cannot be read or judged

	wanted  watch.Wanted
	channel *watch.Channel
}

// metersView is the screen of live meters.
type metersView struct {
	Job    *jobView // nil when none is chosen
	Jobs   []look.Option
	Places []look.Option
	Meters []*liveMeter
	in     *Input
}

// field is the name of the field that holds the place of a meter.
func (m *liveMeter) field() string { return fmt.Sprintf("place%d", m.Instrument.ID) }

// query is the address of what is chosen.
func (v *metersView) query() string {
	q := url.Values{}
	if v.Job != nil {
		q.Set("job", fmt.Sprint(v.Job.Job.ID))
	}
	for _, m := range v.Meters {
		if m.Place != "" {
			q.Set(m.field(), m.Place)
		}
	}
	return q.Encode()
}

// metersOf reads which meters there are, and against what they are held.
func (s *Server) metersOf(r *http.Request, in *Input) (*metersView, error) {
	v := &metersView{in: in, Jobs: []look.Option{{Text: "none"}}, Places: []look.Option{{Text: "not held to anything"}}}
	open := true
	jobs, err := s.records.Jobs(r.Context(), record.JobFilter{Open: &open, Page: record.Page{Limit: 200}})
	if err != nil {
		return nil, err
	}
	for _, j := range jobs.Items {
		v.Jobs = append(v.Jobs, look.Option{Value: fmt.Sprint(j.ID), Text: j.UnitCode + " " + j.UnitName + ": " + j.Title})
	}
	if id := in.Text("job"); id != "" {
		r.SetPathValue("job", id)
		if v.Job, err = s.workOf(r); err != nil {
			return nil, err
		}
	}
	var on *sheet.Sheet
	if v.Job != nil && v.Job.Work != nil {
		on = v.Job.Work.Sheet
		all := v.Job.places()
		for _, p := range slices.Concat(all.Points, all.Rails) {
			text := p.Name
			if p.Expects != "" {
				text += ", " + p.Expects
			}
			v.Places = append(v.Places, look.Option{Value: p.Name, Text: text})
		}
	}
	instruments, err := s.records.Instruments(r.Context())
	if err != nil {
		return nil, err
	}
	for _, i := range instruments {
		if i.Address != "" {
			v.Meters = append(v.Meters, meterOf(i, in, on))
		}
	}
	return v, nil
}

// meterOf makes a meter ready, held to a place of a sheet.
func meterOf(i record.Instrument, in *Input, on *sheet.Sheet) *liveMeter {
	m := &liveMeter{Instrument: i}
	if on != nil {
		m.Place = in.Text(m.field())
	}
	var err error
	if m.wanted, err = wantedMeter(i); err != nil {
		m.Problem = sentence(err.Error())
		return m
	}
	m.Measures = m.wanted.Setup.Function.Name
	held := m.wanted
	if accuracy, ok := accuracyOf(i); ok {
		held.With = accuracy
	}
	if m.Place != "" {
		held.Name, held.Limits = m.Place, ""
	} else {
		on = nil
	}
	c, err := watch.NewChannel(held, on)
	if err != nil {
		m.Problem = sentence(strings.TrimPrefix(err.Error(), fmt.Sprintf("meter %q: ", held.Name)))
		c, err = watch.NewChannel(held, nil)
		if err != nil {
			return m
		}
	}
	m.channel = &c
	return m
}

// accuracyOf finds the usual instrument whose accuracy the line of an instrument
// takes: {like: bench 6½-digit multimeter, ...}.
func accuracyOf(i record.Instrument) (metrology.Instrument, bool) {
	for _, usual := range metrology.Instruments() {
		if strings.Contains(i.Line, usual.Name) {
			return usual, true
		}
	}
	return metrology.Instrument{}, false
}

// metersScreen shows what the meters show now.
func (s *Server) metersScreen(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	v, err := s.metersOf(r, in)
	if err != nil {
		return View{}, err
	}
	return s.metersView(v), nil
}

func (s *Server) metersView(v *metersView) View {
	view := View{Title: "Meters", Place: "/meters", Body: metersPage(v), Status: v.in.Status(), Scripts: []string{"bundle-meters.js"}}
	if v.Job != nil {
		view.Back = v.Job.back()
	}
	return view
}

// shownReading is what a meter shows, ready to be shown.
type shownReading struct {
	ID      record.ID
	Figure  string
	Verdict look.Verdict
	Words   string // of the verdict
	Rail    *look.Rail
	Trouble string
	At      time.Time
	Writes  string // as it would be written into the logbook; empty when there is nothing to write
}

// show makes a reading ready to be shown.
func (m *liveMeter) show(l liveReading) shownReading {
	r := shownReading{ID: m.Instrument.ID, Verdict: look.Open, At: l.At, Trouble: l.Trouble}
	unit := m.wanted.Setup.Function.Unit
	switch {
	case l.Number == 0:
		r.Figure, r.Words = "…", "connecting"
		return r
	case l.Trouble != "":
		r.Figure, r.Words, r.Trouble = "no reading", "not connected", sentence(l.Trouble)+" It is tried again by itself."
		return r
	case l.State == watch.Overload || l.State == watch.NegativeOverload:
		r.Figure, r.Words = "overload", "more than the meter can show"
		return r
	case l.State != watch.Measured:
		r.Figure, r.Words = "no value", "the meter has no reading"
		return r
	}
	r.Figure = steady(l.Value, unit)
	r.Writes = steady(l.Value, unit)
	if m.wanted.Setup.Function.Kind == metrology.ACVolts {
		r.Writes += " AC"
	}
	if m.channel == nil {
		return r
	}
	d := m.channel.Judge(l.Value)
	if d == nil {
		return r
	}
	r.Verdict, r.Words = verdictOf(d.Word.String()), ""
	rail := look.Rail{Name: m.Place, Verdict: r.Verdict, Reading: l.Value, Uncertainty: d.Expanded, ReadingText: r.Figure, Low: finite(&d.Limit.Low), High: finite(&d.Limit.High), Why: d.Limit.Source}
	if math.IsInf(rail.Uncertainty, 0) || math.IsNaN(rail.Uncertainty) {
		rail.Uncertainty = 0
	}
	if rail.Low != nil {
		rail.LowText = quantity.FormatDigits(*rail.Low, unit, 4)
	}
	if rail.High != nil {
		rail.HighText = quantity.FormatDigits(*rail.High, unit, 4)
	}
	r.Rail = &rail
	return r
}

// steady writes a value so that its figures do not jump about.
func steady(v float64, unit quantity.Unit) string {
	if v == 0 {
		return strings.TrimSpace("0 " + string(unit))
	}
	return quantity.FormatDigits(v, unit, 5)
}

// writeMeter writes what was shown into the logbook.
func (s *Server) writeMeter(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	id, err := number(r, "meter")
	if err != nil {
		return View{}, err
	}
	v, err := s.metersOf(r, in)
	if err != nil {
		return View{}, err
	}
	at := slices.IndexFunc(v.Meters, func(m *liveMeter) bool { return m.Instrument.ID == id })
	if at < 0 {
		return View{}, ErrNotFound
	}
	m := v.Meters[at]
	reads := in.Need("reads", "There is no reading to write yet.")
	switch {
	case v.Job == nil:
		in.Wrong("reads", "Choose a job first.")
	case m.Place == "":
		in.Wrong("reads", "Choose first where the leads are.")
	}
	if in.OK() {
		e := &record.Entry{Job: v.Job.Job.ID, Key: in.Key(), At: s.now().Add(-in.Waited()), Instrument: id,
			Line: bench.Line(bench.Field{Key: "measure", Value: m.Place}, bench.Field{Key: "reads", Value: reads}, bench.Field{Key: "with", Value: m.Instrument.Name})}
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			s.hub.Publish(v.Job.topic())
			return View{Go: "/meters?" + v.query(), Said: "Written: " + bench.Said(e) + "."}, nil
		} else if !told(in, "reads", err) {
			return View{}, err
		}
	}
	if text := in.problems["reads"]; text != "" {
		m.Problem = text
	}
	return s.metersView(v), nil
}

// meterStream sends what the meters show, as server-sent events, as long as
// somebody looks: for each meter the part of the screen that shows it.
func (s *Server) meterStream(w http.ResponseWriter, r *http.Request) {
	in, err := Read(r)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	v, err := s.metersOf(r, in)
	if err != nil {
		status := http.StatusInternalServerError
		if errors.Is(err, ErrNotFound) {
			status = http.StatusNotFound
		}
		http.Error(w, "The meters cannot be shown.", status)
		return
	}
	control := http.NewResponseController(w)
	send := func(text string) bool {
		if err := control.SetWriteDeadline(time.Now().Add(10 * time.Second)); err != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return control.Flush() == nil
	}
	ctx, stop := context.WithCancel(r.Context())
	defer stop()
	shown := make(chan string)
	live := 0
	for _, m := range v.Meters {
		if m.channel == nil {
			continue // what is wrong with it stands on the screen
		}
		read, leave, err := s.meters.look(m.Instrument, s.now)
		if err != nil {
			http.Error(w, sentence(err.Error()), http.StatusServiceUnavailable)
			return
		}
		defer leave()
		live++
		go streamMeter(ctx, m, read, shown)
	}
	if live == 0 {
		w.WriteHeader(http.StatusNoContent) // the browser does not ask again
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if !send("retry: 2000\n\n") {
		return
	}
	beat := time.NewTicker(pulse)
	defer beat.Stop()
	for {
		text := ": \n\n"
		select {
		case <-ctx.Done():
			return
		case <-s.stopping:
			return
		case text = <-shown:
		case <-beat.C:
			if d, err := s.devices.DeviceByToken(ctx, DeviceOf(ctx).Token); err != nil || !d.Revoked.IsZero() {
				return // shut out meanwhile
			}
		}
		if !send(text) {
			return
		}
	}
}

// streamMeter hands over what one meter shows; what is not taken in time is left
// out for what it shows next.
func streamMeter(ctx context.Context, m *liveMeter, read *meterRead, to chan<- string) {
	for {
		l, changed := read.now()
		select {
		case to <- meterEvent(ctx, m.show(l)):
		case <-ctx.Done():
			return
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return
		}
	}
}

// meterEvent writes what a meter shows as an event.
func meterEvent(ctx context.Context, r shownReading) string {
	var html bytes.Buffer
	if err := meterNow(r).Render(ctx, &html); err != nil {
		return ": \n\n" // the look has ended
	}
	text, err := json.Marshal(map[string]string{"part": fmt.Sprintf("meter-now-%d", r.ID), "html": html.String()})
	if err != nil {
		return ": \n\n" // texts can always be written
	}
	return "data: " + string(text) + "\n\n"
}

// writeForm is the name of the form that writes the reading of a meter.
func writeForm(id record.ID) string { return fmt.Sprintf("write-%d", id) }
