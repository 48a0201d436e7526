package web

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/record"
	"halfsplit/quantity"
)

// nextThing is the one thing to do next on a job.
type nextThing struct {
	Title string
	Why   string
	First string // what must be done before
	Care  string
	Where string
	Do    []tab // buttons; the first is the one to press
	Test  *findings.Proposal
	Guard *findings.Guard
}

// next says what is the next best thing to do.
func (v *jobView) next() nextThing {
	if !v.Job.IsOpen() {
		return nextThing{Title: "Closed: " + string(v.Job.Outcome), Why: sentence(v.Job.Reason), Do: []tab{{"Open the report", v.path("/handback")}}}
	}
	if v.Job.Sheet == 0 {
		return nextThing{Title: "Choose a service sheet", Why: "Without one the logbook is kept, but nothing can be judged or reasoned. Take the sheet of the unit, or the nearest circuit of the library.",
			Do: []tab{{"Write an entry", v.path("/log/add?verb=symptom")}}}
	}
	if held := v.held(); len(held) > 0 {
		h := held[0]
		return nextThing{Title: "Make safe: " + h.Name, Why: "It can kill, and is not answered yet. Until it is, the unit is not to be powered.", First: h.Do, Where: h.Where,
			Do: []tab{{"Answer it", v.path("/hazards")}}}
	}
	r := v.report()
	if r == nil {
		if v.Going {
			return nextThing{Title: "It is being worked out", Why: "What each part would do when it fails is compared with what was read. Readings can be taken meanwhile.", Do: []tab{{"Take a reading", v.path("/reading")}}}
		}
		return nextThing{Title: "Take a reading", Why: "Nothing is concluded yet.", Do: []tab{{"Take a reading", v.path("/reading")}}}
	}
	a := r.Advice
	n := nextThing{Why: sentence(a.Why), First: a.First, Care: a.Care, Guard: r.Guard}
	named := url.QueryEscape(a.What)
	switch a.Do {
	case "make safe":
		n.Title, n.Do = "Make safe: "+a.What, []tab{{"Answer it", v.path("/hazards")}}
	case "test":
		n.Title = upperFirst(a.What)
		if i := slices.IndexFunc(r.Tests, func(p findings.Proposal) bool { return p.Test == a.What }); i >= 0 {
			n.Test = &r.Tests[i]
			n.Where = n.Test.Where
			n.Do = []tab{testLink(v, n.Test.Test, n.Test.At)}
		} else {
			n.Do = []tab{{"Take a reading", v.path("/reading")}}
		}
		n.Do = append(n.Do, tab{"Other tests", v.path("/suspects#tests")})
	case "replace":
		n.Title = "Replace " + a.What
		n.Do = []tab{{"Note the swap", v.path("/log/add?verb=swap&name=" + named)}, {"Look at the suspect", v.path("/suspects") + "#" + anchor(a.What)}}
	case "prove":
		n.Title, n.Do = "Prove it: "+a.What, []tab{{"Run a soak", v.path("/proof")}}
		if a.What == "" {
			n.Title = "Prove the repair"
		}
	case "hand back":
		n.Title, n.Do = "Hand it back", []tab{{"Close the job", v.path("/handback")}}
	case "record a symptom":
		n.Title, n.Do = "Say what it does wrong", []tab{{"Write the symptom", v.path("/log/add?verb=symptom")}, {"Take a reading", v.path("/reading")}}
	case "look beyond":
		n.Title, n.Do = "Look beyond what the sheet describes", []tab{{"Take a reading", v.path("/reading")}, {"Write what you see", v.path("/log/add?verb=look")}}
	default:
		n.Title, n.Do = upperFirst(strings.TrimSpace(a.Do+" "+a.What)), []tab{{"Write an entry", v.path("/log/add")}}
	}
	return n
}

// testLink leads from a test to where its answer is entered.
func testLink(v *jobView, test, at string) tab {
	name := url.QueryEscape(at)
	for _, act := range []struct{ begins, verb, button string }{
		{"chill ", "chill", "Note what it did"}, {"warm ", "heat", "Note what it did"}, {"press ", "press", "Note what it did"},
		{"piggyback ", "piggyback", "Note what it did"}, {"replace ", "swap", "Note the swap"}, {"swap ", "swap", "Note the swap"},
		{"lift ", "test", "Note the result"}, {"measure ", "test", "Note the result"}, {"test ", "test", "Note the result"},
	} {
		if strings.HasPrefix(test, act.begins) {
			return tab{act.button, v.path("/log/add?verb=" + act.verb + "&name=" + name)}
		}
	}
	if v.Work != nil && v.Work.Sheet.Check(at) != nil {
		return tab{"Give its answer", v.path("/log/add?verb=check&name=" + name)}
	}
	if at == "" {
		return tab{"Note the answer", v.path("/log/add")}
	}
	return tab{"Take this reading", v.path("/reading?at=" + name)}
}

// upperFirst makes the first letter a capital.
func upperFirst(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// anchor is an id made of a name.
func anchor(name string) string {
	return "item-" + strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9':
			return c
		case c == '+':
			return 'p'
		}
		return '-'
	}, name)
}

// saves says what a test saves against replacing straight away.
func saves(p *findings.Proposal) string {
	switch {
	case p.Saves >= 0.5:
		return "saves about " + findings.Minutes(math.Round(p.Saves)) + " against replacing straight away"
	case p.Saves <= -0.5:
		return "costs about " + findings.Minutes(math.Round(-p.Saves)) + " more than it saves"
	}
	return "neither saves nor costs much time"
}

// joined names the items of a set of faults.
func joined(items []string) string { return strings.Join(items, " and ") }

// then says what an answer would leave.
func then(m findings.Meaning) string {
	if len(m.Then) == 0 {
		return "nothing stands out"
	}
	list := make([]string, len(m.Then))
	for i, set := range m.Then {
		list[i] = joined(set.Items) + " " + quantity.FormatChance(set.Probability)
	}
	return strings.Join(list, ", ")
}

// share is the width of a bar.
func share(p float64) string { return fmt.Sprintf("%.1f%%", 100*min(1, max(0, p))) }

// running is the soak run that goes on, or nil.
func running(soaks []record.Soak) *record.Soak {
	for i := range soaks {
		if soaks[i].Ended.IsZero() {
			return &soaks[i]
		}
	}
	return nil
}
