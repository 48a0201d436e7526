package watch

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"halfsplit/internal/plain"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// Reach is when a level is reached.
type Reach struct {
	Level   float64
	Further float64 // seconds still to run, in both senses of sure; 0 when it is reached, +Inf for never
	// At is the time of day if the unit goes on as it is; zero where it is
	// reached, never is, or the unit is not counting.
	At time.Time
}

// Reaches tells when each of the levels is reached.
func (s *Soak) Reaches() []Reach {
	var list []Reach
	for _, t := range s.Assessment.Proof().Targets {
		r := Reach{Level: t.Level, Further: max(t.BySurvival.Continuing, t.ByBelief.Continuing)}
		if s.Phase == Counting && r.Further > 0 && r.Further < math.MaxInt64/1e9 {
			r.At = s.Now.Add(time.Duration(r.Further * float64(time.Second)))
		}
		list = append(list, r)
	}
	return list
}

// Advice says in words what to do.
func (s *Soak) Advice() string {
	if s.Phase == Doubtful {
		return "it may have failed: wait for further readings"
	}
	switch s.Assessment.Advice.Kind {
	case soak.Stop:
		return "reached: stop"
	case soak.RepairAgain:
		return "it failed: stop, it is not repaired"
	case soak.WarmUp:
		return "get it hotter: none of it was as hot as the failures"
	case soak.ProvokeFailure:
		return "no failure was timed before the repair: see it fail first"
	}
	return "run on"
}

// sparkLength is the number of characters of the curve.
const sparkLength = 24

// Curve draws in one line how sure one is, in the weaker of both senses, over the
// running that counts, with a bar where the unit is now. It is empty where there
// is nothing to draw.
func (s *Soak) Curve() string {
	points := s.Assessment.Curve
	if len(points) == 0 {
		return ""
	}
	end := points[len(points)-1].Time
	values := make([]float64, sparkLength)
	for i := range values {
		p := points[i*(len(points)-1)/(sparkLength-1)]
		values[i] = min(1-p.SurvivalIfUnrepaired, p.Fixed)
	}
	drawn := []rune(sparks(values))
	now := min(sparkLength, int(math.Ceil(s.Assessment.CleanTime/end*sparkLength)))
	return string(drawn[:now]) + "│" + string(drawn[now:])
}

// Lines tells how the soak stands, in lines of a screen; the last is the advice.
func (s *Soak) Lines() []string {
	a := &s.Assessment
	if s.Assessment.FailedAgain {
		return []string{"soak: " + s.Failed(), s.Advice()}
	}
	running := "soak: " + quantity.FormatDuration(math.Floor(a.CleanTime)) + " clean"
	if !math.IsInf(s.limit, -1) {
		running += fmt.Sprintf(" at %s or hotter", quantity.FormatDigits(s.limit, quantity.Celsius, 3))
	} else if s.plan.Thermometer >= 0 {
		running += " (how hot the failures were is not known)"
	} else {
		running += " (how hot it is is not watched)"
	}
	for _, other := range []struct {
		seconds float64
		what    string
	}{{s.cool, "too cool"}, {s.unwatched, "not watched"}} {
		if other.seconds >= 1 {
			running += fmt.Sprintf(", %s %s", plain.Wait(other.seconds), other.what)
		}
	}
	if n := s.DoubtfulSpells(); n > 0 {
		running += fmt.Sprintf(", %d doubtful outside", n)
	}
	var reaches []string
	for _, r := range s.Reaches() {
		reaches = append(reaches, r.text(s.Now))
	}
	p := a.Proof()
	sure := fmt.Sprintf("not by luck %s, fixed %s", plain.Chance(1-p.SurvivalIfUnrepaired), plain.Chance(p.Fixed))
	if curve := s.Curve(); curve != "" {
		sure += "  " + curve
	}
	return []string{running + "; " + string(s.Phase), sure, strings.Join(reaches, ", "), s.Advice()}
}

// text writes when a level is reached.
func (r Reach) text(now time.Time) string {
	text := strings.TrimSuffix(quantity.FormatDigits(r.Level, quantity.Percent, 2), ".0") + " "
	switch {
	case r.Further <= 0:
		return text + "reached"
	case math.IsInf(r.Further, 0):
		return text + "never"
	case r.At.IsZero():
		return text + "after " + plain.Wait(r.Further)
	}
	form := "15:04"
	if r.At.YearDay() != now.YearDay() || r.At.Year() != now.Year() {
		form = "2 Jan 15:04"
	}
	return fmt.Sprintf("%sin %s (%s)", text, plain.Wait(r.Further), r.At.Format(form))
}

