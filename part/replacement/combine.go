package replacement

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfsplit/part"
	"halfsplit/quantity"
)

// Stocked is a part at hand, with how many there are; zero counts as one.
type Stocked struct {
	Part  Part `json:"part"`
	Count int  `json:"count"`
}

// Arrangement is how several parts are joined.
type Arrangement string

// The arrangements.
const (
	Single     Arrangement = "alone"
	InSeries   Arrangement = "in series"
	InParallel Arrangement = "in parallel"
)

// Combination is one or several parts at hand that serve together.
type Combination struct {
	Arrangement Arrangement `json:"arrangement"`
	Parts       []Part      `json:"parts"`
	Together    Part        `json:"together"` // what they are as one part
	Notes       []string    `json:"notes,omitempty"`
	Unknown     []string    `json:"not_known,omitempty"`
	// Off is how far the value lies from the original's, as a ratio less one.
	Off float64 `json:"off"`
}

// String names the parts: "2 × 2200 µF 35 V in parallel".
func (c Combination) String() string {
	var names []string
	for i := 0; i < len(c.Parts); {
		n := 1
		for i+n < len(c.Parts) && c.Parts[i+n].label() == c.Parts[i].label() {
			n++
		}
		text := c.Parts[i].label()
		if n > 1 {
			text = fmt.Sprintf("%d × %s", n, text)
		}
		names = append(names, text)
		i += n
	}
	if c.Arrangement == Single {
		return names[0]
	}
	return strings.Join(names, " + ") + " " + string(c.Arrangement)
}

// label is the part with its name, where it has one.
func (p Part) label() string {
	if p.Name == "" {
		return p.String()
	}
	return p.Name + ": " + p.String()
}

// Bounds of the search: kinds of parts in a drawer of which threes are tried, and
// how many combinations are given.
const (
	mostForThrees = 120
	mostGiven     = 8
)

// Combine looks through the parts at hand for what serves: single parts first,
// then two and three in series or in parallel, the nearest in value first. It
// gives at most eight. Refused holds each single part of the right kind and the
// reason why it does not serve alone. The answer does not depend on the order of
// the stock but for equal parts.
func (n Need) Combine(stock []Stocked) (serve []Combination, refused []Answer) {
	var pool []Stocked
	for _, s := range stock {
		a := n.Check(s.Part)
		if a.Serves {
			serve = append(serve, n.combination(Single, []Part{s.Part}, s.Part, a))
		} else {
			refused = append(refused, a)
		}
		s.Count = max(s.Count, 1)
		if n.combines(s.Part) {
			pool = append(pool, s)
		}
	}
	for i, a := range pool {
		for j := i; j < len(pool); j++ {
			if i < j || a.Count > 1 {
				serve = n.try(serve, a.Part, pool[j].Part)
			}
		}
	}
	if len(serve) < mostGiven && len(pool) <= mostForThrees { // threes come after pairs
		serve = n.threes(serve, pool)
	}
	slices.SortStableFunc(serve, better)
	return serve[:min(len(serve), mostGiven)], refused
}

// threes tries every three of the pool.
func (n Need) threes(serve []Combination, pool []Stocked) []Combination {
	for i, a := range pool {
		for j := i; j < len(pool); j++ {
			if i == j && a.Count < 2 {
				continue
			}
			for k := j; k < len(pool); k++ {
				if i == k && a.Count < 3 || j == k && pool[j].Count < 2 {
					continue
				}
				serve = n.try(serve, a.Part, pool[j].Part, pool[k].Part)
			}
		}
	}
	return serve
}

// better orders combinations: fewer parts first, then the nearer in value to a
// millionth, then the better known, then by name.
func better(a, b Combination) int {
	off := func(c Combination) float64 { return math.Round(1e6 * math.Abs(math.Log1p(c.Off))) }
	if order := cmp.Or(cmp.Compare(len(a.Parts), len(b.Parts)), cmp.Compare(off(a), off(b)), cmp.Compare(len(a.Unknown), len(b.Unknown))); order != 0 {
		return order
	}
	return cmp.Compare(a.String(), b.String())
}

