package web

import (
	"fmt"
	"math"
	"net/http"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/plain"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// jobProofPages are the screens of the end of a job: proof and hand-back.
func (s *Server) jobProofPages() []Page {
	return []Page{
		{"GET /jobs/{job}/proof", s.proofScreen, ""},
		{"POST /jobs/{job}/soak", s.beginSoak, ""},
		{"POST /jobs/{job}/soak/{soak}", s.endSoak, ""},
		{"POST /jobs/{job}/starts", s.coldStarts, ""},
		{"GET /jobs/{job}/handback", s.handbackScreen, ""},
		{"POST /jobs/{job}/handback", s.closeJob, ""},
		{"GET /jobs/{job}/report", s.reportFile, ""},
		{"GET /jobs/{job}/case", s.caseFile, ""},
	}
}

// soakCurve is how sure one is over hot running, ready to be drawn. Times are in
// seconds.
type soakCurve struct {
	Points  []soak.Point
	Done    float64 // that has been run
	Running float64 // of the run that goes on
	Sure    float64 // wanted
	Bare    float64 // how sure one is where there is no curve
}

// end is the time at the right edge.
func (c soakCurve) end() float64 {
	end := c.Done + c.Running
	if n := len(c.Points); n > 0 {
		end = max(end*1.05, c.Points[n-1].Time)
	}
	return max(end, 60)
}

func (c soakCurve) x(seconds float64) float64 { return 44 + seconds/c.end()*300 }
func (c soakCurve) y(sure float64) float64    { return 150 - sure*136 }

// at writes a place on the drawing.
func at(x float64) string { return fmt.Sprintf("%.1f", x) }

// line draws one of the two kinds of sureness.
func (c soakCurve) line(of func(soak.Point) float64) string {
	path, begun := "", false
	for _, p := range c.Points {
		y := of(p)
		if math.IsNaN(y) || math.IsInf(p.Time, 0) {
			continue
		}
		step := " L"
		if !begun {
			step, begun = "M", true
		}
		path += fmt.Sprintf("%s%.1f %.1f", step, c.x(p.Time), c.y(y))
	}
	return path
}

// now is how sure one is with what has been run.
func (c soakCurve) now() float64 {
	t := c.Done + c.Running
	for i, p := range c.Points {
		if p.Time >= t {
			if i == 0 || p.Time == c.Points[i-1].Time {
				return p.Fixed
			}
			before := c.Points[i-1]
			return before.Fixed + (p.Fixed-before.Fixed)*(t-before.Time)/(p.Time-before.Time)
		}
	}
	if n := len(c.Points); n > 0 {
		return c.Points[n-1].Fixed
	}
	return c.Bare
}

// ticks are round times along the lower edge.
func (c soakCurve) ticks() []float64 {
	step := 60.0
	for _, one := range []float64{60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 43200, 86400, 172800, 604800} {
		step = one
		if c.end()/one <= 5 {
			break
		}
	}
	var list []float64
	for t := 0.0; t <= c.end() && len(list) < 12; t += step {
		list = append(list, t)
	}
	return list
}

// short writes a time for the lower edge.
func short(seconds float64) string {
	switch {
	case seconds < 3600:
		return fmt.Sprintf("%.0f min", seconds/60)
	case seconds < 48*3600:
		return fmt.Sprintf("%.4g h", seconds/3600)
	}
	return fmt.Sprintf("%.3g d", seconds/86400)
}

// words says the drawing in words.
func (c soakCurve) words() string {
	return fmt.Sprintf("How sure that it is fixed, over hot running since the repair: %s after %s; wanted %s.", quantity.FormatChance(c.now()), quantity.FormatDuration(c.Done+c.Running), quantity.FormatChance(c.Sure))
}

// needed is the running that is left for a level, with the run that goes on taken
// off.
func needed(n findings.Need, running float64) string {
	switch {
	case math.IsInf(n.Further, 0) || n.Further < 0:
		return "no running will do"
	case n.Further-running <= 0:
		return "reached"
	}
	return plain.Wait(n.Further - running)
}

// ranFor is how long a soak run has been going.
func ranFor(k *record.Soak, now time.Time) float64 {
	if k == nil {
		return 0
	}
	return max(0, now.Sub(k.Started).Seconds())
}

// proofScreen shows how far the repair is proved.
func (s *Server) proofScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.proofView(r, v, blank())
}

func (s *Server) proofView(r *http.Request, v *jobView, in *Input) (View, error) {
	soaks, err := s.records.Soaks(r.Context(), v.Job.ID)
	if err != nil {
		return View{}, err
	}
	run := running(soaks)
	var p *findings.Proof
	if found := v.report(); found != nil {
		p = found.Proof
	}
	curve := soakCurve{Running: ranFor(run, s.now()), Sure: 0.95}
	if v.Job.Sure > 0 {
		curve.Sure = v.Job.Sure
	}
	if p != nil {
		curve.Points, curve.Done, curve.Sure, curve.Bare = p.Assessment.Curve, p.Clean, p.Sure, p.Fixed
	}
	return View{Title: "Proof", Place: "/collection", Back: v.back(), Body: proofPage(v, p, curve, run, s.now(), v.remember(s.now()).Who, in), Status: in.Status()}, nil
}

