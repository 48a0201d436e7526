package report

import (
	"errors"
	"fmt"
	"io"

	"halfsplit/findings"
	"halfsplit/internal/picture"
	"halfsplit/quantity"
)

// ErrNothingToDraw says that no number was read in a circuit that was solved.
var ErrNothingToDraw = errors.New("there is nothing to draw: no number was read in a circuit that is solved")

// Draw writes a picture as SVG: a row for each number that was read in a
// circuit, and in it what was read beside what a sound unit and the leading
// suspects would make of it, each as a share of the largest in the row, with
// bars of twice the standard deviation. A ripple's bar ends at zero.
func Draw(to io.Writer, r *findings.Report) error {
	leading := Leading(r)
	if len(leading) == 0 {
		return ErrNothingToDraw
	}
	rows := picture.Rows{Title: "Read against foretold: " + r.Unit, X: "1 is the largest value in the row; 95 in 100 would lie within the bar"}
	first := leading[0].Foretold
	largest := make([]float64, len(first))
	for i, f := range first {
		rows.Labels = append(rows.Labels, fmt.Sprintf("%s: %s", place(f), quantity.FormatDigits(f.Read, f.Unit, 3)))
		largest[i] = scale(f.Read, f.Sound)
		for _, s := range leading {
			largest[i] = max(largest[i], scale(s.Foretold[i].Mean))
		}
		if largest[i] == 0 {
			largest[i] = 1
		}
	}
	add := func(name string, value func(row int) (mean, deviation float64)) {
		m := picture.Mark{Name: name}
		for i := range first {
			mean, deviation := value(i)
			below := 2 * deviation
			if ripple(first[i]) {
				below = max(min(below, mean), 0)
			}
			m.Values, m.Below, m.Above = append(m.Values, mean/largest[i]), append(m.Below, below/largest[i]), append(m.Above, 2*deviation/largest[i])
		}
		rows.Marks = append(rows.Marks, m)
	}
	add("read", func(i int) (float64, float64) { return first[i].Read, first[i].U })
	for _, s := range leading {
		add(fmt.Sprintf("%s, %s", s.Name, findings.Percent(s.Probability)), func(i int) (float64, float64) {
			return s.Foretold[i].Mean, s.Foretold[i].Deviation
		})
	}
	add("sound", func(i int) (float64, float64) { return first[i].Sound, first[i].Spread })
	return picture.DrawRows(to, rows)
}