// combines tells whether a part may be one of several.
func (n Need) combines(p Part) bool {
	switch n.Original.Kind {
	case Resistor, Capacitor, Zener:
		return p.Value > 0 && p.Validate() == nil && n.kinds(p) == ""
	}
	return false
}

// try adds what the parts make in series and in parallel, where it serves.
func (n Need) try(serve []Combination, parts ...Part) []Combination {
	value, _ := n.limit(Value)
	for _, how := range []Arrangement{InSeries, InParallel} {
		if !value.meets(n.valueOf(how, parts)) { // most fail here, and it is cheap
			continue
		}
		together, notes, ok := n.join(how, parts)
		if !ok {
			continue
		}
		if a := n.Check(together); a.Serves {
			c := n.combination(how, slices.Clone(parts), together, a)
			c.Notes = append(notes, c.Notes...)
			serve = append(serve, c)
		}
	}
	return serve
}

// valueOf is the value of several parts joined.
func (n Need) valueOf(how Arrangement, parts []Part) float64 {
	adds := (how == InSeries) != (n.Original.Kind == Capacitor)
	sum := 0.0
	for _, p := range parts {
		if adds {
			sum += p.Value
		} else {
			sum += 1 / p.Value
		}
	}
	if adds {
		return sum
	}
	return 1 / sum
}

func (n Need) combination(how Arrangement, parts []Part, together Part, a Answer) Combination {
	c := Combination{Arrangement: how, Parts: parts, Together: together, Notes: a.Notes, Unknown: a.Unknown}
	if n.Original.Value != 0 && together.Value != 0 {
		c.Off = together.Value/n.Original.Value - 1
	}
	return c
}

// join works out what several parts are as one; false where they must not be
// joined so.
func (n Need) join(how Arrangement, parts []Part) (Part, []string, bool) {
	switch n.Original.Kind {
	case Resistor:
		whole := joinResistors(how, parts)
		whole.Value = n.valueOf(how, parts)
		return whole, nil, true
	case Capacitor:
		return n.joinCapacitors(how, parts)
	case Zener:
		if how == InParallel { // one of them takes it all
			return Part{}, nil, false
		}
		return joinZeners(parts), []string{"each cathode to the next anode, all the same way"}, true
	}
	return Part{}, nil, false
}

// share of a sum of weights, each part allowing so much of the whole.
func allowed(parts []Part, rating, weight func(Part) float64) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += weight(p)
	}
	least := math.Inf(1)
	for _, p := range parts {
		if rating(p) == 0 {
			return 0 // one does not say
		}
		least = math.Min(least, rating(p)*sum/weight(p))
	}
	return least
}

func power(p Part) float64      { return p.Power }
func voltage(p Part) float64    { return p.Voltage }
func current(p Part) float64    { return p.Current }
func itself(p Part) float64     { return p.Value }
func inverse(p Part) float64    { return 1 / p.Value }
func resistance(p Part) float64 { return p.ESR }

// smallest of a rating that all must have; zero where one does not say.
func smallest(parts []Part, rating func(Part) float64) float64 {
	least := math.Inf(1)
	for _, p := range parts {
		least = math.Min(least, rating(p))
	}
	return least
}

// spreadOf is the worst case of a tolerance, each weighted by its share.
func spreadOf(parts []Part, weight func(Part) float64) *quantity.Tolerance {
	var low, high, sum float64
	for _, p := range parts {
		a, b, assumed := p.spread()
		if assumed {
			return nil
		}
		low, high, sum = low+a*weight(p), high+b*weight(p), sum+weight(p)
	}
	return &quantity.Tolerance{Low: low / sum, High: high / sum, Unit: quantity.Percent}
}

// shared keeps the traits that all the parts have.
func shared(parts []Part) []Trait {
	return slices.DeleteFunc(slices.Clone(parts[0].Traits), func(t Trait) bool {
		return slices.ContainsFunc(parts, func(p Part) bool { return !p.Has(t) })
	})
}