// Failed says how it failed, when it has.
func (s *Soak) Failed() string {
	f := s.Failure
	if f == nil {
		return "it failed since the repair, before this watch"
	}
	text := fmt.Sprintf("%s %s at %s, after %s", f.Channel, f.Kind, f.At.Format(time.TimeOnly), quantity.FormatDuration(math.Round(f.Ran)))
	if !math.IsNaN(f.Temperature) {
		text += " at " + quantity.FormatDigits(f.Temperature, quantity.Celsius, 3)
	}
	return fmt.Sprintf("%s, %s sure", text, plain.Chance(f.Confidence))
}

// SoakLines writes how a soak stands, in one line: once a minute, when a level is
// reached, and when the advice changes. The soak must be given each row before it.
type SoakLines struct {
	To   io.Writer
	Soak *Soak
	JSON bool // for a program

	written time.Time
	stood   string
}

// Row writes a line if it is time for one.
func (l *SoakLines) Row(r Row) error {
	s := l.Soak
	stands := fmt.Sprint(s.Advice(), s.DoubtfulSpells())
	for _, reach := range s.Reaches() {
		stands += fmt.Sprint(reach.Further <= 0)
	}
	if stands == l.stood && (r.Time.Sub(l.written) < time.Minute || s.Failure != nil) {
		return nil
	}
	l.stood = stands
	return l.Write(r.Time)
}

// Note writes nothing.
func (l *SoakLines) Note(Note) error { return nil }

// Write writes the line of a time.
func (l *SoakLines) Write(at time.Time) error {
	l.written = at
	if !l.JSON {
		_, err := fmt.Fprintf(l.To, "%s  %s\n", clock(at), strings.Join(l.Soak.Lines(), "; "))
		return err
	}
	e := json.NewEncoder(l.To)
	e.SetEscapeHTML(false)
	return e.Encode(struct {
		Time string   `json:"time"`
		Soak jsonSoak `json:"soak"`
	}{at.UTC().Format(stampForm), l.Soak.json()})
}

// jsonSoak is how a soak stands, for a program; times in seconds, null for never.
type jsonSoak struct {
	Clean     float64      `json:"clean_seconds"`
	Cool      float64      `json:"too_cool_seconds"`
	Unwatched float64      `json:"not_watched_seconds"`
	From      *float64     `json:"counts_from_celsius"`
	Phase     Phase        `json:"phase"`
	Survival  float64      `json:"chance_an_unrepaired_unit_had_survived"`
	Fixed     float64      `json:"probability_fixed"`
	Levels    []jsonReach  `json:"levels"`
	Doubtful  int          `json:"spells_too_doubtful_for_a_failure"`
	Advice    string       `json:"advice"`
	Failure   *jsonFailure `json:"failure,omitempty"`
}

type jsonReach struct {
	Level   float64  `json:"level"`
	Further *float64 `json:"further"`
	At      string   `json:"reached_at,omitempty"`
}

type jsonFailure struct {
	Meter       string   `json:"meter"`
	Time        string   `json:"time"`
	Kind        string   `json:"kind"`
	Ran         float64  `json:"ran_seconds"`
	Temperature *float64 `json:"celsius"`
	Confidence  float64  `json:"confidence"`
}

func (s *Soak) json() jsonSoak {
	p := s.Assessment.Proof()
	j := jsonSoak{Clean: s.Assessment.CleanTime, Cool: s.cool, Unwatched: s.unwatched, From: finite(s.limit), Phase: s.Phase,
		Survival: p.SurvivalIfUnrepaired, Fixed: p.Fixed, Doubtful: s.DoubtfulSpells(), Advice: string(s.Assessment.Advice.Kind)}
	for _, r := range s.Reaches() {
		one := jsonReach{Level: r.Level, Further: finite(r.Further)}
		if !r.At.IsZero() {
			one.At = r.At.UTC().Format(stampForm)
		}
		j.Levels = append(j.Levels, one)
	}
	if f := s.Failure; f != nil {
		j.Failure = &jsonFailure{f.Channel, f.At.UTC().Format(stampForm), string(f.Kind), f.Ran, finite(f.Temperature), f.Confidence}
	}
	return j
}
