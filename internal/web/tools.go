package web

import (
	"context"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"halfsplit/banks"
	"halfsplit/internal/ask"
	"halfsplit/internal/chips"
	"halfsplit/internal/report"
	"halfsplit/internal/safety"
	"halfsplit/internal/web/look"
	"halfsplit/part"
	"halfsplit/part/datecode"
	"halfsplit/part/marking"
	"halfsplit/part/reform"
	"halfsplit/part/replacement"
	"halfsplit/soak"
)

// tool answers one kind of question from a form.
type tool struct {
	path, title, lead string
	first             []look.Field // fields that come before those of the question
	question          func() any   // a pointer to a struct of package ask; nil for none
	open              []string     // groups that are not folded away
	options           map[string][]look.Option
	numbers           []string                                              // fields that hold a figure to be typed at the bench
	answer            func(r *http.Request, q any) (templ.Component, error) // called when something was asked
	example           string                                                // a query that shows it at work
}

// tools are the tools in the order of their list.
func (s *Server) tools() []tool {
	return []tool{
		{
			path: "capacitor", title: "Is this capacitor still good?", lead: "A verdict from what you read, its life, and how to reform it.",
			first:    []look.Field{{Name: "part", Label: "The capacitor", Like: "4700 uF 35 V electrolytic", Hint: "As it is marked.", Need: true}},
			question: func() any { return &ask.Capacitor{} }, open: []string{"Readings"},
			numbers: []string{"capacitance", "esr", "loss", "leakage"},
			options: map[string][]look.Option{"how": {{Value: "in circuit", Text: "in circuit"}, {Value: "out of circuit", Text: "out of circuit, or one leg lifted"}}, "procedure": procedures()},
			answer:  answerCapacitor,
			example: "part=4700+uF+35+V+electrolytic&capacitance=3900uF&esr=0.08&frequency=120Hz&how=out+of+circuit&age=42y&reform=yes",
		},
		{
			path: "marking", title: "What is marked on it?", lead: "Values, tolerances and date codes; every reading that is possible, the likelier first.",
			first: []look.Field{
				{Name: "text", Label: "What stands on the part", Like: "104K, 8312, 4R7J, brown black red gold", Need: true, Figure: true},
				{Name: "kind", Label: "What it is", Kind: "select", Options: kinds()},
				{Name: "year", Label: "Year of the unit", Kind: "number", Like: "1981", Hint: "Dates are ranked by it,"},
			},
			answer:  s.answerMarking,
			example: "text=8312&year=1983",
		},
		{
			path: "replacement", title: "What may stand in its place?", lead: "What will serve, what must not be used, and which of the parts at hand will do.",
			first:    []look.Field{{Name: "part", Label: "The part to replace", Like: "4700 uF 35 V electrolytic", Hint: "As it is marked.", Need: true}},
			question: func() any { return &ask.Replacing{} }, open: []string{""},
			options: map[string][]look.Option{"use": {{Value: "", Text: "anything"}, {Value: "smoothing", Text: "smoothing"}, {Value: "coupling", Text: "coupling"}, {Value: "timing", Text: "timing"}}},
			answer:  answerReplacement,
			example: "part=100+nF+250+V+X2&with=100+nF+630+V+film",
		},
		{
			path: "hazards", title: "What can hurt in it?", lead: "Stored energy, discharge, touch current and the series lamp, from a service sheet.",
			first:    []look.Field{{Name: "sheet", Label: "Service sheet", Kind: "select", Need: true}},
			question: func() any { return &ask.Hazards{} },
			options: map[string][]look.Option{
				"class":  {{Value: "", Text: "as the sheet says"}, {Value: "I", Text: "class I, earthed"}, {Value: "I-hand-held", Text: "class I, hand-held"}, {Value: "II", Text: "class II, double insulated"}, {Value: "III", Text: "class III, safe low voltage"}},
				"supply": {{Value: "", Text: "as the sheet says"}, {Value: "linear", Text: "linear"}, {Value: "switching", Text: "switching"}},
			},
			answer:  s.answerHazards,
			example: "sheet=library%2Fseries-pass&mains=230V&power=60W",
		},
		{
			path: "memory", title: "Which memory chip?", lead: "Failing addresses and bits to chips, and which swaps are worth their time.",
			first: []look.Field{
				{Name: "sheet", Label: "Service sheet", Kind: "select", Need: true},
				{Name: "failures", Label: "Failing accesses", Kind: "textarea", Hint: "One a line: address, expected, read, in hexadecimal;", Like: "4A37 55 54"},
			},
			question: func() any { return &ask.Memory{} }, open: []string{""},
			answer:  s.answerMemory,
			example: "sheet=vt9&says=bit+3+at+4000-7FFF",
		},
		{
			path: "soak", title: "How long must it run?", lead: "Before a fault that comes and goes can be called gone.",
			question: func() any { return &ask.Soak{} }, open: []string{"Soak"},
			answer:  answerSoak,
			example: "failed=30min%2C28min%2C45min&since=2h&right=50%25&sure=95%25",
		},
	}
}

