package diagnosis_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"sync/atomic"
	"testing"

	"halfsplit/diagnosis"
)

// TestSearchCancelled: a search that is no longer wanted stops soon, and says
// why.
func TestSearchCancelled(t *testing.T) {
	t.Run("before it starts", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		for range 20 {
			if _, err := diagnosis.Search(ctx, manyItems(3, func([]int) float64 { return 0 }), diagnosis.Limits{}); !errors.Is(err, context.Canceled) {
				t.Fatalf("error %v, want %v", err, context.Canceled)
			}
		}
	})
	t.Run("on the way", func(t *testing.T) {
		ctx, cancel := context.WithCancelCause(context.Background())
		var asked atomic.Int64
		problem := manyItems(60, func([]int) float64 {
			if asked.Add(1) == 100 {
				cancel(nil)
			}
			return 0
		})
		if _, err := diagnosis.Search(ctx, problem, diagnosis.Limits{}); !errors.Is(err, context.Canceled) {
			t.Fatalf("error %v, want %v", err, context.Canceled)
		}
		if n := asked.Load(); n > 1000 {
			t.Errorf("the model was asked %d times, want not many more than 100", n)
		}
	})
}

// TestSearchRefuses: problems that make no sense are refused, with the place
// and what would be right.
func TestSearchRefuses(t *testing.T) {
	fine := described(func([]int) float64 { return 0 })
	one := []diagnosis.Fault{{Item: 0, Prior: 0.1}}
	always := func(ln float64) diagnosis.Model { return described(func([]int) float64 { return ln }) }
	cases := []struct {
		name    string
		problem diagnosis.Problem
		says    string
	}{
		{"no model", diagnosis.Problem{Items: 1, Faults: one}, "no model"},
		{"items below zero", diagnosis.Problem{Items: -1, Model: fine}, "-1 items"},
		{"item below zero", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: -1, Prior: 0.1}}, Model: fine}, "fault 0 belongs to item -1"},
		{"item beyond the last", diagnosis.Problem{Items: 2, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.1}, {Item: 2, Prior: 0.1}}, Model: fine}, "fault 1 belongs to item 2"},
		{"prior zero", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0}}, Model: fine}, "prior 0"},
		{"prior one", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: 1}}, Model: fine}, "prior 1"},
		{"prior not a number", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: math.NaN()}}, Model: fine}, "prior NaN"},
		{"priors of an item", diagnosis.Problem{Items: 1, Faults: []diagnosis.Fault{{Item: 0, Prior: 0.5}, {Item: 0, Prior: 0.5}}, Model: fine}, "item 0 add up to 1"},
		{"undescribed below zero", diagnosis.Problem{Undescribed: -0.1, Model: fine}, "-0.1"},
		{"undescribed one", diagnosis.Problem{Undescribed: 1, Model: fine}, "prior 1"},
		{"undescribed not a number", diagnosis.Problem{Undescribed: math.NaN(), Model: fine}, "NaN"},
		{"likelihood not a number", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.NaN())}, "NaN for faults []"},
		{"likelihood without bound", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.Inf(1))}, "+Inf for faults []"},
		{"likelihood of the undescribed", diagnosis.Problem{Items: 1, Faults: one, Undescribed: 0.1, Model: model{of: func([]int) float64 { return 0 }, undescribed: math.Inf(1)}}, "undescribed"},
		{"ceiling not a number", diagnosis.Problem{Items: 1, Faults: one, Model: model{of: func([]int) float64 { return 0 }, ceiling: math.NaN()}}, "ceiling"},
		{"all impossible", diagnosis.Problem{Items: 1, Faults: one, Model: always(math.Inf(-1))}, "impossible"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			posterior, err := diagnosis.Search(context.Background(), c.problem, diagnosis.Limits{})
			if err == nil {
				t.Fatalf("no error, but %+v", posterior)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %q does not say %q", err, c.says)
			}
		})
	}
}
