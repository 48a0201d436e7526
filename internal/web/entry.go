package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/a-h/templ"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/logbook"
	"halfsplit/quantity"
)

// entryForm is what an entry is written with.
type entryForm struct {
	Kind     entryKind
	Corrects *record.Entry
	Was      string // what the corrected entry says
	Fields   []look.Field
	State    []look.Field
	Swap     []look.Field
	About    []look.Field
	Photos   []record.Photo
	Traces   []record.Trace
	Chosen   map[string]bool // photos and traces, as photo/3
	Problem  string
}

// addScreen asks for an entry: first its kind, then what belongs to it.
func (s *Server) addScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	return s.entryView(r.Context(), v, in)
}

// corrected finds the entry of the job that is to be corrected; nil when none is.
func (v *jobView) corrected(name string) (*record.Entry, error) {
	if name == "" {
		return nil, nil
	}
	i := slices.IndexFunc(v.Log, func(e record.Entry) bool { return e.Name() == name })
	if i < 0 {
		return nil, ErrNotFound
	}
	return &v.Log[i], nil
}

func (s *Server) entryView(ctx context.Context, v *jobView, in *Input) (View, error) {
	old, err := v.corrected(in.Text("corrects"))
	if err != nil {
		return View{}, err
	}
	verb := in.Text("verb")
	if old != nil && verb == "" {
		verb = old.Verb
	}
	kind := kindOf(verb)
	if kind.Verb == "" {
		return View{Title: "Write an entry", Place: "/collection", Back: v.back(), Body: kindsPage(v)}, nil
	}
	f := entryForm{Kind: kind, Corrects: old, Problem: in.problems["line"], Chosen: map[string]bool{}}
	values := map[string]string{}
	if old != nil {
		f.Was = bench.Said(old)
		if read, err := logbook.ParseEntry(old.Line); err == nil {
			values = valuesOf(read)
		}
		if old.Seconds > 0 {
			values["took"] = strconv.FormatFloat(old.Seconds/60, 'g', 4, 64)
		}
		if old.Cost > 0 {
			values["cost"] = fmt.Sprintf("%d.%02d", old.Cost/100, old.Cost%100)
		}
		values["who"] = old.Who
		for _, id := range old.Photos {
			f.Chosen[fmt.Sprintf("photo/%d", id)] = true
		}
		for _, id := range old.Traces {
			f.Chosen[fmt.Sprintf("trace/%d", id)] = true
		}
	} else {
		m := v.remember(s.now())
		values["who"] = m.Who
		values["on for"], values["with"], values["load"], values["without"] = m.OnFor, m.With, m.Load, m.Without
	}
	values["subject"] = cmp.Or(in.Text("name"), values["subject"])
	for _, one := range in.All("attach") {
		f.Chosen[one] = true
	}
	if err := s.entryFields(ctx, v, in, &f, values); err != nil {
		return View{}, err
	}
	title := kind.Name
	if old != nil {
		title = "Correct " + old.Name()
	}
	return View{Title: title, Place: "/collection", Back: look.Link{Text: "Logbook", Path: v.path("/log")}, Body: entryPage(v, f), Status: in.Status()}, nil
}

// entryFields makes the fields of a kind of entry.
func (s *Server) entryFields(ctx context.Context, v *jobView, in *Input, f *entryForm, values map[string]string) error {
	settings, err := s.records.Settings(ctx)
	if err != nil {
		return err
	}
	meters, err := s.records.Instruments(ctx)
	if err != nil {
		return err
	}
	k := f.Kind
	subject := look.Field{Name: "subject", Label: k.Subject, Like: k.Like, Need: true, Value: values["subject"], Suggest: v.subjects(k.Verb)}
	if k.Long {
		subject.Kind, subject.Rows, subject.Suggest = "textarea", 3, nil
	}
	f.Fields = append(f.Fields, in.Field(subject))
	for _, key := range k.Keys {
		field := v.keyField(k.Verb, key, meters)
		field.Name, field.Value = fieldName(key), values[key]
		if slices.Contains(stateKeys, key) {
			f.State = append(f.State, in.Field(field))
		} else {
			f.Fields = append(f.Fields, in.Field(field))
		}
	}
	if k.Verb == "swap" {
		stocks, err := s.records.Stocks(ctx, record.StockFilter{Page: record.Page{Limit: 300}})
		if err != nil {
			return err
		}
		f.Swap = swapFields(in, stocks.Items, f.Corrects)
	}
	f.About = []look.Field{
		in.Field(look.Field{Name: "why", Label: "Remark or reason", Value: values["why"]}),
		in.Field(look.Field{Name: "note", Label: "Note", Value: values["note"]}),
		in.Field(look.Field{Name: "who", Label: "Who", Value: values["who"], Suggest: settings.People}),
		in.Field(look.Field{Name: "took", Label: "Minutes it took", Value: values["took"], Kind: "number"}),
		in.Field(look.Field{Name: "cost", Label: "Cost, " + settings.Currency, Value: values["cost"], Kind: "number", Like: "4.20"}),
		in.Field(look.Field{Name: "when", Label: "When", Value: values["when"], Hint: "Now when empty.", Like: "2026-03-02 10:40"}),
	}
	if f.Photos, err = s.records.Photos(ctx, 0, v.Job.ID); err != nil {
		return err
	}
	f.Traces, err = s.records.Traces(ctx, v.Job.ID)
	return err
}