// toolScreens gives the screens of the tools.
func (s *Server) toolScreens() []Page {
	pages := []Page{{"GET /tools", s.toolList, "/tools"}}
	for _, t := range s.tools() {
		path := "/tools/" + t.path
		pages = append(pages, Page{"GET " + path, s.toolScreen(t), path + "?" + t.example})
	}
	return pages
}

func (s *Server) toolList(*http.Request) (View, error) {
	return View{Title: "Tools", Place: "/tools", Body: toolsPage(s.tools())}, nil
}

// fieldGroup is some fields of a form under a heading.
type fieldGroup struct {
	title  string
	open   bool
	fields []look.Field
}

// toolScreen shows a tool with its answer.
func (s *Server) toolScreen(t tool) Screen {
	return func(r *http.Request) (View, error) {
		in, err := Read(r)
		if err != nil {
			return View{}, err
		}
		asked := len(r.Form) > 0
		var answer templ.Component
		if asked {
			answer, err = s.answered(r, in, t)
			if err != nil {
				return View{}, err
			}
		}
		back := look.Link{Text: "Tools", Path: "/tools"}
		return View{Title: t.title, Place: "/tools", Back: back, Wide: true, Status: in.Status(), Body: toolPage(t, s.groups(r.Context(), in, t), answer)}, nil
	}
}

// answered answers what was asked; a mistake of the question is put beside its
// field, and then there is no answer.
func (s *Server) answered(r *http.Request, in *Input, t tool) (templ.Component, error) {
	for _, f := range t.first {
		if f.Need {
			in.Need(f.Name, "This is needed, such as "+or(f.Like, "the first of the list")+".")
		}
	}
	var q any
	if t.question != nil {
		q = t.question()
		if err := ask.Fill(q, func(name string) (string, bool) { _, there := r.Form[name]; return in.Text(name), there }); err != nil {
			in.mistake(err, t)
		}
	}
	if !in.OK() {
		return nil, nil
	}
	answer, err := t.answer(r, q)
	switch {
	case err == nil:
		return answer, nil
	case ask.IsMistake(err), errors.As(err, new(badQuestion)):
		in.mistake(err, t)
		return nil, nil
	}
	return nil, err
}

// badQuestion marks an error as one of what was asked.
type badQuestion struct {
	field string
	error
}

// mistake puts a mistake of a question beside its field.
func (in *Input) mistake(err error, t tool) {
	field := "failed"
	if len(t.first) > 0 {
		field = t.first[0].Name
	}
	var m ask.Mistake
	var q badQuestion
	switch {
	case errors.As(err, &m):
		field, err = m.Field, m.Err
	case errors.As(err, &q) && q.field != "":
		field = q.field
	}
	in.Wrong(field, sentence(err.Error()))
}

// groups arranges the fields of a tool.
func (s *Server) groups(ctx context.Context, in *Input, t tool) []fieldGroup {
	groups := []fieldGroup{{open: true}}
	for _, f := range t.first {
		if f.Name == "sheet" {
			f.Options = s.sheetOptions(ctx)
		}
		groups[0].fields = append(groups[0].fields, in.Field(f))
	}
	if t.question == nil {
		return groups
	}
	for _, f := range ask.Fields(t.question()) {
		field := look.Field{Name: f.Name, Label: f.Label, Hint: f.Help, Value: f.Default}
		switch {
		case f.Check:
			field.Kind = "check"
			field.Label, field.Hint = f.Label+": "+lower(f.Help), ""
		case f.Lines:
			field.Kind, field.Rows, field.Hint = "textarea", 2, f.Help+" One a line."
		case t.options[f.Name] != nil:
			field.Kind, field.Options, field.Hint = "select", t.options[f.Name], ""
		case slices.Contains(t.numbers, f.Name):
			field.Figure = true
		}
		field = in.Field(field)
		at := slices.IndexFunc(groups, func(g fieldGroup) bool { return g.title == f.Group && (f.Group != "" || len(groups) > 1) })
		title := f.Group
		if title == "" && !slices.Contains(t.open, "") {
			title = "More"
			at = slices.IndexFunc(groups, func(g fieldGroup) bool { return g.title == title })
		} else if title == "" {
			at = 0
		}
		if at < 0 {
			groups = append(groups, fieldGroup{title: title, open: slices.Contains(t.open, title)})
			at = len(groups) - 1
		}
		groups[at].fields = append(groups[at].fields, field)
		groups[at].open = groups[at].open || field.Problem != ""
	}
	return groups
}

