package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/logbook"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// readingPlace is a place where a reading can be taken.
type readingPlace struct {
	Name     string
	Shows    string // the signal seen there, where it has another name
	Expects  string
	Where    string
	Proposed string // what the reading would be good for; empty when it is not proposed
	Last     string // what was last read there
}

// readingPlaces are the places of the sheet: those proposed, then test points,
// rails, and everything else that can be named.
type readingPlaces struct {
	Proposed, Points, Rails, Signals []readingPlace
}

// places lists where a reading can be taken.
func (v *jobView) places() readingPlaces {
	var all readingPlaces
	if v.Work == nil {
		return all
	}
	s := v.Work.Sheet
	last := map[string]string{}
	for i := range v.Log {
		if v.Log[i].CorrectedBy != 0 {
			continue
		}
		if e, err := logbook.ParseEntry(v.Log[i].Line); err == nil {
			for _, at := range e.Measure {
				last[at.Text] = words(e.Reads)
			}
		}
	}
	make := func(name string) readingPlace {
		p := readingPlace{Name: name, Last: last[name]}
		if point := s.Point(name); point != nil {
			p.Where = point.Where
			if signal := s.SignalOf(point); signal != name {
				p.Shows = signal
			}
		}
		p.Expects = expects(s, name)
		return p
	}
	if r := v.report(); r != nil {
		for _, t := range r.Tests {
			if strings.HasPrefix(t.Test, "read ") && t.At != "" && len(all.Proposed) < 3 {
				p := make(t.At)
				p.Proposed = findings.Minutes(t.Minutes) + "; " + saves(&t)
				if p.Where == "" {
					p.Where = t.Where
				}
				all.Proposed = append(all.Proposed, p)
			}
		}
	}
	seen := map[string]bool{}
	for _, p := range s.Points {
		all.Points = append(all.Points, make(p.Name.Text))
		seen[p.Name.Text] = true
	}
	for _, rail := range s.Rails {
		if !seen[rail.Name.Text] {
			all.Rails = append(all.Rails, make(rail.Name.Text))
			seen[rail.Name.Text] = true
		}
	}
	for _, name := range s.Signals() {
		if !seen[name] {
			all.Signals = append(all.Signals, make(name))
			seen[name] = true
		}
	}
	for _, name := range s.Nodes() {
		if !seen[name] {
			all.Signals = append(all.Signals, make(name))
			seen[name] = true
		}
	}
	return all
}

// expects says what should be read at a place; empty when the sheet does not say.
func expects(s *sheet.Sheet, name string) string {
	if x, err := findings.Expected(s, name); err == nil {
		text := figure(x.Value.Value, x.Value.Unit)
		if low, high := x.Limit.Low, x.Limit.High; !math.IsInf(low, 0) && !math.IsInf(high, 0) {
			text += fmt.Sprintf(" (%s to %s)", figure(low, x.Value.Unit), figure(high, x.Value.Unit))
		}
		return text
	}
	if p := s.Point(name); p != nil && p.Expect != nil {
		return p.Expect.String()
	}
	return ""
}

// figure writes a value with four figures at most.
func figure(value float64, unit quantity.Unit) string {
	text := quantity.FormatDigits(value, unit, 4)
	number, rest, _ := strings.Cut(text, " ")
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return strings.TrimSpace(number + " " + rest)
}

// words are what was read, on one line.
func words(list []form.Word) string {
	texts := make([]string, len(list))
	for i, w := range list {
		texts[i] = w.Text
	}
	return strings.Join(texts, ", ")
}

// unitAt is the unit of a bare number that is read at a place.
func unitAt(s *sheet.Sheet, name string) string {
	if x, err := findings.Expected(s, name); err == nil && x.Value.Unit != quantity.None {
		return string(x.Value.Unit)
	}
	return "V"
}

// keysFor are the units on the keypad.
func keysFor(unit string) []string {
	switch unit {
	case "V":
		return []string{" mV", " V", " V AC", " mV p-p"}
	case "A":
		return []string{" µA", " mA", " A"}
	case "Hz":
		return []string{" Hz", " kHz", " MHz"}
	case "Ω":
		return []string{" Ω", " kΩ", " MΩ"}
	}
	return []string{" " + unit, " V", " mV"}
}

// readingWords are words for a reading that is no number.
var readingWords = []string{"good", "absent", "low", "high", "hum", "noisy", "stuck low", "stuck high", "floating", "pulsing", "wrong", "intermittent"}

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

// readingJudged is what a reading is judged.
type readingJudged struct {
	Said     string
	Entry    *record.Entry // nil while it is being typed
	Rails    []look.Rail
	Settle   []string
	Disputes []string
	Unused   []string
	Problem  string
}

// judged takes out of a report what concerns one line of a case.
func judged(r *findings.Report, line int) *readingJudged {
	j := &readingJudged{}
	if r == nil {
		return j
	}
	for i := range r.Verdicts {
		if d := &r.Verdicts[i]; d.Line == line {
			j.Rails = append(j.Rails, railOf(d))
			if d.Settle != "" {
				j.Settle = append(j.Settle, sentence(d.Settle))
			}
		}
	}
	for _, d := range r.Disputes {
		if slices.Contains(d.Lines, line) {
			j.Disputes = append(j.Disputes, sentence(d.Text))
		}
	}
	for _, u := range r.Unused {
		if u.Line == line {
			j.Unused = append(j.Unused, sentence(u.Why))
		}
	}
	for _, c := range r.Capacitors {
		if c.Line == line {
			j.Settle = append(j.Settle, upperFirst(c.Part)+" is "+c.Condition+": "+strings.Join(c.Reasons, "; ")+".")
		}
	}
	return j
}

// railOf is a verdict ready to be drawn.
func railOf(d *findings.Verdict) look.Rail {
	why := "Limits from " + d.Source + "."
	if d.Meter != "" {
		why += " Meter: " + d.Meter + "."
	}
	if d.Word == "within, near the limit" {
		why = "Within, near the " + d.Limit + ". " + why
	}
	if d.State != "" {
		why += " " + upperFirst(d.State) + "."
	}
	r := look.Rail{Name: d.At, Verdict: verdictOf(d.Word), Reading: d.Value, Uncertainty: d.Uncertainty, ReadingText: d.Reading, Low: d.Low, High: d.High, Why: why}
	if d.Low != nil {
		r.LowText = figure(*d.Low, d.Unit)
	}
	if d.High != nil {
		r.HighText = figure(*d.High, d.Unit)
	}
	return r
}

// verdictOf turns the word of a verdict into a sign.
func verdictOf(word string) look.Verdict {
	switch {
	case strings.HasPrefix(word, "within"):
		return look.Pass
	case word == "outside":
		return look.Fail
	case word == "too close to call":
		return look.Close
	}
	return look.Open
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

// readingAt is the address of the reading of a place.
func readingAt(v *jobView, name string) templ.SafeURL {
	return templ.SafeURL(v.path("/reading?at=" + url.QueryEscape(name)))
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

// settleTitle is the heading of what is said beside a verdict.
func settleTitle(j *readingJudged) string {
	for _, r := range j.Rails {
		if r.Verdict == look.Close {
			return "What would settle it"
		}
	}
	return "Worth knowing"
}