// joinResistors: in series the larger ones take more of the voltage and the heat,
// in parallel the smaller ones more of the current and the heat.
func joinResistors(how Arrangement, parts []Part) Part {
	whole := Part{Kind: Resistor, Traits: shared(parts)}
	weight := itself
	if how == InParallel {
		weight = inverse
	}
	for _, p := range parts {
		whole.TempCo = math.Max(whole.TempCo, p.TempCo)
	}
	whole.Power = allowed(parts, power, weight)
	whole.Tolerance = spreadOf(parts, weight)
	whole.Voltage = allowed(parts, voltage, weight)
	if how == InParallel {
		whole.Voltage = smallest(parts, voltage)
	}
	return whole
}

// joinCapacitors: in parallel they add and bear the same voltage; in series the
// smallest takes most of it.
func (n Need) joinCapacitors(how Arrangement, parts []Part) (Part, []string, bool) {
	first := parts[0]
	for _, p := range parts {
		if p.Dielectric != first.Dielectric || p.Class != first.Class {
			return Part{}, nil, false
		}
	}
	whole := Part{Kind: Capacitor, Value: n.valueOf(how, parts), Dielectric: first.Dielectric, Class: first.Class, Traits: shared(parts), Temperature: smallest(parts, func(p Part) float64 { return p.Temperature })}
	if how == InParallel {
		whole.Voltage, whole.Tolerance, whole.Current = smallest(parts, voltage), spreadOf(parts, itself), allowed(parts, current, itself)
		if smallest(parts, resistance) > 0 {
			for _, p := range parts {
				whole.ESR += 1 / p.ESR
			}
			whole.ESR = 1 / whole.ESR
		}
		return whole, nil, true
	}
	if first.Class != part.NoSafetyClass || first.Dielectric == part.SolidTantalum {
		return Part{}, nil, false // one shorted leaves the others alone with the voltage
	}
	for _, p := range parts {
		whole.ESR += p.ESR
	}
	if smallest(parts, resistance) == 0 {
		whole.ESR = 0
	}
	whole.Tolerance, whole.Current = spreadOf(parts, inverse), smallest(parts, current)
	whole.Voltage = seriesVoltage(parts)
	return whole, []string{balancing(parts)}, true
}

// seriesVoltage is the voltage that capacitors in series stand together: the one
// that is lowest within its tolerance, with the others at their highest, takes
// the largest share.
func seriesVoltage(parts []Part) float64 {
	least := math.Inf(1)
	for i, p := range parts {
		if p.Voltage == 0 {
			return 0
		}
		low, _, _ := p.spread()
		mine := p.Value * (1 + low)
		sum := 1 / mine
		for j, q := range parts {
			if j != i {
				_, high, _ := q.spread()
				sum += 1 / (q.Value * (1 + high))
			}
		}
		least = math.Min(least, p.Voltage*mine*sum)
	}
	return least
}

// balancing says which resistors keep the direct voltage shared: each with ten
// times the leakage that the part may have. Common practice, no source.
func balancing(parts []Part) string {
	least := math.Inf(1)
	worst := 0.0
	for _, p := range parts {
		c := part.Capacitor{Kind: p.Dielectric, Nominal: p.Value, RatedVoltage: math.Max(p.Voltage, 1)}
		if limit, ok := c.LeakageLimit(); ok {
			if r := limit.Voltage / (10 * limit.Current); r < least {
				least, worst = r, p.Voltage*p.Voltage/r
			}
		}
	}
	if math.IsInf(least, 1) {
		return "a resistor across each, so that they share the direct voltage"
	}
	return fmt.Sprintf("a resistor of about %s across each, so that they share the direct voltage; at the full rating it dissipates %s",
		figure(least, quantity.Ohm), figure(worst, quantity.Watt))
}

// joinZeners adds the voltages; each bears the same current.
func joinZeners(parts []Part) Part {
	whole := Part{Kind: Zener, Power: allowed(parts, power, itself), Tolerance: spreadOf(parts, itself)}
	for _, p := range parts {
		whole.Value += p.Value
	}
	return whole
}
