package watch

import (
	"errors"
	"fmt"
	"math"
	"time"

	"halfsplit/quantity"
	"halfsplit/soak"
	"halfsplit/trace/event"
)

// SoakPlan says what a soak that is watched is to prove.
type SoakPlan struct {
	History []soak.Run // before the repair
	Since   []soak.Run // since the repair, and before the watch
	Given   soak.Assumptions
	// Judged are the channels, by their places, that show whether the unit
	// works; each must have limits.
	Judged []int
	// Thermometer is the place of the channel that is the temperature, in
	// degrees Celsius; -1 where none is watched, and all running counts.
	Thermometer int
	// Every is the time between rows.
	Every time.Duration
}

// Phase is what the unit is doing.
type Phase string

// The phases.
const (
	Waiting  Phase = "not within its limits yet"
	Counting Phase = "counting"
	TooCool  Phase = "too cool to count"
	Doubtful Phase = "outside its limits, too doubtful yet for a failure"
	Blind    Phase = "no reading"
	Failed   Phase = "failed"
)

// Failure is the failure that ended a soak.
type Failure struct {
	Channel     string
	At          time.Time
	Kind        event.Kind
	Ran         float64 // seconds from the first reading within the limits
	Temperature float64 // degrees Celsius, NaN where not known
	Confidence  float64 // that it was no noise and no slip of the meter
}

// Soak follows a unit since its repair: it counts the running without the fault
// that was as hot as the failures, and says how sure that makes one. It is a Sink,
// and looks at no clock: time is that of the rows.
//
// What a reading outside the limits means is decided as for a recording (package
// event, Excursions and Sure). The first excursion that is sure enough is a
// failure, and ends the soak. What was not watched does not count: a stretch
// between two readings that is longer than ten seconds and longer than three rows
// may have hidden anything.
type Soak struct {
	plan     SoakPlan
	channels []Channel
	limit    float64 // temperature from which running counts; -Inf where all does
	series   []series

	// The latest row with a reading within the limits of all that is judged.
	last struct {
		time    time.Time
		celsius float64
	}
	hot, cool, unwatched float64 // seconds; unwatched is what no readings close enough to each other cover
	coolest, hottest     float64 // of what counts, and of all that was too cool
	reckoned             time.Time

	// Now is the time of the latest row, and Phase what the unit did then.
	Now   time.Time
	Phase Phase
	// Failure is nil as long as it has not failed.
	Failure *Failure
	// Assessment is what the running proves. It is reckoned anew at most once a
	// second.
	Assessment soak.Assessment
}

// series is what was read of a judged channel since it was within its limits
// first.
type series struct {
	begun                      time.Time
	times, values, temperature []float64
	judged                     int  // readings when it was judged last
	fresh                      bool // something outside came since
	doubtful                   int  // excursions that are not sure
	outside                    bool // the latest reading
	limit                      quantity.Interval
}

// NewSoak begins a soak. An error says which channel cannot be judged, or which of
// the runs or assumptions cannot be.
func NewSoak(plan SoakPlan, channels []Channel) (*Soak, error) {
	if len(plan.Judged) == 0 {
		return nil, errors.New("no channel shows whether the unit works; give one its limits, as in limits=4.75..5.25 V")
	}
	s := &Soak{plan: plan, channels: channels, limit: math.Inf(-1), coolest: math.NaN(), hottest: math.NaN(), Phase: Waiting}
	for _, c := range plan.Judged {
		l := channels[c].Limit
		if l == nil {
			return nil, fmt.Errorf("%s has no limits; say what is right, as in limits=4.75..5.25 V", channels[c].Name)
		}
		s.series = append(s.series, series{limit: quantity.Interval{Low: l.Low, High: l.High, Unit: channels[c].Unit}})
	}
	if plan.Thermometer >= 0 {
		s.limit = soak.HotLimit(plan.History, plan.Given.Margin)
	}
	return s, s.reckon()
}

// Row takes in a row.
func (s *Soak) Row(r Row) error {
	s.Now = r.Time
	if s.Failure != nil {
		return nil
	}
	celsius := math.NaN()
	if s.plan.Thermometer >= 0 {
		celsius = r.Fields[s.plan.Thermometer].Value
	}
	for i, c := range s.plan.Judged {
		s.series[i].add(r.Time, r.Fields[c], celsius)
	}
	if err := s.judge(false); err != nil {
		return err
	}
	if s.Failure == nil {
		s.count(r, celsius)
		if r.Time.Sub(s.reckoned) < time.Second {
			return nil
		}
	}
	return s.reckon()
}

// Note does nothing.
func (s *Soak) Note(Note) error { return nil }

// Finish judges and reckons what has come since it was done last.
func (s *Soak) Finish() error {
	if s.Failure == nil {
		if err := s.judge(true); err != nil {
			return err
		}
	}
	return s.reckon()
}

// number is a reading as a recording would hold it.
func (f Field) number() float64 {
	switch f.State {
	case Overload:
		return math.Inf(1)
	case NegativeOverload:
		return math.Inf(-1)
	}
	return f.Value
}

