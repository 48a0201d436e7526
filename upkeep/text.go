package upkeep

import (
	"fmt"
	"strings"
)

// practice marks what no source stands behind.
const practice = "common practice, no source"

// String says what the line is about, with the numbers that it was reckoned from, and
// what is expected.
func (l Line) String() string {
	var text strings.Builder
	text.WriteString(l.subject())
	if about := l.about(); about != "" {
		text.WriteString(": " + about)
	}
	text.WriteString("; " + l.expected())
	return text.String()
}

// subject names the line: "C3, electrolytic", "40 electrolytics (guess)".
func (l Line) subject() string {
	text := l.Name
	switch {
	case l.Hazard != nil:
		text = "hazard: " + l.Name
		if l.Kind != l.Name {
			text += " (" + l.Kind + ")"
		}
		if l.Hazard.Where != "" {
			text += ", " + l.Hazard.Where
		}
	case l.Guess && l.Count >= 1:
		text = fmt.Sprintf("about %.0f %s", l.Count, l.Name)
	case l.Guess:
		text = fmt.Sprintf("%s, there with a chance of %.0f %%", l.Name, 100*l.Count)
	case l.Count > 1:
		text = fmt.Sprintf("%s, %.0f × %s", l.Name, l.Count, l.Kind)
	case l.Chemistry != "":
		text = fmt.Sprintf("%s, %s battery", l.Name, l.Chemistry)
	case !strings.Contains(strings.ToLower(l.Name), l.Kind):
		text = l.Name + ", " + l.Kind
	}
	if l.Across && l.Hazard == nil && l.Name != GuessedFilter {
		text += " across the mains"
	}
	if l.Guess {
		text += " (guess)"
	}
	return text
}

// about gives the numbers from which it was reckoned.
func (l Line) about() string {
	var list []string
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	if l.Damage != "" {
		say("%s", l.Damage)
	}
	if l.Hazard == nil || l.HalfBy > 0 {
		if l.Replaced {
			say("replaced %s ago", inYears(l.Age))
		} else {
			say("%s old", inYears(l.Age))
		}
	}
	if l.Kind == "electrolytic" {
		beside := ""
		if l.Beside != "" {
			beside = " beside " + l.Beside
		}
		if l.Hours > 0 {
			say("%.0f %% of its stated life used up, at %.3g h a day and %.0f °C%s", 100*l.Consumed, l.Hours, celsius(l.Warmth), beside)
		} else {
			say("never run")
		}
		if l.Rest >= 1 {
			say("%s without voltage", inYears(l.Rest))
		}
	}
	if l.HalfBy > 0 && l.Damage == "" {
		what := "have failed"
		if l.Kind == "battery" {
			what = "have leaked"
		}
		say("half of its like %s by %s (%s)", what, inYears(l.HalfBy), practice)
	}
	if l.Learned < 0.95 || l.Learned > 1.05 {
		say("%.1f times as likely as usual by what benches have seen", l.Learned)
	}
	if l.Hazard != nil && l.Hazard.Because != "" && l.HalfBy == 0 {
		say("%s", l.Hazard.Because)
	}
	if l.Answered {
		say("made safe")
	}
	return strings.Join(list, ", ")
}

// expected says what is to be expected of it.
func (l Line) expected() string {
	if l.Hazard != nil && l.Failures == 0 {
		return l.Danger.String()
	}
	var text string
	switch {
	case l.Damage != "" && l.Danger == Acute:
		return l.Danger.String()
	case l.Damage != "":
		return "it has failed"
	case l.Count > 1:
		text = fmt.Sprintf("%s of them expected to fail within %s", figure(l.Failures), inYears(l.Ahead))
	default:
		verb := "fails"
		if l.Kind == "battery" {
			verb = "leaks"
		}
		chance := l.Failures
		if l.Guess && l.Count < 1 {
			verb, chance = "if it is there, it "+verb, l.Failures/l.Count
		}
		text = fmt.Sprintf("%s within %s with a chance of %s", verb, inYears(l.Ahead), percent(chance))
	}
	if l.Danger > Wears {
		text += "; " + l.Danger.String()
	}
	return text
}

// Why gives the reasons for the score in words, the worst first: so many lines, and one
// that sums up the rest.
func (a Assessment) Why(most int) []string {
	var list []string
	rest, parts := Score{}, 0.0
	for i := range a.Lines {
		l := &a.Lines[i]
		if i < most {
			list = append(list, l.String())
			continue
		}
		rest.add(l)
		parts += l.Count
	}
	if parts > 0 {
		list = append(list, fmt.Sprintf("%.0f more; %s of them expected to fail within %s", parts, figure(rest.Failures), inYears(a.Ahead)))
	}
	return list
}

// String gives the score in words: "can burn, harm likely; 1.4 failures expected".
func (s Score) String() string {
	text := s.Danger.String()
	switch {
	case s.Danger == Acute:
	case grade(s.Harm) > 0 || s.Danger == Burns || s.Danger == Spoils:
		text += ", harm " + s.Likelihood()
	}
	return fmt.Sprintf("%s; %s failures expected", text, figure(s.Failures))
}

func celsius(kelvin float64) float64 { return kelvin - 273.15 }

// inYears writes a time in years.
func inYears(y float64) string {
	switch {
	case y < 1.0/12:
		return fmt.Sprintf("%.0f days", 365.25*y)
	case y < 2:
		return fmt.Sprintf("%.0f months", 12*y)
	case y < 5 && y != float64(int(y)):
		return fmt.Sprintf("%.1f years", y)
	}
	return fmt.Sprintf("%.0f years", y)
}

// figure writes a number of failures.
func figure(x float64) string {
	switch {
	case x >= 9.95:
		return fmt.Sprintf("%.0f", x)
	case x >= 0.095:
		return fmt.Sprintf("%.1f", x)
	case x >= 0.005:
		return fmt.Sprintf("%.2f", x)
	}
	return "less than 0.01"
}

// percent writes a chance.
func percent(p float64) string {
	switch {
	case p > 0.99:
		return "more than 99 %"
	case p >= 0.0095:
		return fmt.Sprintf("%.0f %%", 100*p)
	case p >= 0.001:
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return "less than 0.1 %"
}
