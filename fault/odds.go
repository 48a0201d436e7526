package fault

import (
	"fmt"
	"math"
)

// Stress is how hard a part works, as shares of what it is made for (0.5 is half
// of it), and how warm it is. A zero field is not known.
type Stress struct {
	Power, Voltage, Current float64
	Temperature             float64 // of what surrounds the part, in kelvin; 313 when zero
}

// Record is what a bench has seen of one kind of item: how many failed, and how
// many were found good. Family and maker narrow it down; an empty one means all.
type Record interface {
	Seen(kind, family, maker string) (failed, good int)
}

// Life is what is known of one part beyond its kind. The zero value says nothing.
type Life struct {
	Age           float64 // years since it was made; 0 when not known
	Stress        Stress
	Family, Maker string
	Record        Record  // nil when the bench has none
	Override      float64 // what the sheet says: a factor on the odds; 1 when zero
}

// A Reason is one factor of the odds, and where it comes from.
type Reason struct {
	Text   string  // such as "44 years old"
	Factor float64 // greater than 0
	Source string
}

// Where the factors come from.
const (
	practice  = "common practice, no source"
	handbook  = "MIL-HDBK-217F with Notice 2, the section on this kind of part (from memory)"
	tenKelvin = "life of aluminium electrolytics doubles for every 10 K less (makers' life formula)"
	ownBench  = "failures seen on this bench, shrunk towards what is usual (gamma-Poisson)"
)

// OddsIn is how likely one part is to be the bad one, relative to a plain logic
// chip (1), and why: the kind's odds times the factor of each reason. Of the
// reasons from age and stress together no more than a factor of 20 either way is
// believed: the formulas were made for choosing parts, not for finding bad ones.
func (k Kind) OddsIn(life Life) (odds float64, why []Reason) {
	wear := 1.0
	for _, r := range k.wear(life) {
		if math.IsNaN(r.Factor) || r.Factor <= 0 || math.Abs(r.Factor-1) < 0.02 {
			continue
		}
		before := wear
		wear = min(max(wear*r.Factor, 1/mostWear), mostWear)
		r.Factor = wear / before
		why = append(why, r)
	}
	odds = k.Odds * wear
	if life.Override > 0 && life.Override != 1 {
		why = append(why, Reason{"the sheet says so", life.Override, "the sheet"})
		odds *= life.Override
	}
	for _, r := range k.seen(life, odds) {
		why = append(why, r)
		odds *= r.Factor
	}
	return odds, why
}

const mostWear = 20

// The conditions that the odds of the kinds stand for: units of 1970 to 1995,
// parts at half of what they are made for, in a case at 40 °C.
const (
	usualAge   = 40.0  // years
	usualShare = 0.5   // of the rating; of the voltage of a capacitor 0.6
	usualWarm  = 313.0 // kelvin
)

// ageing is the power by which the odds of a kind rise with age.
var ageing = map[string]float64{
	"electrolytic": 1.5, "tantalum": 0.5, "paper capacitor": 1.5, "carbon resistor": 1, "battery": 2, "connector": 0.7, "socket": 0.7, "switch": 0.7,
	"potentiometer": 0.7, "relay": 0.7, "joint": 0.7, "optocoupler": 0.7, "lamp": 0.5,
}

// wear lists the reasons from age and stress.
func (k Kind) wear(life Life) []Reason {
	var list []Reason
	s := life.Stress
	if life.Age > 0 {
		power, ok := ageing[k.Name]
		if !ok {
			power = 0.3
		}
		list = append(list, Reason{fmt.Sprintf("%.0f years old", life.Age), math.Pow(max(life.Age, 2)/usualAge, power), practice})
	}
	if s.Temperature > 0 {
		list = append(list, k.warmth(s.Temperature, "in warm surroundings"))
	}
	law := strains[k.Name]
	if s.Power > 0 && law.power > 0 {
		list = append(list, Reason{fmt.Sprintf("works at %.0f %% of its power", 100*s.Power), math.Exp(law.power * (min(s.Power, 3) - usualShare)), handbook})
	}
	if s.Power > 0 && law.rise > 0 { // its own heat, by the share of its power
		warm := s.Temperature
		if warm == 0 {
			warm = usualWarm
		}
		rate := k.rate(warm+law.rise*min(s.Power, 3)) / k.rate(warm+law.rise*usualShare)
		list = append(list, Reason{fmt.Sprintf("heats itself with %.0f %% of its power", 100*s.Power), rate, handbook})
	}
	if s.Voltage > 0 && law.voltage != nil {
		list = append(list, Reason{fmt.Sprintf("bears %.0f %% of its voltage", 100*s.Voltage), law.voltage(min(s.Voltage, 3)), handbook})
	}
	if s.Current > 1 && law.current {
		list = append(list, Reason{fmt.Sprintf("carries %.0f %% of its current", 100*s.Current), math.Pow(min(s.Current, 3), 3), practice})
	}
	return list
}

// warmth is the reason from a temperature.
func (k Kind) warmth(kelvin float64, text string) Reason {
	source := handbook
	if k.Name == "electrolytic" {
		source = tenKelvin
	}
	if kelvin < usualWarm {
		text = "in cool surroundings"
	}
	return Reason{text, k.rate(kelvin) / k.rate(usualWarm), source}
}

