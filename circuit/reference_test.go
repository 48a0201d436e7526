package circuit

import (
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// referenceCase is one case of the check data; its CONVENTIONS.md explains the
// fields.
type referenceCase struct {
	ID       string
	Analysis string
	Output   string
	Sequence []float64
	IPeak    float64 `yaml:"ipeak"`
	Parts    []map[string]any
	Expect   []map[string]any
}

// expectation is one expected value.
type expectation struct {
	of              string
	value           float64
	relative, floor float64
	freq, t         float64
	timed           bool
	with            map[string]any
	step            int
}

func number(v any) float64 {
	switch v := v.(type) {
	case float64:
		return v
	case int:
		return float64(v)
	case bool:
		return float64(b2i(v))
	}
	panic(fmt.Sprintf("%v is not a number", v))
}

func (c referenceCase) expectations() []expectation {
	var list []expectation
	for _, m := range c.Expect {
		e := expectation{of: m["of"].(string), value: number(m["value"]), relative: number(m["rel_tol"])}
		if v, ok := m["abs_tol"]; ok {
			e.floor = number(v)
		}
		if v, ok := m["freq"]; ok {
			e.freq = number(v)
		}
		if v, ok := m["t"]; ok {
			e.t, e.timed = number(v), true
		}
		if v, ok := m["step"]; ok {
			e.step = int(number(v))
		}
		if v, ok := m["with"]; ok {
			e.with = map[string]any{}
			for k, x := range v.(map[string]any) {
				e.with[k] = x
			}
		}
		list = append(list, e)
	}
	return list
}

// limit is the error that the solver may make, as CONVENTIONS.md suggests it
// or tighter: 1e-7 for operating points, 1e-8 for small signals, 1e-5 in time, 1e-6 for the instants of
// events, 1e-4 for the mean and the extremes of a periodic state and 1e-3 for its ripple.
func (c referenceCase) limit(e expectation) float64 {
	relative := 0.0
	switch {
	case strings.HasPrefix(e.of, "phase_deg"):
		return max(e.floor, e.relative*math.Abs(e.value), 1e-5)
	case e.of == "critical_ohms" || strings.HasPrefix(e.of, "pp") || strings.HasPrefix(e.of, "rms"):
		relative = 1e-3
	case c.Analysis == "periodic" || c.Analysis == "event" && strings.Contains(e.of, " "):
		relative = 1e-4
	case c.Analysis == "transient" || c.Analysis == "event" && strings.Contains(e.of, "("):
		relative = 1e-5
	case c.Analysis == "event":
		relative = 1e-6
	case c.Analysis == "dc":
		relative = 1e-7
	default:
		relative = 1e-8
	}
	return max(relative, e.relative)*math.Abs(e.value) + max(e.floor, 1e-14)
}

// folders lists where cases are.
func folders() []string {
	list := []string{filepath.Join("testdata", "reference")}
	if more := os.Getenv("HALFSPLIT_REFERENCE"); more != "" {
		list = append(list, filepath.SplitList(more)...)
	}
	return list
}

// TestReference solves every case of the check data. Sources: each case names
// its method, none of which is a circuit solver; see testdata/reference/ORIGIN.md.
//
// Outside: cases of testdata/reference/*.yaml. Within: exact.
func TestReference(t *testing.T) {
	for _, folder := range folders() {
		files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no cases in %s: %v", folder, err)
		}
		sort.Strings(files)
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var cases struct{ Cases []referenceCase }
			if err := yaml.Unmarshal(text, &cases); err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			for _, c := range cases.Cases {
				t.Run(c.ID, func(t *testing.T) { runReference(t, c) })
			}
		}
	}
}

func runReference(t *testing.T, c referenceCase) {
	b := &bench{t: t, c: c, points: map[string]*OperatingPoint{}}
	worst := 0.0
	for _, e := range c.expectations() {
		got, err := b.measure(e)
		if err != nil {
			t.Errorf("%s: %v", e.of, err)
			continue
		}
		limit := c.limit(e)
		if c.Analysis == "statistics" {
			limit = b.chance(e)
		}
		off := math.Abs(got - e.value)
		if off/limit > worst {
			worst = off / limit
		}
		if !(off <= limit) {
			t.Errorf("%s freq %g t %g with %v step %d: got %.12g, want %.12g, off by %.2g, allowed %.2g",
				e.of, e.freq, e.t, e.with, e.step, got, e.value, off, limit)
		}
	}
	t.Logf("%d values, largest error %.2g of what is allowed", len(c.Expect), worst)
}

// measure finds one value.
func (b *bench) measure(e expectation) (float64, error) {
	if special, ok := scalars[b.c.ID+"/"+e.of]; ok {
		return special(b, e)
	}
	if special, ok := scalars[e.of]; ok {
		return special(b, e)
	}
	of := e.of
	prefix := ""
	if i := strings.IndexByte(of, ' '); i > 0 {
		prefix, of = of[:i], of[i+1:]
	}
	q, sign, err := b.quantity(of)
	if err != nil {
		return 0, err
	}
	switch prefix {
	case "mag", "db", "phase_deg":
		z, err := b.phasor(q, e.freq)
		if err != nil {
			return 0, err
		}
		z *= complex(sign, 0)
		switch prefix {
		case "db":
			return 20 * math.Log10(cmplx.Abs(z)), nil
		case "phase_deg":
			return cmplx.Phase(z) * 180 / math.Pi, nil
		}
		return cmplx.Abs(z), nil
	case "mean", "min", "max", "pp", "rms":
		r, err := b.periodic(q)
		if err != nil {
			return 0, err
		}
		if sign < 0 {
			r.Mean, r.Min, r.Max = -r.Mean, -r.Max, -r.Min
		}
		return map[string]float64{"mean": r.Mean, "min": r.Min, "max": r.Max, "pp": r.PeakToPeak, "rms": r.RMS}[prefix], nil
	case "":
	default:
		return 0, fmt.Errorf("prefix %q is not known", prefix)
	}
	switch {
	case b.c.Analysis == "periodic" && e.timed:
		return b.inPeriod(q, e.t)
	case e.timed:
		return b.timed(q, sign, e.t)
	case len(b.c.Sequence) > 0:
		return b.sequence(q, e.step)
	}
	op, err := b.operating(e.with)
	if err != nil {
		return 0, err
	}
	v, err := op.Value(q)
	return sign * v, err
}
