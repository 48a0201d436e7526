package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/recording"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
	"halfsplit/trace/table"
)

// Limits of a trace that is sent in: a gigabyte is forty million readings as text.
const (
	traceUpload = 1 << 30
	traceKept   = 4 << 30
	traceWait   = 30 * time.Minute
)

// traceMedia is the media type of a trace in the program's own form.
const traceMedia = "application/vnd.halfsplit.trace"

// isTraceUpload tells whether a request sends a trace, which is larger than any
// form and takes longer.
func isTraceUpload(r *http.Request) bool {
	return r.Method == http.MethodPost && strings.HasPrefix(r.URL.Path, "/jobs/") && strings.HasSuffix(r.URL.Path, "/traces")
}

// tracePages are the screens of what was recorded.
func (s *Server) tracePages() []Page {
	if s.records == nil {
		return nil
	}
	return []Page{
		{"GET /jobs/{job}/traces", s.tracesScreen, ""},
		{"POST /jobs/{job}/traces", s.takeTrace, ""},
		{"GET /traces/{trace}", s.traceScreen, ""},
		{"POST /traces/{trace}/stop", s.stopSearch, ""},
		{"POST /traces/{trace}/entry", s.traceEntry, ""},
	}
}

// tracesScreen lists the traces of a job.
func (s *Server) tracesScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.tracesView(r.Context(), v, blank())
}

func (s *Server) tracesView(ctx context.Context, v *jobView, in *Input) (View, error) {
	list, err := s.records.Traces(ctx, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Traces", Place: "/collection", Back: v.back(), Body: tracesPage(v, list, in), Status: in.Status()}, nil
}

// takeTrace keeps a trace that was sent: the file as it came, and the trace made of
// it.
func (s *Server) takeTrace(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	if r.MultipartForm != nil {
		defer r.MultipartForm.RemoveAll()
	}
	name, note := in.Text("name"), in.Text("note")
	var options table.Options
	if rate := in.Text("interval"); rate != "" {
		if q := in.Figure("interval", quantity.Second); q != nil {
			options.Interval = *q
			if !(*q > 0) {
				in.Wrong("interval", "The time between two readings is more than zero, as in 0.1 s.")
			}
		}
	}
	sent, head, err := r.FormFile("file")
	if err != nil {
		in.Wrong("file", "Choose the file that the logger, meter or scope wrote.")
		return s.tracesView(r.Context(), v, in)
	}
	defer sent.Close()
	if name == "" {
		name = strings.TrimSuffix(head.Filename, filepath.Ext(head.Filename))
	}
	if !in.OK() {
		return s.tracesView(r.Context(), v, in)
	}
	t := record.Trace{Job: v.Job.ID, Name: name, Note: note}
	if err := s.keepTrace(r.Context(), &t, sent, head.Filename, options); err != nil {
		var unread unreadable
		if errors.As(err, &unread) {
			in.Wrong("file", sentence(unread.Error()))
		} else if !told(in, "file", err) {
			return View{}, err
		}
		return s.tracesView(r.Context(), v, in)
	}
	s.hub.Publish(v.topic())
	return View{Go: fmt.Sprintf("/traces/%d", t.ID), Said: fmt.Sprintf("Kept: %s, %s readings of %s.", t.Name, grouped(t.Rows), strings.Join(t.Channels, ", "))}, nil
}

// unreadable is the error of a file that cannot be read as a trace.
type unreadable struct{ error }

// keepTrace makes a trace of a file and keeps both.
func (s *Server) keepTrace(ctx context.Context, t *record.Trace, from io.Reader, name string, how table.Options) error {
	folder, err := os.MkdirTemp("", "trace-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	source := filepath.Join(folder, plainName(name))
	if err := copyTo(source, from); err != nil {
		return err
	}
	made := filepath.Join(folder, "made.trace")
	found, err := recording.Import(ctx, source, made, recording.Reading{Table: how})
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return unreadable{errors.New(strings.ReplaceAll(err.Error(), source+": ", ""))}
	}
	read, err := recording.Open(ctx, made, recording.Reading{})
	if err != nil {
		return err
	}
	t.Channels, t.Rows, t.Seconds, t.Taken = found.Channels, found.Rows, read.End()-read.Begin(), read.Head.Origin
	if err := read.Close(); err != nil {
		return err
	}
	if t.Taken.IsZero() {
		t.Taken = s.now()
	}
	for _, one := range []struct {
		path, media string
		hash        *record.Hash
	}{{source, "text/csv", &t.Source}, {made, traceMedia, &t.File}} {
		file, err := s.putFile(ctx, one.path, one.media)
		if err != nil {
			return err
		}
		*one.hash = file.Hash
	}
	return s.records.SaveTrace(ctx, t)
}

// putFile keeps a file of the disk.
func (s *Server) putFile(ctx context.Context, path, media string) (record.File, error) {
	in, err := os.Open(path)
	if err != nil {
		return record.File{}, err
	}
	defer in.Close()
	return s.records.PutFile(ctx, in, media, traceKept)
}

// copyTo writes a new file.
func copyTo(path string, from io.Reader) error {
	out, err := os.Create(path)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, from)
	return errors.Join(err, out.Close())
}

