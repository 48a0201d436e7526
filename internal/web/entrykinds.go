package web

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/logbook"
	"halfsplit/quantity"
)

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

// choices makes options of what each sends and says, in turn.
func choices(pairs ...string) []look.Option {
	var list []look.Option
	for i := 0; i+1 < len(pairs); i += 2 {
		list = append(list, look.Option{Value: pairs[i], Text: pairs[i+1]})
	}
	return list
}
