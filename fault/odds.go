package fault

// Stress is how hard a part works, as shares of what it is made for (0.5 is half
// of it), and how warm it is. A zero field is not known.
type Stress struct {
	Power, Voltage, Current float64
	Temperature             float64 // of the part in kelvin; that of the bench when zero
}

// Record is what a bench has seen of one kind of item: how many failed, and how
// many were found good after a like time. Family and maker narrow it down; an
// empty one means all.
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

// OddsIn is how likely one part is to be the bad one, relative to a plain logic
// chip (1), and why: the kind's odds times the factor of each reason.
func (k Kind) OddsIn(life Life) (odds float64, why []Reason) {
	return k.Odds, nil
}
