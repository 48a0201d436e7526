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

	"halfsplit/findings"
	"halfsplit/form"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/logbook"
	"halfsplit/quantity"
)

// entriesMost is how many entries stand on a page.
const entriesMost = 100

// logRow is an entry as the logbook shows it.
type logRow struct {
	record.Entry
	Said        string
	Verdicts    []findings.Verdict
	Unfit       string // why it is not reasoned with
	CorrectedBy string // name of the entry that corrects it
	Corrects    string // name of the entry that it corrects
}

// logScreen shows the logbook.
func (s *Server) logScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	photos, err := s.records.Photos(r.Context(), 0, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	from, _ := strconv.Atoi(in.Text("from"))                               // what is no number is the beginning
	if id, err := strconv.ParseInt(in.Text("entry"), 10, 64); err == nil { // the page on which it stands
		if i := slices.IndexFunc(v.Log, func(e record.Entry) bool { return e.ID == record.ID(id) }); i >= 0 {
			from = (len(v.Log) - 1 - i) / entriesMost * entriesMost
		}
	}
	rows, older := v.rows(in.Text("verb"), in.Text("text"), max(0, from))
	return View{Title: "Logbook", Place: "/collection", Back: v.back(), Body: logScreenPage(v, rows, older, in, settings.Currency, photosByID(photos))}, nil
}

func photosByID(list []record.Photo) map[record.ID]record.Photo {
	all := map[record.ID]record.Photo{}
	for _, p := range list {
		all[p.ID] = p
	}
	return all
}

// rows are entries of the logbook, the newest first, from the given one on; older
// is where the next page begins, 0 when there is none.
func (v *jobView) rows(verb, text string, from int) (rows []logRow, older int) {
	names := map[record.ID]string{}
	for i := range v.Log {
		names[v.Log[i].ID] = v.Log[i].Name()
	}
	verdicts := map[record.ID][]findings.Verdict{}
	unfit := map[record.ID]string{}
	if v.Work != nil {
		for _, d := range v.verdicts() {
			id := v.Work.Entry(d.Line)
			verdicts[id] = append(verdicts[id], d)
		}
		for _, u := range v.Work.Unfit {
			unfit[u.Entry] = u.Why
		}
	}
	if v.Said != nil && v.Work != nil {
		for _, u := range v.Said.Unused {
			if id := v.Work.Entry(u.Line); unfit[id] == "" {
				unfit[id] = u.Why
			}
		}
	}
	at := 0
	for i := len(v.Log) - 1; i >= 0; i-- {
		e := v.Log[i]
		if verb != "" && e.Verb != verb {
			continue
		}
		said := bench.Said(&e)
		if text != "" && !strings.Contains(strings.ToLower(said+" "+e.Who+" "+e.Name()), strings.ToLower(text)) {
			continue
		}
		if at++; at <= from {
			continue
		}
		if len(rows) == entriesMost {
			return rows, from + entriesMost
		}
		rows = append(rows, logRow{e, said, verdicts[e.ID], unfit[e.ID], names[e.CorrectedBy], names[e.Corrects]})
	}
	return rows, 0
}

// entryKind is a kind of entry that can be written.
type entryKind struct {
	Verb    string
	Name    string
	Hint    string
	Subject string // label of what stands behind the verb
	Like    string
	Long    bool     // the subject is a longer text
	Keys    []string // further keys of the line
}

var stateKeys = []string{"on for", "warm", "temperature", "without", "load", "power", "lifted", "injected"}

