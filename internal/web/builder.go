package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/internal/bench"
	"halfsplit/internal/web/look"
	"halfsplit/sheet"
)

// rowKind is a kind of row of the form that builds a sheet: a section of the sheet
// with the keys that are asked for.
type rowKind struct {
	name, title, lead string
	fields            []look.Field // Name is the key on the sheet
	lists             []string     // keys that take several words
}

// rowKinds are the sections that the form builds, in the order of a sheet.
var rowKinds = []rowKind{
	{"rails", "Rails", "The supplies, with what their loads accept.", []look.Field{
		{Name: "rail", Label: "Rail", Like: "+5"}, {Name: "nominal", Label: "Nominal", Like: "5 V"}, {Name: "limits", Label: "Limits", Like: "±5 %"},
		{Name: "from", Label: "Made from", Like: "raw"}, {Name: "through", Label: "Through", Like: "F1, U5"}}, []string{"from", "through"}},
	{"testpoints", "Test points", "Where you can probe, and what should be read there.", []look.Field{
		{Name: "point", Label: "Point", Like: "TP3"}, {Name: "signal", Label: "Signal or rail", Like: "+5"}, {Name: "expect", Label: "Expect", Like: "5 V"},
		{Name: "limits", Label: "Limits", Like: "±0.2 V"}, {Name: "where", Label: "Where", Like: "left of the heatsink"}}, nil},
	{"parts", "Parts", "Parts you can name, with what is marked on them.", []look.Field{
		{Name: "part", Label: "Designator", Like: "C3"}, {Name: "kind", Label: "Kind", Like: "electrolytic"}, {Name: "value", Label: "Value", Like: "4700 uF 25 V"},
		{Name: "across", Label: "Across", Like: "+5"}, {Name: "near", Label: "Beside something hot", Like: "R7"}}, nil},
	{"blocks", "Blocks", "What the signal passes through: boards, stages, chips.", []look.Field{
		{Name: "block", Label: "Block", Like: "U4"}, {Name: "kind", Label: "Kind", Like: "chip"}, {Name: "in", Label: "Takes", Like: "clock, load"},
		{Name: "out", Label: "Makes", Like: "sync"}, {Name: "supply", Label: "Lives on", Like: "+5"}}, []string{"in", "out", "supply"}},
	{"circuit", "Parts of a circuit", "The corner of the schematic that you know. Each part names the nodes it connects.", []look.Field{
		{Name: "part", Label: "Designator", Like: "R7"}, {Name: "kind", Label: "Kind", Like: "resistor"}, {Name: "value", Label: "Value", Like: "4R7 5 W"},
		{Name: "nodes", Label: "Nodes", Like: "raw, out"}}, []string{"nodes"}},
}

// modelFields are what is asked of the model.
var modelFields = []look.Field{
	{Name: "maker", Label: "Maker", Like: "Ostrel"}, {Name: "name", Label: "Model", Like: "VT-9"}, {Name: "kind", Label: "What it is", Like: "display terminal"},
	{Name: "year", Label: "Year", Like: "1981"}, {Name: "mains", Label: "Mains", Like: "230 V"},
}

// rowsMost is how many rows of a kind the form takes.
const rowsMost = 60

// builtRow is a row of the form: the cells, and which line of the sheet it made.
type builtRow struct {
	fields []look.Field
	line   int
}

// builtSection is a section of the form with its rows.
type builtSection struct {
	kind rowKind
	rows []builtRow
}

// builder is the form that builds a sheet.
type builder struct {
	model    []look.Field
	circuit  []look.Field // its name, ground and reach
	sections []builtSection
	problems []string // that belong to no row
}

// cell names the field of a key in a row.
func cell(kind string, row int, key string) string { return fmt.Sprintf("%s.%d.%s", kind, row, key) }

// buildSheet asks for the rows of a sheet. Button "more" adds a row; else the sheet
// is made of what was sent and opened in the editor, or shown again with its
// mistakes beside their cells.
func (s *Server) buildSheet(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	view := View{Title: "Build a sheet", Place: "/library", Back: look.Link{Text: "Library", Path: "/library"}, Wide: true}
	b := builderOf(in)
	if r.Method == http.MethodPost && in.Text("more") == "" {
		text := b.write()
		checked := checkSheet(text)
		if len(checked.Problems) == 0 {
			draft := sheetDraft{text: tidy(text)}
			draft.check()
			return s.editorView(in, draft), nil
		}
		b.place(text, checked.Problems)
		view.Status = http.StatusUnprocessableEntity
	}
	view.Body = builderPage(b)
	return view, nil
}

// tidy writes a sheet that is in order as one would write it by hand.
func tidy(text string) string {
	s, err := sheet.Parse("sheet", []byte(text))
	if err != nil {
		return text
	}
	page, err := form.Write(s)
	if err != nil {
		return text
	}
	return string(page)
}

