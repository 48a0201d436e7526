package logbook

import (
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Say tells an entry in words, as one would read it out: "measured TP3: 4.62 V
// (bench meter, on for 12 min)". Notes and reasons come last.
func (e *Entry) Say() string {
	var out strings.Builder
	out.WriteString(e.deed())
	if e.Verb() != "symptom" || e.At.Text != "" {
		e.sayReading(&out)
	}
	var aside []string
	add := func(before, text string) {
		if text != "" {
			aside = append(aside, before+text)
		}
	}
	add("", e.With.Text)
	if e.Verb() == "test" {
		add("", string(e.How))
	}
	add("", e.State.Say())
	if e.Doubtful {
		add("", "doubtful")
	}
	if len(aside) > 0 {
		out.WriteString(" (" + strings.Join(aside, ", ") + ")")
	}
	if e.New != "" {
		out.WriteString("; in went " + e.New)
	}
	if e.Old != "" {
		out.WriteString("; out came " + e.Old)
	}
	if e.Note != "" && e.Verb() != "note" {
		out.WriteString(". " + e.Note)
	}
	if e.Why != "" {
		out.WriteString(". Because: " + e.Why)
	}
	return out.String()
}

// deed says what was done and to what.
func (e *Entry) deed() string {
	switch e.Verb() {
	case "symptom":
		return "complaint: " + e.Symptom
	case "measure":
		return "measured " + words(e.Measure)
	case "test":
		return "tested " + words(e.Test)
	case "look":
		return "saw " + e.Look
	case "check":
		return "ran " + e.Check.Text
	case "memory":
		return "memory " + e.Memory.Text
	case "chill":
		return "chilled " + words(e.Chill)
	case "heat":
		return "warmed " + words(e.Heat)
	case "press":
		return "pressed " + words(e.Press)
	case "piggyback":
		return "put a good chip on " + words(e.Piggyback)
	case "swap":
		return "replaced " + words(e.Swap)
	case "mend":
		return "mended " + words(e.Mend)
	case "failed":
		return "ran " + written(e.Failed) + ", then the fault came"
	case "soak":
		return "ran " + written(e.Soak) + " without the fault"
	case "cold starts":
		return "cold starts without the fault: " + strconv.Itoa(*e.Cycles)
	case "safe":
		return "made safe: " + e.Safe.Text
	case "accept":
		return "left unanswered: " + e.Accept.Text
	case "decide":
		return "decided: " + e.Decide
	case "photo":
		return "photo " + e.Photo
	case "note":
		return e.Note
	}
	return ""
}

// sayReading adds where it was watched and what was read.
func (e *Entry) sayReading(out *strings.Builder) {
	if e.At.Text != "" {
		out.WriteString(", at " + e.At.Text)
	}
	var read []string
	for _, list := range [][]form.Word{e.Reads, e.Says, e.Failures} {
		if len(list) > 0 {
			read = append(read, words(list))
		}
	}
	for _, q := range []struct {
		name  string
		value *quantity.Quantity
	}{{"", e.Capacity}, {"ESR ", e.ESR}, {"loss ", e.Loss}, {"at ", e.Frequency}, {"leakage ", e.Leakage}, {"at ", e.Volts}} {
		if q.value != nil {
			read = append(read, q.name+written(q.value))
		}
	}
	for _, look := range e.Seen {
		read = append(read, string(look))
	}
	if len(read) > 0 {
		out.WriteString(": " + strings.Join(read, ", "))
	}
	if e.Expect.Text != "" {
		out.WriteString(" (should be " + e.Expect.Text + ")")
	}
}

// Say tells a state in words; "" when nothing is known of it.
func (s *State) Say() string {
	var list []string
	add := func(before, text string) {
		if text != "" {
			list = append(list, before+text)
		}
	}
	if s.Power == PowerOff {
		add("", "power off")
	}
	if s.Warm != nil {
		if *s.Warm {
			add("", "warm")
		} else {
			add("", "cold")
		}
	}
	add("on for ", written(s.Minutes))
	add("at ", written(s.Temperature))
	if s.Load != "" && s.Load != LoadNormal {
		add("load: ", string(s.Load))
	}
	add("meter on ", string(s.Mode))
	add("without ", words(s.Without))
	add("lifted: ", words(s.Lifted))
	add("fed: ", words(s.Injected))
	return strings.Join(list, ", ")
}

// words joins names.
func words(list []form.Word) string {
	texts := make([]string, len(list))
	for i, w := range list {
		texts[i] = w.Text
	}
	return strings.Join(texts, ", ")
}

// written is a quantity as it was written, "" when there is none.
func written(q *quantity.Quantity) string {
	if q == nil {
		return ""
	}
	return q.String()
}
