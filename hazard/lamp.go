package hazard

import (
	"fmt"
	"math"
)

// tungsten is the resistance of tungsten relative to that at 300 K, for every
// 100 K from 300 K: H. A. Jones, I. Langmuir, "The characteristics of tungsten
// filaments as functions of temperature", General Electric Review 30 (1927),
// as handbooks reprint it (from memory).
var tungsten = []float64{
	1, 1.43, 1.87, 2.34, 2.85, 3.36, 3.88, 4.41, 4.95, 5.48, 6.03, 6.58, 7.14, 7.71, 8.28, 8.86, 9.44, 10.03,
	10.63, 11.24, 11.84, 12.46, 13.08, 13.72, 14.34, 14.99, 15.63, 16.29, 16.95, 17.62, 18.28, 18.97, 19.66,
}

// TungstenRatio is the resistance of a tungsten filament at a temperature in
// kelvin, relative to that at 300 K. Between 300 K and 3500 K it follows the
// table of Jones and Langmuir; outside it goes on straight.
func TungstenRatio(kelvin float64) float64 {
	x := (kelvin - 300) / 100
	i := min(max(int(math.Floor(x)), 0), len(tungsten)-2)
	return tungsten[i] + (x-float64(i))*(tungsten[i+1]-tungsten[i])
}

// Lamp is a tungsten lamp by its ratings.
type Lamp struct {
	Power   float64 // watt
	Voltage float64 // volt (RMS)
}

const (
	ambient = 300.0  // kelvin
	service = 2800.0 // kelvin at the rated voltage; a gas-filled lamp of 60 to 100 W, common practice
)

// Check refuses ratings that no lamp has.
func (l Lamp) Check() error {
	return above(amount{"the lamp's power", l.Power}, amount{"the lamp's voltage", l.Voltage})
}

// Hot is its resistance at its rating, V²/P, in ohms. A dead short behind it
// draws its rated current and no more.
func (l Lamp) Hot() float64 { return l.Voltage * l.Voltage / l.Power }

// Cold is its resistance at room temperature, in ohms: a fifteenth of the hot
// one.
func (l Lamp) Cold() float64 { return l.Hot() / TungstenRatio(service) }

// Rated is its current at its rating, in amperes.
func (l Lamp) Rated() float64 { return l.Power / l.Voltage }

// Inrush is the largest current at switching on into a dead short, in amperes:
// the crest of the mains across the cold filament. Within a tenth of a second it
// falls to the rated current.
func (l Lamp) Inrush() float64 { return math.Sqrt2 * l.Voltage / l.Cold() }

// Resistance is that of the filament in ohms when a voltage (RMS) stands across
// it, from its heat balance: what comes in, v²/R(T), is radiated as T⁴.
func (l Lamp) Resistance(volts float64) float64 {
	return l.Cold() * TungstenRatio(l.temperature(volts))
}

// temperature of the filament in kelvin.
func (l Lamp) temperature(volts float64) float64 {
	radiation := l.Power / (math.Pow(service, 4) - math.Pow(ambient, 4))
	low, high := ambient, 3500.0
	for range 60 {
		t := (low + high) / 2
		if volts*volts/(l.Cold()*TungstenRatio(t)) > radiation*(math.Pow(t, 4)-math.Pow(ambient, 4)) {
			low = t
		} else {
			high = t
		}
	}
	return low
}

// Current is that through the lamp in amperes when a voltage (RMS) stands across
// it.
func (l Lamp) Current(volts float64) float64 { return volts / l.Resistance(volts) }

// Drop is the voltage (RMS) that the lamp loses when a current in amperes flows
// through it. A lamp that glows above its rating is not described: the current
// must not exceed the rated one.
func (l Lamp) Drop(current float64) (float64, error) {
	if err := l.Check(); err != nil {
		return 0, err
	}
	if !(current >= 0 && current <= l.Rated()*(1+1e-12)) {
		return 0, fmt.Errorf("the current is %g A; it must lie between 0 and the lamp's rated %g A", current, l.Rated())
	}
	low, high := 0.0, l.Voltage
	for range 60 {
		if v := (low + high) / 2; l.Current(v) < current {
			low = v
		} else {
			high = v
		}
	}
	return high, nil
}

