package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"halfsplit/internal/picture"
	"halfsplit/internal/prose"
	"halfsplit/part"
	"halfsplit/part/life"
	"halfsplit/part/reform"
	"halfsplit/quantity"
)

// CapacitorSheet is everything that is said of one capacitor, for a program. Values
// are in SI units, temperatures in degrees Celsius.
type CapacitorSheet struct {
	Part      string   `json:"part"`
	Condition string   `json:"condition"`
	Best      string   `json:"at_best"`
	Worst     string   `json:"at_worst"`
	Reasons   []string `json:"reasons"`
	Missing   []string `json:"not_read,omitempty"`
	Assumed   []string `json:"assumed,omitempty"`
	Life      *Life    `json:"life,omitempty"`
	Reform    *Reform  `json:"reforming,omitempty"`
}

// Life is what is used up of a life. Consumed is −1 where no life is stated.
type Life struct {
	Core         float64  `json:"core_celsius"`
	Hours        float64  `json:"life_hours"`
	Run          float64  `json:"run_hours"`
	Consumed     float64  `json:"consumed"`
	ByNeighbours float64  `json:"consumed_by_hot_neighbours"`
	LeftHours    float64  `json:"left_hours"`
	LeftYears    float64  `json:"left_years"`
	Assumed      []string `json:"assumed,omitempty"`
	Notes        []string `json:"notes,omitempty"`
}

// Reform is a plan for reforming.
type Reform struct {
	Procedure     string       `json:"procedure"`
	Source        string       `json:"source"`
	Resistor      float64      `json:"series_ohms"`
	ResistorPower float64      `json:"series_watts"`
	WorstCurrent  float64      `json:"current_when_shorted"`
	Smaller       float64      `json:"go_on_with_ohms,omitempty"`
	Steps         []ReformStep `json:"steps"`
	Minutes       float64      `json:"minutes_at_least"`
	Accept        float64      `json:"accept_leakage"`
	AcceptDrop    float64      `json:"accept_drop"`
	Usable        float64      `json:"usable_leakage"`
	LimitSource   string       `json:"limit_from"`
	Energy        float64      `json:"energy"`
	Discharge     float64      `json:"discharge_ohms"`
	DischargeTime float64      `json:"discharge_seconds"`
	Rest          float64      `json:"rest_hours,omitempty"`
	Stops         []string     `json:"stop"`
	Cautions      []string     `json:"cautions"`
}

// ReformStep is one voltage of a plan.
type ReformStep struct {
	Voltage float64 `json:"volts"`
	Minutes float64 `json:"minutes_at_least"`
	GoOn    float64 `json:"go_on_below_volts_across_resistor"`
	GiveUp  float64 `json:"give_up_above_volts_after_an_hour"`
}

// NewCapacitorSheet takes in a verdict.
func NewCapacitorSheet(name string, v part.CapacitorVerdict, assumed []string) *CapacitorSheet {
	s := &CapacitorSheet{Part: name, Condition: v.Condition.String(), Best: v.Best.String(), Worst: v.Worst.String(), Assumed: assumed, Reasons: []string{}}
	for _, r := range v.Reasons {
		s.Reasons = append(s.Reasons, r.String())
	}
	for _, m := range v.Missing {
		s.Missing = append(s.Missing, m.String())
	}
	return s
}

// AddLife takes in an estimate of the life.
func (s *CapacitorSheet) AddLife(e life.Estimate) {
	finite := func(x float64) float64 {
		if math.IsInf(x, 0) {
			return -1
		}
		return x
	}
	s.Life = &Life{Core: e.Core - 273.15, Hours: e.Life / life.Hour, Run: e.Run / life.Hour, Consumed: finite(e.Consumed), ByNeighbours: finite(e.ByNeighbours),
		LeftHours: e.Left / life.Hour, LeftYears: e.LeftTime / life.Year, Assumed: e.Assumed, Notes: e.Notes}
}