// rate is how fast a kind ages at a temperature, on a scale of its own: after
// Arrhenius, for electrolytics by the rule of ten kelvin.
func (k Kind) rate(kelvin float64) float64 {
	kelvin = min(max(kelvin, 200), 600)
	if k.Name == "electrolytic" {
		return math.Exp2((kelvin - usualWarm) / 10)
	}
	const boltzmann = 8.617e-5 // eV/K
	energy, ok := activation[k.Name]
	if !ok {
		energy = 0.15
	}
	return math.Exp(-energy / boltzmann * (1/kelvin - 1/usualWarm))
}

// activation energies in electronvolt, as the handbook has them for each kind (from
// memory): transistors 0.18, diodes 0.27, integrated circuits 0.35 to 0.65.
var activation = map[string]float64{
	"resistor": 0.08, "carbon resistor": 0.2, "power resistor": 0.08, "tantalum": 0.15, "film capacitor": 0.15, "ceramic capacitor": 0.35, "paper capacitor": 0.15,
	"inductor": 0.11, "transformer": 0.11, "transistor": 0.18, "power transistor": 0.18, "mosfet": 0.17, "diode": 0.27, "rectifier": 0.27, "zener": 0.17,
	"thyristor": 0.27, "optocoupler": 0.24, "regulator": 0.5, "op-amp": 0.5,
}

// strain is how the odds of a kind follow what it bears.
type strain struct {
	power   float64               // exponent by the share of the power
	rise    float64               // kelvin that its full power heats it
	voltage func(float64) float64 // by the share of the voltage, relative to the usual one
	current bool                  // too much current counts
}

// byPower gives (1 + (s / 0.6)^n) / 2: capacitors, relative to six tenths of their
// voltage.
func byPower(n float64) func(float64) float64 {
	return func(s float64) float64 { return (1 + math.Pow(s/0.6, n)) / 2 }
}

// The stress factors of the handbook (from memory): resistors 0.71 e^(1.1 S), wire
// wound ones 0.54 e^(2.04 S); capacitors 1 + (S/0.6)^n with n = 5, for solid
// tantalum 17 and ceramic 3; bipolar transistors 0.045 e^(3.1 S); diodes S^2.43,
// and 0.054 below a share of 0.3. What full power heats a part by is common
// practice, no source.
var strains = map[string]strain{
	"resistor": {power: 1.1}, "carbon resistor": {power: 1.1}, "power resistor": {power: 2.04},
	"electrolytic": {voltage: byPower(5)}, "film capacitor": {voltage: byPower(5)}, "paper capacitor": {voltage: byPower(5)},
	"tantalum": {voltage: byPower(17)}, "ceramic capacitor": {voltage: byPower(3)},
	"transistor":       {rise: 100, voltage: func(s float64) float64 { return math.Exp(3.1 * (s - usualShare)) }},
	"power transistor": {rise: 100, voltage: func(s float64) float64 { return math.Exp(3.1 * (s - usualShare)) }, current: true},
	"mosfet":           {rise: 100, current: true},
	"diode":            {voltage: diodeVoltage, current: true}, "rectifier": {voltage: diodeVoltage, current: true},
	"thyristor": {current: true}, "regulator": {rise: 80, current: true}, "inductor": {current: true}, "fuse": {current: true},
}

func diodeVoltage(s float64) float64 {
	law := func(s float64) float64 {
		if s <= 0.3 {
			return 0.054
		}
		return math.Pow(s, 2.43)
	}
	return law(s) / law(usualShare)
}

// Of the plain logic chips in the units that come to a bench about this share is
// bad (common practice, no source); the odds of the kinds multiply it.
const chipShare = 3e-3

// steadiness is how many failures the usual odds are worth against what a bench
// has seen itself: with none of its own a bench would have to see about so many
// before it believes itself half. Common practice, no source.
const steadiness = 3

// seen lists the reasons from the bench's own record: of all items of the kind,
// then of their family, then of their maker, each shrunk towards the one before.
// With a gamma prior of shape a about the expected number E of failures, f
// failures make the rate (a + f) / (a + E) times the expected one (gamma-Poisson:
// A. Gelman et al., "Bayesian Data Analysis", section on the Poisson model).
func (k Kind) seen(life Life, odds float64) []Reason {
	if life.Record == nil {
		return nil
	}
	var list []Reason
	done := 0 // items that the step before was about
	levels := []struct{ family, maker, text string }{{"", "", k.Name}}
	if life.Family != "" {
		levels = append(levels, struct{ family, maker, text string }{life.Family, "", life.Family})
	}
	if life.Maker != "" {
		levels = append(levels, struct{ family, maker, text string }{life.Family, life.Maker, life.Maker + " " + life.Family})
	}
	for _, l := range levels {
		failed, good := life.Record.Seen(k.Name, l.family, l.maker)
		items := failed + good
		if failed < 0 || good < 0 || items == 0 || items == done {
			continue
		}
		done = items
		expected := float64(items) * min(odds*chipShare, 0.5)
		factor := (steadiness + float64(failed)) / (steadiness + expected)
		odds *= factor
		list = append(list, Reason{fmt.Sprintf("of %d seen here (%s) %d had failed", items, l.text, failed), factor, ownBench})
	}
	return list
}
