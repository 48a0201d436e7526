package preferred

import (
	"fmt"
	"math"
	"slices"
)

// Series is one of the series of IEC 60063, named by its members per decade.
type Series int

// The series. Their usual tolerances are 40, 20, 10, 5, 2, 1 and 0.5 %.
const (
	E3   Series = 3
	E6   Series = 6
	E12  Series = 12
	E24  Series = 24
	E48  Series = 48
	E96  Series = 96
	E192 Series = 192
)

// All lists the series, the coarsest first.
var All = []Series{E3, E6, E12, E24, E48, E96, E192}

// String gives the name, such as "E24".
func (s Series) String() string { return fmt.Sprintf("E%d", int(s)) }

// hundredths holds the members of each series from 1 up to 10, times 100.
//
// E3 to E24 keep historical values where the rounded power of ten would differ
// (2.7 for 2.6, 3.3 for 3.2 and so on, 8.2 for 8.3). E48 to E192 are rounded to
// three digits, but for 9.20, which rounding would make 9.19.
var hundredths = func() map[Series][]int {
	all := map[Series][]int{E24: {100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910}}
	for i := range int(E192) {
		all[E192] = append(all[E192], int(math.Round(100*math.Pow(10, float64(i)/float64(E192)))))
	}
	all[E192][185] = 920
	for _, s := range All {
		from := E192
		if s < E24 {
			from = E24
		}
		if s == E24 || s == E192 {
			continue
		}
		for i := 0; i < int(from); i += int(from) / int(s) {
			all[s] = append(all[s], all[from][i])
		}
	}
	return all
}()

// Values lists the members from 1 up to, but without, 10. An unknown series has
// none.
func (s Series) Values() []float64 {
	var list []float64
	for _, h := range hundredths[s] {
		list = append(list, float64(h)/100)
	}
	return list
}

// within is how far, as a ratio, a value may lie from a member and still be that
// member: less than the rounding of a marking, more than that of arithmetic.
const within = 1e-6

// Contains tells whether a value, at any power of ten, is a member.
func (s Series) Contains(value float64) bool {
	near := s.Nearest(value)
	return near > 0 && math.Abs(value/near-1) <= within
}

// Nearest gives the member with the smallest ratio to a value above zero, and
// zero for any other value or an unknown series.
func (s Series) Nearest(value float64) float64 {
	below, above := s.AtMost(value), s.AtLeast(value)
	if value*value < below*above {
		return below
	}
	return above
}

// AtLeast gives the smallest member that is not below a value above zero, and
// zero for any other value or an unknown series.
func (s Series) AtLeast(value float64) float64 {
	return s.from(value, func(member float64) bool { return member >= value*(1-within) })
}

// AtMost gives the largest member that is not above a value above zero, and
// zero for any other value or an unknown series.
func (s Series) AtMost(value float64) float64 {
	found := 0.0
	s.from(value, func(member float64) bool {
		if member > value*(1+within) {
			return true
		}
		found = member
		return false
	})
	return found
}

// from walks the members upwards, beginning below the decade of the value, until
// one is found.
func (s Series) from(value float64, found func(float64) bool) float64 {
	if !(value > 1e-300) || value > 1e300 || len(hundredths[s]) == 0 {
		return 0
	}
	decade := int(math.Floor(math.Log10(value)))
	for exponent := decade - 1; exponent <= decade+1; exponent++ {
		for _, h := range hundredths[s] {
			if member := scaled(h, exponent-2); found(member) {
				return member
			}
		}
	}
	return 0
}

// scaled gives h·10^exponent, rounded once only: 47·10⁻¹ is exactly 4.7.
func scaled(h, exponent int) float64 {
	if exponent < 0 && exponent >= -22 {
		return float64(h) / math.Pow10(-exponent)
	}
	return float64(h) * math.Pow10(exponent)
}

// Of gives the coarsest series that a value belongs to, and false when it
// belongs to none.
func Of(value float64) (Series, bool) {
	i := slices.IndexFunc(All, func(s Series) bool { return s.Contains(value) })
	if i < 0 {
		return 0, false
	}
	return All[i], true
}
