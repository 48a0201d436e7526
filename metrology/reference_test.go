package metrology_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"go.yaml.in/yaml/v4"
)

// TestReference runs every case of the reference files in testdata as a
// subtest named by its id. The source of each case stands in its file; the
// files are described in testdata/ORIGIN.md.
//
// Outside: cases of testdata/uncertainty-conformity.yaml. Within: exact.
// Outside: cases of testdata/measurement.yaml. Within: exact.
// Outside: cases of testdata/supply-rails.yaml but rail-atx-short, rail-atx-transient,
// rail-atx-capload, rail-rs232-slew, rail-crowbar-mc3423-1200,
// rail-crowbar-mc3423-1500, rail-crowbar-mc3423-4700, rail-crowbar-tl431. Within:
// exact.
func TestReference(t *testing.T) {
	runGuide(t)
	runMeasurement(t)
	runRails(t)
}

// load reads one file of reference cases, refusing keys it does not know.
func load(t *testing.T, name string, into any) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.Load(data, into, yaml.WithKnownFields()); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// near reports whether got agrees with want within a tolerance, allowing for
// the last bit of a float64.
func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance+4e-16*math.Abs(want)
}

// number turns a decoded YAML scalar into a float64.
func number(v any) (float64, error) {
	switch v := v.(type) {
	case float64:
		return v, nil
	case int:
		return float64(v), nil
	}
	return 0, fmt.Errorf("%v (%T) is not a number", v, v)
}

// must returns the first result of a call that may not fail in a test.
func must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}
