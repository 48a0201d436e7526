package safety

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/hazard"
	"halfsplit/internal/prose"
	"halfsplit/quantity"
)

// Text prints a report for people.
func Text(out io.Writer, r *Report) error {
	t := prose.New(out)
	t.Line("%s: hazards", r.Unit)
	t.Fold("", "", "Local codes and the unit's own manual come first; leave what you are not practised or licensed for to those who are. Whatever is reckoned here, measure before you touch.")
	r.list(t)
	r.stores(t)
	r.judged(t)
	r.lampTable(t)
	r.dummyTable(t)
	if len(r.Missing)+len(r.remarks) > 0 {
		t.Section("NOT KNOWN")
		for _, m := range append(r.Missing, r.remarks...) {
			t.Fold("  ? ", "    ", m)
		}
	}
	return t.Err()
}

func (r *Report) list(t *prose.Writer) {
	t.Section("BEFORE YOU BEGIN")
	if len(r.Hazards) == 0 {
		t.Fold("  ", "  ", "The sheet lists no hazard, and none follows from its parts. That is no proof that there is none: look for mains, charged capacitors, a picture tube, a battery.")
		return
	}
	for _, h := range r.Hazards {
		what := h.Name
		if h.Name != h.Kind {
			what += " (" + h.Kind + ")"
		}
		if h.Where != "" {
			what += ", " + h.Where
		}
		t.Fold("  [ ] ", "      ", what+": before "+h.Before)
		t.Fold("      ", "        ", h.Do)
		if h.Usual.Do != h.Do && len(h.Usual.Steps) == 0 {
			t.Fold("      ", "        ", "usually: "+h.Usual.Do)
		}
		if len(h.Usual.Steps) > 0 {
			t.Fold("      ", "        ", "printed procedures agree on: "+strings.Join(h.Usual.Steps, "; ")+" ("+h.Usual.Source+")")
		}
		if h.Usual.Never != "" {
			t.Fold("      ", "        ", h.Usual.Never)
		}
		if h.Found != "" {
			t.Fold("      ", "        ", "not listed by the sheet; found because "+h.Found)
		}
	}
}

func (r *Report) stores(t *prose.Writer) {
	if len(r.Stores) == 0 {
		return
	}
	t.Section("STORED ENERGY")
	for i := range r.Stores {
		s := &r.Stores[i]
		t.Fold("  ", "    ", fmt.Sprintf("%s: %s at %s holds %s, %.3g mC", s.Hazard, quantity.FormatDigits(s.Capacitance, quantity.Farad, 3), quantity.FormatDigits(s.Voltage, quantity.Volt, 3),
			quantity.FormatDigits(s.Energy, quantity.Joule, 3), 1e3*s.Charge))
		verdict(t, s.Touch)
		if !s.Burns.Passes {
			verdict(t, s.Burns)
		}
		if s.Filter != nil {
			verdict(t, *s.Filter)
		}
		for _, sentence := range s.bleeding(r.Safe) {
			t.Fold("    ", "    ", sentence)
		}
	}
}

// Bleeding says how what is stored goes away: down to a safe voltage by itself,
// through a bleeder to fit, and by hand.
func Bleeding(s *Stored, safe float64) string { return strings.Join(s.bleeding(safe), " ") }

func (s *Stored) bleeding(safe float64) []string {
	var say []string
	switch {
	case s.Voltage <= safe:
		say = append(say, fmt.Sprintf("It never exceeds %s.", quantity.FormatDigits(safe, quantity.Volt, 3)))
	case s.Bleeder > 0:
		say = append(say, fmt.Sprintf("Its bleeder of %s takes %s to %s, if it is not open.", quantity.FormatDigits(s.Bleeder, quantity.Ohm, 3), Seconds(s.Time), quantity.FormatDigits(safe, quantity.Volt, 3)))
	default:
		say = append(say, "No bleeder is known: it may hold its charge for days.")
	}
	if f := s.Fit; f != nil {
		say = append(say, fmt.Sprintf("A bleeder to fit: %s (at most %s), which takes %s and turns %s to heat for as long as it is on.",
			resistors(f), quantity.FormatDigits(f.Largest, quantity.Ohm, 3), Seconds(f.Time), quantity.FormatDigits(f.Power, quantity.Watt, 2)))
	}
	if h := s.Held; h != nil {
		say = append(say, fmt.Sprintf("To discharge it by hand: %s, wirewound, on insulated clips; %s at first, %s to %s.",
			resistors(h), quantity.FormatDigits(h.Peak, quantity.Watt, 2), Seconds(h.Time), quantity.FormatDigits(safe, quantity.Volt, 3)))
	}
	if s.Why != "" && s.Voltage > safe {
		say = append(say, "No bleeder: "+s.Why+".")
	}
	return say
}

