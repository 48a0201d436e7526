package main

import (
	"fmt"
	"strings"

	"halfsplit/internal/plain"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// fleetCommand decides over a number of like units by how they run, all together.
type fleetCommand struct {
	Good    string   `required:"" placeholder:"TIME" help:"Mean time between failures of units that are good enough, such as 200h."`
	Bad     string   `required:"" placeholder:"TIME" help:"Mean time between failures of units that are not, such as 50h."`
	Ran     string   `required:"" placeholder:"TIME" help:"How long all units together have run, such as 90h."`
	Failed  []string `placeholder:"TIME" sep:"," help:"When they failed, each in running time of all units together, such as 12h,70h."`
	Refuse  string   `default:"10%" help:"Risk of refusing units that are good."`
	Believe string   `default:"10%" help:"Risk of accepting units that are bad."`
	JSON    bool     `name:"json" help:"Print for a program, as JSON."`
}

// Help says what the test is for.
func (fleetCommand) Help() string {
	return "For several units of one kind with the same repair. After each hour and failure there is enough to accept, enough to refuse, or not enough: the sequential test of Wald, cut short where it would take too long."
}

// fleetAnswer is the answer for a program; times in seconds, −1 for never.
type fleetAnswer struct {
	Outcome  soak.Outcome `json:"outcome"`
	At       float64      `json:"at_seconds"`
	Failures int          `json:"failures"`
	Accept   float64      `json:"accept_at_seconds_without_further_failure"`
	Most     float64      `json:"longest_test_seconds"`
}

// Run decides and prints.
func (c *fleetCommand) Run(to console) error {
	design := soak.SPRT{Corrected: true}
	ran := 0.0
	for _, one := range []struct {
		flag, text string
		to         *float64
	}{{"--good", c.Good, &design.Upper}, {"--bad", c.Bad, &design.Lower}, {"--ran", c.Ran, &ran}} {
		v, err := inUnit(one.flag, one.text, quantity.Second)
		if err != nil {
			return badInput{err}
		}
		*one.to = v
	}
	var err error
	if design.Alpha, err = share("--refuse", c.Refuse); err != nil {
		return badInput{err}
	}
	if design.Beta, err = share("--believe", c.Believe); err != nil {
		return badInput{err}
	}
	var failures []float64
	for _, text := range c.Failed {
		v, err := inUnit("--failed", text, quantity.Second)
		if err != nil {
			return badInput{err}
		}
		failures = append(failures, v)
	}
	plan, err := design.Plan()
	if err != nil {
		return badInput{err}
	}
	d, err := plan.Decide(failures, ran)
	if err != nil {
		return badInput{err}
	}
	answer := fleetAnswer{Outcome: d.Outcome, At: d.Time, Failures: d.Failures, Accept: -1}
	for _, row := range plan.Rows {
		answer.Most = max(answer.Most, finite(row.AcceptFrom))
	}
	if d.Failures < len(plan.Rows) {
		answer.Accept = finite(plan.Rows[d.Failures].AcceptFrom)
	}
	if c.JSON {
		return writeJSON(to, answer)
	}
	at := quantity.FormatDuration(d.Time)
	switch d.Outcome {
	case soak.Accept:
		fmt.Fprintf(to.out, "Accept: with %d failures it was enough at %s of running, all units together.\n", d.Failures, at)
	case soak.Reject:
		fmt.Fprintf(to.out, "Refuse: failure %d at %s was one too many, all units together.\n", d.Failures, at)
	default:
		fmt.Fprintf(to.out, "Run on: %d failures in %s are not enough either way.\n", d.Failures, at)
		if answer.Accept > 0 {
			fmt.Fprintf(to.out, "Without a further failure accept at %s, all units together. The test ends at %s at the latest.\n", quantity.FormatDuration(answer.Accept), quantity.FormatDuration(answer.Most))
		}
	}
	return nil
}

// starts reads numbers of cold starts, failed of all, such as 3/8.
func starts(text string) (soak.Starts, error) {
	var s soak.Starts
	before, all, found := strings.Cut(text, "/")
	if found {
		_, err1 := fmt.Sscanf(before+"\n", "%d\n", &s.Failed)
		_, err2 := fmt.Sscanf(all+"\n", "%d\n", &s.Total)
		found = err1 == nil && err2 == nil
	}
	if !found || s.Failed < 0 || s.Total < s.Failed {
		return s, fmt.Errorf("--cold-starts: %q; write how many failed of how many, as in 3/8", text)
	}
	return s, nil
}

// startsText prints what cold starts prove.
func startsText(to console, p soak.StartProof) {
	say := func(format string, values ...any) { fmt.Fprintf(to.out, format+"\n", values...) }
	say("Cold starts: %d of %d failed before the repair; %d since, all clean.", p.Before.Failed, p.Before.Total, p.Clean)
	say("  An unrepaired unit would have come through those with a chance of %s.", plain.Chance(p.SurvivalIfUnrepaired))
	say("  Fixed, going by the starts: %s.", plain.Chance(p.Fixed))
	for _, t := range p.Targets {
		say("  %s sure after %.0f more clean starts.", plain.Chance(t.Level), max(t.BySurvivalRemaining, t.ByBeliefRemaining))
	}
}
