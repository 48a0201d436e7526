package web

import (
	"slices"
	"strings"

	"halfsplit/findings"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// currentTab gives the value of aria-current of a row of screens.
func currentTab(is bool) string {
	if is {
		return "page"
	}
	return "false"
}

// stageOptions are the stages that a job can be moved to.
func stageOptions(v *jobView) []look.Option {
	var list []look.Option
	for _, stage := range record.Stages() {
		if stage != v.Job.Stage {
			list = append(list, look.Option{Value: string(stage), Text: string(stage)})
		}
	}
	return list
}

// shownVerdict turns whether a point of a guard was shown into a sign.
func shownVerdict(word string) look.Verdict {
	switch word {
	case "shown":
		return look.Pass
	case "shown otherwise":
		return look.Fail
	}
	return look.Open
}

// suspectRows are the first suspects as rows of a list.
func suspectRows(v *jobView, r *findings.Report, most int) []look.Suspect {
	var list []look.Suspect
	for _, s := range r.Suspects[:min(most, len(r.Suspects))] {
		list = append(list, look.Suspect{Name: s.Name, What: withMode(s.Kind, s.Mode), Chance: s.Probability, Path: v.path("/suspects") + "#" + anchor(s.Name)})
	}
	return list
}

// groups names items that no reading tells apart.
func groups(list [][]string) []string {
	var lines []string
	for _, g := range list {
		lines = append(lines, strings.Join(g, ", "))
	}
	return lines
}

// newest are the last entries, the newest first.
func newest(log []record.Entry, most int) []record.Entry {
	last := slices.Clone(log[max(0, len(log)-most):])
	slices.Reverse(last)
	return last
}

// withMode names a kind of part with what is wrong with it.
func withMode(kind, mode string) string {
	if mode == "" {
		return kind
	}
	return kind + ", " + mode
}
