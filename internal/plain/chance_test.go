package plain_test

import (
	"math"
	"testing"

	"halfsplit/internal/plain"
)

func TestWait(t *testing.T) {
	for seconds, want := range map[float64]string{
		-5: "0 min", 0: "0 min", 1: "1 min", 60: "1 min", 61: "2 min", 3600: "1 h",
		31 * 24 * 3600: "over 30 d", math.Inf(1): "never",
	} {
		if got := plain.Wait(seconds); got != want {
			t.Errorf("%v s: %q, not %q", seconds, got, want)
		}
	}
}

func TestChance(t *testing.T) {
	if got := plain.Chance(0.4); got != "40.0 %" {
		t.Error(got)
	}
}