// entryKinds are the kinds of entry, in the order of the flow.
var entryKinds = []entryKind{
	{"symptom", "Symptom", "What the unit does wrong.", "What it does wrong", "no picture after ten minutes", true, slices.Concat([]string{"at", "reads"}, stateKeys)},
	{"measure", "Reading", "A value or a word at a test point, rail or signal.", "Where", "TP3", false, slices.Concat([]string{"reads", "with", "expect", "limits", "doubtful", "meter on"}, stateKeys)},
	{"look", "What was seen", "By eye or by hand; with a part and a word it counts as a test.", "What was seen", "a ring crack around a pin of D3", true, []string{"at", "reads"}},
	{"check", "Check", "The answer of a check of the sheet, such as a self-test.", "Check", "self-test", false, slices.Concat([]string{"reads"}, stateKeys)},
	{"test", "Test of a part", "A part or block tested by itself; for a capacitor its values.", "Part", "C3", false, slices.Concat([]string{"how", "reads", "with", "capacitance", "esr", "loss", "frequency", "leakage", "volts", "seen"}, stateKeys)},
	{"chill", "Chill", "A part cooled while something is watched.", "Part", "Q5", false, slices.Concat([]string{"at", "reads"}, stateKeys)},
	{"heat", "Heat", "A part warmed while something is watched.", "Part", "Q5", false, slices.Concat([]string{"at", "reads"}, stateKeys)},
	{"press", "Press or wiggle", "A part or plug pressed, tapped or wiggled while something is watched.", "Part", "J2", false, slices.Concat([]string{"at", "reads"}, stateKeys)},
	{"piggyback", "Piggyback", "A good chip pressed on top while something is watched.", "Chip", "U12", false, slices.Concat([]string{"at", "reads"}, stateKeys)},
	{"swap", "Swap", "A part replaced by a good one.", "Parts replaced", "C3, C12", false, []string{"old", "new"}},
	{"mend", "Mend", "Put right without replacing: resoldered, cleaned, readjusted.", "What was mended", "joint of D3", false, nil},
	{"failed", "Failed run", "A run that ended in the fault.", "Ran for", "30 min", false, stateKeys},
	{"soak", "Soak", "A run without the fault.", "Ran for", "45 min", false, stateKeys},
	{"cold starts", "Cold starts", "Cold starts made without the fault.", "How many", "5", false, nil},
	{"memory", "Self-test of a memory", "What a self-test said of a memory.", "Memory", "main", false, []string{"says", "failures", "march"}},
	{"safe", "Made safe", "A hazard that was answered.", "Hazard", "primary reservoir", false, nil},
	{"accept", "Hazard accepted", "A hazard left unanswered when the unit was powered; give the reason as remark.", "Hazard", "hot chassis", false, nil},
	{"decide", "Decision", "A decision, with its reason.", "Decision", "leave the old reservoirs in", true, nil},
	{"note", "Note", "Anything else.", "Note", "stored in a loft for ten years", true, nil},
	{"photo", "Photo", "A photo that was taken.", "What it shows", "supply board, part side", false, nil},
}

// kindOf finds a kind of entry by its verb; the note when there is none.
func kindOf(verb string) entryKind {
	i := slices.IndexFunc(entryKinds, func(k entryKind) bool { return k.Verb == verb })
	if i < 0 {
		return entryKind{}
	}
	return entryKinds[i]
}

// fieldName is the name of the field for a key.
func fieldName(key string) string { return strings.ReplaceAll(key, " ", "-") }

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

