package report

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/findings"
	"halfsplit/quantity"
)

// foretold shows what was read in circuits beside what the leading suspect, its
// rival and a sound unit would make of it.
func (t *text) foretold(r *findings.Report) {
	for _, c := range r.NotSolved {
		t.Fold("  Circuit ", "    ", fmt.Sprintf("%s is not solved: %s.", c.Circuit, c.Why))
	}
	leading := Leading(r)
	if len(leading) == 0 {
		return
	}
	t.Section("WHAT THE CIRCUIT FORETELLS")
	for _, c := range r.Solved {
		t.Line("  %s: solved with each of %d faults, and sound", c.Circuit, c.Faults)
	}
	for _, s := range leading {
		t.Line("")
		t.Line("  %-24s %16s %22s %22s", clip("with "+s.Name+" bad", 24), "read", "foretold", "sound")
		for _, f := range s.Foretold {
			mark := " "
			if !f.Fits() {
				mark = "!"
			}
			t.Line("%s", strings.TrimRight(fmt.Sprintf("  %-24s %16s %22s %22s %s", clip(place(f), 24), quantity.FormatDigits(f.Read, f.Unit, 3),
				expected(f, f.Mean, f.Deviation), expected(f, f.Sound, f.Spread), mark), " "))
		}
	}
	t.Fold("  ", "  ", "Foretold with twice the standard deviation that tolerances leave; ! marks what does not fit.")
}

// ripple reports whether a number is a ripple, which is never below zero.
func ripple(f findings.Foretold) bool { return strings.HasPrefix(f.Of, "ripple") }

// expected writes what a number should be, with twice its standard deviation. A
// ripple is never below zero: one whose spread is as large as itself has an upper
// end only.
func expected(f findings.Foretold, mean, deviation float64) string {
	if ripple(f) && mean < 2*deviation {
		return "up to " + quantity.FormatDigits(mean+2*deviation, f.Unit, 2)
	}
	return quantity.FormatUncertain(mean, 2*deviation, f.Unit)
}

// Leading are the suspects for which there are numbers to show, three at most.
func Leading(r *findings.Report) []findings.Suspect {
	var list []findings.Suspect
	for _, s := range r.Suspects {
		if len(s.Foretold) > 0 && s.Probability >= leastShown && len(list) < 3 {
			list = append(list, s)
		}
	}
	return list
}

// leastShown is the probability of a suspect from which on its numbers are shown.
const leastShown = 0.05

// place says where and what was read.
func place(f findings.Foretold) string {
	if f.Of == "level" {
		return f.At
	}
	return f.At + ", " + f.Of
}

// scale is the largest of what is shown in a row of the picture.
func scale(list ...float64) float64 {
	most := 0.0
	for _, x := range list {
		most = math.Max(most, math.Abs(x))
	}
	return most
}
