package main

import (
	"errors"
	"fmt"
	"math"

	"halfsplit/quantity"
	"halfsplit/soak"
)

// soakCommand answers from flags how sure one can be that a fault is gone.
type soakCommand struct {
	Failed []string `placeholder:"TIME" sep:"," help:"How long it ran before each failure seen before the repair, such as 30min,28min."`
	Passed []string `placeholder:"TIME" sep:"," help:"Runs before the repair that ended without the fault."`
	Since  []string `placeholder:"TIME" sep:"," help:"Hot runs without the fault since the repair."`
	Right  string   `default:"50%" help:"How likely the repair was the right one, before the soak."`
	Sure   string   `default:"95%" help:"How sure one wants to be."`
	JSON   bool     `name:"json" help:"Print for a program, as JSON."`
}

// soakAnswer is the answer for a program; times in seconds, −1 for never.
type soakAnswer struct {
	Failures int        `json:"failures"`
	Clean    float64    `json:"clean_seconds"`
	Survival float64    `json:"chance_an_unrepaired_unit_had_survived"`
	Fixed    float64    `json:"probability_fixed"`
	Law      string     `json:"law"`
	Levels   []soakNeed `json:"levels"`
}

type soakNeed struct {
	Level    float64 `json:"level"`
	Total    float64 `json:"whole_run"`
	Further  float64 `json:"further"`
	Believed float64 `json:"further_trusting_the_repair"`
	OneMore  float64 `json:"saved_by_one_more_failure_seen"`
}

// Run reckons and prints.
func (c *soakCommand) Run(to console) error {
	var history, after []soak.Run
	for _, list := range []struct {
		texts  []string
		failed bool
		runs   *[]soak.Run
	}{{c.Failed, true, &history}, {c.Passed, false, &history}, {c.Since, false, &after}} {
		for _, text := range list.texts {
			q, err := quantity.Parse(text)
			if err == nil && q.Unit != quantity.Second {
				err = fmt.Errorf("%q is no time with its unit; write 30min, 1.5h or 90s, with a point for decimals", text)
			}
			if err == nil && q.Value < 0 {
				err = fmt.Errorf("%q: a time is not negative", text)
			}
			if err != nil {
				return badInput{err}
			}
			*list.runs = append(*list.runs, soak.Run{Duration: q.Value, Failed: list.failed, Temperature: math.NaN()})
		}
	}
	if len(history)+len(after) == 0 {
		return badInput{errors.New("say at least how long it ran before it failed, as in --failed 30min")}
	}
	right, err := share("--right", c.Right)
	if err != nil {
		return badInput{err}
	}
	sure, err := share("--sure", c.Sure)
	if err != nil {
		return badInput{err}
	}
	given := soak.StrictAssumptions(right)
	given.StopLevel = sure
	a, err := soak.Assess(history, after, given)
	if err != nil {
		return badInput{err}
	}
	if c.JSON {
		return writeJSON(to, soakJSON(a))
	}
	return soakText(to, a, right)
}

// share reads a chance from a flag, as a fraction.
func share(flag, text string) (float64, error) {
	q, err := quantity.ParseAs(text, quantity.Percent)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	if !(q.Value > 0 && q.Value < 1) {
		return 0, fmt.Errorf("%s is %s; write more than 0 %% and less than 100 %%, as in %s 80%%", flag, text, flag)
	}
	return q.Value, nil
}

// proofs lists the laws to show, the plain one first.
func proofs(a soak.Assessment) map[soak.Law]soak.Proof {
	list := map[soak.Law]soak.Proof{soak.ConstantRate: a.Constant}
	if a.Weibull != nil {
		list[soak.WeibullLives] = *a.Weibull
	}
	return list
}

func soakJSON(a soak.Assessment) soakAnswer {
	p := a.Proof()
	answer := soakAnswer{Failures: a.Failures, Clean: a.CleanTime, Survival: p.SurvivalIfUnrepaired, Fixed: p.Fixed, Law: string(a.Used)}
	for _, t := range p.Targets {
		answer.Levels = append(answer.Levels, soakNeed{
			Level: t.Level, Total: finite(t.BySurvival.Total), Further: finite(t.BySurvival.Continuing),
			Believed: finite(t.ByBelief.Continuing), OneMore: finite(t.BySurvival.Total - t.BySurvival.OneMoreFailure),
		})
	}
	return answer
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return -1
	}
	return x
}

func soakText(to console, a soak.Assessment, right float64) error {
	say := func(format string, values ...any) { fmt.Fprintf(to.out, format+"\n", values...) }
	if a.Failures == 0 {
		say("No failure was timed before the repair, so that a clean run proves little: see it fail once more where you can.")
	}
	say("Before the repair: %d failures in %s of running.", a.Failures, duration(a.HistoryTime))
	say("Since: %s without the fault.", duration(a.CleanTime))
	shown := proofs(a)
	for _, law := range []soak.Law{soak.ConstantRate, soak.WeibullLives} {
		p, ok := shown[law]
		if !ok {
			continue
		}
		say("")
		used := ""
		if law == a.Used && len(shown) > 1 {
			used = "; this one is used"
		}
		say("%s%s", capital(string(law)), used)
		say("  An unrepaired unit would have come through that with a chance of %s.", chance(p.SurvivalIfUnrepaired))
		say("  Fixed: %s, when the repair was right with %s beforehand.", chance(p.Fixed), chance(right))
		say("  sure     whole run    still to run    trusting the repair    one more failure seen would save")
		for _, t := range p.Targets {
			say("  %-7s  %-11s  %-14s  %-21s  %s", chance(t.Level), duration(t.BySurvival.Total), duration(t.BySurvival.Continuing),
				duration(t.ByBelief.Continuing), duration(t.BySurvival.Total-t.BySurvival.OneMoreFailure))
		}
	}
	return nil
}

// longestSoak is the running beyond which a figure is of no use on a bench.
const longestSoak = 30 * 24 * 3600

func capital(s string) string { return string(s[0]&^0x20) + s[1:] }

// duration writes a time to the minute, rounded up, as a bench would count it.
func duration(seconds float64) string {
	switch {
	case math.IsInf(seconds, 0) || math.IsNaN(seconds):
		return "never"
	case seconds > longestSoak:
		return "over 30 d"
	case seconds <= 0:
		return "0 min"
	}
	return quantity.FormatDuration(60 * math.Ceil(seconds/60-1e-9))
}

// chance writes a probability.
func chance(p float64) string {
	return quantity.FormatDigits(p, quantity.Percent, 3)
}
