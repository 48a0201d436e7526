package flow_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"halfsplit/diagnosis"
	"halfsplit/fault"
	"halfsplit/flow"
	"halfsplit/signal"
)

// bank is a memory of n chips whose address and supply are known to be good;
// nothing hangs on its bits.
func bank(n int) flow.Description {
	var d flow.Description
	for i := range n {
		d.Blocks = append(d.Blocks, block(fmt.Sprintf("U%d", i), "dynamic ram", "", fmt.Sprintf("bit%d", i), ""))
	}
	return d
}

// Any k of n chips may be bad, each by itself: the chance of each is its own,
// however many there are. What is worked out must agree with that, for three bad
// chips as for nine.
func TestBankOfChips(t *testing.T) {
	for _, bad := range []int{1, 3, 5, 9} {
		t.Run(fmt.Sprint(bad, " of 16"), func(t *testing.T) {
			u := onBench(t, bank(16))
			u.e = u.m.NewEvidence() // nobody complained: the bits alone speak
			for i := range 16 {
				u.e.Read(flow.Scene{}, flow.Reading{Net: u.net(fmt.Sprintf("bit%d", i)), Likelihood: bit(i < bad)})
			}
			problem := u.problem()
			problem.Undescribed = 0
			posterior, err := diagnosis.Search(context.Background(), problem, diagnosis.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			got := diagnosis.Suspicion(posterior.Explanations(&problem), len(u.m.Items))
			for i := range 16 {
				chip := u.item(fmt.Sprintf("U%d", i))
				if want := alone(u, chip, i < bad); math.Abs(got[chip]-want) > 3e-3 {
					t.Errorf("U%d: %.3f, by itself %.3f", i, got[chip], want)
				}
			}
			t.Logf("%d sets, left out at most %.2g", len(posterior.Sets), posterior.LeftOut)
		})
	}
}

// bit is what a test that errs once in 500 times says of a bit.
func bit(wrong bool) signal.Likelihood {
	var l signal.Likelihood
	for s := range l {
		l[s] = 0.002
		if (s != int(signal.Good)) == wrong {
			l[s] = 0.998
		}
	}
	return l
}

// alone is the chance that a chip is bad when its inputs and supply are good and
// only its own bit speaks of it.
func alone(u *unit, chip int, wrong bool) float64 {
	l, good := bit(wrong), signal.Pure(signal.Good)
	healthy, faulty := 1.0, 0.0
	for _, c := range u.m.Candidates {
		if c.Item != chip {
			continue
		}
		healthy -= c.Prior
		out, shows := good, 1.0 // a mode that leaves its output alone says as little as a healthy chip
		if c.Mode.Output.Said() {
			out = c.Mode.Output
		}
		if c.Mode.When != fault.Always {
			shows = flow.AsFound
		}
		spread := out.Mix(shows, good)
		faulty += c.Prior * l.Of(&spread)
	}
	return faulty / (faulty + healthy*l.Of(&good))
}
