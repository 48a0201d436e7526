package safety

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"halfsplit/hazard"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Answers is what a person adds to the sheet for the unit on the bench. Values
// are in SI units; a nil pointer was not answered.
type Answers struct {
	Mains      float64 // V (RMS); the sheet's when zero
	Frequency  float64 // Hz; the sheet's, or else 50, when zero
	Power      float64 // W taken from the mains; the sheet's when zero
	Class      hazard.Class
	Supply     hazard.Supply
	Safe       float64 // V to discharge to; hazard.SafeVoltage when zero
	Within     float64 // s allowed for a bleeder; 60 when zero
	Filter     float64 // F from the mains to touchable metal; 0 when not known
	Lead       hazard.Lead
	Earth      *float64 // Ω read from earth pin to metal
	Insulation *float64 // Ω read
	Touch      *float64 // A read
	Hot        *float64 // V read across the network of the hot check
}

// Report is the answer: hazards, what they store, and what to fit or check.
// Times are in seconds, everything else in SI units.
type Report struct {
	Unit    string              `json:"unit"`
	Mains   float64             `json:"mains_volts,omitempty"`
	Safe    float64             `json:"safe_volts"`
	Within  float64             `json:"within_seconds"`
	Hazards []Hazard            `json:"hazards"`
	Stores  []Stored            `json:"stored_energy,omitempty"`
	Checks  []hazard.Judgement  `json:"checks,omitempty"`
	Limits  []Limit             `json:"limits,omitempty"`
	Lamps   []hazard.LampChoice `json:"series_lamps,omitempty"`
	Lamp    float64             `json:"series_lamp_watts,omitempty"` // the one to use; 0 when none will do
	Dummies []hazard.DummyLoad  `json:"dummy_loads,omitempty"`
	Missing []string            `json:"not_known,omitempty"`
	supply  hazard.Supply
	power   float64
	remarks []string
}

// Hazard is one hazard as it is printed.
type Hazard struct {
	Name   string         `json:"name"`
	Kind   string         `json:"kind"`
	Where  string         `json:"where,omitempty"`
	Before string         `json:"before"`
	Do     string         `json:"do"`
	Found  string         `json:"found_because,omitempty"` // empty when the sheet lists it
	Usual  hazard.Caution `json:"usual"`
}

// Stored is what one hazard can hold, and how it goes away.
type Stored struct {
	Hazard      string             `json:"hazard"`
	Capacitance float64            `json:"capacitance"`
	Voltage     float64            `json:"voltage"`
	Energy      float64            `json:"energy"`
	Charge      float64            `json:"charge"`
	Touch       hazard.Judgement   `json:"touch"`
	Burns       hazard.Judgement   `json:"energy_level"`
	Filter      *hazard.Judgement  `json:"mains_filter,omitempty"`
	Bleeder     float64            `json:"bleeder_ohms,omitempty"` // the one it has; 0 when none is known
	Time        float64            `json:"time_to_safe,omitempty"` // through that bleeder
	Fit         *hazard.Bleeder    `json:"bleeder_to_fit,omitempty"`
	Held        *hazard.Bleeder    `json:"discharge_by_hand,omitempty"`
	Why         string             `json:"no_bleeder_because,omitempty"`
	curves      []hazard.Discharge // for the picture: its own bleeder first
	names       []string
}

// Limit is a limit for a check that was not made yet.
type Limit struct {
	Check  string `json:"check"`
	Limit  string `json:"limit"`
	Source string `json:"source"`
}

// heldTime is the time in seconds for a discharge by hand. Common practice.
const heldTime = 5

// Assess works a sheet and answers out into a report. The error says which
// answer cannot be right.
func Assess(s *sheet.Sheet, a Answers) (*Report, error) {
	fill(s, &a)
	r := &Report{Unit: strings.TrimSpace(s.Model.Maker + " " + s.Model.Name), Mains: a.Mains, Safe: a.Safe, Within: a.Within, supply: a.Supply, power: a.Power}
	if r.Unit == "" {
		r.Unit = s.File()
	}
	items := hazard.Find(s.Safety(a.Mains))
	for i := range items {
		h := &items[i]
		r.Hazards = append(r.Hazards, Hazard{h.Name, string(h.Kind), h.Where, string(h.Before), h.Do, h.Because, h.Kind.Usual()})
		if h.Store.Capacitance > 0 && h.Store.Voltage > 0 {
			one, err := stored(h, a)
			if err != nil {
				return nil, fmt.Errorf("hazard %q: %w", h.Name, err)
			}
			r.Stores = append(r.Stores, one)
		} else if h.Kind == hazard.StoredEnergy {
			r.Missing = append(r.Missing, fmt.Sprintf("what %q can hold: give its capacitance and voltage in the sheet", h.Name))
		}
	}
	if err := r.checks(a); err != nil {
		return nil, err
	}
	if err := r.lamps(a); err != nil {
		return nil, err
	}
	return r, r.dummies(s)
}

