package density

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distmv"
)

// straight is a cloud of two readings of two parts each within a normal
// tolerance, as a divider would have it: the readings go together.
func straight(boards int, random *rand.Rand) [][]float64 {
	rows := make([][]float64, boards)
	for i := range rows {
		a, b := random.NormFloat64(), random.NormFloat64()
		rows[i] = []float64{5 + 0.2*a, 3 + 0.15*a + 0.05*b}
	}
	return rows
}

// two is a cloud of what is either on or off.
func two(boards int, random *rand.Rand) [][]float64 {
	rows := make([][]float64, boards)
	for i := range rows {
		rows[i] = []float64{float64(10*(i%2)) + 0.3*random.NormFloat64()}
	}
	return rows
}

// bent is a cloud of a resonance that moves: one reading falls on either side
// of where the other is greatest.
func bent(boards int, random *rand.Rand) [][]float64 {
	rows := make([][]float64, boards)
	for i := range rows {
		detuned := random.NormFloat64()
		rows[i] = []float64{detuned + 0.1*random.NormFloat64(), -detuned*detuned + 0.1*random.NormFloat64()}
	}
	return rows
}

func cloud(t *testing.T, rows [][]float64) *Cloud {
	t.Helper()
	c, err := New(rows)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func of(t *testing.T, c *Cloud, columns []int, u []float64, width float64) *Density {
	t.Helper()
	d, err := c.Of(columns, u)
	if width > 0 {
		d, err = c.OfWidth(columns, u, width)
	}
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The whole cloud as one normal distribution is that of another library.
func TestOneNormal(t *testing.T) {
	rows := straight(50, rand.New(rand.NewPCG(1, 1)))
	u := []float64{0.03, 0.02}
	d := of(t, cloud(t, rows), []int{0, 1}, u, 1)
	data := mat.NewDense(len(rows), 2, nil)
	for i, row := range rows {
		data.SetRow(i, row)
	}
	var covariance mat.SymDense
	stat.CovarianceMatrix(&covariance, data, nil)
	mean := make([]float64, 2)
	for j := range mean {
		mean[j] = stat.Mean(mat.Col(nil, j, data), nil)
		covariance.SetSym(j, j, covariance.At(j, j)+u[j]*u[j])
	}
	normal, ok := distmv.NewNormal(mean, &covariance, nil)
	if !ok {
		t.Fatal("no normal distribution")
	}
	for _, x := range [][]float64{{5, 3}, {5.3, 3.2}, {5.3, 2.8}, {-40, 900}} {
		if got, want := d.Log(x), normal.LogProb(x); math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("at %v: %.12g, and by distmv.Normal %.12g", x, got, want)
		}
	}
}

// integral adds up a function over an interval by the trapezoidal rule, which is
// all but exact for what falls off smoothly to both sides.
func integral(low, high, step float64, f func(x float64) float64) float64 {
	sum := 0.0
	for x := low; x <= high; x += step {
		sum += f(x) * step
	}
	return sum
}

// Whatever the width, the density integrates to 1, with the mean of the samples,
// and their variance plus that of the meter (West 1993, section 2; with n-1 in the
// covariance that is exact but for a share of 1/n).
//
// Outside: West, "Approximating posterior distributions by mixtures", Journal of the
// Royal Statistical Society B 55 (1993), section 2. Within: 1e-9.
func TestMoments(t *testing.T) {
	const boards, u = 200, 0.4
	rows := two(boards, rand.New(rand.NewPCG(2, 1)))
	c := cloud(t, rows)
	variance := c.variance[0][0] + u*u
	for _, width := range []float64{0.1, 0.5, 0.9, 1} {
		d := of(t, c, []int{0}, []float64{u}, width)
		moment := func(of func(x float64) float64) float64 {
			return integral(-60, 70, 0.02, func(x float64) float64 { return of(x) * math.Exp(d.Log([]float64{x})) })
		}
		if got := moment(func(float64) float64 { return 1 }); math.Abs(got-1) > 1e-9 {
			t.Errorf("width %g: integrates to %.12g", width, got)
		}
		if got := moment(func(x float64) float64 { return x }); math.Abs(got-c.mean[0]) > 1e-9 {
			t.Errorf("width %g: mean %.12g, that of the samples %.12g", width, got, c.mean[0])
		}
		got := moment(func(x float64) float64 { return (x - c.mean[0]) * (x - c.mean[0]) })
		if math.Abs(got/variance-1) > 1.0/boards {
			t.Errorf("width %g: variance %.6g, want %.6g", width, got, variance)
		}
	}
}

// The density of one reading is that of both, summed over whatever the other
// may be.
func TestReadingLeftOut(t *testing.T) {
	c := cloud(t, bent(60, rand.New(rand.NewPCG(3, 1))))
	both := of(t, c, []int{1, 0}, []float64{0.2, 0.3}, 0.4)
	one := of(t, c, []int{0}, []float64{0.3}, 0.4)
	for _, x := range []float64{-2, 0, 0.7} {
		want := integral(-40, 40, 0.02, func(y float64) float64 { return math.Exp(both.Log([]float64{y, x})) })
		if got := math.Exp(one.Log([]float64{x})); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("at %g: %.12g, and summed over the other reading %.12g", x, got, want)
		}
	}
}

