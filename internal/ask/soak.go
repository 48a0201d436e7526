package ask

import (
	"fmt"
	"math"

	"halfsplit/quantity"
	"halfsplit/soak"
)

// Soak asks how sure one can be that a fault is gone.
type Soak struct {
	Failed []string `placeholder:"TIME" sep:"," group:"Soak" help:"How long it ran before each failure seen before the repair, such as 30min,28min."`
	Passed []string `placeholder:"TIME" sep:"," group:"Soak" help:"Runs before the repair that ended without the fault."`
	Since  []string `placeholder:"TIME" sep:"," group:"Soak" help:"Hot runs without the fault since the repair."`

	Right string `default:"50%" group:"Soak" help:"How likely the repair was the right one, before the soak."`
	Sure  string `default:"95%" group:"Soak" help:"How sure one wants to be."`
}

// Told reads the runs that the question tells of.
func (s *Soak) Told() (history, after []soak.Run, err error) {
	for _, list := range []struct {
		field  string
		texts  []string
		failed bool
		runs   *[]soak.Run
	}{{"failed", s.Failed, true, &history}, {"passed", s.Passed, false, &history}, {"since", s.Since, false, &after}} {
		for _, text := range list.texts {
			q, err := quantity.Parse(text)
			if err == nil && q.Unit != quantity.Second {
				err = fmt.Errorf("%q is no time with its unit; write 30min, 1.5h or 90s, with a point for decimals", text)
			}
			if err == nil && q.Value < 0 {
				err = fmt.Errorf("%q: a time is not negative", text)
			}
			if err != nil {
				return nil, nil, Mistake{list.field, err}
			}
			*list.runs = append(*list.runs, soak.Run{Duration: q.Value, Failed: list.failed, Temperature: math.NaN()})
		}
	}
	return history, after, nil
}

// Given reads what is assumed.
func (s *Soak) Given() (soak.Assumptions, error) {
	right, err := Share("right", s.Right)
	if err != nil {
		return soak.Assumptions{}, err
	}
	given := soak.StrictAssumptions(right)
	given.StopLevel, err = Share("sure", s.Sure)
	return given, err
}

// Share reads a chance from a field, as a fraction.
func Share(field, text string) (float64, error) {
	q, err := quantity.ParseAs(text, quantity.Percent)
	if err != nil {
		return 0, Mistake{field, err}
	}
	if !(q.Value > 0 && q.Value < 1) {
		return 0, wrong(field, "%s; write more than 0 %% and less than 100 %%, as in 80%%", text)
	}
	return q.Value, nil
}
