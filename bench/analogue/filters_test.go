package main

import (
	"context"
	"math"
	"os"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/circuit"
)

// The filters are those of the reference cases, whose gains come from a closed
// form worked out without a circuit solver (circuit/testdata/reference).
//
// Outside: closed forms of the filters, circuit/testdata/reference. Within: 1e-8 dB.
func TestFilters(t *testing.T) {
	data, err := os.ReadFile("../../circuit/testdata/reference/03-ac.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			ID     string
			Expect []struct {
				Of    string
				Freq  float64
				Value float64
			}
		}
	}
	if err := yaml.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	filters := map[string]filter{"ac-sallen-key-bp-ideal": sallenKey, "ac-state-variable": stateVariable}
	checked := map[string]int{}
	for _, c := range file.Cases {
		make, ok := filters[c.ID]
		if !ok {
			continue
		}
		solver, err := make().Solver(circuit.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range c.Expect {
			node, ok := strings.CutPrefix(e.Of, "mag v(")
			if !ok {
				continue
			}
			row, err := read(context.Background(), solver, []gain{{strings.TrimSuffix(node, ")"), e.Freq}})
			if err != nil {
				t.Fatal(err)
			}
			if want := 20 * math.Log10(e.Value); math.Abs(row[0]-want) > 1e-8 {
				t.Errorf("%s, %s at %g Hz: %.10g dB, want %.10g", c.ID, e.Of, e.Freq, row[0], want)
			}
			checked[c.ID]++
		}
	}
	if checked["ac-sallen-key-bp-ideal"] != 5 || checked["ac-state-variable"] != 12 {
		t.Errorf("gains checked: %v; want 5 and 12", checked)
	}
}