// fill takes from the sheet what was not answered.
func fill(s *sheet.Sheet, a *Answers) {
	m := &s.Model
	take := func(into *float64, q *quantity.Quantity, usual float64) {
		switch {
		case *into != 0:
		case q != nil:
			*into = math.Abs(q.Value)
		default:
			*into = usual
		}
	}
	take(&a.Mains, m.Mains, s.Safety(0).Mains)
	take(&a.Frequency, m.Cycles, 50)
	take(&a.Power, m.Power, 0)
	take(&a.Safe, nil, hazard.SafeVoltage)
	take(&a.Within, nil, 60)
	if a.Class == "" {
		a.Class = hazard.Class(m.Class)
	}
	if a.Supply == "" {
		a.Supply = hazard.Supply(m.Supply)
	}
}

func stored(h *hazard.Item, a Answers) (Stored, error) {
	c := h.Store
	one := Stored{
		Hazard: h.Name, Capacitance: c.Capacitance, Voltage: c.Voltage, Energy: c.Energy(), Charge: c.Charge(),
		Touch: c.Touch(), Burns: c.HazardousEnergy(), Bleeder: h.Bleeder,
	}
	if h.Kind == hazard.MainsCapacitor {
		bleeder := math.Inf(1)
		if h.Bleeder > 0 {
			bleeder = h.Bleeder
		}
		j, err := hazard.MainsFilter(c.Capacitance, bleeder, true)
		if err != nil {
			return one, err
		}
		one.Filter = &j
	}
	if h.Bleeder > 0 {
		d := hazard.Discharge{Capacitance: c.Capacitance, Voltage: c.Voltage, Resistance: h.Bleeder}
		one.Time = d.TimeTo(a.Safe)
		one.curves, one.names = append(one.curves, d), append(one.names, "its bleeder, "+quantity.FormatDigits(h.Bleeder, quantity.Ohm, 3))
	}
	need := hazard.BleederNeed{Capacitance: c.Capacitance, Voltage: c.Voltage, Safe: a.Safe, Within: a.Within}
	if h.Kind == hazard.MainsCapacitor {
		need.Safe, need.Within = 60, 2
	}
	var err error
	if h.Kind != hazard.PictureTube { // nobody fits one across a tube
		if one.Fit, err = bleeder(need, &one); err != nil {
			return one, err
		}
		if one.Fit != nil {
			one.curve("fitted", c, one.Fit)
		}
	}
	if h.Kind == hazard.StoredEnergy {
		need.Within, need.Held = heldTime, true
		if one.Held, err = bleeder(need, &one); err != nil {
			return one, err
		}
		if one.Held != nil {
			one.curve("held by hand", c, one.Held)
		}
	}
	return one, nil
}

func (s *Stored) curve(what string, c hazard.Store, b *hazard.Bleeder) {
	s.curves = append(s.curves, hazard.Discharge{Capacitance: c.Capacitance, Voltage: c.Voltage, Resistance: b.Value})
	s.names = append(s.names, what+", "+quantity.FormatDigits(b.Value, quantity.Ohm, 3))
}

// bleeder chooses one; nil when none is needed or can be had, with the reason.
func bleeder(need hazard.BleederNeed, one *Stored) (*hazard.Bleeder, error) {
	b, err := hazard.ChooseBleeder(need)
	var impossible hazard.Impossible
	switch {
	case errors.Is(err, hazard.ErrNoBleeder), errors.As(err, &impossible):
		one.Why = err.Error()
		return nil, nil
	case err != nil:
		return nil, err
	}
	return &b, nil
}

