package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/findings"
	"halfsplit/quantity"
)

// width is the number of characters in a line of a report.
const width = 88

// Text writes findings as plain text, fit for a terminal or a print. It
// returns the first error of the writer.
func Text(out io.Writer, r *findings.Report) error {
	t := &text{out: out}
	t.head(r)
	t.advice(r)
	t.hazards(r)
	t.verdicts(r)
	t.capacitors(r)
	t.suspects(r)
	t.foretold(r)
	t.tests(r)
	t.guard(r)
	t.replacement(r)
	t.proof(r)
	t.remarks(r)
	t.again(r)
	return t.err
}

// text writes lines and keeps the first error.
type text struct {
	out io.Writer
	err error
}

func (t *text) line(format string, values ...any) {
	if t.err == nil {
		_, t.err = fmt.Fprintf(t.out, format+"\n", values...)
	}
}

// section begins a section with its title.
func (t *text) section(title string) {
	t.line("")
	t.line("%s", title)
	t.line("%s", strings.Repeat("─", len([]rune(title))))
}

// fold writes a paragraph, broken at the width, each line after a margin; the
// first line after its own lead.
func (t *text) fold(lead, margin, paragraph string) {
	line := lead
	empty := true
	for _, word := range strings.Fields(paragraph) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > width {
			t.line("%s", line)
			line, empty = margin, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	t.line("%s", line)
}

func (t *text) head(r *findings.Report) {
	title := r.Unit
	if r.Serial != "" {
		title += ", serial " + r.Serial
	}
	t.line("%s", title)
	if r.Covers != "" {
		t.fold("", "", "The sheet covers: "+r.Covers)
	}
}

func (t *text) advice(r *findings.Report) {
	t.section("NEXT")
	if r.Advice.First != "" {
		t.fold("  First  ", "         ", r.Advice.First+". Follow local codes; leave what you are not practised in to those who are.")
	}
	do := r.Advice.Do
	if r.Advice.What != "" {
		do = r.Advice.What
		if r.Advice.Do == "replace" {
			do = "replace " + do
		}
	}
	t.fold("  Do     ", "         ", do)
	t.fold("  Why    ", "         ", r.Advice.Why)
	if n := len(r.Unused); n > 0 {
		t.fold("  Note   ", "         ", fmt.Sprintf("%d of the readings could not be used; see the end", n))
	}
}

// again repeats the advice at the end, where a terminal leaves the eye.
func (t *text) again(r *findings.Report) {
	do := r.Advice.Do
	switch {
	case r.Advice.Do == "replace":
		do += " " + r.Advice.What
	case r.Advice.What != "":
		do = r.Advice.What
	}
	t.line("")
	t.fold("→ ", "  ", capital(do)+".")
}

func (t *text) hazards(r *findings.Report) {
	if len(r.Hazards) == 0 {
		return
	}
	t.section("HAZARDS")
	for _, h := range r.Hazards {
		mark := "[ ]"
		if h.Answered {
			mark = "[x]"
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
		}
		t.fold("  "+mark+" ", "      ", what)
	}
}

func (t *text) verdicts(r *findings.Report) {
	if len(r.Verdicts) == 0 {
		return
	}
	t.section("MEASURED")
	for i := range r.Verdicts {
		v := &r.Verdicts[i]
		limits := v.Limits()
		t.line("  %-16s %-24s %s", clip(v.At, 16), quantity.FormatUncertain(v.Value, v.Uncertainty, v.Unit), strings.ToUpper(v.Word))
		why := fmt.Sprintf("line %d: %q against %s (%s); conforms with %s; %s", v.Line, v.Reading, limits, v.Source, findings.Percent(v.Conformity), v.Meter)
		if v.State != "" {
			why += "; " + v.State
		}
		t.fold("    ", "    ", why)
		if v.Settle != "" {
			t.fold("    ", "    ", "To settle it: "+v.Settle+".")
		}
	}
}

func (t *text) capacitors(r *findings.Report) {
	if len(r.Capacitors) == 0 {
		return
	}
	t.section("CAPACITORS")
	for _, c := range r.Capacitors {
		t.line("  %-16s %s (line %d)", clip(c.Part, 16), strings.ToUpper(c.Condition), c.Line)
		for _, reason := range c.Reasons {
			t.fold("    ", "      ", reason)
		}
		if len(c.Missing) > 0 {
			t.fold("    ", "      ", "Not read: "+strings.Join(c.Missing, "; "))
		}
	}
}

// bar draws a probability as a bar of ten.
func bar(p float64) string {
	full := int(math.Round(10 * p))
	return strings.Repeat("█", full) + strings.Repeat("░", 10-full)
}

func (t *text) suspects(r *findings.Report) {
	t.section("SUSPECTS")
	if len(r.Suspects) == 0 {
		t.line("  none")
	} else {
		t.fold("  ", "  ", "+ likelier with it bad than good, or than under its best rival; − less likely than under the leading explanation")
	}
	for i, s := range r.Suspects {
		name := s.Name
		if s.In != "" && !strings.HasPrefix(s.Name, "rest of") {
			name += " in " + s.In
		}
		t.line("  %2d %s %7s  %s", i+1, bar(s.Probability), findings.Percent(s.Probability), name)
		if i >= 3 && s.Probability < 0.2 {
			continue
		}
		what := fmt.Sprintf("%s, most likely: %s", s.Kind, s.Mode)
		if !s.Explains {
			what += "; it explains none of the signals read"
		}
		t.fold("                            ", "                            ", what)
		if odds := oddsText(s.Odds); odds != "" {
			t.fold("                            ", "                            ", odds)
		}
		for _, reason := range s.For {
			t.fold("                          + ", "                            ", reason.Text+" "+strength(reason))
		}
		for _, reason := range s.Against {
			t.fold("                          − ", "                            ", reason.Text+" "+strength(reason))
		}
		if s.Dated != "" {
			t.fold("                            ", "                            ", "Dated "+s.Dated)
		}
		if s.Serves != "" {
			t.fold("                            ", "                            ", "In its place: "+s.Serves)
		}
	}
	t.line("     %s %7s  something the sheet does not describe", bar(r.Beyond), findings.Percent(r.Beyond))
	if r.Clear > 0.005 || len(r.Replaced) > 0 {
		clear := "nothing described is wrong"
		if len(r.Replaced) > 0 {
			clear += " any more"
		}
		t.line("     %s %7s  %s", bar(r.Clear), findings.Percent(r.Clear), clear)
	}
	for _, x := range r.Replaced {
		t.line("     %s was replaced or mended: it was bad with %s", x.Name, findings.Percent(x.Needed))
	}
	t.sets(r)
	if len(r.Groups) > 0 {
		for _, g := range r.Groups {
			t.fold("  ≡ ", "    ", "In this state no probing tells apart: "+strings.Join(g, ", ")+". Lift, swap or chill one of them.")
		}
	}
	t.fold("  ", "  ", searchText(r.Search))
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
			t.fold("  & ", "    ", fmt.Sprintf("%s together: %s", strings.Join(s.Items, " and "), findings.Percent(s.Probability)))
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
	t.section("WHAT WOULD TELL MOST")
	for i, p := range r.Tests {
		t.line("  %2d %.2f bits in %-7s %s", i+1, p.Bits, findings.Minutes(p.Minutes), p.Test)
		if p.Where != "" {
			t.fold("     ", "     ", p.Where)
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
			t.fold("       ", "         ", fmt.Sprintf("%s (%s) → %s", a.Answer, findings.Percent(a.Chance), strings.Join(then, ", ")))
		}
		switch {
		case p.Saves >= 0.5:
			t.line("       saves about %s against replacing in order", findings.Minutes(math.Round(p.Saves)))
		case p.Saves <= -0.5:
			t.line("       by itself it costs about %s more than it saves", findings.Minutes(math.Round(-p.Saves)))
		}
	}
}

func (t *text) guard(r *findings.Report) {
	if r.Guard == nil {
		return
	}
	t.section("BEFORE " + strings.ToUpper(r.Guard.Item) + " IS REPLACED")
	for _, p := range r.Guard.Points {
		mark := map[string]string{"shown": "[x]", "shown otherwise": "[!]", "not shown": "[ ]"}[p.Word]
		where := p.Word
		if p.Line > 0 {
			where += fmt.Sprintf(", line %d", p.Line)
		}
		t.fold("  "+mark+" ", "      ", p.What+": "+where)
	}
	t.fold("  ", "  ", capital(r.Guard.Proves))
}

func (t *text) replacement(r *findings.Report) {
	if r.Order == nil || len(r.Order.Order) == 0 {
		return
	}
	t.section("BY REPLACEMENT ALONE")
	order := r.Order.Order
	more := ""
	if len(order) > 8 {
		more = fmt.Sprintf(" and %d more", len(order)-8)
		order = order[:8]
	}
	t.fold("  ", "  ", fmt.Sprintf("In this order, cheapest hope first: %s%s. Expected time with waste: %s.", strings.Join(order, ", "), more, findings.Minutes(math.Round(r.Order.Minutes))))
}

func (t *text) proof(r *findings.Report) {
	p := r.Proof
	if p == nil {
		return
	}
	t.section("PROOF")
	switch {
	case !p.Repaired:
		t.fold("  ", "  ", "Nothing was repaired yet; this is the plan for the soak afterwards.")
	case p.Again:
		t.fold("  ", "  ", "It failed since the last repair, so that fault is still there; this is the plan for the soak after the next one.")
	default:
		t.fold("  ", "  ", fmt.Sprintf("An unrepaired unit would have come through the clean running since (%s) with a chance of %s. Fixed: %s, when the repair was right with %s beforehand (from %s).",
			quantity.FormatDuration(p.Clean), findings.Percent(p.Survival), findings.Percent(p.Fixed), findings.Percent(p.Prior), p.PriorFrom))
	}
	for _, n := range p.Needs {
		switch {
		case n.Further < 0:
			t.line("  %s sure: running alone will not show it", findings.Percent(n.Level))
		case n.Further > 30*24*3600:
			t.line("  %s sure: over a month of hot running more", findings.Percent(n.Level))
		case n.Further == 0:
			t.line("  %s sure: reached", findings.Percent(n.Level))
		default:
			t.line("  %s sure: %s of hot running more", findings.Percent(n.Level), quantity.FormatDuration(60*math.Ceil(n.Further/60)))
		}
	}
	t.fold("  ", "  ", fmt.Sprintf("From %d failures before the repair, %s.", p.Failures, p.Law))
	if p.OneMore > 60 {
		t.fold("  ", "  ", fmt.Sprintf("One more failure seen before the repair would have saved %s of it.", quantity.FormatDuration(60*math.Round(p.OneMore/60))))
	}
	for _, c := range p.Cautions {
		if p.Again && strings.HasPrefix(c, "it failed") {
			continue // said above
		}
		t.fold("  ! ", "    ", capital(c)+".")
	}
}

func (t *text) remarks(r *findings.Report) {
	if len(r.Disputes) > 0 {
		t.section("DOES NOT GO TOGETHER")
		for _, d := range r.Disputes {
			t.fold("  ! ", "    ", fmt.Sprintf("%s (line %s).", d.Text, lines(d.Lines)))
		}
	}
	if len(r.Unused) > 0 {
		t.section("NOT USED")
		for _, u := range r.Unused {
			t.fold("  ", "    ", fmt.Sprintf("line %d: %s", u.Line, u.Why))
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
