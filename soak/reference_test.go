package soak_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"go.yaml.in/yaml/v4"
)

// referenceFolder holds the check cases; its ORIGIN.md says where they are from.
const referenceFolder = "testdata/reference"

// referenceCase is one check case of a file.
type referenceCase struct {
	ID       string                 `yaml:"id"`
	Method   string                 `yaml:"method"`
	Inputs   inputs                 `yaml:"inputs"`
	Expected map[string]expectation `yaml:"expected"`
	Source   struct {
		Title   string `yaml:"title"`
		Section string `yaml:"section"`
	} `yaml:"source"`
}

// expectation is one expected figure, list of figures, or word.
type expectation struct {
	Value      any       `yaml:"value"`
	Values     []float64 `yaml:"values"`
	AbsTol     float64   `yaml:"abs_tol"`
	RelTol     float64   `yaml:"rel_tol"`
	Recomputed *float64  `yaml:"recomputed"`
}

// results are the answers of a method: float64, []float64 or string.
type results map[string]any

// method answers the cases of one method of the reference.
type method func(t *testing.T, in inputs) results

// referenceMethods are all methods of the reference that the package answers.
var referenceMethods = map[string]method{
	"mtbf_limits":        mtbfLimits,
	"mtbf_factors":       mtbfFactors,
	"table_mtbf_factors": tableMTBFFactors,
	"table_test_length":  tableTestLength,
	"test_length":        testLength,
	"fixed_test_oc":      fixedTestCharacteristic,
	"table_fixed_plans":  tableFixedPlans,
	"gamma_cdf":          gammaDistributionFunction,
	"gamma_prior_elicit": gammaPriorElicit,
	"bayes_test_length":  bayesTestLength,
	"bayes_mtbf":         bayesMTBF,
	"lomax":              lomaxPrediction,
	"lomax_conditional":  lomaxConditional,
	"lomax_quantile":     lomaxQuantile,
	"lomax_needed_run":   lomaxNeededRun,
	"weibull_mle":        weibullMLE,
	"lognormal_mle":      lognormalMLE,
	"weibayes":           weibayesLimits,
	"zero_fail_n":        zeroFailureUnits,
	"zero_fail_t":        zeroFailureTime,
	"success_run":        successRun,
	"kaplan_meier":       kaplanMeier,
	"sprt_lines":         sprtLines,
	"sprt_oc":            sprtCharacteristic,
	"sprt_plan":          sprtPlan,
	"sprt_walk":          sprtWalk,
	"beta_posterior":     betaPosterior,
	"beta_binomial":      betaBinomial,
	"gamma_posterior":    gammaPosterior,
	"clopper_pearson":    clopperPearson,
	"wilson":             wilson,
}

// TestReference runs every check case. A case of an unknown method, an expected
// figure that no answer meets, and a case without figures are failures.
//
// Outside: cases of testdata/reference/*.yaml. Within: exact.
func TestReference(t *testing.T) {
	want := map[string]int{
		"01-mtbf.yaml":                34,
		"02-survival-predictive.yaml": 19,
		"03-weibull.yaml":             28,
		"04-sprt.yaml":                23,
		"05-credible-intervals.yaml":  27,
		"06-binomial-limits.yaml":     22,
	}
	for file, count := range want {
		cases := loadCases(t, file)
		if len(cases) != count {
			t.Errorf("%s has %d cases, want %d", file, len(cases), count)
		}
		for _, c := range cases {
			t.Run(c.ID, func(t *testing.T) { checkCase(t, c) })
		}
	}
}

func loadCases(t *testing.T, file string) []referenceCase {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(referenceFolder, file))
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Cases []referenceCase `yaml:"cases"`
	}
	if err := yaml.Load(text, &doc); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return doc.Cases
}

func checkCase(t *testing.T, c referenceCase) {
	answer, ok := referenceMethods[c.Method]
	if !ok {
		t.Fatalf("method %q is not handled", c.Method)
	}
	if len(c.Expected) == 0 {
		t.Fatal("the case expects nothing")
	}
	got := answer(t, c.Inputs)
	for key, want := range c.Expected {
		value, ok := got[key]
		if !ok {
			t.Errorf("%s: no answer", key)
			continue
		}
		if err := compare(value, want); err != nil {
			t.Errorf("%s: %v (%s, %s)", key, err, c.Source.Title, c.Source.Section)
		}
	}
}

