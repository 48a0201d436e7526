package findings

import (
	"halfsplit/logbook"
	"halfsplit/quantity"
)

// The temperature of its case, in °C, above which a part runs too hot to be sound:
// a chip or transistor that dissipates little, and a capacitor, which of itself
// should not warm at all. Common practice, no source. Parts that are meant to run
// hot have none.
var tooHot = map[string]float64{
	"chip": 85, "dynamic ram": 85, "static ram": 85, "rom": 85, "op-amp": 85, "transistor": 85, "diode": 85, "optocoupler": 85,
	"electrolytic": 65, "tantalum": 65, "film capacitor": 65, "ceramic capacitor": 65, "paper capacitor": 65,
}

// temperature reads the temperature of a part; ok is false for anything else.
func temperature(text string) (celsius float64, ok bool) {
	r, isNumber, err := parseReading(text, quantity.None)
	return r.quantity.Value, isNumber && err == nil && r.quantity.Unit == quantity.Celsius
}

// partTemperature takes in how hot the case of a part is while the unit runs: too
// hot counts as the word hot. What is not too hot says little: a part that is
// shorted on a rail that is gone stays cold.
func (w *work) partTemperature(e *logbook.Entry, name string, how logbook.How, celsius float64, read string) {
	if e.State.Power == logbook.PowerOff {
		w.unused(e, "%s is %s with the power off: it says nothing of what it does in operation", name, read)
		return
	}
	limit, known := 0.0, false
	if items := w.itemsNamed(name); len(items) > 0 {
		limit, known = tooHot[w.model.Items[items[0]].Kind.Name]
	}
	switch {
	case !known:
		w.unused(e, "how hot %s may be is not known; where it is hotter than it should be, read hot", name)
	case celsius <= limit:
		w.unused(e, "%s is at %s, not above the %.0f °C at which it would be too hot: that says little", name, read, limit)
	default:
		if e.How == "" {
			how = logbook.InOperation
		}
		_, shows, _ := resultOf("hot")
		w.partResult(e, name, how, false, shows, read)
	}
}
