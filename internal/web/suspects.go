package web

import (
	"fmt"
	"io"
	"math"
	"net/http"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/report"
	"halfsplit/quantity"
)

// suspectsScreen shows the suspects with their reasons, and what to test next.
func (s *Server) suspectsScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	var drawing string
	if found := v.report(); found != nil {
		drawing = plate(func(to io.Writer) error { return report.Draw(to, found) }) // without it the tables say the same
	}
	return View{Title: "Suspects", Place: "/collection", Back: v.back(), Body: suspectsPage(v, drawing)}, nil
}

// weight says in words how strongly a reading speaks.
func weight(s findings.Support) string {
	ratio, side := s.Ratio, "likelier"
	if ratio < 1 {
		ratio, side = 1/ratio, "less likely"
	}
	switch {
	case math.IsInf(ratio, 0) || math.IsNaN(ratio) || ratio >= 1000:
		return "over 1000 times " + side
	case ratio >= 10:
		return fmt.Sprintf("%.0f times %s", ratio, side)
	case ratio >= 1.95:
		return fmt.Sprintf("%.1f times %s", ratio, side)
	}
	return fmt.Sprintf("%.0f %% %s", 100*(ratio-1), side)
}

// speaks says how much weight a ratio has on the bench.
func speaks(s findings.Support) string {
	ratio := max(s.Ratio, 1/s.Ratio)
	switch {
	case ratio >= 100:
		return "decisively"
	case ratio >= 10:
		return "strongly"
	case ratio >= 3:
		return "clearly"
	}
	return "a little"
}

// foretoldAt says where and what was read.
func foretoldAt(f findings.Foretold) string {
	if f.Of == "level" {
		return f.At
	}
	return f.At + ", " + f.Of
}

// foretold writes what a number should be with the spread that tolerances leave.
func foretold(f findings.Foretold, mean, deviation float64) string {
	if strings.HasPrefix(f.Of, "ripple") && mean < 2*deviation {
		return "up to " + quantity.FormatDigits(mean+2*deviation, f.Unit, 2)
	}
	return quantity.FormatUncertain(mean, 2*deviation, f.Unit)
}

// factor writes what a reason does to the odds.
func factor(x float64) string { return fmt.Sprintf("×%.2g", x) }

// searched says how thoroughly sets of faults were weighed.
func searched(s findings.Search) string {
	text := fmt.Sprintf("%d sets of faults of %d items were weighed, up to %d at once.", s.Sets, s.Items, s.Largest)
	if !s.Exact {
		text += " What was left out adds up to about " + quantity.FormatChance(s.Guess) + "."
	}
	if s.Unplaced > 0 {
		text += fmt.Sprintf(" %d parts of the sheet are used by no block, rail or circuit, and so are never suspected.", s.Unplaced)
	}
	return text
}

// together are explanations of several items.
func together(r *findings.Report) []string {
	var list []string
	for _, s := range r.Sets {
		if len(s.Items) > 1 && s.Probability >= 0.03 {
			list = append(list, joined(s.Items)+" together: "+quantity.FormatChance(s.Probability))
		}
	}
	return list
}