// A meter that sees next to nothing leaves its own distribution, around the mean.
func TestPoorMeter(t *testing.T) {
	c := cloud(t, two(100, rand.New(rand.NewPCG(4, 1))))
	const u = 1e4
	d := of(t, c, []int{0}, []float64{u}, 0)
	for _, x := range []float64{5, 1e4} {
		z := (x - c.mean[0]) / u
		want := -z*z/2 - math.Log(u*math.Sqrt(2*math.Pi))
		if got := d.Log([]float64{x}); math.Abs(got-want) > 1e-5 {
			t.Errorf("at %g: %g, and the meter alone %g", x, got, want)
		}
	}
}

// score is the mean logarithm of the density at fresh boards.
func score(d *Density, fresh [][]float64) float64 {
	sum := 0.0
	for _, row := range fresh {
		sum += d.Log(row)
	}
	return sum / float64(len(fresh))
}

// The width is wide where the cloud is round, narrow where it is not, and what is
// found foretells fresh boards better than one normal distribution does.
func TestWidthFound(t *testing.T) {
	for _, test := range []struct {
		name      string
		boards    func(int, *rand.Rand) [][]float64
		low, high float64 // of the width
		gain      float64 // least, of the score over one normal distribution
	}{
		{"round", straight, 0.5, 1, -0.02},
		{"bent", bent, 0, 0.3, 0.5},
		{"in two", two, 0, 0.15, 1.5},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := cloud(t, test.boards(500, rand.New(rand.NewPCG(5, 1))))
			fresh := test.boards(2000, rand.New(rand.NewPCG(6, 1)))
			columns, u := []int{0, 1}[:c.Readings()], []float64{0.01, 0.01}[:c.Readings()]
			found, normal := of(t, c, columns, u, 0), of(t, c, columns, u, 1)
			if w := found.Width(); w < test.low || w > test.high {
				t.Errorf("width %g, want %g to %g", w, test.low, test.high)
			}
			if gain := score(found, fresh) - score(normal, fresh); gain < test.gain {
				t.Errorf("foretells fresh boards better by %.3f, want %.3f at least", gain, test.gain)
			}
		})
	}
}

// Between on and off there is next to nothing, although the mean is there.
func TestGap(t *testing.T) {
	d := of(t, cloud(t, two(400, rand.New(rand.NewPCG(7, 1)))), []int{0}, []float64{0.05}, 0)
	between, on := d.Log([]float64{5}), d.Log([]float64{10})
	if on-between < 10 {
		t.Errorf("log density %.2f between and %.2f on; want at least 10 apart", between, on)
	}
}
