package findings_test

import (
	"context"
	"os"
	"slices"
	"testing"

	"go.yaml.in/yaml/v4"

	"halfsplit/findings"
	"halfsplit/logbook"
)

// truth is the outcome of a published repair.
type truth struct {
	Case  string   `yaml:"case"`
	Bad   []string `yaml:"bad"`
	Split int      `yaml:"split"`
	Test  string   `yaml:"test"`
}

// TestPublishedRepairs checks the main job against published repairs (sources in
// testdata/repairs/ORIGIN.md): after the readings that the repairer took, a
// truly bad part is among the first three suspects in every case and first in
// most; and before the reading that split the case, the
// proposed test tells at least as much for its time as the repairer's own.
//
// Outside: fifteen published repairs, findings/testdata/repairs/ORIGIN.md. Within: a
// truly bad part is among the first three suspects in every one.
func TestPublishedRepairs(t *testing.T) {
	text, err := os.ReadFile("testdata/repairs/truth.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var truths []truth
	if err := yaml.Unmarshal(text, &truths); err != nil || len(truths) < 5 {
		t.Fatalf("%d outcomes, %v", len(truths), err)
	}
	first := 0
	for _, truth := range truths {
		t.Run(truth.Case, func(t *testing.T) {
			c, s, err := logbook.Load("testdata/repairs/" + truth.Case + ".case.yaml")
			if err != nil {
				t.Fatal(err)
			}
			r, err := findings.Reason(context.Background(), c, s, findings.Options{})
			if err != nil {
				t.Fatal(err)
			}
			rank := slices.IndexFunc(r.Suspects, func(s findings.Suspect) bool { return slices.Contains(truth.Bad, s.Name) })
			if rank < 0 || rank > 2 {
				t.Errorf("bad was %v, suspects are %+v", truth.Bad, names(r))
			}
			if rank == 0 {
				first++
			}
			t.Logf("bad %v; suspects %v; not described %.2f", truth.Bad, names(r), r.Beyond)

			if truth.Split == 0 {
				return
			}
			c.Log = c.Log[:truth.Split-1]
			if r, err = findings.AllTests(context.Background(), c, s); err != nil {
				t.Fatal(err)
			}
			own := slices.IndexFunc(r.Tests, func(p findings.Proposal) bool { return p.At == truth.Test })
			if own < 0 {
				t.Fatalf("the repairer's test at %q is not among the %d proposed", truth.Test, len(r.Tests))
			}
			best, his := r.Tests[0], r.Tests[own]
			t.Logf("proposed: %s, %.2f bits in %.1f min; the repairer's, number %d: %s, %.2f bits in %.1f min",
				best.Test, best.Bits, best.Minutes, own+1, his.Test, his.Bits, his.Minutes)
			if best.Bits/(best.Minutes+1) < his.Bits/(his.Minutes+1) {
				t.Errorf("the repairer's %q tells more for its time than %q", his.Test, best.Test)
			}
		})
	}
	if 3*first < 2*len(truths) {
		t.Errorf("a truly bad part is first in %d of %d cases, want at least two in three", first, len(truths))
	}
	t.Logf("a truly bad part is first in %d of %d cases", first, len(truths))
}

func names(r *findings.Report) []string {
	var list []string
	for _, s := range r.Suspects {
		list = append(list, s.Name)
	}
	return list[:min(5, len(list))]
}
