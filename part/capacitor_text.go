package part

import (
	"fmt"
	"strconv"
	"strings"
)

// caution goes with every verdict that may be dangerous.
const caution = "Apply no power with it in place; see that it is discharged before touching it; local codes and licensed practice come first."

// String gives the verdict as a few sentences: the word, each finding in brief,
// a caution where it may be dangerous, and what is missing. The reasons have the rest.
func (v CapacitorVerdict) String() string {
	var text strings.Builder
	text.WriteString(v.Condition.String())
	if v.Condition == TooCloseToCall {
		fmt.Fprintf(&text, " between %v and %v", v.Best, v.Worst)
	}
	text.WriteString(".")
	for _, reason := range v.Reasons {
		text.WriteString(" " + capitalised(reason.brief()) + ".")
	}
	if v.Worst == Dangerous {
		text.WriteString(" " + caution)
	}
	if len(v.Missing) > 0 {
		var list []string
		for _, missing := range v.Missing {
			list = append(list, missing.String())
		}
		text.WriteString(" Missing: " + strings.Join(list, "; ") + ".")
	}
	return text.String()
}

// String names what is missing and why.
func (m Missing) String() string {
	name := m.Quantity.String()
	if m.Quantity == QuantityESR {
		name = "ESR or tan δ"
	}
	return name + ", " + m.Why
}

// String gives the whole reason: the finding, every limit with its source, what
// was assumed, and why the reading proves less where it does.
func (r Reason) String() string {
	text := r.finding()
	if limits := r.limits(); limits != "" {
		text += "; " + limits
	}
	if r.Source != "" {
		text += " (" + r.Source + ")"
	}
	if len(r.Assumed) > 0 {
		text += "; assumed: " + strings.Join(r.Assumed, ", ")
	}
	if len(r.Because) > 0 {
		text += "; note: " + strings.Join(r.Because, "; ")
	}
	return text
}

// brief gives the finding with what decided it.
func (r Reason) brief() string {
	text := r.finding()
	switch {
	case r.Best == Good && r.Worst == Good && len(r.Limits) > 0:
		text += ", " + r.extent(r.Limits[0])
	case (r.Quantity == QuantityLook || r.Quantity == QuantityAge) && r.Worst.bad() && len(r.Because) > 0:
		text += ", " + r.Because[0]
	case r.Worst.bad() && len(r.Limits) > 0:
		text += ": " + r.limits()
	}
	return text
}

// finding names the quantity, the reading and the word.
func (r Reason) finding() string {
	if r.Quantity == QuantityLook {
		return fmt.Sprintf("look %q: %s", r.Seen, r.word())
	}
	return fmt.Sprintf("%v %s: %s", r.Quantity, r.reading(), r.word())
}

// word gives the word, or the two between which the reason lies.
func (r Reason) word() string {
	if r.Best == r.Worst {
		return r.Best.String()
	}
	return fmt.Sprintf("between %v and %v", r.Best, r.Worst)
}

// reading gives the value with its deviation and its uncertainty.
func (r Reason) reading() string {
	text := r.show(r.Reading.Value)
	if r.Reading.Uncertainty > 0 {
		text += " ± " + r.show(coverage*r.Reading.Uncertainty)
	}
	if r.Nominal > 0 {
		text += fmt.Sprintf(" (%+.1f %%)", 100*CapacitanceChange(r.Nominal, r.Reading.Value))
	}
	return text
}

// limits lists the limits with their sources.
func (r Reason) limits() string {
	var list []string
	for _, limit := range r.Limits {
		if limit.Word != CannotTell {
			list = append(list, limit.Word.String()+" "+r.extent(limit))
		}
	}
	if len(list) > 0 {
		return strings.Join(append(list, "else "+r.Beyond.String()), ", ")
	}
	for _, limit := range r.Limits { // below the only limit nothing is known
		word := r.Beyond.String()
		if r.Beyond == CannotTell {
			word = "remarked on"
		}
		if limit.Source != "" {
			list = append(list, fmt.Sprintf("%s above %s (%s)", word, r.show(limit.High), limit.Source))
		}
	}
	return strings.Join(list, ", ")
}

// extent gives the ends of a limit with its source.
func (r Reason) extent(limit Limit) string {
	if limit.Low > 0 {
		return fmt.Sprintf("%s to %s (%s)", r.show(limit.Low), r.show(limit.High), limit.Source)
	}
	return fmt.Sprintf("up to %s (%s)", r.show(limit.High), limit.Source)
}

// show writes a value in the unit of the quantity.
func (r Reason) show(value float64) string {
	switch r.Quantity {
	case QuantityCapacitance:
		return engineering(value, "F")
	case QuantityESR:
		return engineering(value, "Ω")
	case QuantityLeakage:
		return engineering(value, "A")
	case QuantityAge:
		return fmt.Sprintf("%.0f years", value/Year)
	}
	return fmt.Sprintf("%.3g", value)
}

// engineering writes a value of zero or more with a prefix and up to four
// digits. Below one farad µF is the largest, as the trade writes 4700 µF.
func engineering(value float64, unit string) string {
	prefixes := []struct {
		factor float64
		prefix string
	}{{1e9, "G"}, {1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}, {1e-12, "p"}}
	if unit == "F" && value < 1 {
		prefixes = prefixes[5:]
	}
	last := prefixes[len(prefixes)-1]
	for _, step := range prefixes {
		if value >= step.factor*(1-1e-9) {
			last = step
			break
		}
	}
	if value == 0 {
		last.factor, last.prefix = 1, ""
	}
	scaled := value / last.factor
	digits := strconv.FormatFloat(scaled, 'g', 4, 64)
	if scaled >= 1000 {
		digits = strconv.FormatFloat(scaled, 'f', 0, 64)
	}
	return digits + " " + last.prefix + unit
}

// capitalised raises the first letter, leaving "tan δ" and "ESR" as they are
// written in a sentence.
func capitalised(text string) string {
	if strings.HasPrefix(text, "tan δ") {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
