package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// ticks marks an axis at round values, 1, 2 or 5 times a power of ten apart, with
// as many decimals as tell them apart.
type ticks struct{}

// wantedTicks is about how many values are written along an axis.
const wantedTicks = 6

// Ticks gives the marks between two values.
func (ticks) Ticks(low, high float64) []plot.Tick {
	span := high - low
	if !(span > 0) || math.IsInf(span, 0) {
		return []plot.Tick{{Value: low, Label: strconv.FormatFloat(low, 'g', 6, 64)}}
	}
	step := math.Pow(10, math.Floor(math.Log10(span/wantedTicks)))
	minor := step
	for _, factor := range []float64{1, 2, 5, 10} {
		if span/(step*factor) <= wantedTicks+1 {
			minor = step * factor / 5
			if factor == 2 {
				minor = step * factor / 4
			}
			step *= factor
			break
		}
	}
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	write := func(v float64) string {
		if largest := max(math.Abs(low), math.Abs(high)); largest >= 1e6 || largest < 1e-4 {
			digits := max(0, int(math.Ceil(math.Log10(largest/step))))
			return strconv.FormatFloat(v, 'e', digits, 64)
		}
		return strconv.FormatFloat(v, 'f', decimals, 64)
	}
	var list []plot.Tick
	for i := math.Ceil(low / minor); i <= math.Floor(high/minor); i++ {
		t := plot.Tick{Value: i * minor}
		if ratio := t.Value / step; math.Abs(ratio-math.Round(ratio)) < 1e-6 {
			t.Value = math.Round(ratio) * step
			t.Label = write(t.Value + 0) // no minus before zero
		}
		list = append(list, t)
		if len(list) > 1000 {
			break // beyond what floating-point numbers can tell apart
		}
	}
	return list
}
