package chips

import (
	"fmt"
	"io"
	"strings"

	"halfsplit/banks"
	"halfsplit/internal/prose"
	"halfsplit/memory"
	"halfsplit/quantity"
)

// Text prints an answer for people.
func Text(out io.Writer, r *banks.Answer) error {
	t := prose.New(out)
	kind := ""
	if r.Type != "" {
		kind = ", " + r.Type
	}
	t.Line("Memory %s of %s: %d banks of %d chips%s", r.Array, r.Sheet, len(r.Banks), len(r.Banks[0].Chips), kind)
	for _, b := range r.Banks {
		every := ""
		if b.Every > 1 {
			every = fmt.Sprintf(", every %dth address", b.Every)
			if b.Every == 2 {
				every = ", every second address"
			}
		}
		t.Fold(fmt.Sprintf("  bank %s, %s to %s%s: ", b.Name, b.First, b.Last, every), "    ", strings.Join(b.Chips, " "))
	}
	for _, p := range r.Places {
		t.Fold("  ", "    ", fmt.Sprintf("%s: bank %s, row %d, column %d; bit 0 first: %s", p.Address, p.Bank, p.Row, p.Column, strings.Join(p.Chips, " ")))
	}
	if r.Diagnosis == nil {
		return t.Err()
	}
	causes(r, t)
	suspects(r, t)
	swaps(r, t)
	return t.Err()
}

// Brief prints the gist of an answer in a few lines.
func Brief(t *prose.Writer, r *banks.Answer) {
	d := r.Diagnosis
	for i, c := range d.Causes {
		if i == 4 || i > 0 && c.Probability < 0.05 {
			break
		}
		what := string(c.Class)
		if c.What != "" {
			what = c.What + ": " + what
		}
		t.Line("  %s %7s  %s", prose.Bar(c.Probability), prose.Percent(c.Probability), what)
	}
	switch {
	case d.Outside >= 0.5:
		t.Fold("  ! ", "    ", fmt.Sprintf("%s that the trouble is outside the chips: replace none of them yet.%s", prose.Percent(d.Outside), lookAt(r)))
	case r.Swaps != nil:
		for _, p := range r.Swaps.Plans {
			if p.Policy == r.Swaps.Best {
				t.Fold("  ", "  ", fmt.Sprintf("If it is the chips, replace them %s, beginning with %s: about %.1f chips and %.0f min, and a chance of %s of no further failure within %.3g years.",
					p.Policy, p.Order[0], p.Chips, p.Minutes, prose.Percent(p.Survival[len(p.Survival)-1]), r.Service.Horizon))
			}
		}
	}
	for _, remark := range d.Remarks {
		t.Fold("  · ", "    ", remark)
	}
}

func causes(r *banks.Answer, t *prose.Writer) {
	d := r.Diagnosis
	t.Section("WHAT IT LOOKS LIKE")
	if r.Rows > 0 {
		how := ""
		if r.Test != "" {
			how = ", found by " + r.Test
		}
		t.Line("  %d failures read%s", r.Rows, how)
	}
	for i, c := range d.Causes {
		if i == 8 || i > 0 && c.Probability < 0.005 {
			break
		}
		what := string(c.Class)
		if c.What != "" {
			what = c.What + ": " + what
		}
		t.Line("  %s %7s  %s", prose.Bar(c.Probability), prose.Percent(c.Probability), what)
	}
	if d.Outside >= 0.5 {
		t.Fold("  ! ", "    ", fmt.Sprintf("%s that the trouble is outside the chips: replace none of them yet.%s", prose.Percent(d.Outside), lookAt(r)))
	} else if d.Outside >= 0.05 {
		t.Fold("  ! ", "    ", fmt.Sprintf("%s that it is outside the chips.%s", prose.Percent(d.Outside), lookAt(r)))
	}
	for _, remark := range d.Remarks {
		t.Fold("  · ", "    ", remark)
	}
}

func lookAt(r *banks.Answer) string {
	if len(r.LookAt) == 0 {
		return " Look at supply rails, strobes and address lines at a chip's pins first."
	}
	return " Look at these first, at a chip's pins: " + strings.Join(r.LookAt, ", ") + "."
}

func suspects(r *banks.Answer, t *prose.Writer) {
	t.Section("CHIPS")
	shown := 0
	for _, c := range r.Diagnosis.Chips {
		if c.Bad < 0.005 && c.Failing == 0 {
			continue
		}
		shown++
		failing := ""
		if r.Rows > 0 {
			failing = fmt.Sprintf(", %d of %d cells failed", c.Failing, c.Cells)
		}
		t.Line("  %s %7s  %s, bank %s %s%s", prose.Bar(c.Bad), prose.Percent(c.Bad), c.Chip, c.Bank, c.Bits, failing)
	}
	switch rest := len(r.Diagnosis.Chips) - shown; {
	case shown == 0:
		t.Line("  none is suspected")
	case rest > 0:
		t.Line("  the other %d are not suspected", rest)
	}
}

func swaps(r *banks.Answer, t *prose.Writer) {
	if r.Swaps == nil {
		return
	}
	t.Section("IF IT IS THE CHIPS: WHAT REPLACING TAKES")
	years := fmt.Sprintf("%.3g", r.Service.Horizon)
	t.Line("                    chips  wasted   minutes now   failures in %s years   minutes then   cost", years)
	for _, p := range r.Swaps.Plans {
		mark := "  "
		if p.Policy == r.Swaps.Best {
			mark = "→ "
		}
		t.Line("  %s%-15s %5.1f  %6.1f  %12.0f  %21.2f  %13.0f  %5.0f", mark, p.Policy, p.Chips, p.Wasted, p.Minutes, p.Further, p.Later, p.Cost)
	}
	best := r.Swaps.Plans[0]
	for _, p := range r.Swaps.Plans {
		if p.Policy == r.Swaps.Best {
			best = p
		}
	}
	order := best.Order
	more := ""
	if len(order) > 8 {
		order, more = order[:8], " ..."
	}
	if best.Policy != memory.WholeBank {
		t.Fold("  ", "  ", "In this order: "+strings.Join(order, ", ")+more)
	}
	t.Fold("  ", "  ", fmt.Sprintf("Cost counts now and later. No further failure within %s years, %s: %s.", years, best.Policy, prose.Percent(best.Survival[len(best.Survival)-1])))
	for _, b := range r.Batches {
		t.Fold("  ", "    ", fmt.Sprintf("Batch %s: %d fitted, %d found bad before; expected to fail at %s a year for each chip.", b.Mark, b.Fitted, b.Failed, quantity.FormatDigits(b.Rate, quantity.Percent, 2)))
	}
}
