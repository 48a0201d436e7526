package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/internal/plain"
	"halfsplit/internal/recording"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// soakCommand answers from flags and recordings how sure one can be that a fault
// is gone.
type soakCommand struct {
	soakRuns
	ColdStarts  string `placeholder:"FAILED/ALL" help:"Cold starts before the repair, such as 3/8, where the fault shows itself at starts."`
	CleanStarts int    `placeholder:"NUMBER" help:"Clean cold starts since the repair."`

	Plot string `placeholder:"FILE.svg" help:"Draw how sure one is over the hot running time."`
	JSON bool   `name:"json" help:"Print for a program, as JSON."`
}

// soakAnswer is the answer for a program; times in seconds, −1 for never.
type soakAnswer struct {
	Failures int        `json:"failures"`
	Clean    float64    `json:"clean_seconds"`
	Survival float64    `json:"chance_an_unrepaired_unit_had_survived"`
	Fixed    float64    `json:"probability_fixed"`
	Law      string     `json:"law"`
	Levels   []soakNeed `json:"levels"`
	// Running since the repair that was cooler than the failures, and the
	// temperature from which it counts.
	Cold     float64  `json:"too_cool_seconds,omitempty"`
	HotLimit *float64 `json:"counts_from_celsius,omitempty"`
	Doubtful int      `json:"spells_too_doubtful_for_a_failure,omitempty"`
	Advice   string   `json:"advice,omitempty"`
	Starts   float64  `json:"clean_cold_starts_instead"`

	ColdStarts *soakStarts `json:"cold_starts,omitempty"`
}

type soakNeed struct {
	Level    float64 `json:"level"`
	Total    float64 `json:"whole_run"`
	Further  float64 `json:"further"`
	Believed float64 `json:"further_trusting_the_repair"`
	OneMore  float64 `json:"saved_by_one_more_failure_seen"`
}

// Run reckons and prints.
func (c *soakCommand) Run(ctx context.Context, to console) error {
	if err := (&tracePrint{Plot: c.Plot}).check(); err != nil {
		return badInput{err}
	}
	history, after, seen, given, err := c.gather(ctx, to)
	if err != nil {
		return err
	}
	right, sure := given.Fixed, given.StopLevel
	cold, err := c.started(right)
	if err != nil {
		return badInput{err}
	}
	if len(history)+len(after) == 0 {
		if cold != nil && c.Plot == "" {
			if c.JSON {
				return writeJSON(to, soakAnswer{ColdStarts: startsJSON(cold)})
			}
			startsText(to, *cold)
			return nil
		}
		return badInput{errors.New("say at least how long it ran before it failed, as in --failed 30min")}
	}
	a, err := soak.Assess(history, after, given)
	if err != nil {
		return badInput{err}
	}
	if c.Plot != "" {
		if err := writeFile(c.Plot, func(out io.Writer) error { return recording.DrawSoak(out, a, sure) }); err != nil {
			return err
		}
	}
	if c.JSON {
		answer := soakJSON(a, seen)
		answer.ColdStarts = startsJSON(cold)
		return writeJSON(to, answer)
	}
	if err := soakText(to, a, right, seen); err != nil || cold == nil {
		return err
	}
	fmt.Fprintln(to.out)
	startsText(to, *cold)
	return nil
}

// started reckons with cold starts, where there are any.
func (c *soakCommand) started(right float64) (*soak.StartProof, error) {
	if c.CleanStarts < 0 {
		return nil, fmt.Errorf("--clean-starts %d: a number is not negative", c.CleanStarts)
	}
	if c.ColdStarts == "" {
		if c.CleanStarts > 0 {
			return nil, errors.New("--clean-starts: say with --cold-starts how many failed before the repair, as in 3/8")
		}
		return nil, nil
	}
	before, err := starts(c.ColdStarts)
	if err != nil {
		return nil, err
	}
	p, err := soak.AssessStarts(before, c.CleanStarts, right, soak.JeffreysProportion())
	return &p, err
}

// soakStarts is what cold starts prove, for a program.
type soakStarts struct {
	Survival float64            `json:"chance_an_unrepaired_unit_had_survived"`
	Fixed    float64            `json:"probability_fixed"`
	Further  map[string]float64 `json:"further_clean_starts"`
}

func startsJSON(p *soak.StartProof) *soakStarts {
	if p == nil {
		return nil
	}
	s := &soakStarts{p.SurvivalIfUnrepaired, p.Fixed, map[string]float64{}}
	for _, t := range p.Targets {
		s.Further[plain.Chance(t.Level)] = finite(max(t.BySurvivalRemaining, t.ByBeliefRemaining))
	}
	return s
}

// proofs lists the laws to show, the plain one first.
func proofs(a soak.Assessment) map[soak.Law]soak.Proof {
	list := map[soak.Law]soak.Proof{soak.ConstantRate: a.Constant}
	if a.Weibull != nil {
		list[soak.WeibullLives] = *a.Weibull
	}
	return list
}

func soakJSON(a soak.Assessment, recorded seen) soakAnswer {
	p := a.Proof()
	answer := soakAnswer{Failures: a.Failures, Clean: a.CleanTime, Survival: p.SurvivalIfUnrepaired, Fixed: p.Fixed, Law: string(a.Used),
		Cold: recorded.cold, Doubtful: recorded.doubtful, Advice: string(a.Advice.Kind), Starts: finite(a.Advice.Starts)}
	if !math.IsInf(a.HotLimit, 0) {
		answer.HotLimit = &a.HotLimit
	}
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

func soakText(to console, a soak.Assessment, right float64, recorded seen) error {
	say := func(format string, values ...any) { fmt.Fprintf(to.out, format+"\n", values...) }
	if a.Failures == 0 {
		say("No failure was timed before the repair, so that a clean run proves little: see it fail once more where you can.")
	}
	say("Before the repair: %d failures in %s of running.", a.Failures, plain.Wait(a.HistoryTime))
	if !math.IsInf(a.HotLimit, 0) {
		say("Running since the repair counts from %s on: the coolest failure, less the margin.", quantity.FormatDigits(a.HotLimit, quantity.Celsius, 3))
	}
	if a.FailedAgain {
		say("It failed again since the repair: it is not fixed, and all runs are the history of the next repair.")
	} else {
		say("Since: %s without the fault.", plain.Wait(a.CleanTime))
	}
	if recorded.cold > 0 {
		say("Another %s since was too cool to count.", plain.Wait(recorded.cold))
	}
	if n := recorded.doubtful; n > 0 {
		say("Spells outside the limits too doubtful to count as a failure, to be looked at with halfsplit trace events: %d.", n)
	}
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
		say("  An unrepaired unit would have come through that with a chance of %s.", plain.Chance(p.SurvivalIfUnrepaired))
		say("  Fixed: %s, when the repair was right with %s beforehand.", plain.Chance(p.Fixed), plain.Chance(right))
		say("  sure     whole run    still to run    trusting the repair    one more failure seen would save")
		for _, t := range p.Targets {
			say("  %-7s  %-11s  %-14s  %-21s  %s", plain.Chance(t.Level), plain.Wait(t.BySurvival.Total), plain.Wait(t.BySurvival.Continuing),
				plain.Wait(t.ByBelief.Continuing), plain.Wait(t.BySurvival.Total-t.BySurvival.OneMoreFailure))
		}
	}
	say("")
	say("%s", recording.SoakAdvice(a))
	return nil
}

func capital(s string) string { return string(s[0]&^0x20) + s[1:] }
