package web

import (
	"slices"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// readingJudged is what a reading is judged.
type readingJudged struct {
	Said     string
	Entry    *record.Entry // nil while it is being typed
	Rails    []look.Rail
	Settle   []string
	Disputes []string
	Unused   []string
	Problem  string
}

// judged takes out of a report what concerns one line of a case.
func judged(r *findings.Report, line int) *readingJudged {
	j := &readingJudged{}
	if r == nil {
		return j
	}
	for i := range r.Verdicts {
		if d := &r.Verdicts[i]; d.Line == line {
			j.Rails = append(j.Rails, railOf(d))
			if d.Settle != "" {
				j.Settle = append(j.Settle, sentence(d.Settle))
			}
		}
	}
	for _, d := range r.Disputes {
		if slices.Contains(d.Lines, line) {
			j.Disputes = append(j.Disputes, sentence(d.Text))
		}
	}
	for _, u := range r.Unused {
		if u.Line == line {
			j.Unused = append(j.Unused, sentence(u.Why))
		}
	}
	for _, c := range r.Capacitors {
		if c.Line == line {
			j.Settle = append(j.Settle, upperFirst(c.Part)+" is "+c.Condition+": "+strings.Join(c.Reasons, "; ")+".")
		}
	}
	return j
}

// railOf is a verdict ready to be drawn.
func railOf(d *findings.Verdict) look.Rail {
	why := "Limits from " + d.Source + "."
	if d.Meter != "" {
		why += " Meter: " + d.Meter + "."
	}
	if d.Word == "within, near the limit" {
		why = "Within, near the " + d.Limit + ". " + why
	}
	if d.State != "" {
		why += " " + upperFirst(d.State) + "."
	}
	r := look.Rail{Name: d.At, Verdict: verdictOf(d.Word), Reading: d.Value, Uncertainty: d.Uncertainty, ReadingText: d.Reading, Low: d.Low, High: d.High, Why: why}
	if d.Low != nil {
		r.LowText = figure(*d.Low, d.Unit)
	}
	if d.High != nil {
		r.HighText = figure(*d.High, d.Unit)
	}
	return r
}

// verdictOf turns the word of a verdict into a sign.
func verdictOf(word string) look.Verdict {
	switch {
	case strings.HasPrefix(word, "within"):
		return look.Pass
	case word == "outside":
		return look.Fail
	case word == "too close to call":
		return look.Close
	}
	return look.Open
}

// settleTitle is the heading of what is said beside a verdict.
func settleTitle(j *readingJudged) string {
	for _, r := range j.Rails {
		if r.Verdict == look.Close {
			return "What would settle it"
		}
	}
	return "Worth knowing"
}