// subjects are names that can stand behind a verb.
func (v *jobView) subjects(verb string) []string {
	if v.Work == nil {
		return nil
	}
	s := v.Work.Sheet
	var names []string
	switch verb {
	case "measure":
		for i := range s.Points {
			names = append(names, s.Points[i].Name.Text)
		}
		names = append(names, s.Signals()...)
	case "check":
		for i := range s.Checks {
			names = append(names, s.Checks[i].Name.Text)
		}
	case "memory":
		for i := range s.Memories {
			names = append(names, s.Memories[i].Name.Text)
		}
	case "safe", "accept":
		for _, h := range v.hazards() {
			if !h.Answered {
				names = append(names, h.Name)
			}
		}
	case "test", "chill", "heat", "press", "piggyback", "swap", "mend":
		names = s.Items()
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// keyField is the field for a key of an entry.
func (v *jobView) keyField(verb, key string, meters []record.Instrument) look.Field {
	switch key {
	case "at":
		if verb == "look" {
			return look.Field{Label: "On which part", Suggest: v.subjects("test")}
		}
		return look.Field{Label: "Watched at", Suggest: v.subjects("measure"), Hint: "The first symptom's place when empty."}
	case "reads":
		field := look.Field{Label: "Reads", Suggest: readingWords}
		switch verb {
		case "test", "look":
			field.Label, field.Suggest = "Result", []string{"good", "bad", "open", "shorted", "leaky", "cracked", "burnt", "bulged", "loose"}
			field.Hint = "A word, or its value."
		case "check":
			field.Label, field.Suggest = "Answer", v.answers()
		case "chill", "heat", "press", "piggyback":
			field.Label, field.Suggest = "What it then did", []string{"comes right", "still wrong", "goes wrong"}
		}
		return field
	case "with":
		return look.Field{Label: "Meter", Kind: "select", Options: meterOptions(meters)}
	case "how":
		return look.Field{Label: "How it was tested", Kind: "select", Options: optionsOf("", "in circuit", "out of circuit", "in operation", "by eye")}
	case "meter on":
		return look.Field{Label: "Meter on", Kind: "select", Options: optionsOf("", "DC", "AC", "scope")}
	case "warm":
		return look.Field{Label: "Warm", Kind: "select", Options: optionsOf("", "yes", "no")}
	case "expect":
		return look.Field{Label: "Should read", Hint: "Where the sheet does not say."}
	case "limits":
		return look.Field{Label: "Still right", Like: "±5 %"}
	case "on for":
		return look.Field{Label: "On for", Like: "12 min"}
	case "temperature":
		return look.Field{Label: "Temperature in the case", Like: "38 °C"}
	case "without":
		return look.Field{Label: "Without these boards", Like: "video board"}
	case "load":
		return look.Field{Label: "Load", Kind: "select", Options: optionsOf("", "normal", "dummy", "none")}
	case "power":
		return look.Field{Label: "Power", Kind: "select", Options: optionsOf("", "on", "off")}
	case "lifted":
		return look.Field{Label: "Parts lifted", Like: "C7"}
	case "injected":
		return look.Field{Label: "Fed with a good", Like: "audio in"}
	case "doubtful":
		return look.Field{Label: "Doubtful", Kind: "select", Options: choices("", "no", "yes", "yes, it counts half")}
	case "capacitance":
		return look.Field{Label: "Capacitance", Like: "3900 uF"}
	case "esr":
		return look.Field{Label: "ESR", Like: "0.31 ohm"}
	case "loss":
		return look.Field{Label: "Loss, tan δ", Like: "12 %"}
	case "frequency":
		return look.Field{Label: "At a frequency of", Like: "100 kHz"}
	case "leakage":
		return look.Field{Label: "Leakage", Like: "2 mA"}
	case "volts":
		return look.Field{Label: "At a voltage of", Like: "25 V"}
	case "seen":
		return look.Field{Label: "What the eye sees", Suggest: []string{"bulged", "leaked", "cracked", "burnt", "residue"}}
	case "old":
		return look.Field{Label: "Part taken out", Like: "dated 8112"}
	case "new":
		return look.Field{Label: "Part put in", Like: "4164 dated 8309, tested"}
	case "says":
		return look.Field{Label: "What it said", Like: "bit 3 at 4000-7FFF", Hint: "Or passes. Several are parted by a semicolon."}
	case "failures":
		return look.Field{Label: "Failing accesses", Like: "4A37 55 54", Hint: "Address, expected, read; several parted by a semicolon."}
	case "march":
		return look.Field{Label: "March test", Like: "March C-"}
	}
	return look.Field{Label: upperFirst(key)}
}

// answers are those that the checks of the sheet can give.
func (v *jobView) answers() []string {
	var list []string
	if v.Work == nil {
		return nil
	}
	for i := range v.Work.Sheet.Checks {
		for _, a := range v.Work.Sheet.Checks[i].Answers {
			list = append(list, a.Text)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// optionsOf makes options that say what they send; the empty one is not said.
func optionsOf(values ...string) []look.Option {
	var list []look.Option
	for _, value := range values {
		list = append(list, look.Option{Value: value, Text: cmp.Or(value, "not said")})
	}
	return list
}

// swapFields ask what came out and what went in.
func swapFields(in *Input, stocks []record.Stock, old *record.Entry) []look.Field {
	var was record.Swap
	if old != nil && len(old.Swaps) > 0 {
		was = old.Swaps[0]
	}
	conditions := []look.Option{}
	for _, c := range record.Conditions() {
		conditions = append(conditions, look.Option{Value: string(c), Text: string(c)})
	}
	from := []look.Option{{Value: "", Text: "not from the drawer"}}
	for _, k := range stocks {
		from = append(from, look.Option{Value: strconv.FormatInt(int64(k.ID), 10), Text: fmt.Sprintf("%s (%d)", k.Part, k.Count)})
	}
	stock := ""
	if was.Stock != 0 {
		stock = strconv.FormatInt(int64(was.Stock), 10)
	}
	return []look.Field{
		in.Field(look.Field{Name: "condition", Label: "What came out was", Kind: "select", Options: conditions, Value: cmp.Or(string(was.Condition), string(record.ConditionUnknown))}),
		in.Field(look.Field{Name: "mode", Label: "How it had failed", Like: "shorted", Value: was.Mode}),
		in.Field(look.Field{Name: "measured", Label: "Measured out of circuit", Like: "325 uF, 3.2 ohm at 120 Hz", Value: was.Measured}),
		in.Field(look.Field{Name: "out-maker", Label: "Maker of the old one", Value: was.OutMaker}),
		in.Field(look.Field{Name: "out-batch", Label: "Its date code", Like: "8112", Value: was.OutBatch}),
		in.Field(look.Field{Name: "stock", Label: "Taken from the drawer", Kind: "select", Options: from, Value: stock, Hint: "One is taken off its count."}),
		in.Field(look.Field{Name: "in-maker", Label: "Maker of the new one", Value: was.InMaker}),
		in.Field(look.Field{Name: "in-batch", Label: "Its date code or batch", Value: was.InBatch}),
	}
}

// valuesOf are the values of an entry, by key.
func valuesOf(e *logbook.Entry) map[string]string {
	values := map[string]string{
		"at": e.At.Text, "reads": semicolons(e.Reads), "with": e.With.Text, "how": string(e.How), "expect": e.Expect.Text, "limits": e.Limits.Text,
		"old": e.Old, "new": e.New, "why": e.Why, "says": semicolons(e.Says), "failures": semicolons(e.Failures), "march": e.March.Text,
		"without": words(e.State.Without), "meter on": string(e.State.Mode), "load": string(e.State.Load), "power": string(e.State.Power),
		"lifted": words(e.State.Lifted), "injected": words(e.State.Injected),
	}
	if e.Doubtful {
		values["doubtful"] = "yes"
	}
	if e.Verb() != "note" {
		values["note"] = e.Note
	}
	for key, q := range map[string]*quantity.Quantity{"capacitance": e.Capacity, "esr": e.ESR, "loss": e.Loss, "frequency": e.Frequency, "leakage": e.Leakage,
		"volts": e.Volts, "on for": e.State.Minutes, "temperature": e.State.Temperature} {
		if q != nil {
			values[key] = q.String()
		}
	}
	var seen []string
	for _, l := range e.Seen {
		seen = append(seen, string(l))
	}
	values["seen"] = strings.Join(seen, ", ")
	if e.State.Warm != nil {
		values["warm"] = map[bool]string{true: "yes", false: "no"}[*e.State.Warm]
	}
	values["subject"] = subjectOf(e)
	return values
}

// subjectOf is what stands behind the verb of an entry.
func subjectOf(e *logbook.Entry) string {
	switch e.Verb() {
	case "failed":
		return e.Failed.String()
	case "soak":
		return e.Soak.String()
	case "cold starts":
		return strconv.Itoa(*e.Cycles)
	}
	return cmp.Or(e.Symptom, words(e.Measure), words(e.Test), e.Look, e.Check.Text, e.Memory.Text, words(e.Chill), words(e.Heat), words(e.Press),
		words(e.Piggyback), words(e.Swap), words(e.Mend), e.Safe.Text, e.Accept.Text, e.Decide, e.Note, e.Photo)
}

// semicolons puts several readings on one line.
func semicolons(list []form.Word) string {
	texts := make([]string, len(list))
	for i, w := range list {
		texts[i] = w.Text
	}
	return strings.Join(texts, "; ")
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

// stamp writes when something was done.
func stamp(at time.Time) string { return at.Local().Format("2006-01-02 15:04") }

// money writes an amount.
func money(hundredths int64, currency string) string {
	return strings.TrimSpace(fmt.Sprintf("%d.%02d %s", hundredths/100, hundredths%100, currency))
}

// verbOptions are the kinds of entry to look for.
func verbOptions() []look.Option {
	options := []look.Option{{Value: "", Text: "all entries"}}
	for _, k := range entryKinds {
		options = append(options, look.Option{Value: k.Verb, Text: k.Name})
	}
	return options
}

// entryName is what the entry on a line of the case is called; empty when none
// stands there.
func (v *jobView) entryName(line int) string {
	work := v.Work
	if v.Found != nil {
		work = v.Found.Casework // lines are those of the case that was reasoned over
	}
	if work == nil {
		return ""
	}
	id := work.Entry(line)
	for i := range v.Log {
		if v.Log[i].ID == id {
			return v.Log[i].Name()
		}
	}
	return ""
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

// olderPath leads to the next page of the logbook.
func olderPath(v *jobView, in *Input, from int) string {
	q := url.Values{"from": {strconv.Itoa(from)}}
	for _, name := range []string{"verb", "text"} {
		if text := in.Text(name); text != "" {
			q.Set(name, text)
		}
	}
	return v.path("/log?" + q.Encode())
}

// swapSaid tells of a swap what its line does not.
func swapSaid(s record.Swap) string {
	said := s.Part + ": what came out was " + string(s.Condition)
	for _, more := range []struct{ lead, text string }{{"", s.Mode}, {"measured ", s.Measured}, {"made by ", s.OutMaker}, {"dated ", s.OutBatch}} {
		if more.text != "" {
			said += ", " + more.lead + more.text
		}
	}
	return said + "."
}

// choices makes options of what each sends and says, in turn.
func choices(pairs ...string) []look.Option {
	var list []look.Option
	for i := 0; i+1 < len(pairs); i += 2 {
		list = append(list, look.Option{Value: pairs[i], Text: pairs[i+1]})
	}
	return list
}
