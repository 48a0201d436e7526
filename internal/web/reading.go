package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/logbook"
)

// readingForm is what a reading is entered with.
type readingForm struct {
	At       string
	Unit     string
	Expects  string
	Where    string
	Care     string
	in       *Input
	state    remembered
	meters   []record.Instrument
	people   []string
	held     []findings.Hazard
	judged   *readingJudged
	proposal *findings.Proposal
}

// remembered is the state of the unit as the last reading told it.
type remembered struct {
	OnFor, Warm, Load, Without, With, Who string
	Hint                                  string
}

// remember takes the state from the last reading. The time since switching on
// goes on while the unit stays on.
func (v *jobView) remember(now time.Time) remembered {
	var m remembered
	for i := len(v.Log) - 1; i >= 0; i-- {
		one := &v.Log[i]
		if m.Who == "" {
			m.Who = one.Who
		}
		if one.Verb != "measure" || one.CorrectedBy != 0 {
			continue
		}
		e, err := logbook.ParseEntry(one.Line)
		if err != nil {
			continue
		}
		m.With, m.Load, m.Without = e.With.Text, string(e.State.Load), words(e.State.Without)
		if e.State.Warm != nil {
			m.Warm = "no"
			if *e.State.Warm {
				m.Warm = "yes"
			}
		}
		since := now.Sub(one.At)
		if e.State.Minutes != nil && e.State.Power != logbook.PowerOff && since >= 0 && since < 8*time.Hour {
			m.OnFor = strconv.Itoa(int(math.Round((e.State.Minutes.Value+since.Seconds())/60))) + " min"
			m.Hint = "Counted on from " + one.Name() + "; put it right when the unit was off in between."
		}
		if m.Who == "" {
			continue
		}
		break
	}
	return m
}

// readingScreen shows where to read, the reading that is typed, or what the last
// one was judged.
func (s *Server) readingScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	var done *readingJudged
	if id, err := strconv.ParseInt(in.Text("done"), 10, 64); err == nil {
		if done, err = s.doneReading(r.Context(), v, record.ID(id)); err != nil {
			return View{}, err
		}
	}
	if in.Text("at") == "" {
		return View{Title: "Take a reading", Place: "/collection", Back: v.back(), Body: placesPage(v, v.places(), done)}, nil
	}
	return s.readingView(r.Context(), v, in)
}

// doneReading is what an entry of the job was judged.
func (s *Server) doneReading(ctx context.Context, v *jobView, id record.ID) (*readingJudged, error) {
	i := slices.IndexFunc(v.Log, func(e record.Entry) bool { return e.ID == id })
	if i < 0 {
		return nil, ErrNotFound
	}
	j := &readingJudged{}
	if v.Work != nil && v.Said != nil {
		if line := v.lineOf(id); line > 0 {
			j = judged(v.Said, line)
		}
	}
	j.Entry, j.Said = &v.Log[i], bench.Said(&v.Log[i])
	return j, nil
}

// lineOf is the line of the case on which an entry stands; 0 when it stands on
// none.
func (v *jobView) lineOf(id record.ID) int {
	if v.Work == nil || v.Work.Case == nil {
		return 0
	}
	for i := range v.Work.Case.Log {
		if line := v.Work.Case.Log[i].Place.Line; v.Work.Entry(line) == id {
			return line
		}
	}
	return 0
}

// readingView shows the form of a reading, with what it would be judged.
func (s *Server) readingView(ctx context.Context, v *jobView, in *Input) (View, error) {
	at := in.Text("at")
	f := readingForm{At: at, Unit: "V", in: in, state: v.remember(s.now()), held: v.held()}
	if v.Work != nil {
		f.Unit, f.Expects = unitAt(v.Work.Sheet, at), expects(v.Work.Sheet, at)
		if p := v.Work.Sheet.Point(at); p != nil {
			f.Where = p.Where
		}
	}
	if r := v.report(); r != nil {
		if i := slices.IndexFunc(r.Tests, func(p findings.Proposal) bool { return p.At == at && strings.HasPrefix(p.Test, "read ") }); i >= 0 {
			f.proposal, f.Care = &r.Tests[i], r.Tests[i].Care
		}
	}
	var err error
	if f.meters, err = s.records.Instruments(ctx); err != nil {
		return View{}, err
	}
	settings, err := s.records.Settings(ctx)
	if err != nil {
		return View{}, err
	}
	f.people = settings.People
	if in.Text("reads") != "" && in.problems["reads"] == "" {
		e := readingEntry(v, in, f.Unit)
		report, line, err := s.bench.Judge(ctx, e)
		switch {
		case err == nil:
			f.judged = judged(report, line)
			f.judged.Said = bench.Said(e)
		case told(blank(), "reads", err):
			shown := blank()
			told(shown, "reads", err)
			f.judged = &readingJudged{Problem: shown.problems["reads"]}
		default:
			return View{}, err
		}
	}
	return View{Title: "Read " + at, Place: "/collection", Back: look.Link{Text: "Another place", Path: v.path("/reading")}, Body: readingPage(v, f), Status: in.Status()}, nil
}