// AddReform takes in a plan for reforming.
func (s *CapacitorSheet) AddReform(p reform.Plan) {
	r := &Reform{Procedure: p.Procedure.Name, Source: p.Procedure.Source, Resistor: p.Resistor, ResistorPower: p.ResistorPower, WorstCurrent: p.WorstCurrent, Smaller: p.Smaller,
		Minutes: p.Time / reform.Minute, Accept: p.Accept, AcceptDrop: p.AcceptDrop, Usable: p.Worn, LimitSource: p.Source, Energy: p.Energy,
		Discharge: p.Discharge, DischargeTime: p.DischargeTime, Rest: p.Rest / reform.Hour, Stops: p.Stops, Cautions: p.Cautions}
	for _, step := range p.Steps {
		r.Steps = append(r.Steps, ReformStep{step.Voltage, step.Hold / reform.Minute, step.DropDone, step.DropGiveUp})
	}
	s.Reform = r
}

// CapacitorText prints it for a person.
func CapacitorText(out io.Writer, s *CapacitorSheet) error {
	t := &text{prose.New(out)}
	t.Line("%s", s.Part)
	word := strings.ToUpper(s.Condition)
	if s.Best != s.Worst {
		word += fmt.Sprintf(" (between %s and %s)", s.Best, s.Worst)
	}
	t.Line("  %s", word)
	for _, r := range s.Reasons {
		t.Fold("    ", "      ", r)
	}
	if len(s.Missing) > 0 {
		t.Fold("    ", "      ", "Missing: "+strings.Join(s.Missing, "; "))
	}
	for _, a := range s.Assumed {
		t.Fold("    ", "      ", "Assumed: "+a)
	}
	t.life(s.Life)
	t.reform(s.Reform)
	return t.Err()
}

func (t *text) life(l *Life) {
	if l == nil {
		return
	}
	t.Section("LIFE")
	if l.Consumed < 0 {
		t.Line("  no life is stated for what it goes through")
	} else {
		past := "left: " + count(l.LeftHours) + " h of running, " + quantity.FormatDuration(l.LeftYears*life.Year) + " as it is used"
		if l.LeftHours == 0 {
			past = "past its stated life; reading it decides"
		}
		t.Fold("  ", "  ", fmt.Sprintf("%.0f %% consumed: %s h run of %s h at %.0f °C in the core; %s", 100*l.Consumed, count(l.Run), count(l.Hours), l.Core, past))
		if l.ByNeighbours > 0 {
			t.Fold("  ", "  ", fmt.Sprintf("%.0f %% of a life went to its hot neighbours: move it away from them, or take 105 °C", 100*l.ByNeighbours))
		}
	}
	if len(l.Assumed) > 0 {
		t.Fold("    ", "      ", "Assumed: "+strings.Join(l.Assumed, "; "))
	}
	for _, n := range l.Notes {
		t.Fold("    ", "      ", "Note: "+n)
	}
}

// count writes a number of hours with three digits and a space before thousands.
func count(x float64) string {
	if x >= 1000 {
		scale := math.Pow10(int(math.Log10(x)) - 2)
		n := int(math.Round(x/scale) * scale)
		return fmt.Sprintf("%d %03d", n/1000, n%1000)
	}
	return fmt.Sprintf("%.3g", x)
}

func (t *text) reform(r *Reform) {
	if r == nil {
		return
	}
	show := func(x float64, unit quantity.Unit) string { return quantity.FormatDigits(x, unit, 3) }
	t.Section("REFORMING")
	t.Fold("  ", "  ", fmt.Sprintf("Through %s that stands %s: shorted, the part would draw %s. Procedure: %s (%s).", show(r.Resistor, quantity.Ohm), show(r.ResistorPower, quantity.Watt),
		show(r.WorstCurrent, quantity.Ampere), r.Procedure, r.Source))
	t.Line("")
	t.Line("  step   supply    at least   go on when the resistor drops   give up when after an hour")
	for i, s := range r.Steps {
		t.Line("  %4d  %8s  %9s   less than %-18s  it drops more than %s", i+1, show(s.Voltage, quantity.Volt), quantity.FormatDuration(math.Round(s.Minutes)*60),
			show(s.GoOn, quantity.Volt), show(s.GiveUp, quantity.Volt))
	}
	t.Line("")
	if r.Smaller > 0 {
		t.Fold("  ", "  ", fmt.Sprintf("When it stalls between the two last columns, it leaks no more than is allowed, and the resistor starves it: go on with %s.", show(r.Smaller, quantity.Ohm)))
	}
	last, across := r.AcceptDrop, ""
	if r.Smaller > 0 {
		last, across = r.Accept*r.Smaller, " across the smaller resistor"
	}
	t.Fold("  ", "  ", fmt.Sprintf("Reformed when it leaks less than %s at the full voltage, which drops %s%s (%s); usable up to %s. Whole time: %s at least.",
		show(r.Accept, quantity.Ampere), show(last, quantity.Volt), across, r.LimitSource, show(r.Usable, quantity.Ampere), quantity.FormatDuration(math.Round(r.Minutes)*60)))
	t.Fold("  ", "  ", fmt.Sprintf("Then discharge it through %s; it holds %s, and %s later a hundredth of its voltage.", show(r.Discharge, quantity.Ohm), show(r.Energy, quantity.Joule), show(r.DischargeTime, quantity.Second)))
	if r.Rest > 0 {
		t.Fold("  ", "  ", fmt.Sprintf("Let it rest %.0f h before it is measured.", r.Rest))
	}
	for _, s := range r.Stops {
		t.Fold("  ✗ ", "    ", s)
	}
	for _, c := range r.Cautions {
		t.Fold("  ! ", "    ", c)
	}
}

