package findings_test

import (
	"context"
	"testing"
	"time"
	"os"
	"fmt"

	"halfsplit/findings"
	"halfsplit/internal/cache"
	"halfsplit/rehearsal"
	"halfsplit/sheet"
)

func TestX(t *testing.T) {
	var s *sheet.Sheet
	var err error
	name := os.Getenv("CIRCUIT")
	if name == "supply" {
		s, err = sheet.Load("../examples/p6.sheet.yaml")
	} else {
		s, err = sheet.Parse("series.yaml", []byte(series))
	}
	if err != nil {
		t.Fatal(err)
	}
	keep, err := cache.Open("/tmp/circuitcache", 256<<20)
	if err != nil { t.Fatal(err) }
	start := time.Now()
	bench, err := findings.CircuitBench(context.Background(), s, name, findings.Options{Cache: keep})
	if err != nil {
		t.Fatal(err)
	}
	var slips float64
	fmt.Sscan(os.Getenv("SLIPS"), &slips)
	bench.Slips = slips
	setup := bench.Setup()
	fmt.Println(time.Since(start), "unseen", bench.Unseen, len(setup.Hypotheses), "hypotheses", len(setup.Suspects), "suspects")
	for i, x := range setup.Tests { fmt.Println(i, x.Name, x.Cost) }
	n := 100
	fmt.Sscan(os.Getenv("TRIALS"), &n)
	sure := 0.9
	fmt.Sscan(os.Getenv("SURE"), &sure)
	rules := rehearsal.Rules{Sure: sure, Leaning: sure-0.15}
	if sure > 0.9 { rules.Leaning = 1 }
	for _, st := range rehearsal.Strategies()[:2] {
		for _, hidden := range []bool{false, true} {
			o := rehearsal.Options{Trials: n, Draw: 1, Rules: rules, Hidden: hidden}
			start := time.Now()
			trials, err := rehearsal.Play(context.Background(), bench, st, o)
			if err != nil { t.Fatal(err) }
			r := rehearsal.Judge(bench, st.Name, trials)
			fmt.Println(st.Name, hidden, "tests", r.Tests.Mean, "min", r.Testing.Mean, "cost", r.Cost.Mean, "first", r.First.Value, r.First.Of, "three", r.Three.Value, "ece", r.Error, r.Chance, "beyond", r.Beyond.Value, r.Beyond.Of, "after", r.After.Value, "innocent", r.Innocent.Mean, time.Since(start))
			if os.Getenv("SHOW") != "" {
				for _, tr := range trials {
					truth := setup.Hypotheses[tr.Truth]
					und := tr.Hidden || truth.Undescribed()
					ok := false
					if len(tr.Named) > 0 {
						if und { ok = tr.Named[0] < 0 } else if tr.Named[0] >= 0 { for _, x := range truth.Suspects { ok = ok || x == tr.Named[0] } }
					}
					if ok { continue }
					fmt.Print("  ", truth.Name, ": ")
					for k := range tr.Named[:min(3, len(tr.Named))] {
						nm := "beyond"
						if tr.Named[k] >= 0 { nm = setup.Suspects[tr.Named[k]].Name }
						fmt.Printf("%s %.2f ", nm, tr.Stated[k])
					}
					for _, a := range tr.Answers[:tr.Made] { fmt.Print(" ", a.Test, "=", a.Answer) }
					fmt.Println()
				}
			}
		}
	}
}
