package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/internal/recording"
	"halfsplit/quantity"
	"halfsplit/soak"
)

// soakCommand answers from flags and recordings how sure one can be that a fault
// is gone.
type soakCommand struct {
	Failed      []string `placeholder:"TIME" sep:"," help:"How long it ran before each failure seen before the repair, such as 30min,28min."`
	Passed      []string `placeholder:"TIME" sep:"," help:"Runs before the repair that ended without the fault."`
	Since       []string `placeholder:"TIME" sep:"," help:"Hot runs without the fault since the repair."`
	ColdStarts  string   `placeholder:"FAILED/ALL" help:"Cold starts before the repair, such as 3/8, where the fault shows itself at starts."`
	CleanStarts int      `placeholder:"NUMBER" help:"Clean cold starts since the repair."`

	Right string `default:"50%" help:"How likely the repair was the right one, before the soak."`
	Sure  string `default:"95%" help:"How sure one wants to be."`

	Before      []string `placeholder:"FILE" sep:"none" help:"Recordings of runs before the repair; the failures are found in them."`
	After       []string `placeholder:"FILE" sep:"none" help:"Recordings of runs since the repair."`
	Channel     string   `placeholder:"NAME" help:"The channel of the recordings that shows whether it works."`
	Limit       string   `placeholder:"RANGE" help:"Within which that channel is when the unit works, such as 4.75..5.25V."`
	Temperature string   `placeholder:"NAME" help:"The channel of the temperature: only running at least as hot as the failures counts."`
	Margin      string   `default:"2K" help:"How much cooler than the coolest failure still counts."`
	LeastRun    string   `default:"1min" placeholder:"TIME" help:"How long it must work to count as a run of its own."`

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
	history, after, err := c.told()
	if err != nil {
		return badInput{err}
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
	if given.Margin, err = inUnit("--margin", c.Margin, quantity.Kelvin); err != nil {
		return badInput{err}
	}
	seen, err := c.recorded(ctx, to, history, given.Margin)
	if err != nil {
		return err
	}
	history, after = append(history, seen.before...), append(after, seen.since...)
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
		s.Further[chance(t.Level)] = finite(max(t.BySurvivalRemaining, t.ByBeliefRemaining))
	}
	return s
}

// told reads the runs that the flags tell.
func (c *soakCommand) told() (history, after []soak.Run, err error) {
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
				return nil, nil, err
			}
			*list.runs = append(*list.runs, soak.Run{Duration: q.Value, Failed: list.failed, Temperature: math.NaN()})
		}
	}
	return history, after, nil
}

// seen is what recordings tell.
type seen struct {
	before, since []soak.Run
	cold          float64 // running since the repair that was too cool to count, seconds
	doubtful      int     // spells that are not sure enough to be failures
}

// recorded finds the runs in recordings. Those before the repair count whole; of
// those since, only what was at least as hot as the failures.
func (c *soakCommand) recorded(ctx context.Context, to console, told []soak.Run, margin float64) (seen, error) {
	var s seen
	for _, file := range c.Before {
		w, err := c.watched(ctx, to, file)
		if err != nil {
			return s, err
		}
		s.before, s.doubtful = append(s.before, w.Before()...), s.doubtful+w.Doubtful
	}
	limit := soak.HotLimit(append(told, s.before...), margin)
	for _, file := range c.After {
		w, err := c.watched(ctx, to, file)
		if err != nil {
			return s, err
		}
		runs, cool := w.Since(limit)
		s.since, s.cold, s.doubtful = append(s.since, runs...), s.cold+cool, s.doubtful+w.Doubtful
	}
	return s, nil
}

// watched finds the runs in a recording.
func (c *soakCommand) watched(ctx context.Context, to console, file string) (*recording.Watched, error) {
	r, err := (&traceReading{}).open(ctx, to, file)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	q := recording.EventQuestion{Window: recording.Whole(), Thermometer: recording.Thermometer{Channel: c.Temperature}}
	if q.Channel, err = r.Channel(c.Channel); err != nil {
		return nil, badInput{err}
	}
	if c.Limit == "" {
		return nil, badInput{errors.New("say with --limit within which values the channel is when the unit works, as in --limit 4.75..5.25V")}
	}
	if q.Limit, err = limits("--limit", c.Limit, r.Head.Channels[q.Channel].Unit); err != nil {
		return nil, badInput{err}
	}
	if q.LeastRun, err = inUnit("--least-run", c.LeastRun, quantity.Second); err != nil {
		return nil, badInput{err}
	}
	w, err := r.Watch(ctx, q)
	return w, inputError(err)
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
	say("Before the repair: %d failures in %s of running.", a.Failures, duration(a.HistoryTime))
	if !math.IsInf(a.HotLimit, 0) {
		say("Running since the repair counts from %s on: the coolest failure, less the margin.", quantity.FormatDigits(a.HotLimit, quantity.Celsius, 3))
	}
	if a.FailedAgain {
		say("It failed again since the repair: it is not fixed, and all runs are the history of the next repair.")
	} else {
		say("Since: %s without the fault.", duration(a.CleanTime))
	}
	if recorded.cold > 0 {
		say("Another %s since was too cool to count.", duration(recorded.cold))
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
		say("  An unrepaired unit would have come through that with a chance of %s.", chance(p.SurvivalIfUnrepaired))
		say("  Fixed: %s, when the repair was right with %s beforehand.", chance(p.Fixed), chance(right))
		say("  sure     whole run    still to run    trusting the repair    one more failure seen would save")
		for _, t := range p.Targets {
			say("  %-7s  %-11s  %-14s  %-21s  %s", chance(t.Level), duration(t.BySurvival.Total), duration(t.BySurvival.Continuing),
				duration(t.ByBelief.Continuing), duration(t.BySurvival.Total-t.BySurvival.OneMoreFailure))
		}
	}
	say("")
	say("%s", advice(a))
	return nil
}

// advice says what to do next.
func advice(a soak.Assessment) string {
	level := chance(a.Advice.Level)
	starts := ""
	if s := a.Advice.Starts; !math.IsInf(s, 0) && s > 0 {
		starts = fmt.Sprintf(" If it fails on cold starts, %.0f clean ones would do instead.", s)
	}
	switch a.Advice.Kind {
	case soak.Stop:
		return "Stop: " + level + " sure is reached."
	case soak.RunOn:
		return fmt.Sprintf("Run on for %s to be %s sure, or for %s if it begins with a new start.%s", duration(a.Advice.Continuing), level, duration(a.Advice.Restarting), starts)
	case soak.WarmUp:
		return fmt.Sprintf("Get it hotter: none of the running since the repair was as hot as the failures. Then run it for %s to be %s sure.%s", duration(a.Advice.Restarting), level, starts)
	case soak.ProvokeFailure:
		return "See it fail first, where the repair can be undone or a twin is at hand: no run proves anything without."
	}
	return fmt.Sprintf("Repair again; the next soak is to run for %s to be %s sure.%s", duration(a.Advice.Restarting), level, starts)
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
