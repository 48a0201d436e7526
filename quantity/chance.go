package quantity

import "fmt"

// FormatChance writes a probability with as many digits as it deserves: "63 %",
// ">99 %", "<1 %".
func FormatChance(p float64) string {
	switch {
	case p >= 0.995:
		return ">99 %"
	case p < 0.005:
		return "<1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
