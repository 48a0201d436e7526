package upkeep

import (
	"math"

	"halfsplit/experience"
	"halfsplit/fault"
	"halfsplit/part/life"
)

// Key names a sort of part, as package experience does.
type Key = experience.Key

// The laws of wear; doc.go gives their grounds.
const (
	halfConsumed = 4.0         // shares of the stated life at which half of the electrolytics are worn
	halfPaper    = 40.0        // years at which half of the paper capacitors have failed
	shelfAt35    = 10.0        // years of shelf life at 35 °C
	warmShelf    = 273.15 + 35 // kelvin
	unreformed   = 0.05        // share of those past their shelf life that fails when powered
	mostConsumed = 1e3         // beyond it the law says nothing more
	restingShare = 0.1         // rate at rest, beside that when it runs
	reformAfter  = 2.0         // years; EPCOS and Nichicon, as Panasonic's page on reforming lists them
)

// worn is the cumulative hazard of wear: ln 2 at half, by a power of the share.
func worn(share, power float64) float64 { return math.Ln2 * math.Pow(share, power) }

// paperWear, batteryWear and electrolyticWear are what wear adds to the hazard within
// so many years from an age in years.
func paperWear(age, ahead float64) float64 {
	return worn((age+ahead)/halfPaper, 4) - worn(age/halfPaper, 4)
}

func batteryWear(age, ahead, half float64) float64 {
	return worn((age+ahead)/half, 3) - worn(age/half, 3)
}

// electrolyticWear takes the share of a life that is used up a year.
func electrolyticWear(age, ahead, yearly float64) float64 {
	return worn(min(yearly*(age+ahead), mostConsumed+yearly*ahead)/halfConsumed, 2) - worn(min(yearly*age, mostConsumed)/halfConsumed, 2)
}

// rested is the chance that an electrolytic fails when it is powered after so many
// years of rest in a room of a temperature in kelvin.
func rested(years, room float64) float64 {
	shelf := life.TenKelvin(shelfAt35, warmShelf, room)
	return unreformed * -math.Expm1(-worn(years/shelf, 2))
}

// running is how often a part fails that runs so many hours a day, beside one that
// runs as many as is usual.
func running(hours float64) float64 {
	part := func(h float64) float64 { return h + restingShare*(24-h) }
	return part(hours) / part(usualHours)
}

// kindFacts are what is asked of a kind again and again.
type kindFacts struct {
	fault.Kind
	harmful float64 // share of its failures that burn or eat what is around them
	danger  Danger  // of these
}

// harms says which failures of a kind do harm, by what a meter reads of them.
var harms = map[string]struct {
	reads  []string
	danger Danger
}{
	"paper capacitor": {[]string{"short", "leaky"}, Burns},
	"tantalum":        {[]string{"short"}, Spoils},
	"battery":         {[]string{"cracked"}, Spoils},
}

// reckoner keeps what was reckoned once, since a collection asks the same again and
// again. It belongs to one call.
type reckoner struct {
	terms   Terms
	kinds   map[string]*kindFacts
	rates   map[rateOf]float64
	lives   map[lifeOf]float64
	factors map[Key]float64
	checked map[partsOf]error
	counted map[partsOf]map[string]int
	line    Line // that is lent
}

// partsOf names a list of parts that units share.
type partsOf struct {
	first *Part
	count int
}

// validate checks parts once, however many units share them.
func (r *reckoner) validate(parts []Part) error {
	if len(parts) == 0 {
		return nil
	}
	key := partsOf{&parts[0], len(parts)}
	err, done := r.checked[key]
	if !done {
		err = validateParts(parts)
		r.checked[key] = err
	}
	return err
}

type rateOf struct {
	kind           string
	age, odds      float64
	power, v, amps float64
	temperature    float64
}

type lifeOf struct {
	stated  life.Part
	kelvins float64
}

func newReckoner(t Terms) *reckoner {
	if t.Years == 0 {
		t.Years = usualAhead
	}
	return &reckoner{terms: t, kinds: map[string]*kindFacts{}, rates: map[rateOf]float64{}, lives: map[lifeOf]float64{}, factors: map[Key]float64{}, checked: map[partsOf]error{}, counted: map[partsOf]map[string]int{}}
}

// kind gives what is known of a kind; nil for what is none.
func (r *reckoner) kind(name string) *kindFacts {
	if k, ok := r.kinds[name]; ok {
		return k
	}
	var facts *kindFacts
	if k, ok := fault.Find(name); ok {
		facts = &kindFacts{Kind: k}
		h := harms[k.Name]
		facts.danger = h.danger
		for _, m := range k.Modes {
			for _, reads := range h.reads {
				if m.Reads == reads {
					facts.harmful += m.Share
				}
			}
		}
	}
	r.kinds[name] = facts
	return facts
}

// rate is how often a part fails a year.
func (r *reckoner) rate(k *kindFacts, p *Part, age, temperature float64) float64 {
	key := rateOf{k.Name, age, p.Odds, p.Stress.Power, p.Stress.Voltage, p.Stress.Current, temperature}
	if rate, ok := r.rates[key]; ok {
		return rate
	}
	stress := p.Stress
	stress.Temperature = temperature
	rate := k.Rate(fault.Life{Age: age, Stress: stress, Override: p.Odds})
	r.rates[key] = rate
	return rate
}

// yearly is the share of an electrolytic's life that is used up in a year of running
// day and night. The figures of the part were validated.
func (r *reckoner) yearly(stated life.Part, kelvins float64) float64 {
	key := lifeOf{stated, kelvins}
	if share, ok := r.lives[key]; ok {
		return share
	}
	share := mostConsumed
	if e, err := life.Of(stated, life.Service{Surroundings: kelvins}); err == nil && e.Life > 0 {
		share = min(life.Year/e.Life, mostConsumed)
	}
	r.lives[key] = share
	return share
}

// learned is the factor that benches have seen of a sort of part, and that of its kind.
func (r *reckoner) learned(k *kindFacts, p *Part) (own, kind float64) {
	if r.terms.Experience == nil {
		return 1, 1
	}
	factor := func(key Key) float64 {
		if f, ok := r.factors[key]; ok {
			return f
		}
		f := r.terms.Experience.Factor(key)
		r.factors[key] = f
		return f
	}
	kind = factor(Key{Kind: k.Name})
	return factor(Key{Kind: k.Name, Family: p.Family, Maker: p.Maker, Batch: p.Batch}), kind
}
