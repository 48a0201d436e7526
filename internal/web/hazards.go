package web

import (
	"fmt"
	"net/http"
	"slices"

	"halfsplit/findings"
	"halfsplit/hazard"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
)

// hazardsScreen lists what can hurt, and what holds the job up.
func (s *Server) hazardsScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.hazardsView(r, v, blank())
}

func (s *Server) hazardsView(r *http.Request, v *jobView, in *Input) (View, error) {
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	return View{Title: "Hazards", Place: "/collection", Back: v.back(), Body: hazardsPage(v, settings.Caution, v.remember(s.now()).Who, in), Status: in.Status()}, nil
}

// answerHazard writes down that a hazard was answered, or accepted.
func (s *Server) answerHazard(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	name := in.Need("hazard", "Say which hazard.")
	what := "safe"
	line := []bench.Field{{Key: "safe", Value: name}, {Key: "why", Value: oneLine(in.Text("why"))}}
	if in.Text("do") == "accept" {
		what = "accept"
		in.Need("why", "Give the reason: what is done in place of an answer, and why that will do.")
		line[0].Key = "accept"
	} else {
		in.Need("why", "Say what was done and what was measured, such as: below 1 V four minutes after switching off.")
	}
	if in.OK() {
		e := &record.Entry{Job: v.Job.ID, Key: in.Key(), At: s.now().Add(-in.Waited()), Who: in.Text("who"), Line: bench.Line(line...)}
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			said := "Answered: " + name + "."
			if what == "accept" {
				said = "Accepted, with the reason: " + name + "."
			}
			return View{Go: v.path("/hazards"), Said: said}, nil
		} else if !told(in, "why", err) {
			return View{}, err
		}
	}
	return s.hazardsView(r, v, in)
}

// hazardVerdict is the sign of a hazard.
func hazardVerdict(h findings.Hazard) (look.Verdict, string) {
	switch {
	case h.Answered:
		return look.Pass, "answered"
	case h.Accepted:
		return look.Close, "accepted"
	case hazard.Kind(h.Kind).Kills():
		return look.Fail, "can kill"
	}
	return look.Open, "not answered"
}

// gates says what a hazard holds up.
func gates(h findings.Hazard) string {
	text := map[string]string{"power": "Before it is powered.", "opening": "Before it is opened.", "probing": "Before it is probed."}[h.Before]
	if hazard.Kind(h.Kind).Kills() && h.Before != "power" {
		text += " It can kill, so power waits for it too."
	}
	return text
}

// joules writes an energy.
func joules(e float64) string { return quantity.FormatDigits(e, quantity.Joule, 2) }

// settledHazards tells whether nothing is left to answer.
func settledHazards(list []findings.Hazard) bool {
	return !slices.ContainsFunc(list, func(h findings.Hazard) bool { return !h.Answered })
}

// ofHazard gives the input where it is about a hazard, else a blank one: each
// hazard has a form of its own.
func ofHazard(in *Input, name string) *Input {
	if in.Text("hazard") == name {
		return in
	}
	return blank()
}

// hazardTitle names one of several forms.
func hazardTitle(i int) string { return fmt.Sprintf("hazard-%d", i) }
