package part

import (
	"errors"
	"fmt"
)

// Quantity is what a reason is about.
type Quantity uint8

// The quantities of a capacitor, in the order in which verdicts list them.
const (
	QuantityCapacitance Quantity = iota // farads
	QuantityESR                         // ohms
	QuantityLossTangent                 // ratio
	QuantityLeakage                     // amperes
	QuantityLook
	QuantityAge // seconds
)

var quantityNames = [...]string{"capacitance", "ESR", "tan δ", "leakage", "look", "age"}

// String gives the quantity as it is shown.
func (q Quantity) String() string {
	if int(q) < len(quantityNames) {
		return quantityNames[q]
	}
	return fmt.Sprintf("Quantity(%d)", uint8(q))
}

// Limit is one of the nested limits of a quantity: a reading from Low to High,
// both included, deserves Word or better.
type Limit struct {
	Word      Condition
	Low, High float64 // in the unit of the quantity
	Source    string
}

// Reason is one finding behind a verdict.
type Reason struct {
	Quantity Quantity
	Reading  Measured // for a look the zero value
	Seen     Look     // for a look, one sign
	Nominal  float64  // for a capacitance, the marked value

	// Limits are nested, the narrowest first. A reading outside the last
	// deserves Beyond. A look has none, and Source says why it counts.
	Limits []Limit
	Beyond Condition
	Source string

	// Best and Worst are the words between which the finding lies. They are
	// the same unless the uncertainty of the reading reaches across a limit.
	Best, Worst Condition

	// Clears and Condemns tell whether a reading taken this way could prove
	// the part good in this quantity, and whether it could prove it bad. What
	// it cannot prove it leaves at CannotTell, and Because says why.
	Clears, Condemns bool
	Because          []string

	Assumed []string // what was taken for granted
}

// Missing is a quantity that matters for the kind and was not read, or not read
// so that it would decide.
type Missing struct {
	Quantity Quantity // QuantityESR stands for either measure of loss
	Why      string
}

// CapacitorVerdict is what readings say about a capacitor.
type CapacitorVerdict struct {
	Condition Condition

	// Best and Worst are the words between which the truth lies. They differ
	// when the condition is TooCloseToCall, or when a reading is near a limit
	// beyond which it would no longer clear the part.
	Best, Worst Condition

	Reasons []Reason
	Missing []Missing
}

// Evidence returns how much the verdict counts for the part being the bad one:
// that of its condition, except that a verdict too close to call between two
// words that are both strong is strong.
func (v CapacitorVerdict) Evidence() Evidence {
	if v.Condition == TooCloseToCall && v.Best.Evidence() == EvidenceStrong {
		return EvidenceStrong
	}
	return v.Condition.Evidence()
}

// Judge says what the readings, from one sitting or several, tell about the
// capacitor. The worst finding decides. Readings taken before a repair or a
// reforming should be left out. The error names everything in the description
// and the readings that cannot be right.
func (c Capacitor) Judge(readings ...CapacitorReading) (CapacitorVerdict, error) {
	wrong := []error{c.Validate()}
	for i, reading := range readings {
		if err := reading.Validate(); err != nil {
			if len(readings) > 1 {
				err = fmt.Errorf("reading %d of %d: %w", i+1, len(readings), err)
			}
			wrong = append(wrong, err)
		}
	}
	if err := errors.Join(wrong...); err != nil {
		return CapacitorVerdict{}, err
	}
	var reasons []Reason
	for _, reading := range readings {
		reasons = append(reasons, c.findings(reading)...)
	}
	return conclude(reasons, c.needs()), nil
}

// needs lists what must be read before a capacitor of the kind can be called
// good: an electrolytic dries out (capacitance, loss) or its oxide fails
// (leakage); the others lose capacitance or leak; paper on the mains cracks
// first. Common practice, no source.
func (c Capacitor) needs() []Quantity {
	needs := []Quantity{QuantityCapacitance, QuantityLeakage}
	if c.Kind.electrolytic() || c.Kind == UnknownCapacitor {
		needs = []Quantity{QuantityCapacitance, QuantityESR, QuantityLeakage}
	}
	if c.Kind.paper() && c.onMains() {
		needs = append(needs, QuantityLook)
	}
	return needs
}

// meets tells whether a reason about one quantity answers a need for another:
// ESR and tan δ are two measures of the same loss.
func (q Quantity) meets(need Quantity) bool {
	return q == need || q == QuantityLossTangent && need == QuantityESR
}

// conclude joins reasons into a verdict. The order of the reasons changes
// nothing but their order in the verdict.
func conclude(reasons []Reason, needs []Quantity) CapacitorVerdict {
	verdict := CapacitorVerdict{
		Best:    level(reasons, needs, func(r Reason) Condition { return r.Best }),
		Worst:   level(reasons, needs, func(r Reason) Condition { return r.Worst }),
		Reasons: reasons,
	}
	verdict.Condition = verdict.Worst
	if verdict.Worst.bad() && verdict.Best != verdict.Worst {
		verdict.Condition = TooCloseToCall
	}
	for _, need := range needs {
		if why, missing := lacking(reasons, need); missing {
			verdict.Missing = append(verdict.Missing, Missing{need, why})
		}
	}
	return verdict
}

// level returns the word that the reasons deserve together when each is taken
// at one end of its range.
func level(reasons []Reason, needs []Quantity, end func(Reason) Condition) Condition {
	worst := Good
	for _, reason := range reasons {
		if word := end(reason); word.rank() > worst.rank() {
			worst = word
		}
	}
	if worst.bad() {
		return worst
	}
	met, measured := 0, false
	for _, need := range needs {
		for _, reason := range reasons {
			if reason.Quantity.meets(need) && end(reason) == Good {
				met++
				break
			}
		}
	}
	for _, reason := range reasons {
		// A sound look alone clears nothing.
		measured = measured || reason.Quantity != QuantityLook && end(reason) == Good
	}
	switch {
	case met == len(needs):
		return Good
	case measured:
		return GoodAsFarAsRead
	}
	return CannotTell
}

// lacking tells whether none of the reasons decides about a need, and why.
func lacking(reasons []Reason, need Quantity) (why string, missing bool) {
	why = "not read"
	for _, reason := range reasons {
		if !reason.Quantity.meets(need) {
			continue
		}
		if reason.Worst != CannotTell {
			return "", false
		}
		if why == "not read" {
			why = "read, but it decides nothing"
			if len(reason.Because) > 0 {
				why = reason.Because[0]
			}
		}
	}
	return why, true
}
