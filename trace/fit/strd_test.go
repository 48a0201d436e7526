package fit_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"halfsplit/trace/fit"
)

// numeric makes a Curve of a formula, with central differences for slopes.
func numeric(f func(x float64, b []float64) float64) fit.Curve {
	return func(x float64, p, slope []float64) float64 {
		for j, v := range p {
			h := 1e-5 * math.Abs(v)
			if h == 0 {
				h = 1e-10
			}
			p[j] = v + h
			up := f(x, p)
			p[j] = v - h
			slope[j] = (up - f(x, p)) / (2 * h)
			p[j] = v
		}
		return f(x, p)
	}
}

// certified is what a file of the collection says.
type certified struct {
	starts     [2][]float64
	parameters []float64
	errors     []float64
	sum        float64
	x, y       []float64
}

func readCertified(t *testing.T, name string) certified {
	t.Helper()
	f, err := os.Open("testdata/strd/" + name + ".dat")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var c certified
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		number := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("%s line %d: %v", name, n, err)
			}
			return v
		}
		fields := strings.Fields(text)
		switch {
		case n > 60 && len(fields) == 2:
			c.y, c.x = append(c.y, number(fields[0])), append(c.x, number(fields[1]))
		case n > 40 && n <= 60 && len(fields) == 6 && fields[1] == "=":
			c.starts[0], c.starts[1] = append(c.starts[0], number(fields[2])), append(c.starts[1], number(fields[3]))
			c.parameters, c.errors = append(c.parameters, number(fields[4])), append(c.errors, number(fields[5]))
		case strings.HasPrefix(text, "Residual Sum of Squares:"):
			c.sum = number(fields[len(fields)-1])
		}
	}
	if len(c.x) == 0 || len(c.parameters) == 0 || c.sum == 0 {
		t.Fatalf("%s: %d points, %d parameters, sum %v", name, len(c.x), len(c.parameters), c.sum)
	}
	return c
}

// models are those of the certified sets, as the files give them.
var models = map[string]func(x float64, b []float64) float64{
	"Misra1a":  func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"BoxBOD":   func(x float64, b []float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Chwirut2": func(x float64, b []float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) },
	"DanWood":  func(x float64, b []float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"Lanczos3": func(x float64, b []float64) float64 {
		return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
	},
	"Thurber": func(x float64, b []float64) float64 {
		return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
	},
	"MGH10": func(x float64, b []float64) float64 { return b[0] * math.Exp(b[1]/(x+b[2])) },
	"MGH17": func(x float64, b []float64) float64 { return b[0] + b[1]*math.Exp(-x*b[3]) + b[2]*math.Exp(-x*b[4]) },
	"Rat42": func(x float64, b []float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) },
}

// digits is to how many digits two numbers agree.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// The fitter reaches the certified values of the NIST Statistical Reference
// Datasets (https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml) to six
// digits or more, from either of NIST's starts: parameters, their standard
// deviations, and the sum of squares.
//
// Outside: NIST Statistical Reference Datasets, nonlinear regression. Within: six
// digits, from either start.
func TestCertified(t *testing.T) {
	for name, formula := range models {
		c := readCertified(t, name)
		for i, start := range c.starts {
			t.Run(fmt.Sprintf("%s from start %d", name, i+1), func(t *testing.T) {
				r, err := fit.LeastSquares(numeric(formula), c.x, c.y, start)
				if err != nil {
					t.Fatal(err)
				}
				least := 16.0
				for j := range c.parameters {
					least = min(least, digits(r.Parameters[j], c.parameters[j]), digits(r.StandardErrors[j], c.errors[j]))
				}
				least = min(least, digits(r.SumOfSquares, c.sum))
				t.Logf("%.1f digits in %d steps", least, r.Iterations)
				if least < 6 {
					t.Errorf("%.2f digits: %v ± %v, certified %v ± %v", least, r.Parameters, r.StandardErrors, c.parameters, c.errors)
				}
			})
		}
	}
}

// The straight line against the certified set Norris.
func TestCertifiedLine(t *testing.T) {
	f, err := os.ReadFile("testdata/strd/Norris.dat")
	if err != nil {
		t.Fatal(err)
	}
	var x, y []float64
	for i, line := range strings.Split(string(f), "\n") {
		var a, b float64
		if n, _ := fmt.Sscan(line, &a, &b); i >= 60 && n == 2 {
			y, x = append(y, a), append(x, b)
		}
	}
	if len(x) != 36 {
		t.Fatal(len(x))
	}
	l, err := fit.StraightLine(x, y)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"intercept", l.Intercept, -0.262323073774029},
		{"slope", l.Slope, 1.00211681802045},
		{"error of the slope", l.SlopeError, 0.429796848199937e-3},
		{"residual standard deviation", l.ResidualSD, 0.884796396144373},
		{"R squared", l.Correlation * l.Correlation, 0.999993745883712},
	} {
		if digits(c.got, c.want) < 11 {
			t.Errorf("%s: %.15g, certified %.15g", c.what, c.got, c.want)
		}
	}
}
