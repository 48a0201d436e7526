package part

import "math"

// lookFindings judges each sign seen. All are common practice.
func (c Capacitor) lookFindings(look Look) []Reason {
	var reasons []Reason
	for _, known := range lookNames {
		if look&known.look == 0 {
			continue
		}
		reason := Reason{Quantity: QuantityLook, Seen: known.look, Source: CommonPractice}
		word := Spent
		switch {
		case known.look == LooksSound:
			word = Good
			reason.Clears = true
			reason.because("a sound look alone clears nothing that can be measured")
		case known.look == Residue:
			word = CannotTell
			reason.because("residue may be electrolyte, flux or glue; clean it off and see whether it returns")
		case c.onMains():
			word = Dangerous
			reason.Condemns = true
			reason.because("it sits on the mains, where its failure is a fire or a shock")
		default:
			reason.Condemns = true
		}
		reason.Best, reason.Worst = word, word
		reasons = append(reasons, reason)
	}
	return reasons
}

// Ages from which a part is remarked on, in seconds.
const (
	paperAge = 20 * Year // common practice, no source
	shelfAge = 10 * Year // sourceShelfLife: typical end of shelf life
)

// ageFinding judges the age, which condemns nothing by itself.
func (c Capacitor) ageFinding(age float64) (reason Reason, matters bool) {
	reason = Reason{Quantity: QuantityAge, Reading: Measured{Value: age}}
	switch {
	case c.Kind.paper() && c.onMains():
		reason.Limits = []Limit{{CannotTell, 0, paperAge, CommonPractice}}
		reason.Beyond = Worn
		reason.because("paper on the mains takes in water through hairline cracks; usual to replace it on sight, before power")
		reason.grade(math.Inf(-1), 0)
		return reason, age > paperAge
	case c.Kind == AluminiumElectrolytic || c.Kind == NonPolarElectrolytic:
		reason.Limits = []Limit{{CannotTell, 0, shelfAge, sourceShelfLife}}
		reason.Beyond = CannotTell
		reason.because("past the usual shelf life; age alone decides nothing, but read the leakage, reforming first where it stood unused")
		reason.grade(math.Inf(-1), math.Inf(1))
		return reason, age > shelfAge
	}
	return Reason{}, false
}
