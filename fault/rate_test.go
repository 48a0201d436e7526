package fault_test

import (
	"math"
	"testing"

	"halfsplit/fault"
)

// A logic chip fails 0.003 / 40 = 7.5e-5 times a year; an electrolytic of 2.2 times
// the odds at forty years fails 2.2 times as often, in 10 K more twice that; and
// however bad a part, no more than half of such parts are taken to be bad.
func TestRate(t *testing.T) {
	for _, test := range []struct {
		kind        string
		life        fault.Life
		share, rate float64
	}{
		{"chip", fault.Life{}, 0.003, 7.5e-5},
		{"electrolytic", fault.Life{Age: 40}, 0.0066, 1.65e-4},
		{"electrolytic", fault.Life{Age: 40, Stress: fault.Stress{Temperature: 323}}, 0.0132, 3.3e-4},
		{"dynamic ram", fault.Life{Override: 1000}, 0.5, 0.0125},
	} {
		k := kind(t, test.kind)
		if share, rate := k.Share(test.life), k.Rate(test.life); math.Abs(share-test.share) > 1e-9 || math.Abs(rate-test.rate) > 1e-12 {
			t.Errorf("%s with %+v: share %v, rate %v; want %v and %v", test.kind, test.life, share, rate, test.share, test.rate)
		}
	}
}
