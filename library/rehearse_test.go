package library

import (
	"context"
	"flag"
	"fmt"
	"sort"
	"strings"
	"testing"

	"halfsplit/findings"
	"halfsplit/rehearsal"
)

var only = flag.String("sheet", "", "rehearse this sheet alone")
var trials = flag.Int("trials", 100, "hunts")
var missing = flag.Bool("missing", false, "show what was missed")

func TestRehearse(t *testing.T) {
	for _, e := range List() {
		if *only != "" && e.Name != *only {
			continue
		}
		_, s, _ := Open(e.Name)
		benches := map[string]rehearsal.Bench{}
		if b, err := findings.Bench(s); err == nil {
			benches["flow"] = b
		} else {
			t.Log(err)
		}
		list, err := findings.CircuitBenches(context.Background(), s, findings.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range list.Benches {
			benches[list.Names[i]] = b
			if len(b.Unsolved) > 0 {
				t.Log("unsolved", b.Unsolved)
			}
		}
		for _, n := range list.NotSolved {
			t.Log(n)
		}
		for name, b := range benches {
			setup := b.Setup()
			var text []string
			for _, hidden := range []bool{false, true} {
				n := *trials
				hunts, err := rehearsal.Play(context.Background(), b, rehearsal.Guarded(), rehearsal.Options{Trials: n, Draw: 1, Hidden: hidden, Rules: rehearsal.Rules{Sure: 0.95, Leaning: 0.8}})
				if err != nil {
					t.Fatal(err)
				}
				sc := rehearsal.Judge(b, "guarded", hunts)
				if hidden {
					text = append(text, fmt.Sprintf("hidden %.1f %% (%.1f, %.1f)", 100*sc.Beyond.Value, 100*sc.Beyond.Low, 100*sc.Beyond.High))
				} else {
					text = append(text, fmt.Sprintf("first %.1f three %.1f (%.1f) cal %.1f (%.1f) %.1f tests %.0f min", 100*sc.First.Value, 100*sc.Three.Value, 100*sc.Three.High, 100*sc.Error, 100*sc.Chance, sc.Tests.Mean, sc.Testing.Mean))
				}
				if *missing {
					count := map[string]int{}
					for i := range hunts {
						h := &hunts[i]
						truth := setup.Hypotheses[h.Truth]
						if !hidden && truth.Undescribed() {
							continue
						}
						named := "beyond"
						if len(h.Named) > 0 && h.Named[0] >= 0 {
							named = setup.Suspects[h.Named[0]].Name
						}
						good := named == "beyond"
						if !hidden {
							good = false
							for _, x := range truth.Suspects {
								good = good || setup.Suspects[x].Name == named
							}
						}
						if good {
							continue
						}
						var ts []string
						for _, a := range h.Answers[:h.Made] {
							if setup.Tests[a.Test].Cost > 0 {
								ts = append(ts, fmt.Sprintf("%s=%d", setup.Tests[a.Test].Name, a.Answer))
							}
						}
						count[fmt.Sprintf("%s named %s | %s", truth.Name, named, strings.Join(ts, "; "))]++
					}
					var keys []string
					for k := range count {
						keys = append(keys, k)
					}
					sort.Slice(keys, func(a, b int) bool { return count[keys[a]] > count[keys[b]] })
					for _, k := range keys[:min(len(keys), 25)] {
						t.Logf("%v %d %s", hidden, count[k], k)
					}
				}
			}
			t.Logf("%s %s: %d suspects %s", e.Name, name, len(setup.Suspects), strings.Join(text, "; "))
			if *missing {
				for _, x := range setup.Tests {
					t.Logf("   test %s (%.0f)", x.Name, x.Cost)
				}
			}
		}
	}
}