// plainName makes the name of a file that was sent into one that is safe here.
func plainName(name string) string {
	name = strings.Map(func(c rune) rune {
		if c < ' ' || c > '~' || strings.ContainsRune(`"\/;:*?<>|`, c) {
			return '-'
		}
		return c
	}, filepath.Base(name))
	if name = strings.TrimLeft(name, "."); name == "" || len(name) > 120 {
		return "recording.csv"
	}
	return name
}

// traceView is a trace as its screen shows it.
type traceView struct {
	*jobView
	Trace  *traceHead
	Limits string // that are asked for
	Asked  question
	Search *search // nil when nothing was asked
	stamp  func(float64) string
}

// found is what was found, nil while nothing is.
func (v *traceView) found() *happened {
	if v.Search == nil || !v.Search.over() || v.Search.problem != nil {
		return nil
	}
	return v.Search.found
}

// address gives the path of the screen of the trace with what is asked.
func (v *traceView) address() string {
	return fmt.Sprintf("/traces/%d?%s", v.Trace.ID, url.Values{"channel": {v.Asked.channel}, "limits": {v.Asked.limits}, "thermometer": {v.Asked.thermometer}}.Encode())
}

// script is what the script of the screen needs to know.
func (v *traceView) script() string {
	type part struct {
		ID       record.ID      `json:"id"`
		Begin    float64        `json:"begin"`
		End      float64        `json:"end"`
		Origin   *int64         `json:"origin"` // ms since 1970, of the clock of the recording
		Channels []traceChannel `json:"channels"`
		Channel  string         `json:"channel"`
		Low      *float64       `json:"low"`
		High     *float64       `json:"high"`
		Marks    []traceMark    `json:"marks"`
		Curve    *traceCurve    `json:"curve"`
	}
	p := part{ID: v.Trace.ID, Begin: v.Trace.Begin, End: v.Trace.End, Channels: v.Trace.Shown, Channel: v.Asked.channel, Marks: v.found().marks(), Curve: v.found().curve()}
	for _, c := range v.Trace.Shown {
		if c.Name != v.Asked.channel {
			continue
		}
		if i, err := quantity.ParseIntervalAs(v.Asked.limits, quantity.Unit(c.Unit)); err == nil {
			p.Low, p.High = finite(&i.Low), finite(&i.High)
		}
	}
	text, err := json.Marshal(p)
	if err != nil {
		return "{}" // every number in it is finite
	}
	return string(text)
}

// traceViewOf reads the trace of a request, its job, and what is asked of it.
func (s *Server) traceViewOf(r *http.Request, in *Input) (*traceView, error) {
	id, err := number(r, "trace")
	if err != nil {
		return nil, err
	}
	v := &traceView{}
	if v.Trace, err = s.traceOf(r.Context(), id); err != nil {
		return nil, missing(err)
	}
	r.SetPathValue("job", fmt.Sprint(v.Trace.Job))
	if v.jobView, err = s.workOf(r); err != nil {
		return nil, err
	}
	v.stamp = timesWithin(v.Trace.Begin, v.Trace.End)
	v.Asked = question{trace: id, channel: in.Text("channel"), limits: in.Text("limits"), thermometer: in.Text("thermometer")}
	return v, nil
}

// traceScreen shows a trace, and what happened in it once that is asked.
func (s *Server) traceScreen(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	v, err := s.traceViewOf(r, in)
	if err != nil {
		return View{}, err
	}
	return s.traceView(v, in), nil
}