func lower(text string) string {
	if text == "" {
		return text
	}
	return strings.ToLower(text[:1]) + text[1:]
}

func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// procedures are the ways of reforming to choose from.
func procedures() []look.Option {
	var list []look.Option
	for _, p := range reform.Procedures() {
		list = append(list, look.Option{Value: p.Name, Text: p.Name})
	}
	return list
}

// kinds are the kinds of marked parts to choose from.
func kinds() []look.Option {
	list := []look.Option{{Value: "", Text: "not known"}}
	for _, k := range []string{"resistor", "capacitor", "inductor", "voltage", "dielectric", "safety class", "date"} {
		list = append(list, look.Option{Value: k, Text: k})
	}
	return list
}

// plate draws a picture for a page: as an image, in which no script can run. A
// picture that cannot be drawn is left out.
func plate(draw func(io.Writer) error) string {
	if draw == nil {
		return ""
	}
	var b strings.Builder
	if draw(&b) != nil {
		return ""
	}
	return "data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString([]byte(b.String()))
}

func answerCapacitor(r *http.Request, q any) (templ.Component, error) {
	n, err := ask.PartOf(r.FormValue("part"), replacement.Part{Kind: replacement.Capacitor})
	if err != nil {
		return nil, err
	}
	answer, err := q.(*ask.Capacitor).Judge(r.Context(), n)
	if err != nil {
		return nil, err
	}
	return capacitorAnswer(answer.Report, plate(answer.Draw)), nil
}

// conditionVerdict gives the sign for the word of a condition.
func conditionVerdict(word string) look.Verdict {
	switch word {
	case part.Good.String():
		return look.Pass
	case part.Spent.String(), part.Dangerous.String():
		return look.Fail
	case part.CannotTell.String():
		return look.Open
	}
	return look.Close
}

func (s *Server) answerMarking(r *http.Request, _ any) (templ.Component, error) {
	year := 0
	if text := strings.TrimSpace(r.FormValue("year")); text != "" {
		var err error
		if year, err = yearOf(text, s.now().Year()); err != nil {
			return nil, badQuestion{"year", err}
		}
	}
	pieces, err := marking.Read(r.FormValue("text"), marking.Context{Kind: marking.Kind(r.FormValue("kind")), Window: datecode.Window{Unit: year, Now: s.now().Year()}})
	if err != nil {
		return nil, badQuestion{"", err}
	}
	return markingAnswer(report.Markings(pieces, year)), nil
}

func answerReplacement(r *http.Request, q any) (templ.Component, error) {
	n, err := ask.PartOf(r.FormValue("part"), replacement.Part{})
	if err != nil {
		return nil, err
	}
	answer, err := q.(*ask.Replacing).Find(r.Context(), n, nil)
	if err != nil {
		return nil, err
	}
	return replacementAnswer(answer), nil
}

func (s *Server) answerHazards(r *http.Request, q any) (templ.Component, error) {
	sheet, err := s.sheetOf(r.Context(), r.FormValue("sheet"))
	if err != nil {
		return nil, badQuestion{"sheet", err}
	}
	answers, err := q.(*ask.Hazards).Answers()
	if err != nil {
		return nil, err
	}
	answer, err := safety.Assess(sheet, answers)
	if err != nil {
		return nil, badQuestion{"", err}
	}
	return hazardsAnswer(answer, plate(func(w io.Writer) error { return safety.Draw(w, answer) })), nil
}

func (s *Server) answerMemory(r *http.Request, q any) (templ.Component, error) {
	sheet, err := s.sheetOf(r.Context(), r.FormValue("sheet"))
	if err != nil {
		return nil, badQuestion{"sheet", err}
	}
	question, err := q.(*ask.Memory).Question()
	if err != nil {
		return nil, err
	}
	if text := r.FormValue("failures"); strings.TrimSpace(text) != "" {
		question.Failures = strings.NewReader(text)
	}
	answer, err := banks.Ask(sheet, question)
	if err != nil {
		return nil, badQuestion{"failures", err}
	}
	picture := ""
	if answer.Diagnosis != nil {
		picture = plate(func(w io.Writer) error { return chips.DrawChips(w, answer) })
	}
	return memoryAnswer(answer, picture), nil
}

func answerSoak(_ *http.Request, q any) (templ.Component, error) {
	question := q.(*ask.Soak)
	history, after, err := question.Told()
	if err != nil {
		return nil, err
	}
	if len(history)+len(after) == 0 {
		return nil, badQuestion{"failed", errors.New("say at least how long it ran before it failed, such as 30min")}
	}
	given, err := question.Given()
	if err != nil {
		return nil, err
	}
	a, err := soak.Assess(history, after, given)
	if err != nil {
		return nil, badQuestion{"", err}
	}
	return soakAnswer(a, plate(drawSoak(a, given.StopLevel))), nil
}
