package upkeep

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halfsplit/part/reform"
)

// Assessment is what is expected of one unit, why, and what to do about it.
type Assessment struct {
	Unit *Unit
	Score
	Age, Rest float64 // years since it was made, and since it was last powered
	Ahead     float64 // years looked ahead
	Lines     []Line  // the worst first
	Guesses   []string
	Actions   []Action // what to do, in this order; never empty
	Reforms   []Reform // electrolytics to reform before power, the highest voltage first
}

// Reform is an electrolytic to be reformed before the unit is powered.
type Reform struct {
	Part string
	Rest float64 // years without voltage
	// Plan is how; it has no steps where the sheet does not give value and rating,
	// and Why then says what is missing.
	Plan reform.Plan
	Why  string
}

// Place is the place of a unit in the queue.
type Place struct {
	Rank int // 1 is the most urgent
	Unit *Unit
	Score
}

// check refuses terms by which nothing can be reckoned.
func (t Terms) check() error {
	switch {
	case t.Now.IsZero():
		return errors.New("upkeep: no date is given from which to look ahead; give today's")
	case t.Years != 0 && !(t.Years > 0 && t.Years <= 100):
		return fmt.Errorf("upkeep: %g years ahead; write more than 0, at most 100, or 0 for %g", t.Years, usualAhead)
	}
	return nil
}

// Rank puts units in order, the most urgent first; those of equal score by their ID.
// The places point into units. The error names every unit that cannot be right; the
// others are ranked all the same.
func Rank(units []Unit, t Terms) ([]Place, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	r := newReckoner(t)
	queue := make([]Place, 0, len(units))
	var wrong []error
	for i := range units {
		u := &units[i]
		if err := u.validate(t.Now, r.validate); err != nil {
			wrong = append(wrong, err)
			continue
		}
		p := Place{Unit: u}
		s := r.state(u)
		r.lines(&s, p.add)
		queue = append(queue, p)
	}
	slices.SortFunc(queue, func(a, b Place) int {
		return cmp.Or(b.Score.Compare(a.Score), strings.Compare(a.Unit.ID, b.Unit.ID))
	})
	for i := range queue {
		queue[i].Rank = i + 1
	}
	return queue, errors.Join(wrong...)
}

// Assess says what is expected of one unit. Its score is that of [Rank]. The error
// says what of the unit or the terms cannot be right.
func Assess(u *Unit, t Terms) (Assessment, error) {
	if err := errors.Join(t.check(), u.Validate(t.Now)); err != nil {
		return Assessment{}, err
	}
	r := newReckoner(t)
	s := r.state(u)
	a := Assessment{Unit: u, Age: s.age, Rest: s.rest, Ahead: s.ahead}
	r.lines(&s, func(l *Line) {
		a.add(l)
		a.Lines = append(a.Lines, *l)
	})
	slices.SortStableFunc(a.Lines, func(x, y Line) int { return y.score().Compare(x.score()) })
	a.guesses(&s)
	a.reforms(&s)
	a.Actions = a.actions()
	return a, nil
}

func (l *Line) score() Score { return Score{l.Danger, l.Harm, l.Failures} }

// guesses says what was taken for want of knowledge.
func (a *Assessment) guesses(s *state) {
	guess := func(format string, args ...any) { a.Guesses = append(a.Guesses, fmt.Sprintf(format, args...)) }
	u := s.unit
	if u.Guessed() {
		guess("there is no sheet: its contents are those of %s", usually(u.Kind).like)
	} else if u.Partial {
		guess("the sheet describes a corner: beyond it, its contents are those of %s", usually(u.Kind).like)
	}
	if s.yearGuessed {
		guess("its year is not known: %d taken", s.made())
	}
	if s.restGuessed {
		guess("when it was last powered is not known: %s of rest taken", inYears(s.rest))
	}
	if u.HoursADay == 0 && !u.NeverRuns {
		guess("how much it runs is not known: %g hours a day taken", usualHours)
	}
	if u.Temperature == 0 {
		guess("how warm the room is is not known: %.0f °C taken", celsius(usualRoom))
	}
}

// reforms plans what is to be reformed before power.
func (a *Assessment) reforms(s *state) {
	parts := s.unit.Parts
	for i := range parts {
		p := &parts[i]
		at := slices.IndexFunc(a.Lines, func(l Line) bool { return l.Name == p.Name && l.Kind == "electrolytic" })
		if at < 0 || a.Lines[at].Rest < reformAfter || a.Lines[at].Damage != "" {
			continue
		}
		one := Reform{Part: p.Name, Rest: a.Lines[at].Rest}
		plan, err := reform.New(p.Capacitor, reform.Gentle, 0)
		if err != nil {
			one.Why = "its value and rated voltage are not known: read them off the part"
		}
		one.Plan = plan
		a.Reforms = append(a.Reforms, one)
	}
	slices.SortStableFunc(a.Reforms, func(x, y Reform) int {
		return cmp.Compare(y.Plan.Capacitor.RatedVoltage, x.Plan.Capacitor.RatedVoltage)
	})
}
