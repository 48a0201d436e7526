package paper

import (
	"fmt"
	"strconv"
	"strings"
)

// percent is a share in words; near certainty is not called certain.
func percent(p float64) string {
	switch {
	case p > 0.999 && p < 1:
		return "over 99.9 %"
	case p > 0.99 && p < 1:
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// trim is a number without needless digits.
func trim(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

// minutes is a time in hours and minutes.
func minutes(seconds float64) string {
	m := int(seconds/60 + 0.5)
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// money is an amount in hundredths of a currency.
func money(hundredths int64, currency string) string {
	return strings.TrimSpace(fmt.Sprintf("%d.%02d %s", hundredths/100, hundredths%100, currency))
}

// capital makes the first letter a capital.
func capital(text string) string {
	r := []rune(text)
	if len(r) == 0 {
		return text
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}
