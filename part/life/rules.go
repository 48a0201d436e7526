package life

import "math"

// Year and Hour are in seconds; a year has 365.25 days.
const (
	Hour = 3600.0
	Year = 365.25 * 24 * Hour
)

// Ceiling is the longest life that an estimate may promise, 15 years of running:
// seals age too. Source: Nichicon, "Estimated life calculator", notes.
const Ceiling = 131400 * Hour

// coolest is the lowest temperature to which the rule of 10 K is carried, 40 °C.
// Source: Nichicon, "Estimated life calculator", notes.
const coolest = 273.15 + 40

// TenKelvin gives the life at a temperature of the core, from the life stated at
// another: it doubles for every 10 K less. Source: Cosel, Q&A a0057; the rule of
// Arrhenius as all makers print it.
//
//	L = L₀ · 2^((T₀ − T)/10 K)
func TenKelvin(stated, statedAt, temperature float64) float64 {
	return stated * math.Exp2((statedAt-temperature)/10)
}

// WithCoreRise gives the life where the ripple heats the core by so many kelvins
// above its surroundings; every 5 K halve it once more, beside the rule of 10 K
// for the surroundings. Source: DB Lectro, "Life of aluminium electrolytic
// capacitors", equations 1 to 4.
func WithCoreRise(stated, statedAt, surroundings, rise float64) float64 {
	return TenKelvin(stated, statedAt, surroundings) * math.Exp2(-rise/5)
}

// CoreRise gives by how much a ripple current heats the core, from the rise at
// the rated ripple current: it goes with the square. Source: Rubycon, "Lifetime
// calculation formula", sections 1 to 3.
func CoreRise(ripple, rated, riseAtRated float64) float64 {
	share := ripple / rated
	return riseAtRated * share * share
}

// WithRipple gives the life of a part whose life is stated with its rated ripple
// current flowing, so that less ripple lengthens it. Source: Rubycon, "Lifetime
// calculation formula"; the arrangement of its exponent was read from a garbled
// copy.
//
//	L = L₀ · 2^((T₀ − T)/10 K) · 2^(ΔT₀/(10 − ΔT₀/4) − ΔT/(10 − ΔT/4))
//
// A rise of 40 K or more, where the formula ends, gives zero.
func WithRipple(stated, statedAt, surroundings, riseAtRated, rise float64) float64 {
	if rise >= 40 || riseAtRated >= 40 {
		return 0
	}
	return TenKelvin(stated, statedAt, surroundings) * math.Exp2(steepened(riseAtRated)-steepened(rise))
}

// steepened is the exponent of a core rise in kelvins: nearer to 5 K than to 10 K
// for each halving as the rise grows.
func steepened(rise float64) float64 { return rise / (10 - 0.25*rise) }

// VoltageFactor gives by how much a life lengthens when less than the rated
// voltage is applied, for a share from 0 to 1. Source: Cornell Dubilier,
// "Aluminum Electrolytic Capacitor Application Guide", from memory.
//
//	M = 4.3 − 3.3 · U/Ur
func VoltageFactor(share float64) float64 { return 4.3 - 3.3*share }

// Spell is a time spent at a temperature.
type Spell struct {
	Duration, Temperature float64
}

// Mixed gives the life in a duty that repeats spells at several temperatures, and
// the one temperature at which the life would be the same. Each spell uses up its
// share. Source: Cosel, Q&A a0057, section 2. No spells give zeros.
func Mixed(stated, statedAt float64, spells []Spell) (life, equivalent float64) {
	var whole, used float64
	for _, s := range spells {
		whole += s.Duration
		used += s.Duration / TenKelvin(stated, statedAt, s.Temperature)
	}
	if used == 0 {
		return 0, 0
	}
	life = whole / used
	return life, statedAt - 10*math.Log2(life/stated)
}
