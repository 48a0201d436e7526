package part

import "fmt"

// Condition is the word of a verdict on a part.
type Condition uint8

// The words. CannotTell is the zero value: nothing was read that would decide.
const (
	CannotTell      Condition = iota
	Good                      // every reading its kind asks for was taken and is within limits
	GoodAsFarAsRead           // what was read is within limits; something that matters was not read
	Worn                      // outside what a new part may be, within what an endurance test allows: usable, note it
	Spent                     // beyond the end of life as endurance tests define it: replace
	Dangerous                 // shorted, or failing on the mains: do not apply power
	TooCloseToCall            // the uncertainty of the readings reaches across a limit
)

var conditionNames = [...]string{
	CannotTell:      "cannot tell",
	Good:            "good",
	GoodAsFarAsRead: "good as far as read",
	Worn:            "worn",
	Spent:           "spent",
	Dangerous:       "dangerous",
	TooCloseToCall:  "too close to call",
}

// String gives the word as it is shown.
func (c Condition) String() string {
	if int(c) < len(conditionNames) {
		return conditionNames[c]
	}
	return fmt.Sprintf("Condition(%d)", uint8(c))
}

// rank orders the words from best to worst. Not being able to tell is no
// evidence against a part, but less than a part known to be good in something.
// TooCloseToCall has no rank: it is a pair of words.
func (c Condition) rank() int {
	return [...]int{Good: 0, GoodAsFarAsRead: 1, CannotTell: 2, Worn: 3, Spent: 4, Dangerous: 5}[c]
}

// bad tells whether the word speaks against the part.
func (c Condition) bad() bool { return c.rank() >= Worn.rank() }

// Evidence is how much a condition counts for the part being the bad one.
type Evidence uint8

// The weights of evidence. EvidenceOK speaks against no part; it is not proof
// that the part is good.
const (
	EvidenceOK Evidence = iota
	EvidenceWeak
	EvidenceStrong
)

// String gives the word as it is shown.
func (e Evidence) String() string {
	switch e {
	case EvidenceOK:
		return "ok"
	case EvidenceWeak:
		return "weak"
	case EvidenceStrong:
		return "strong"
	}
	return fmt.Sprintf("Evidence(%d)", uint8(e))
}

// Evidence maps a word to its weight as evidence that the part is the bad one:
// spent and dangerous are strong, worn and too close to call weak, the others
// ok. A worn part usually still works, so it is a weak reason for a fault. For
// a verdict that is too close to call between two words that are both strong,
// see [CapacitorVerdict.Evidence].
func (c Condition) Evidence() Evidence {
	switch c {
	case Worn, TooCloseToCall:
		return EvidenceWeak
	case Spent, Dangerous:
		return EvidenceStrong
	}
	return EvidenceOK
}