// add takes in a reading. What comes before the first reading within the limits is
// a unit that is not on yet.
func (c *series) add(at time.Time, f Field, celsius float64) {
	v := f.number()
	if math.IsNaN(v) || len(c.times) == 0 && !c.limit.Contains(v) {
		return
	}
	if len(c.times) == 0 {
		c.begun = at
	}
	c.outside = !c.limit.Contains(v)
	c.fresh = c.fresh || c.outside
	c.times = append(c.times, at.Sub(c.begun).Seconds())
	c.values, c.temperature = append(c.values, v), append(c.temperature, celsius)
}

// due tells whether a series is to be judged. To judge means to go through all
// of it, so that a long one that is full of doubt is judged less often: at once
// up to 20 000 readings, after another 20 000th of it beyond. Where nothing new is
// outside, an old doubt is looked at again when it is longer by a hundredth.
func (c *series) due() bool {
	more := len(c.times) - c.judged
	return c.fresh && more > c.judged/20_000 || c.doubtful > 0 && more > c.judged/100
}

// judge looks for a failure where something outside has come; with all, however
// little has come since.
func (s *Soak) judge(all bool) error {
	for i := range s.series {
		c := &s.series[i]
		if !c.due() && !(all && (c.fresh || c.doubtful > 0)) {
			continue
		}
		list, err := event.Excursions(c.times, c.values, c.limit, 0)
		if err != nil {
			return err
		}
		c.judged, c.fresh = len(c.times), false
		var sure []event.Excursion
		sure, c.doubtful = event.Sure(list)
		if len(sure) == 0 {
			continue
		}
		run := event.Runs(c.times, c.values, c.temperature, sure, 0)[0]
		s.Phase, s.Failure = Failed, &Failure{
			Channel: s.channels[s.plan.Judged[i]].Name, At: c.begun.Add(time.Duration(sure[0].Start * float64(time.Second))),
			Kind: sure[0].Kind, Ran: max(run.Length(), shortestRun), Temperature: run.Temperature, Confidence: sure[0].Confidence,
		}
		return nil
	}
	return nil
}

// shortestRun is the shortest running that the times of rows can tell, in seconds.
const shortestRun = 1e-3

// longestGap is how far apart two readings may be for the time between them to
// have been watched, whatever the time between rows (common practice, no source).
const longestGap = 10 * time.Second

// count counts the running since the row before.
func (s *Soak) count(r Row, celsius float64) {
	for i, c := range s.plan.Judged {
		v := r.Fields[c].number()
		switch {
		case math.IsNaN(v):
			s.Phase = Blind
			return
		case len(s.series[i].times) == 0:
			s.Phase = Waiting
			return
		case s.series[i].outside:
			s.Phase = Doubtful
			return
		}
	}
	if math.IsNaN(celsius) && !math.IsInf(s.limit, -1) {
		s.Phase = Blind
		return
	}
	s.Phase = Counting
	if celsius < s.limit {
		s.Phase = TooCool
	}
	before := s.last
	s.last.time, s.last.celsius = r.Time, celsius
	if before.time.IsZero() {
		return
	}
	gap := r.Time.Sub(before.time)
	if gap > max(longestGap, 3*s.plan.Every) {
		s.unwatched += gap.Seconds()
		return
	}
	hot, coolest := soak.HotTime([]float64{0, gap.Seconds()}, []float64{before.celsius, celsius}, s.limit)
	s.hot += hot
	s.cool += gap.Seconds() - hot
	if coolest < s.coolest || math.IsNaN(s.coolest) {
		s.coolest = coolest
	}
	if celsius < s.limit && !(celsius <= s.hottest) {
		s.hottest = celsius
	}
}

// runs are those since the repair, the one under way included.
func (s *Soak) runs() []soak.Run {
	list := append([]soak.Run{}, s.plan.Since...)
	switch {
	case s.Failure != nil:
		return append(list, soak.Run{Duration: s.Failure.Ran, Failed: true, Temperature: s.Failure.Temperature})
	case s.hot > 0:
		return append(list, soak.Run{Duration: s.hot, Temperature: s.coolest})
	case s.cool > 0:
		return append(list, soak.Run{Duration: s.cool, Temperature: s.hottest})
	}
	return list
}

// reckon works out what the running proves.
func (s *Soak) reckon() (err error) {
	s.reckoned = s.Now
	s.Assessment, err = soak.Assess(s.plan.History, s.runs(), s.plan.Given)
	return err
}

// Cool is the running in this watch that was too cool to count, in seconds.
func (s *Soak) Cool() float64 { return s.cool }

// Prior is how likely the repair was the right one, before the soak.
func (s *Soak) Prior() float64 { return s.plan.Given.Fixed }

// DoubtfulSpells is the number of spells outside the limits that are too doubtful
// to be failures.
func (s *Soak) DoubtfulSpells() int {
	n := 0
	for i := range s.series {
		n += s.series[i].doubtful
	}
	return n
}
