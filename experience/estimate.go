package experience

import (
	"fmt"
	"math"
	"strings"

	"halfsplit/fault"
	"halfsplit/form"
	"halfsplit/soak"
)

// Level is the chance with which the interval of an [Estimate] holds the factor.
const Level = 0.9

// Estimate is by how much a sort of part fails more often than is usual.
type Estimate struct {
	Key   Key
	Count Count   // what was seen of it, with all sorts below it
	Usual float64 // failures that are usual for that count
	// Factor is by how much it fails more often than is usual, the mean of what is
	// believed; Low and High hold it with the chance Level (equal tails).
	Factor, Low, High float64
	// Shape and Rate are those of the gamma distribution of the factor.
	Shape, Rate float64
	// Above is what is believed of the sort that it belongs to, with all that was
	// seen; nil for a kind.
	Above *Estimate
}

// belief is a gamma distribution of a factor.
type belief struct{ shape, rate float64 }

func (b belief) after(e evidence) belief { return belief{b.shape + e.failed, b.rate + e.expected} }

// below is what is believed of a sort of which nothing was seen, from what is
// believed of the one above: the product with a gamma of mean 1 and shape a, as a
// gamma of the same mean and variance.
func (b belief) below() belief {
	mean, variance := b.shape/b.rate, b.shape/(b.rate*b.rate)
	variance += (variance + mean*mean) / kinship
	return belief{mean * mean / variance, mean / variance}
}

// Estimate says what is believed of a sort of part, whether or not any were seen.
// The error says that there is no such kind.
func (t *Tally) Estimate(key Key) (Estimate, error) {
	if _, known := fault.Find(key.Kind); !known {
		text := fmt.Sprintf("experience: %q is no kind of part", key.Kind)
		if hint := form.Suggest(key.Kind, fault.Names()); hint != "" {
			text += "; " + hint
		}
		return Estimate{}, fmt.Errorf("%s", text)
	}
	return t.estimate(key), nil
}

func (t *Tally) estimate(key Key) Estimate {
	prior := t.prior(key)
	e := Estimate{Key: key}
	if n := t.nodes[key.folded()]; n != nil {
		prior = prior.after(n.sum)
		e.Count, e.Usual = n.all, n.usual
	}
	e.Shape, e.Rate, e.Factor = prior.shape, prior.rate, prior.shape/prior.rate
	if g, err := soak.NewGamma(e.Shape, e.Rate); err == nil {
		if i, err := g.Interval(Level); err == nil {
			e.Low, e.High = i.Lower, i.Upper
		}
	}
	if up, ok := key.above(); ok {
		above := t.estimate(up)
		e.Above = &above
	}
	return e
}

// prior is what all but the sort itself says of it.
func (t *Tally) prior(key Key) belief {
	up, ok := key.above()
	if !ok {
		return belief{strength, strength}
	}
	above := t.prior(up)
	if n := t.nodes[up.folded()]; n != nil {
		others := n.sum
		if me := t.nodes[key.folded()]; me != nil {
			others = evidence{math.Max(0, others.failed-me.tells.failed), math.Max(0, others.expected-me.tells.expected)}
		}
		above = above.after(others)
	}
	return above.below()
}

// Factor is the factor of a sort alone, without its interval: for reckoning with
// many parts. It is 1 for what is no kind.
func (t *Tally) Factor(key Key) float64 {
	prior := t.prior(key)
	if n := t.nodes[key.folded()]; n != nil {
		prior = prior.after(n.sum)
	}
	return prior.shape / prior.rate
}

// String says what was seen and what follows, in one sentence.
func (e Estimate) String() string {
	var text strings.Builder
	switch seen := e.Count.Seen(); {
	case e.Count == Count{}:
		text.WriteString("none seen")
	case seen == 0:
		fmt.Fprintf(&text, "%s part-years", thousands(e.Count.Years))
	default:
		fmt.Fprintf(&text, "%s failed of %s seen", thousands(float64(e.Count.Failed)), thousands(float64(seen)))
		if e.Count.Years > 0 {
			fmt.Fprintf(&text, ", of %s part-years", thousands(e.Count.Years))
		}
	}
	if e.Usual > 0 {
		fmt.Fprintf(&text, "; usual %s", short(e.Usual))
	}
	switch factor := short(e.Factor); {
	case factor == "1" || factor == "1.0":
		text.WriteString("; so as likely as usual")
	default:
		fmt.Fprintf(&text, "; so %s times as likely as usual", factor)
	}
	fmt.Fprintf(&text, " (%s to %s, %.0f %%)", short(e.Low), short(e.High), 100*Level)
	return text.String()
}

// short writes a figure above zero with as many digits as it deserves.
func short(x float64) string {
	switch {
	case x >= 9.95:
		return thousands(x)
	case x >= 0.095:
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.1g", x)
}

// thousands writes a whole number with commas between its thousands.
func thousands(x float64) string {
	digits := fmt.Sprintf("%.0f", x)
	for at := len(digits) - 3; at > 0; at -= 3 {
		digits = digits[:at] + "," + digits[at:]
	}
	return digits
}