// compare checks an answer against the value at its tolerance, and against the
// recomputed figure to one part in a million.
func compare(got any, want expectation) error {
	if want.Values != nil {
		list, ok := got.([]float64)
		if !ok || len(list) != len(want.Values) {
			return fmt.Errorf("got %v, want %v", got, want.Values)
		}
		for i := range list {
			if err := within(list[i], want.Values[i], want.AbsTol, want.RelTol); err != nil {
				return fmt.Errorf("entry %d: %w", i, err)
			}
		}
		return nil
	}
	if word, ok := want.Value.(string); ok {
		if got != word {
			return fmt.Errorf("got %v, want %q", got, word)
		}
		return nil
	}
	number, err := toFloat(want.Value)
	if err != nil {
		return err
	}
	x, ok := got.(float64)
	if !ok {
		return fmt.Errorf("got %v, want the number %v", got, number)
	}
	if err := within(x, number, want.AbsTol, want.RelTol); err != nil {
		return err
	}
	if want.Recomputed != nil {
		if err := within(x, *want.Recomputed, 0, 1e-6); err != nil {
			return fmt.Errorf("recomputed: %w", err)
		}
	}
	return nil
}

// within allows the sum of both tolerances, and the last digits of a float64.
func within(got, want, absolute, relative float64) error {
	if !(math.Abs(got-want) <= absolute+(relative+4e-16)*math.Abs(want)) {
		return fmt.Errorf("got %.10g, want %.10g (tolerance %g absolute, %g relative)", got, want, absolute, relative)
	}
	return nil
}

func toFloat(v any) (float64, error) {
	switch v := v.(type) {
	case float64:
		return v, nil
	case int:
		return float64(v), nil
	}
	return 0, fmt.Errorf("%v (%T) is not a number", v, v)
}

// inputs are the inputs of a case, read by name; a missing one ends the test.
type inputs map[string]any

func (in inputs) number(t *testing.T, name string) float64 {
	t.Helper()
	x, err := toFloat(in[name])
	if err != nil {
		t.Fatalf("input %s: %v", name, err)
	}
	return x
}

func (in inputs) count(t *testing.T, name string) int {
	t.Helper()
	n, ok := in[name].(int)
	if !ok {
		t.Fatalf("input %s: %v is not a count", name, in[name])
	}
	return n
}

func (in inputs) word(t *testing.T, name string) string {
	t.Helper()
	w, ok := in[name].(string)
	if !ok {
		t.Fatalf("input %s: %v is not a word", name, in[name])
	}
	return w
}

func (in inputs) flag(t *testing.T, name string) bool {
	t.Helper()
	f, ok := in[name].(bool)
	if !ok {
		t.Fatalf("input %s: %v is not true or false", name, in[name])
	}
	return f
}

func (in inputs) numbers(t *testing.T, name string) []float64 {
	t.Helper()
	list, ok := in[name].([]any)
	if !ok {
		t.Fatalf("input %s: %v is not a list", name, in[name])
	}
	out := make([]float64, len(list))
	for i, v := range list {
		x, err := toFloat(v)
		if err != nil {
			t.Fatalf("input %s, entry %d: %v", name, i, err)
		}
		out[i] = x
	}
	return out
}

// rows reads the table that the input names, as rows by column.
func (in inputs) rows(t *testing.T) []row {
	t.Helper()
	return readTable(t, filepath.Join(referenceFolder, filepath.FromSlash(in.word(t, "table"))))
}

// row is one row of a table, by column.
type row map[string]string

func readTable(t *testing.T, path string) []row {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var rows []row
	for _, line := range lines[1:] {
		r := row{}
		for i, name := range lines[0] {
			r[name] = line[i]
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		t.Fatalf("%s: no rows", path)
	}
	return rows
}

func (r row) number(t *testing.T, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[name], 64)
	if err != nil {
		t.Fatalf("column %s: %v", name, err)
	}
	return x
}

func (r row) count(t *testing.T, name string) int {
	t.Helper()
	n, err := strconv.Atoi(r[name])
	if err != nil {
		t.Fatalf("column %s: %v", name, err)
	}
	return n
}

// must ends the test on an error and otherwise passes the value on.
func must[T any](t testing.TB, value T, err error) T {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return value
}