// addEntry writes an entry into the logbook.
func (s *Server) addEntry(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	old, err := v.corrected(in.Text("corrects"))
	if err != nil {
		return View{}, err
	}
	kind := kindOf(in.Text("verb"))
	if kind.Verb == "" {
		return View{}, Refused(http.StatusUnprocessableEntity, "This kind of entry is not known. Choose one from the list.")
	}
	in.Need("subject", kind.Subject+" is missing, such as: "+kind.Like+".")
	e := entryOf(v, kind, in)
	e.At = s.now().Add(-in.Waited())
	if when := in.Text("when"); when != "" {
		if e.At, err = moment(when); err != nil {
			in.Wrong("when", "Write the day and the time, as in 2026-03-02 10:40.")
		}
	}
	if old != nil {
		e.Corrects = old.ID
		if in.Text("when") == "" {
			e.At = old.At
		}
		if old.CorrectedBy != 0 {
			in.Wrong("line", "This entry was corrected already; correct the later one.")
		}
	}
	if in.OK() {
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			return View{Go: v.path("/log") + "#" + e.Name(), Said: "Written as " + e.Name() + "."}, nil
		} else if !told(in, "line", err) {
			return View{}, err
		}
	}
	return s.entryView(r.Context(), v, in)
}

// entryOf makes the entry of what was typed.
func entryOf(v *jobView, kind entryKind, in *Input) *record.Entry {
	subject := bench.Field{Key: kind.Verb, Value: oneLine(in.Text("subject"))}
	switch kind.Verb {
	case "measure", "test", "chill", "heat", "press", "piggyback", "swap", "mend":
		subject = bench.Field{Key: kind.Verb, List: list(in.Text("subject"))}
	case "failed", "soak":
		if _, err := strconv.ParseFloat(subject.Value, 64); err == nil {
			subject.Value += " min"
		}
	}
	fields := []bench.Field{subject}
	var state []bench.Field
	for _, key := range kind.Keys {
		text := in.Text(fieldName(key))
		field := bench.Field{Key: key, Value: text}
		switch key {
		case "reads", "says", "failures":
			field = bench.Field{Key: key}
			for _, one := range strings.Split(text, ";") {
				if one = strings.TrimSpace(one); one != "" {
					field.List = append(field.List, one)
				}
			}
		case "seen", "without", "lifted", "injected":
			field = bench.Field{Key: key, List: list(text)}
		case "on for":
			if _, err := strconv.ParseFloat(text, 64); err == nil {
				field.Value += " min"
			}
		}
		if slices.Contains(stateKeys, key) || key == "meter on" {
			state = append(state, field)
		} else {
			fields = append(fields, field)
		}
	}
	fields = append(fields, bench.Field{Key: "state", In: state}, bench.Field{Key: "why", Value: oneLine(in.Text("why"))})
	if kind.Verb != "note" {
		fields = append(fields, bench.Field{Key: "note", Value: oneLine(in.Text("note"))})
	}
	e := &record.Entry{Job: v.Job.ID, Key: in.Key(), Line: bench.Line(fields...), Who: in.Text("who")}
	if text := in.Text("took"); text != "" {
		q, err := quantity.ParseAs(text, quantity.Second)
		if minutes, bare := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64); bare == nil {
			q.Value, err = minutes*60, nil
		}
		if err != nil || q.Value < 0 {
			in.Wrong("took", "Write the minutes, such as 20, or a time such as 1.5 h.")
		}
		e.Seconds = q.Value
	}
	if text := in.Text("cost"); text != "" {
		cost, err := bench.Money(text)
		if err != nil {
			in.Wrong("cost", sentence(err.Error()))
		}
		e.Cost = cost
	}
	for _, one := range in.All("attach") {
		what, text, _ := strings.Cut(one, "/")
		id, err := strconv.ParseInt(text, 10, 64)
		switch {
		case err != nil:
		case what == "photo":
			e.Photos = append(e.Photos, record.ID(id))
		case what == "trace":
			e.Traces = append(e.Traces, record.ID(id))
		}
	}
	if kind.Verb == "swap" {
		stock, _ := strconv.ParseInt(in.Text("stock"), 10, 64) // none when it is no number
		for _, part := range subject.List {
			e.Swaps = append(e.Swaps, record.Swap{Part: part, OutMarking: in.Text("old"), OutMaker: in.Text("out-maker"), OutBatch: in.Text("out-batch"),
				Condition: record.Condition(cmp.Or(in.Text("condition"), string(record.ConditionUnknown))), Mode: in.Text("mode"), Measured: in.Text("measured"),
				InMarking: in.Text("new"), InMaker: in.Text("in-maker"), InBatch: in.Text("in-batch"), Stock: record.ID(stock)})
		}
	}
	return e
}

// moment reads a day with its time, or a day alone.
func moment(text string) (time.Time, error) {
	for _, form := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02"} {
		if at, err := time.ParseInLocation(form, text, time.Local); err == nil {
			return at, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no day and time", text)
}

// kindPath leads to the form of a kind of entry.
func kindPath(v *jobView, k entryKind) templ.SafeURL {
	if k.Verb == "measure" {
		return templ.SafeURL(v.path("/reading"))
	}
	return templ.SafeURL(v.path("/log/add?verb=" + url.QueryEscape(k.Verb)))
}

func entryTitle(f entryForm) string {
	if f.Corrects != nil {
		return "Correct " + f.Corrects.Name()
	}
	return f.Kind.Name
}