// builderOf takes what was typed into the form.
func builderOf(in *Input) *builder {
	b := &builder{}
	for _, f := range modelFields {
		f.Name = "model." + f.Name
		b.model = append(b.model, in.Field(f))
	}
	for _, f := range []look.Field{{Name: "circuit.name", Label: "Name of the circuit", Value: "supply"}, {Name: "circuit.ground", Label: "Its ground", Value: "gnd"}, {Name: "circuit.reach", Label: "Nodes you can probe", Like: "raw, out"}} {
		b.circuit = append(b.circuit, in.Field(f))
	}
	for _, kind := range rowKinds {
		section := builtSection{kind: kind}
		count := 2
		if n, err := strconv.Atoi(in.Text("rows." + kind.name)); err == nil && n >= 1 && n <= rowsMost {
			count = n
		}
		if in.Text("more") == kind.name && count < rowsMost {
			count++
		}
		for i := range count {
			var row builtRow
			for _, f := range kind.fields {
				f.Name = cell(kind.name, i, f.Name)
				if i > 0 {
					f.Like = ""
				}
				row.fields = append(row.fields, in.Field(f))
			}
			section.rows = append(section.rows, row)
		}
		b.sections = append(b.sections, section)
	}
	return b
}

// splitWords splits a cell that takes several words.
func splitWords(text string) []string {
	var list []string
	for _, w := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' }) {
		if w = strings.TrimSpace(w); w != "" {
			list = append(list, w)
		}
	}
	return list
}

// entry is a row as it stands on a sheet, empty when nothing was typed.
func (k rowKind) entry(row builtRow) string {
	var fields []bench.Field
	for i, f := range k.fields {
		text := strings.TrimSpace(row.fields[i].Value)
		field := bench.Field{Key: f.Name, Value: text}
		for _, name := range k.lists {
			if name == f.Name {
				field = bench.Field{Key: f.Name, List: splitWords(text)}
			}
		}
		fields = append(fields, field)
	}
	if line := bench.Line(fields...); line != "{}" {
		return line
	}
	return ""
}

// write makes the sheet, and notes at every row which line it became.
func (b *builder) write() string {
	lines := []string{"sheet: " + strconv.Itoa(sheet.Version)}
	var model []bench.Field
	for i, f := range modelFields {
		model = append(model, bench.Field{Key: f.Name, Value: strings.TrimSpace(b.model[i].Value)})
	}
	if line := bench.Line(model...); line != "{}" {
		lines = append(lines, "model: "+line)
	}
	for i := range b.sections {
		section := &b.sections[i]
		indent, begun := "  - ", false
		for j := range section.rows {
			row := &section.rows[j]
			row.line = 0
			entry := section.kind.entry(*row)
			if entry == "" {
				continue
			}
			if !begun {
				begun = true
				if section.kind.name == "circuit" {
					indent = "      - "
					name := bench.Line(bench.Field{Key: "k", Value: or(strings.TrimSpace(b.circuit[0].Value), "supply")})
					lines = append(lines, "circuits:", "  "+strings.TrimSuffix(strings.TrimPrefix(name, "{k: "), "}")+":")
					for k, key := range []string{"", "ground", "reach"} {
						if key == "" {
							continue
						}
						line := bench.Line(bench.Field{Key: key, List: splitWords(b.circuit[k].Value)})
						if line = strings.Trim(line, "{}"); line != "" {
							lines = append(lines, "    "+line)
						}
					}
					lines = append(lines, "    parts:")
				} else {
					lines = append(lines, section.kind.name+":")
				}
			}
			lines = append(lines, indent+entry)
			row.line = len(lines)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// place puts mistakes beside the cells that they are in: the line says the row, and
// the column the key that begins before it.
func (b *builder) place(text string, problems []sheetProblem) {
	lines := strings.Split(text, "\n")
	for _, p := range problems {
		says := sentence(p.Message)
		if p.Hint != "" {
			says += " " + sentence(p.Hint)
		}
		if f := b.field(lines, p); f != nil && f.Problem == "" {
			f.Problem = says
			continue
		}
		b.problems = append(b.problems, says)
	}
}

// field finds the cell of a mistake.
func (b *builder) field(lines []string, p sheetProblem) *look.Field {
	if p.Line < 1 || p.Line > len(lines) {
		return nil
	}
	line := []rune(lines[p.Line-1])
	before := string(line[:min(len(line), max(0, p.Column-1))])
	pick := func(fields []look.Field, names []look.Field) *look.Field {
		best, at := 0, -1
		for i, f := range names {
			if k := max(strings.LastIndex(before, "{"+f.Name+": "), strings.LastIndex(before, ", "+f.Name+": ")); k > at {
				best, at = i, k
			}
		}
		return &fields[best]
	}
	if strings.HasPrefix(lines[p.Line-1], "model: ") {
		return pick(b.model, modelFields)
	}
	for i := range b.sections {
		for j := range b.sections[i].rows {
			if row := &b.sections[i].rows[j]; row.line == p.Line {
				return pick(row.fields, b.sections[i].kind.fields)
			}
		}
	}
	return nil
}
