package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"halfsplit/internal/solution"
)

// solved runs circuit solve for a program and gives what it printed.
func solved(t *testing.T, ctx context.Context, wantCode int, arguments ...string) (solution.Answer, string) {
	t.Helper()
	var out, complaints bytes.Buffer
	if code := run(ctx, append([]string{"circuit", "solve", "--json"}, arguments...), &out, &complaints); code != wantCode {
		t.Fatalf("exit %d: %s", code, complaints.String())
	}
	var a solution.Answer
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return a, complaints.String()
}

func node(t *testing.T, a solution.Answer, name string) solution.Node {
	t.Helper()
	for _, n := range a.Nodes {
		if n.Name == name {
			return n
		}
	}
	t.Fatalf("no node %q in %+v", name, a.Nodes)
	return solution.Node{}
}

// TestExampleCircuit compares the printed readings of the linear supply with the
// text that was reviewed by eye.
func TestExampleCircuit(t *testing.T) {
	var out, complaints bytes.Buffer
	if code := run(context.Background(), []string{"circuit", "solve", "../../examples/p6.sheet.yaml"}, &out, &complaints); code != 0 {
		t.Fatalf("exit %d: %s", code, complaints.String())
	}
	golden := filepath.Join("testdata", "p6-supply.golden")
	if *update {
		if err := os.WriteFile(golden, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), out.String()); diff != "" {
		t.Errorf("printed output changed (−reviewed +now):\n%s", diff)
	}
}

// The ripple of the linear supply is what charge and discharge give: the load
// current over the capacitance, for the share of the half period in which the
// rectifier does not conduct, which lies between 0.6 and 0.95 (common practice,
// no source). 4700 µF, 0.405 A with the regulator's own, 100 Hz.
func TestLinearSupplyRipple(t *testing.T) {
	a, _ := solved(t, context.Background(), 0, "../../examples/p6.sheet.yaml")
	whole := 0.405 / (4700e-6 * 100)
	if r := node(t, a, "raw plus").Ripple; r < 0.6*whole || r > 0.95*whole {
		t.Errorf("ripple %g V, want 0.6 to 0.95 of %g V", r, whole)
	}
	if v := node(t, a, "+15").Mean; math.Abs(v-15) > 0.05 {
		t.Errorf("+15 at %g V", v)
	}
	if a.Settled == nil || !*a.Settled || math.Abs(a.Period-0.02) > 1e-9 || len(a.Warnings) > 0 {
		t.Errorf("settled %v, period %g s, warnings %q", a.Settled, a.Period, a.Warnings)
	}
}

// The switch-mode supply starts by itself from cold and comes into regulation.
// With a tenth of its output capacitance that takes a tenth of the time.
// The +5 is regulated; the others follow by their turns.
func TestFlybackStarts(t *testing.T) {
	text, err := os.ReadFile("../../examples/vt9.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	quick := strings.NewReplacer("2200 uF 10 V", "220 uF 10 V", "1000 uF 16 V", "100 uF 16 V", "470 uF 16 V", "47 uF 16 V",
		"1000 uF 10 V", "100 uF 10 V", "47 uF 25 V", "4.7 uF 25 V").Replace(string(text))
	file := filepath.Join(t.TempDir(), "quick.sheet.yaml")
	if err := os.WriteFile(file, []byte(quick), 0o644); err != nil {
		t.Fatal(err)
	}
	a, _ := solved(t, context.Background(), 0, file, "--until", "2ms", "--accuracy", "0.1%", "--limit", "10min")
	for _, c := range []struct {
		node      string
		low, high float64
	}{{"+5", 4.9, 5.1}, {"+12", 10, 13.5}, {"-12", -13.5, -10}} {
		if v := node(t, a, c.node).Mean; v < c.low || v > c.high {
			t.Errorf("%s at %g V, want %g to %g V", c.node, v, c.low, c.high)
		}
	}
	if p := node(t, a, "+5").Highest; p == nil || *p > 6.2 {
		t.Errorf("+5 overshoots to %v; its trip acts at 6.2 V", p)
	}
	if v := node(t, a, "collector").Max; v < 400 || v > 800 {
		t.Errorf("collector up to %g V", v)
	}
}

// In the first strokes of the start no part passes its rating, and the switching
// transistor carries no more than its emitter resistor lets through: 0.8 V over
// 0.68 Ω, where the second transistor has taken its base current away.
func TestFlybackStress(t *testing.T) {
	a, _ := solved(t, context.Background(), 0, "../../examples/vt9.sheet.yaml", "--until", "0.6ms")
	if len(a.Warnings) > 0 {
		t.Errorf("warnings %q", a.Warnings)
	}
	for _, p := range a.Parts {
		if p.Part == "Q1" && (p.Current < 0.2 || p.Current > 0.8/0.68) {
			t.Errorf("Q1 carries up to %g A", p.Current)
		}
	}
}

// Ctrl-C leaves what was found until then, and exit code 1.
func TestStoppedByHand(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	time.AfterFunc(300*time.Millisecond, stop)
	a, complaints := solved(t, ctx, exitFailure, "../../examples/vt9.sheet.yaml", "--until", "10s")
	if !strings.HasPrefix(a.Stopped, "stopped by hand at ") || len(a.Nodes) == 0 || a.To <= 0 {
		t.Errorf("stopped %q with %d nodes until %g s", a.Stopped, len(a.Nodes), a.To)
	}
	if !strings.Contains(complaints, "stopped") {
		t.Errorf("said %q", complaints)
	}
}
