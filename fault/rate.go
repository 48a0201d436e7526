package fault

// Share is the share of such parts that is bad in the units that come to a bench,
// at most a half: the odds of the part times the share of plain logic chips that is
// bad there, three in a thousand (common practice, no source).
func (k Kind) Share(life Life) float64 {
	odds, _ := k.OddsIn(life)
	return min(odds*chipShare, 0.5)
}

// Rate is how often such a part fails, in failures a year: as often as would bring
// a part that stays at that rate to its [Kind.Share] in forty years. For a logic
// chip this is 7.5e-5 a year, nine failures in 1e9 hours, which is the order that
// MIL-HDBK-217F gives for one (from memory). An order of magnitude: good for
// setting one part beside another, and corrected by what a bench sees.
func (k Kind) Rate(life Life) float64 { return k.Share(life) / usualAge }

// Steadiness is how many failures the usual odds are worth against what a bench
// has seen itself: the shape of the gamma prior of [Kind.OddsIn]. Common practice,
// no source.
const Steadiness = steadiness