// resistors writes a bleeder as one would buy it.
func resistors(b *hazard.Bleeder) string {
	one := fmt.Sprintf("%s %g W made for %s", quantity.FormatDigits(b.Each, quantity.Ohm, 3), b.EachW, quantity.FormatDigits(b.Working, quantity.Volt, 3))
	if b.Pieces == 1 {
		return one
	}
	return fmt.Sprintf("%d in series of %s each", b.Pieces, one)
}

func verdict(t *prose.Writer, j hazard.Judgement) {
	word := "PASSES"
	if !j.Passes {
		word = "FAILS"
	}
	t.Fold("    "+word+"  ", "            ", fmt.Sprintf("%s: %s (%s)", j.Rule, j.Text, j.Source))
}

func (r *Report) judged(t *prose.Writer) {
	if len(r.Checks)+len(r.Limits) == 0 {
		return
	}
	t.Section("EARTH, INSULATION, TOUCH CURRENT")
	for _, j := range r.Checks {
		verdict(t, j)
	}
	for _, l := range r.Limits {
		t.Fold("    to do   ", "            ", fmt.Sprintf("%s: %s (%s)", l.Check, l.Limit, l.Source))
	}
}

func (r *Report) lampTable(t *prose.Writer) {
	if len(r.Lamps) == 0 {
		return
	}
	t.Section("SERIES LAMP")
	t.Fold("  ", "  ", fmt.Sprintf("For the first power-up on %s, a %s supply that takes %s. A short behind the lamp draws its rated current; cold, for a tenth of a second, up to the inrush.",
		quantity.FormatDigits(r.Mains, quantity.Volt, 3), r.supply, quantity.FormatDigits(r.power, quantity.Watt, 3)))
	t.Line("     lamp    short     inrush    unit gets   when all is well")
	for _, l := range r.Lamps {
		mark, how := "  ", "dark"
		if l.Power == r.Lamp {
			mark = "→ "
		}
		if l.Glows {
			how = "glows"
		}
		unit := quantity.FormatDigits(l.Unit, quantity.Volt, 3)
		switch {
		case l.Unit == 0:
			unit, how = "–", "bright: the unit cannot run behind it"
		case !l.Runs:
			how += ", the unit gets too little"
		}
		t.Line("   %s%3.0f W   %-8s  %-8s  %-10s  %s", mark, l.Power, quantity.FormatDigits(l.Short, quantity.Ampere, 2), quantity.FormatDigits(l.Inrush, quantity.Ampere, 2), unit, how)
	}
	if r.Lamp == 0 {
		t.Fold("  ", "  ", "None of the usual lamps leaves the unit 85 % of the mains: use several in parallel, or a variable transformer with a current limit.")
		return
	}
	t.Fold("  ", "  ", fmt.Sprintf("Use %g W: the smallest that leaves the unit 85 %% of the mains. A lamp that stays bright means a short; a lamp limits, it does not isolate.", r.Lamp))
	if r.supply == hazard.SwitchingSupply {
		t.Fold("  ", "  ", "A switching supply takes more current at less voltage: behind a lamp it may hunt or not start though it is sound.")
	}
}

func (r *Report) dummyTable(t *prose.Writer) {
	if len(r.Dummies) == 0 {
		return
	}
	t.Section("DUMMY LOADS")
	for _, d := range r.Dummies {
		t.Line("  %-12s %-8s rated %g W: draws %s, %s of heat", d.Rail, quantity.FormatDigits(d.Value, quantity.Ohm, 3), d.Rating,
			quantity.FormatDigits(d.Current, quantity.Ampere, 3), quantity.FormatDigits(d.Power, quantity.Watt, 2))
		if d.Caution != "" {
			t.Fold("               ", "               ", d.Caution)
		}
	}
}

// Seconds writes a time, rounded up as one would wait.
func Seconds(s float64) string {
	switch {
	case math.IsInf(s, 1):
		return "for ever"
	case s < 10:
		return quantity.FormatDigits(s, quantity.Second, 2)
	}
	return quantity.FormatDuration(math.Ceil(s))
}
