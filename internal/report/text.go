package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/chips"
	"halfsplit/internal/prose"
	"halfsplit/quantity"
)

// Text writes findings as plain text, fit for a terminal or a print. It
// returns the first error of the writer.
func Text(out io.Writer, r *findings.Report) error {
	t := &text{prose.New(out)}
	t.head(r)
	t.advice(r)
	t.hazards(r)
	t.verdicts(r)
	t.capacitors(r)
	t.memories(r)
	t.suspects(r)
	t.foretold(r)
	t.tests(r)
	t.forbidden(r)
	t.guard(r)
	t.replacement(r)
	t.proof(r)
	t.remarks(r)
	t.again(r)
	return t.Err()
}

// text writes the sections of a report.
type text struct{ *prose.Writer }

func (t *text) head(r *findings.Report) {
	title := r.Unit
	if r.Serial != "" {
		title += ", serial " + r.Serial
	}
	t.Line("%s", title)
	if r.Covers != "" {
		t.Fold("", "", "The sheet covers: "+r.Covers)
	}
}

func (t *text) advice(r *findings.Report) {
	t.Section("NEXT")
	if r.Advice.First != "" {
		t.Fold("  First  ", "         ", r.Advice.First+". Follow local codes; leave what you are not practised in to those who are.")
	}
	do := r.Advice.Do
	if r.Advice.What != "" {
		do = r.Advice.What
		switch r.Advice.Do {
		case "replace":
			do = "replace " + do
		case "make safe":
			do = "make safe: " + do + ". Follow local codes; leave what you are not practised in to those who are"
		}
	}
	t.Fold("  Do     ", "         ", do)
	if r.Advice.Care != "" {
		t.Fold("  Care   ", "         ", capital(r.Advice.Care))
	}
	t.Fold("  Why    ", "         ", r.Advice.Why)
	if n := len(r.Unused); n > 0 {
		t.Fold("  Note   ", "         ", fmt.Sprintf("%d of the readings could not be used; see the end", n))
	}
}

// again repeats the advice at the end, where a terminal leaves the eye.
func (t *text) again(r *findings.Report) {
	do := r.Advice.Do
	switch {
	case r.Advice.Do == "replace":
		do += " " + r.Advice.What
	case r.Advice.Do == "make safe":
		do += ": " + r.Advice.What
	case r.Advice.What != "":
		do = r.Advice.What
	}
	t.Line("")
	t.Fold("→ ", "  ", capital(do)+".")
}

func (t *text) hazards(r *findings.Report) {
	if len(r.Hazards) == 0 {
		return
	}
	t.Section("HAZARDS")
	for _, h := range r.Hazards {
		mark := "[ ]"
		switch {
		case h.Answered:
			mark = "[x]"
		case h.Accepted:
			mark = "[!]"
		}
		what := h.Name + " (" + h.Kind + ")"
		if h.Where != "" {
			what += ", " + h.Where
		}
		if !h.Answered {
			what += ": before " + h.Before
			if h.Do != "" {
				what += ", " + h.Do
			}
			if h.Energy > 0 {
				what += fmt.Sprintf("; holds up to %s", quantity.FormatDigits(h.Energy, quantity.Joule, 2))
			}
			if h.Discharge > 0 {
				what += fmt.Sprintf("; its bleeder takes %s to 50 V", quantity.FormatDuration(math.Ceil(h.Discharge)))
			}
			if h.Found != "" {
				what += " (not listed by the sheet; found because " + h.Found + ")"
			}
			if h.Accepted {
				what += "; the unit was powered without an answer"
			}
		}
		t.Fold("  "+mark+" ", "      ", what)
	}
}

func (t *text) verdicts(r *findings.Report) {
	if len(r.Verdicts) == 0 {
		return
	}
	t.Section("MEASURED")
	for i := range r.Verdicts {
		v := &r.Verdicts[i]
		limits := v.Limits()
		t.Line("  %-16s %-24s %s", clip(v.At, 16), quantity.FormatUncertain(v.Value, v.Uncertainty, v.Unit), strings.ToUpper(v.Word))
		why := fmt.Sprintf("line %d: %q against %s (%s); conforms with %s; %s", v.Line, v.Reading, limits, v.Source, findings.Percent(v.Conformity), v.Meter)
		if v.State != "" {
			why += "; " + v.State
		}
		t.Fold("    ", "    ", why)
		if v.Settle != "" {
			t.Fold("    ", "    ", "To settle it: "+v.Settle+".")
		}
	}
}