// Supply says how a unit takes its power, which decides how it behaves behind a
// lamp.
type Supply string

// The supplies.
const (
	// LinearSupply takes less current at less voltage, as a resistance does.
	LinearSupply Supply = "linear"
	// SwitchingSupply takes more current at less voltage, so that it may not
	// start behind a lamp, or hunt.
	SwitchingSupply Supply = "switching"
)

// LampChoice is how a unit fares behind a lamp.
type LampChoice struct {
	Lamp   Lamp    `json:"-"`
	Power  float64 `json:"lamp_watts"`
	Short  float64 `json:"short_circuit_amperes"` // RMS, when the unit is a dead short
	Inrush float64 `json:"inrush_amperes"`        // crest at switching on into a dead short
	Unit   float64 `json:"unit_volts"`            // RMS, at the unit when all is well; 0 when it cannot run
	Drop   float64 `json:"lamp_volts"`            // RMS, lost in the lamp when all is well
	Glows  bool    `json:"glows"`                 // visibly, when all is well
	Runs   bool    `json:"runs"`                  // with at least 85 % of the mains
}

// usualLamps are the ratings that are made, in watts.
var usualLamps = []float64{15, 25, 40, 60, 75, 100, 150, 200, 300}

// runsAt is the share of the mains with which a healthy unit runs behind a
// lamp; dullRed is the filament temperature in kelvin from which one sees it
// glow. Common practice, no source.
const (
	runsAt  = 0.85
	dullRed = 900.0
)

// ChooseLamp reckons how a unit that takes a power in watts (0 for one that
// idles) from the mains (RMS) fares behind each usual lamp of that mains
// voltage. The first whose Runs is set is the one to use: the smallest that
// leaves the unit enough, and so the one that limits a short most; index −1
// when none does.
func ChooseLamp(power, mains float64, supply Supply) (choices []LampChoice, best int, err error) {
	if err := notBelow(amount{"the unit's power", power}); err != nil {
		return nil, -1, err
	}
	if err := above(amount{"the mains voltage", mains}); err != nil {
		return nil, -1, err
	}
	if supply != LinearSupply && supply != SwitchingSupply {
		return nil, -1, fmt.Errorf("%q is no kind of supply; write linear or switching", supply)
	}
	best = -1
	for _, watts := range usualLamps {
		lamp := Lamp{watts, mains}
		c := LampChoice{Lamp: lamp, Power: watts, Short: lamp.Rated(), Inrush: lamp.Inrush()}
		c.Drop, c.Unit = lamp.share(power, mains, supply)
		c.Glows = lamp.temperature(c.Drop) >= dullRed
		c.Runs = c.Unit >= runsAt*mains
		if c.Runs && best < 0 {
			best = len(choices)
		}
		choices = append(choices, c)
	}
	return choices, best, nil
}

// share divides the mains between the lamp and a unit. Real and apparent power
// are taken as equal. The unit gets 0 when it cannot run: a switching supply
// that asks for more than the lamp lets through.
func (l Lamp) share(power, mains float64, supply Supply) (drop, unit float64) {
	if power == 0 {
		return 0, mains
	}
	takes := func(v float64) float64 { return v * power / (mains * mains) } // ampere at v volts
	if supply == SwitchingSupply {
		takes = func(v float64) float64 { return power / v }
	}
	// From the lamp unlit upwards: the first voltage at which it passes what
	// the unit takes.
	const steps = 2000
	for i := range steps {
		drop = mains * float64(i+1) / (steps + 1)
		if l.Current(drop) >= takes(mains-drop) {
			return drop, mains - drop
		}
	}
	return mains, 0
}
