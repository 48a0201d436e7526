package diagnosis_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfsplit/diagnosis"

	"pgregory.net/rapid"
)

// TestReadingsWeighed: a reading shifts the weights by the normal density at
// it, whatever its size, and a slip leaves something for the rest.
func TestReadingsWeighed(t *testing.T) {
	mean, sd := []float64{5, 4.2, 0}, []float64{0.05, 0.3, 0.01}
	prior := []float64{0.5, 0.3, 0.2}
	for _, slip := range []float64{0, 0.02} {
		for _, value := range []float64{5, 4.9, 4, 0.005, 2} {
			table := newTable(t, prior)
			test, err := table.AddReadings(mean, sd, slip)
			if err != nil {
				t.Fatal(err)
			}
			if err := table.Read(test, value); err != nil {
				t.Fatal(err)
			}
			const width = 4.2 + 5*0.3 - (0 - 5*0.01) // from the lowest foretold to the highest
			sum, want := 0.0, make([]float64, 3)
			for h := range prior {
				want[h] = prior[h] * ((1-slip)*math.Exp(gaussian(value, mean[h], sd[h])) + slip/width)
				sum += want[h]
			}
			for h := range prior {
				if got := table.Weights()[h]; math.Abs(got-want[h]/sum) > 1e-12 {
					t.Errorf("slip %v, read %v: hypothesis %d has %v, want %v", slip, value, h, got, want[h]/sum)
				}
			}
		}
	}
}

// exactGain is the information of a reading by fine integration, for
// hypotheses with any weights, all of them or joined in classes.
func exactGain(weights, mean, sd []float64, class []int) float64 {
	low, high, finest := math.Inf(1), math.Inf(-1), math.Inf(1)
	for h := range mean {
		low, high, finest = min(low, mean[h]-9*sd[h]), max(high, mean[h]+9*sd[h]), min(finest, sd[h])
	}
	total := 0.0
	for _, w := range weights {
		total += w
	}
	classes := 0
	for _, c := range class {
		classes = max(classes, c+1)
	}
	step := finest / 12
	bits := 0.0
	within := make([]float64, classes)
	whole := make([]float64, classes)
	for h, c := range class {
		whole[c] += weights[h] / total
	}
	plogp := func(p float64) float64 {
		if p <= 0 {
			return 0
		}
		return p * math.Log2(p)
	}
	for x := low; x < high; x += step {
		clear(within)
		sum := 0.0
		for h := range mean {
			p := weights[h] / total * step * math.Exp(gaussian(x, mean[h], sd[h]))
			within[class[h]] += p
			sum += p
		}
		bits -= plogp(sum)
		for _, p := range within {
			bits += plogp(p)
		}
	}
	for _, w := range whole {
		bits -= plogp(w)
	}
	return bits
}

// TestGainOfReadings: what a reading tells, against fine integration; spreads
// differ by up to a thousand times.
func TestGainOfReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "hypotheses")
		var weights, mean, sd []float64
		var class, alone []int
		for h := range n {
			weights = append(weights, rapid.Float64Range(0.01, 1).Draw(t, "weight"))
			mean = append(mean, rapid.Float64Range(-1, 1).Draw(t, "mean"))
			sd = append(sd, math.Pow(10, rapid.Float64Range(-2.5, 0.5).Draw(t, "size")))
			class = append(class, rapid.IntRange(0, 3).Draw(t, "class"))
			alone = append(alone, h)
		}
		table := newTableOf(t, weights)
		test, err := table.AddReadings(mean, sd, 0)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := table.Gain(test), exactGain(weights, mean, sd, alone); math.Abs(got-want) > 6e-3 {
			t.Fatalf("gain %v, want %v: means %v, spreads %v", got, want, mean, sd)
		}
		if err := table.Join(class); err != nil {
			t.Fatal(err)
		}
		if got, want := table.Gain(test), exactGain(weights, mean, sd, class); math.Abs(got-want) > 6e-3 {
			t.Fatalf("gain of classes %v, want %v", got, want)
		}
	})
}

func newTableOf(t *rapid.T, weights []float64) *diagnosis.Table {
	table, err := diagnosis.NewTable(weights)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// TestManyReadings: of many hypotheses those alike are taken together, and what
// a reading tells is found to a hundredth of a bit all the same; beyond some four bits, where the
// nodes no longer suffice, it is somewhat less than there is, never more.
func TestManyReadings(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	const n = 2000
	for _, spread := range []float64{0.01, 0.05, 1} {
		var weights, mean, sd []float64
		alone := make([]int, n)
		for h := range n {
			weights = append(weights, random.ExpFloat64())
			mean = append(mean, 12*random.Float64())
			sd = append(sd, spread*math.Exp(random.NormFloat64()/3))
			alone[h] = h
		}
		table := newTable(t, weights)
		test, err := table.AddReadings(mean, sd, 0)
		if err != nil {
			t.Fatal(err)
		}
		got, want := table.Gain(test), exactGain(weights, mean, sd, alone)
		t.Logf("spread %v: %.4f bits, %.4f by integration, %d nodes", spread, got, want, len(table.Nodes(test)))
		if got > want+0.02 {
			t.Errorf("spread %v: %v bits, more than the %v there are", spread, got, want)
		}
		if least := map[float64]float64{0.01: want - 2.6, 0.05: want - 0.75, 1: want - 0.03}[spread]; got < least {
			t.Errorf("spread %v: %v bits of %v", spread, got, want)
		}
	}
}

// TestReadingsRefused: what makes no sense is said.
func TestReadingsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name     string
		mean, sd []float64
		slip     float64
		want     string
	}{
		{"too few", []float64{1}, []float64{1}, 0, "diagnosis: 1 means and 1 standard deviations for 2 hypotheses"},
		{"no spread", []float64{1, 2}, []float64{1, 0}, 0, "diagnosis: standard deviation 0 of the reading under hypothesis 1 must be above zero"},
		{"endless spread", []float64{1, 2}, []float64{1, inf}, 0, "diagnosis: standard deviation +Inf of the reading under hypothesis 1 must be above zero"},
		{"no number", []float64{nan, 2}, []float64{1, 1}, 0, "diagnosis: the reading under hypothesis 0 is foretold as NaN"},
		{"always a slip", []float64{1, 2}, []float64{1, 1}, 1, "diagnosis: chance 1 of a slip must lie in 0 to below 1"},
	} {
		if _, err := newTable(t, ones(2)).AddReadings(c.mean, c.sd, c.slip); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	table := newTable(t, ones(2))
	words := addTest(t, table, []string{"a", "b"}, func(string) []float64 { return []float64{0.5, 0.5} })
	if err := table.Read(words, 1); err == nil {
		t.Error("a number was taken for a word")
	}
	number, err := table.AddReadings([]float64{0, 1}, []float64{1, 1}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := table.Read(number, nan); err == nil {
		t.Error("NaN was taken for a reading")
	}
	if err := table.Read(number, 1e6); err != nil || math.Abs(table.Weights()[1]-1) > 1e-9 {
		t.Errorf("a reading far off: %v, %v; it still tells the nearer from the farther", table.Weights(), err)
	}
}