func (t *text) capacitors(r *findings.Report) {
	if len(r.Capacitors) == 0 {
		return
	}
	t.Section("CAPACITORS")
	for _, c := range r.Capacitors {
		t.Line("  %-16s %s (line %d)", clip(c.Part, 16), strings.ToUpper(c.Condition), c.Line)
		for _, reason := range c.Reasons {
			t.Fold("    ", "      ", reason)
		}
		if len(c.Missing) > 0 {
			t.Fold("    ", "      ", "Not read: "+strings.Join(c.Missing, "; "))
		}
	}
}

func (t *text) memories(r *findings.Report) {
	for _, m := range r.Memories {
		t.Section("MEMORY " + strings.ToUpper(m.Answer.Array))
		t.Fold("  ", "  ", fmt.Sprintf("From line %d, by the pattern of the failures alone; the suspects below weigh it with all else.", m.Line))
		chips.Brief(t.Writer, m.Answer)
	}
}

func (t *text) suspects(r *findings.Report) {
	t.Section("SUSPECTS")
	if len(r.Suspects) == 0 {
		t.Line("  none")
	} else {
		t.Fold("  ", "  ", "+ likelier with it bad than good, or than under its best rival; − less likely than under the leading explanation")
	}
	for i, s := range r.Suspects {
		name := s.Name
		if s.In != "" && !strings.HasPrefix(s.Name, "rest of") {
			name += " in " + s.In
		}
		t.Line("  %2d %s %7s  %s", i+1, prose.Bar(s.Probability), findings.Percent(s.Probability), name)
		if i >= 3 && s.Probability < 0.2 {
			continue
		}
		what := fmt.Sprintf("%s, most likely: %s", s.Kind, s.Mode)
		if !s.Explains {
			what += "; it explains none of the signals read"
		}
		t.Fold("                            ", "                            ", what)
		if odds := oddsText(s.Odds); odds != "" {
			t.Fold("                            ", "                            ", odds)
		}
		for _, reason := range s.For {
			t.Fold("                          + ", "                            ", reason.Text+" "+strength(reason))
		}
		for _, reason := range s.Against {
			t.Fold("                          − ", "                            ", reason.Text+" "+strength(reason))
		}
		if s.Dated != "" {
			t.Fold("                            ", "                            ", "Dated "+s.Dated)
		}
		if s.Serves != "" {
			t.Fold("                            ", "                            ", "In its place: "+s.Serves)
		}
	}
	t.Line("     %s %7s  something the sheet does not describe", prose.Bar(r.Beyond), findings.Percent(r.Beyond))
	if r.Clear > 0.005 || len(r.Replaced) > 0 {
		clear := "nothing described is wrong"
		if len(r.Replaced) > 0 {
			clear += " any more"
		}
		t.Line("     %s %7s  %s", prose.Bar(r.Clear), findings.Percent(r.Clear), clear)
	}
	for _, x := range r.Replaced {
		t.Line("     %s was replaced or mended: it was bad with %s", x.Name, findings.Percent(x.Needed))
	}
	t.sets(r)
	if len(r.Groups) > 0 {
		for _, g := range r.Groups {
			t.Fold("  ≡ ", "    ", "In this state no probing tells apart: "+strings.Join(g, ", ")+". Lift, swap or chill one of them.")
		}
	}
	t.Fold("  ", "  ", searchText(r.Search))
}