// checks judges the readings that were given and lists the limits of the others.
func (r *Report) checks(a Answers) error {
	judged := func(j hazard.Judgement, err error) error {
		if err == nil {
			r.Checks = append(r.Checks, j)
		}
		return err
	}
	if a.Hot != nil {
		_, j, err := hazard.HotCheck(*a.Hot, a.Frequency)
		if err := judged(j, err); err != nil {
			return err
		}
	}
	if a.Class == "" {
		if a.Earth != nil || a.Insulation != nil || a.Touch != nil || a.Filter > 0 {
			return errors.New("the limits depend on the protection class: give --class, or protection under model in the sheet")
		}
		if r.Mains > 0 {
			r.Missing = append(r.Missing, "the protection class, for the limits of earth, insulation and touch current: give --class, or protection under model in the sheet")
		}
		return nil
	}
	limit, source, err := hazard.TouchLimit(a.Class)
	if err != nil {
		return err
	}
	switch {
	case a.Touch != nil:
		if err := judged(hazard.JudgeTouch(a.Class, *a.Touch)); err != nil {
			return err
		}
	default:
		r.Limits = append(r.Limits, Limit{"touch current", "at most " + quantity.FormatDigits(limit, quantity.Ampere, 3), source})
	}
	if a.Filter > 0 {
		current, err := hazard.TouchCurrent(a.Filter, a.Mains, a.Frequency)
		if err != nil {
			return err
		}
		j, err := hazard.JudgeTouch(a.Class, current)
		j.Rule = fmt.Sprintf("touch current reckoned from %s to the case, %s", quantity.FormatDigits(a.Filter, quantity.Farad, 3), a.Class)
		if err := judged(j, err); err != nil {
			return err
		}
	}
	read := 0.0
	if a.Insulation != nil {
		read = *a.Insulation
	}
	least, j, err := hazard.Insulation(a.Class, read)
	if err != nil {
		return err
	}
	if a.Insulation != nil {
		r.Checks = append(r.Checks, j)
	} else {
		r.Limits = append(r.Limits, Limit{"insulation at 500 V DC, mains conductors joined", "at least " + quantity.FormatDigits(least, quantity.Ohm, 2), j.Source})
	}
	if a.Class != hazard.ClassI && a.Class != hazard.ClassIHandHeld {
		if a.Earth != nil {
			return fmt.Errorf("a unit of %s has no protective earth to measure", a.Class)
		}
		return nil
	}
	read = 0
	if a.Earth != nil {
		read = *a.Earth
	}
	most, j, err := hazard.EarthContinuity(read, a.Lead)
	if err != nil {
		return err
	}
	if a.Earth != nil {
		r.Checks = append(r.Checks, j)
	} else {
		r.Limits = append(r.Limits, Limit{"earth pin to touchable metal", "at most " + quantity.FormatDigits(most, quantity.Ohm, 3), j.Source})
	}
	return nil
}

func (r *Report) lamps(a Answers) error {
	switch {
	case r.Mains == 0:
		return nil
	case a.Power == 0:
		r.Missing = append(r.Missing, "what the unit takes from the mains, for the choice of a series lamp: give --power, or power under model in the sheet")
		return nil
	}
	if a.Supply == "" {
		a.Supply = hazard.LinearSupply
		r.supply = a.Supply
		r.remarks = append(r.remarks, "the supply is taken to be linear; give --supply switching if it is not")
	}
	lamps, best, err := hazard.ChooseLamp(a.Power, r.Mains, a.Supply)
	if err != nil {
		return err
	}
	r.Lamps = lamps
	if best >= 0 {
		r.Lamp = lamps[best].Power
	}
	return nil
}

func (r *Report) dummies(s *sheet.Sheet) error {
	for i := range s.Rails {
		rail := &s.Rails[i]
		if rail.Least == nil || rail.Nominal == nil || rail.Least.Value == 0 {
			continue
		}
		d, err := hazard.ChooseDummyLoad(hazard.Rail{Name: rail.Name.Text, Voltage: rail.Nominal.Value, Least: rail.Least.Value, Normal: value(rail.Load)})
		if err != nil {
			return err
		}
		r.Dummies = append(r.Dummies, d)
	}
	return nil
}

func value(q *quantity.Quantity) float64 {
	if q == nil {
		return 0
	}
	return q.Value
}