// readingEntry makes the entry of what was typed. A bare number has the unit of
// its place.
func readingEntry(v *jobView, in *Input, unit string) *record.Entry {
	var reads []string
	for _, one := range strings.Split(in.Text("reads"), ";") {
		one = strings.TrimSpace(strings.ReplaceAll(one, "−", "-"))
		one = decimalComma.ReplaceAllString(one, "$1.$2")
		if _, err := strconv.ParseFloat(one, 64); err == nil {
			one += " " + unit
		}
		if one != "" {
			reads = append(reads, one)
		}
	}
	onFor := in.Text("on")
	if _, err := strconv.ParseFloat(onFor, 64); err == nil {
		onFor += " min"
	}
	doubtful := ""
	if in.Text("doubtful") != "" {
		doubtful = "yes"
	}
	line := bench.Line(
		bench.Field{Key: "measure", Value: in.Text("at")},
		bench.Field{Key: "reads", List: reads},
		bench.Field{Key: "expect", Value: in.Text("expect")},
		bench.Field{Key: "limits", Value: in.Text("limits")},
		bench.Field{Key: "with", Value: in.Text("with")},
		bench.Field{Key: "doubtful", Value: doubtful},
		bench.Field{Key: "state", In: []bench.Field{
			{Key: "on for", Value: onFor}, {Key: "warm", Value: in.Text("warm")}, {Key: "load", Value: in.Text("load")},
			{Key: "meter on", Value: in.Text("mode")}, {Key: "power", Value: in.Text("power")},
			{Key: "temperature", Value: in.Text("temperature")}, {Key: "without", List: list(in.Text("without"))},
		}},
		bench.Field{Key: "why", Value: in.Text("why")},
	)
	return &record.Entry{Job: v.Job.ID, Key: in.Key(), Line: line, Who: in.Text("who")}
}

// decimalComma is a comma that can only stand for a decimal point: 4,62 V, but not
// 4,620, which may be thousands.
var decimalComma = regexp.MustCompile(`^([<>]?\s*[-+]?\d+),(\d{1,2}|\d{4,})\b`)

// list takes a text apart at its commas.
func list(text string) []string {
	var all []string
	for _, one := range strings.Split(text, ",") {
		if one = strings.TrimSpace(one); one != "" {
			all = append(all, one)
		}
	}
	return all
}

// takeReading writes a reading into the logbook.
func (s *Server) takeReading(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	at := in.Need("at", "Name the place that was read.")
	in.Need("reads", "Type what the meter shows, or a word such as absent.")
	unit := "V"
	if v.Work != nil {
		unit = unitAt(v.Work.Sheet, at)
	}
	if in.OK() {
		e := readingEntry(v, in, unit)
		e.At = s.now().Add(-in.Waited())
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			return View{Go: v.path(fmt.Sprintf("/reading?done=%d", e.ID)), Said: "Written: " + bench.Said(e) + "."}, nil
		} else if !told(in, "reads", err) {
			return View{}, err
		}
	}
	return s.readingView(r.Context(), v, in)
}

// readsHint says what belongs into the field.
func readsHint(f readingForm) string {
	hint := "A bare number is in " + f.Unit + ". Several readings are parted by a semicolon."
	if f.Expects != "" {
		hint = "Should be " + f.Expects + ". " + hint
	}
	return hint
}

// stateSent tells whether a state was typed.
func stateSent(in *Input) bool {
	for _, name := range []string{"on", "warm", "load", "without", "temperature", "mode", "power"} {
		if in.Text(name) != "" {
			return true
		}
	}
	return false
}

// meterOptions are the instruments to choose from.
func meterOptions(meters []record.Instrument) []look.Option {
	options := []look.Option{{Value: "", Text: "not said"}}
	for _, m := range meters {
		options = append(options, look.Option{Value: m.Name, Text: m.Name})
	}
	return options
}