// DrawReform draws what one would see on a part that reforms well.
func DrawReform(to io.Writer, name string, p reform.Plan) error {
	course := p.Course(240)
	scale, unit := picture.Time(course[len(course)-1].Time)
	supply, across, drop := picture.Line{Name: "supply"}, picture.Line{Name: "across the part"}, picture.Line{Name: "across the resistor"}
	stop := picture.Line{Name: "after an hour, give up", Limit: true}
	giveUp := map[float64]float64{}
	for _, s := range p.Steps {
		giveUp[s.Voltage] = s.DropGiveUp
	}
	for i, m := range course {
		x := m.Time * scale
		for _, one := range []struct {
			line *picture.Line
			y    float64
		}{{&supply, m.Supply}, {&across, m.Across}, {&drop, m.Supply - m.Across}, {&stop, giveUp[m.Supply]}} {
			if i > 0 && one.line == &supply && m.Supply != course[i-1].Supply { // a step, not a slope
				one.line.X, one.line.Y = append(one.line.X, x), append(one.line.Y, course[i-1].Supply)
			}
			one.line.X, one.line.Y = append(one.line.X, x), append(one.line.Y, one.y)
		}
	}
	return picture.Draw(to, picture.Picture{Title: "Reforming " + name + ", as a part that recovers would show it", X: "time in " + unit, Y: "voltage in V", FromZero: true,
		Lines: []picture.Line{supply, across, drop, stop}})
}

// DrawLife draws how much of a life is used up over the years, as the part is and
// as it would be in cooler places.
func DrawLife(to io.Writer, name string, p life.Part, s life.Service) error {
	years := math.Max(s.Age/life.Year*1.25, 10)
	line := func(title string, s life.Service) (picture.Line, error) {
		l := picture.Line{Name: title}
		const points = 60
		for i := range points + 1 {
			s.Age = years * life.Year * float64(i) / points
			e, err := life.Of(p, s)
			if err != nil {
				return l, err
			}
			l.X, l.Y = append(l.X, years*float64(i)/points), append(l.Y, 100*math.Min(e.Consumed, 99))
		}
		return l, nil
	}
	as, err := line("as it is", s)
	if err != nil {
		return err
	}
	lines := []picture.Line{as}
	alone := s
	alone.Neighbours = nil
	if len(s.Neighbours) > 0 {
		l, err := line("without neighbours", alone)
		if err != nil {
			return err
		}
		lines = append(lines, l)
	}
	cooler := alone
	if cooler.Surroundings == 0 {
		cooler.Surroundings = 273.15 + 45
	}
	cooler.Surroundings -= 10
	l, err := line("and 10 K cooler", cooler)
	if err != nil {
		return err
	}
	lines = append(lines, l, picture.Line{Name: "end of stated life", X: []float64{0, years}, Y: []float64{100, 100}, Limit: true})
	if s.Age > 0 {
		top := 0.0
		for _, y := range as.Y {
			top = math.Max(top, y)
		}
		now := s.Age / life.Year
		lines = append(lines, picture.Line{Name: "now", X: []float64{now, now}, Y: []float64{0, math.Max(top, 100)}, Limit: true})
	}
	return picture.Draw(to, picture.Picture{Title: "Life of " + name, X: "age in years", Y: "stated life consumed in %", FromZero: true, Lines: lines})
}