// oddsText says what age and strain do to the odds of a part beforehand; empty
// when they do little.
func oddsText(reasons []findings.OddsFactor) string {
	var list []string
	for _, r := range reasons {
		if r.Factor >= 1.15 || r.Factor <= 1/1.15 {
			list = append(list, fmt.Sprintf("%s, ×%.2g (%s)", r.Text, r.Factor, r.Source))
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "odds beforehand: " + strings.Join(list, "; ")
}

// strength says how strongly a reading speaks.
func strength(s findings.Support) string {
	switch {
	case s.Ratio >= 1.95:
		return fmt.Sprintf("(%s× likelier, line %d)", times(s.Ratio), s.Line)
	case s.Ratio > 1:
		return fmt.Sprintf("(%.0f %% likelier, line %d)", 100*(s.Ratio-1), s.Line)
	case s.Ratio < 1/1.95:
		return fmt.Sprintf("(%s× less likely, line %d)", times(1/s.Ratio), s.Line)
	}
	return fmt.Sprintf("(%.0f %% less likely, line %d)", 100*(1-s.Ratio), s.Line)
}

// times writes a ratio with two digits.
func times(ratio float64) string {
	switch {
	case ratio >= 1000:
		return "over 1000"
	case ratio >= 10:
		return fmt.Sprintf("%.0f", ratio)
	}
	return fmt.Sprintf("%.1f", ratio)
}

// sets lists explanations of several items, which the list of suspects cannot
// show.
func (t *text) sets(r *findings.Report) {
	for _, s := range r.Sets {
		if len(s.Items) > 1 && s.Probability >= 0.03 {
			t.Fold("  & ", "    ", fmt.Sprintf("%s together: %s", strings.Join(s.Items, " and "), findings.Percent(s.Probability)))
		}
	}
}

func searchText(s findings.Search) string {
	text := fmt.Sprintf("%d items, %d sets of up to %d faults weighed", s.Items, s.Sets, s.Largest)
	switch {
	case s.Exact:
		text += ", all there are."
	default:
		text += fmt.Sprintf("; those left out hold about %s by extrapolation", findings.Percent(s.Guess))
		if s.LeftOut < 0.5 {
			text += fmt.Sprintf(", at most %s", findings.Percent(s.LeftOut))
		}
		text += "."
	}
	if s.Unplaced > 0 {
		text += fmt.Sprintf(" Parts of the sheet that are in no block and across no rail, and so are not ranked: %d.", s.Unplaced)
	}
	return text
}

func (t *text) tests(r *findings.Report) {
	if len(r.Tests) == 0 {
		return
	}
	t.Section("WHAT WOULD TELL MOST")
	for i, p := range r.Tests {
		t.Line("  %2d %.2f bits in %-7s %s", i+1, p.Bits, findings.Minutes(p.Minutes), p.Test)
		if p.Where != "" {
			t.Fold("     ", "     ", p.Where)
		}
		if p.Care != "" {
			t.Fold("     ! ", "       ", p.Care)
		}
		if i >= 3 {
			continue
		}
		for _, a := range p.Answers {
			if len(p.Answers) == 1 {
				break // whatever it says, little changes
			}
			var then []string
			for _, f := range a.Then {
				then = append(then, fmt.Sprintf("%s %s", strings.Join(f.Items, "+"), findings.Percent(f.Probability)))
			}
			t.Fold("       ", "         ", fmt.Sprintf("%s (%s) → %s", a.Answer, findings.Percent(a.Chance), strings.Join(then, ", ")))
		}
		switch {
		case p.Saves >= 0.5:
			t.Line("       saves about %s against replacing in order", findings.Minutes(math.Round(p.Saves)))
		case p.Saves <= -0.5:
			t.Line("       by itself it costs about %s more than it saves", findings.Minutes(math.Round(-p.Saves)))
		}
	}
}

// forbidden says which tests were left out because of hazards.
func (t *text) forbidden(r *findings.Report) {
	if len(r.Forbidden) == 0 {
		return
	}
	t.Section("NOT PROPOSED UNTIL IT IS SAFE")
	for _, f := range r.Forbidden {
		t.Fold("  ! ", "    ", fmt.Sprintf("%s (%s), before %s: %s", f.Hazard, f.Kind, f.Before, f.Why))
		for _, test := range f.Tests {
			t.Fold("      ", "        ", test)
		}
	}
	t.Fold("  ", "  ", "Once it is answered, write it into the log with safe.")
}

func (t *text) guard(r *findings.Report) {
	if r.Guard == nil {
		return
	}
	t.Section("BEFORE " + strings.ToUpper(r.Guard.Item) + " IS REPLACED")
	for _, p := range r.Guard.Points {
		mark := map[string]string{"shown": "[x]", "shown otherwise": "[!]", "not shown": "[ ]"}[p.Word]
		where := p.Word
		if p.Line > 0 {
			where += fmt.Sprintf(", line %d", p.Line)
		}
		t.Fold("  "+mark+" ", "      ", p.What+": "+where)
	}
	t.Fold("  ", "  ", capital(r.Guard.Proves))
}

func (t *text) replacement(r *findings.Report) {
	if r.Order == nil || len(r.Order.Order) == 0 {
		return
	}
	t.Section("BY REPLACEMENT ALONE")
	order := r.Order.Order
	more := ""
	if len(order) > 8 {
		more = fmt.Sprintf(" and %d more", len(order)-8)
		order = order[:8]
	}
	t.Fold("  ", "  ", fmt.Sprintf("In this order, cheapest hope first: %s%s. Expected time with waste: %s.", strings.Join(order, ", "), more, findings.Minutes(math.Round(r.Order.Minutes))))
}

func (t *text) proof(r *findings.Report) {
	p := r.Proof
	if p == nil {
		return
	}
	t.Section("PROOF")
	if p.Done != "" {
		t.Fold("  ", "  ", "Done when: "+p.Done+".")
	}
	if p.Steady {
		what := "no running since the repair is entered yet"
		if p.Clean > 0 {
			what = quantity.FormatDuration(p.Clean) + " of running since the repair went without it"
		}
		t.Fold("  ", "  ", "The fault was there whenever the unit was on, so that seeing it gone proves the repair; "+what+". A run in the closed case, loaded and hot, shows that nothing else is wrong.")
		return
	}
	switch {
	case !p.Repaired:
		t.Fold("  ", "  ", "Nothing was repaired yet; this is the plan for the soak afterwards.")
	case p.Again:
		t.Fold("  ", "  ", "It failed since the last repair, so that fault is still there; this is the plan for the soak after the next one.")
	default:
		t.Fold("  ", "  ", fmt.Sprintf("An unrepaired unit would have come through the clean running since (%s) with a chance of %s. Fixed: %s, when the repair was right with %s beforehand (from %s).",
			quantity.FormatDuration(p.Clean), findings.Percent(p.Survival), findings.Percent(p.Fixed), findings.Percent(p.Prior), p.PriorFrom))
	}
	for _, n := range p.Needs {
		switch {
		case n.Further < 0:
			t.Line("  %s sure: running alone will not show it", findings.Percent(n.Level))
		case n.Further > 30*24*3600:
			t.Line("  %s sure: over a month of hot running more", findings.Percent(n.Level))
		case n.Further == 0:
			t.Line("  %s sure: reached", findings.Percent(n.Level))
		default:
			t.Line("  %s sure: %s of hot running more", findings.Percent(n.Level), quantity.FormatDuration(60*math.Ceil(n.Further/60)))
		}
	}
	t.Fold("  ", "  ", fmt.Sprintf("From %d failures before the repair, %s.", p.Failures, p.Law))
	if p.OneMore > 60 {
		t.Fold("  ", "  ", fmt.Sprintf("One more failure seen before the repair would have saved %s of it.", quantity.FormatDuration(60*math.Round(p.OneMore/60))))
	}
	for _, c := range p.Cautions {
		if p.Again && strings.HasPrefix(c, "it failed") {
			continue // said above
		}
		t.Fold("  ! ", "    ", capital(c)+".")
	}
}

func (t *text) remarks(r *findings.Report) {
	if len(r.Disputes) > 0 {
		t.Section("DOES NOT GO TOGETHER")
		for _, d := range r.Disputes {
			t.Fold("  ! ", "    ", fmt.Sprintf("%s (line %s).", d.Text, lines(d.Lines)))
		}
	}
	if len(r.Unused) > 0 {
		t.Section("NOT USED")
		for _, u := range r.Unused {
			t.Fold("  ", "    ", fmt.Sprintf("line %d: %s", u.Line, u.Why))
		}
	}
}

func lines(numbers []int) string {
	var list []string
	for _, n := range numbers {
		list = append(list, fmt.Sprint(n))
	}
	return strings.Join(list, " and ")
}

func clip(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