// beginSoak begins a soak run; one that goes on is left to go on.
func (s *Server) beginSoak(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	soaks, err := s.records.Soaks(r.Context(), v.Job.ID)
	if err != nil {
		return View{}, err
	}
	if running(soaks) != nil {
		return View{Go: v.path("/proof"), Said: "A soak run goes on already."}, nil
	}
	held, err := s.bench.Held(r.Context(), v.Job.ID)
	if err != nil {
		return View{}, err
	}
	if len(held) > 0 {
		told(in, "temperature", held)
	}
	k := &record.Soak{Job: v.Job.ID, Started: s.now(), Temperature: in.Figure("temperature", quantity.Celsius), Note: oneLine(in.Text("note"))}
	if in.OK() {
		if err = s.records.SaveSoak(r.Context(), k); err == nil {
			return View{Go: v.path("/proof"), Said: "The soak run has begun. Stay within call; a unit under soak is not left alone."}, nil
		}
		if !told(in, "temperature", err) {
			return View{}, err
		}
	}
	return s.proofView(r, v, in)
}

// endSoak ends a soak run with an entry that tells how.
func (s *Server) endSoak(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	id, err := number(r, "soak")
	if err != nil {
		return View{}, err
	}
	k, err := s.records.Soak(r.Context(), id)
	if err != nil || k.Job != v.Job.ID {
		return View{}, missing(cmpError(err))
	}
	if !k.Ended.IsZero() {
		return View{Go: v.path("/proof"), Said: "This run was ended already."}, nil
	}
	now := s.now().Add(-in.Waited())
	ran := in.Figure("ran", quantity.Second)
	if ran == nil && in.OK() {
		whole := math.Round(ranFor(&k, now))
		ran = &whole
	}
	verb := "soak"
	if in.Text("do") == "failed" {
		verb = "failed"
	}
	if in.OK() && *ran < 1 {
		in.Wrong("ran", "A run lasts at least a second.")
	}
	if in.OK() {
		temperature := ""
		if k.Temperature != nil {
			temperature = figure(*k.Temperature, quantity.Celsius)
		}
		e := &record.Entry{Job: v.Job.ID, Key: fmt.Sprintf("soak-%d", k.ID), At: now, Who: in.Text("who"), Seconds: 0, Line: bench.Line(
			bench.Field{Key: verb, Value: fmt.Sprintf("%.0f s", *ran)},
			bench.Field{Key: "state", In: []bench.Field{{Key: "temperature", Value: temperature}}},
			bench.Field{Key: "why", Value: oneLine(in.Text("why"))})}
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			k.Ended, k.Failed, k.Entry = now, verb == "failed", e.ID
			if err := s.records.SaveSoak(r.Context(), &k); err != nil {
				return View{}, err
			}
			return View{Go: v.path("/proof"), Said: "The run is written down as " + e.Name() + "."}, nil
		} else if !told(in, "ran", err) {
			return View{}, err
		}
	}
	return s.proofView(r, v, in)
}

// cmpError is an error for a record that belongs to another job.
func cmpError(err error) error {
	if err == nil {
		return ErrNotFound
	}
	return err
}

// coldStarts writes down clean starts from cold.
func (s *Server) coldStarts(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	count := in.Need("starts", "Say how many, such as 3.")
	if in.OK() {
		e := &record.Entry{Job: v.Job.ID, Key: in.Key(), At: s.now().Add(-in.Waited()), Who: in.Text("who"), Line: "{cold starts: " + numberOnly(count) + "}"}
		if _, _, err := s.bench.Write(r.Context(), e); err == nil {
			return View{Go: v.path("/proof"), Said: "Written as " + e.Name() + "."}, nil
		} else if !told(in, "starts", err) {
			return View{}, err
		}
	}
	return s.proofView(r, v, in)
}

// numberOnly gives a whole number as it was typed, or the text in quotes, in
// which nothing of a line has a meaning.
func numberOnly(text string) string {
	var n int
	if _, err := fmt.Sscanf(text+"\n", "%d\n", &n); err == nil {
		return fmt.Sprint(n)
	}
	line := bench.Line(bench.Field{Key: "x", Value: text})
	return line[len("{x: ") : len(line)-1]
}

// startsSaid says what cold starts have shown.
func startsSaid(p *findings.Proof) string {
	if p.Starts == nil {
		return ""
	}
	return fmt.Sprintf("Counting cold starts: %d clean so far, which makes it %s sure.", p.Starts.Clean, quantity.FormatChance(p.Starts.Fixed))
}

// soakVerdict is the sign of the proof.
func soakVerdict(p *findings.Proof) look.Verdict {
	switch {
	case p.Again:
		return look.Fail
	case p.Repaired && p.Fixed >= p.Sure:
		return look.Pass
	}
	return look.Close
}

// proofWord is the sign of the proof in a word.
func proofWord(p *findings.Proof) string {
	switch {
	case p.Again:
		return "failed again"
	case !p.Repaired:
		return "not repaired yet"
	case p.Fixed >= p.Sure:
		return "proved"
	}
	return "not proved yet"
}

// clock writes a running time.
func clock(seconds float64) string {
	whole := int(seconds)
	return fmt.Sprintf("%d:%02d:%02d", whole/3600, whole/60%60, whole%60)
}