func (s *Server) traceView(v *traceView, in *Input) View {
	asked := v.Asked.channel != ""
	if !asked {
		v.Asked.channel = v.Trace.Shown[0].Name
		v.Asked.limits = v.expected(v.Asked.channel)
		in = &Input{map[string][]string{"channel": {v.Asked.channel}, "limits": {v.Asked.limits}}, in.problems}
	} else if at := v.channel(v.Asked.channel); at < 0 {
		in.Wrong("channel", "The trace has no such channel.")
	} else if v.Asked.limits != "" {
		if _, err := quantity.ParseIntervalAs(v.Asked.limits, quantity.Unit(v.Trace.Shown[at].Unit)); err != nil {
			in.Wrong("limits", sentence(err.Error()))
		}
	}
	if v.Asked.thermometer != "" && v.channel(v.Asked.thermometer) < 0 {
		in.Wrong("thermometer", "The trace has no such channel.")
	}
	if asked && in.OK() {
		v.Search = s.searchOf(v.Asked, v.Trace.Trace)
	}
	return View{Title: v.Trace.Name, Place: "/collection", Back: look.Link{Text: "Traces of the job", Path: v.path("/traces")},
		Body: tracePage(v, in), Status: in.Status(), Wide: true, Scripts: []string{"bundle-traces.js"}}
}

// channel is the place of a channel, or -1.
func (v *traceView) channel(name string) int {
	for i, c := range v.Trace.Shown {
		if c.Name == name {
			return i
		}
	}
	return -1
}

// expected gives the limits of the sheet for the place of a channel's name, empty
// when it has none.
func (v *traceView) expected(name string) string {
	if v.Work == nil {
		return ""
	}
	at := v.channel(name)
	for _, try := range []string{name, strings.TrimSuffix(name, " V"), strings.ReplaceAll(name, " ", "")} {
		x, err := findings.Expected(v.Work.Sheet, try)
		if err == nil && at >= 0 && string(x.Value.Unit) == v.Trace.Shown[at].Unit && !(math.IsInf(x.Limit.Low, 0) && math.IsInf(x.Limit.High, 0)) {
			return quantity.Interval{Low: x.Limit.Low, High: x.Limit.High, Unit: x.Value.Unit}.String()
		}
	}
	return ""
}

// options are the channels to choose from.
func (v *traceView) options(none string) []look.Option {
	var list []look.Option
	if none != "" {
		list = append(list, look.Option{Text: none})
	}
	for _, c := range v.Trace.Shown {
		text := c.Name
		if c.Unit != "" {
			text += " in " + c.Unit
		}
		list = append(list, look.Option{Value: c.Name, Text: text})
	}
	return list
}

// stopSearch stops looking for what happened.
func (s *Server) stopSearch(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	v, err := s.traceViewOf(r, in)
	if err != nil {
		return View{}, err
	}
	s.forget(v.Asked)
	s.hub.Publish(topic(record.KindTrace, v.Trace.ID))
	return View{Go: fmt.Sprintf("/traces/%d", v.Trace.ID), Said: "Stopped."}, nil
}

// traceEntry writes a run that was found in a trace into the logbook.
func (s *Server) traceEntry(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	v, err := s.traceViewOf(r, in)
	if err != nil {
		return View{}, err
	}
	line := in.Need("line", "There is nothing to write.")
	if in.OK() {
		e := &record.Entry{Job: v.Job.ID, Key: in.Key(), Line: line, At: s.now().Add(-in.Waited()), Traces: []record.ID{v.Trace.ID}}
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			s.hub.Publish(v.topic())
			return View{Go: v.address(), Said: "Written: " + bench.Said(e) + "."}, nil
		} else if !told(in, "line", err) {
			return View{}, err
		}
	}
	return s.traceView(v, in), nil
}

// entries are the runs of a trace as lines of the logbook.
func (h *happened) entries() []string {
	var list []string
	for _, e := range h.Events.Entries {
		list = append(list, strings.TrimPrefix(e, "- "))
	}
	return list[:min(len(list), 20)]
}

// saidLine tells a line of the logbook in words.
func saidLine(line string) string { return bench.Said(&record.Entry{Line: line}) }

// timesWithin writes times within a trace alike: as a clock where it runs for minutes,
// else in seconds.
func timesWithin(begin, end float64) func(float64) string {
	if max(math.Abs(begin), math.Abs(end)) < 120 {
		return func(t float64) string { return quantity.FormatDigits(t, quantity.Second, 5) }
	}
	return func(t float64) string {
		sign := ""
		if t < 0 {
			sign, t = "−", -t
		}
		seconds := int64(math.Round(t))
		return fmt.Sprintf("%s%d:%02d:%02d", sign, seconds/3600, seconds/60%60, seconds%60)
	}
}

// grouped writes a count with thin spaces between its thousands.
func grouped(n int64) string {
	text := fmt.Sprint(n)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + " " + text[at:]
	}
	return text
}
