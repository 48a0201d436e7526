package findings_test

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/findings"
	"halfsplit/logbook"
)

// TestJudge compares what entries say by themselves with what the whole
// reasoning says of them.
func TestJudge(t *testing.T) {
	for _, name := range []string{"p6-hums", "vt9-shuts-down", "vt9-three-chips"} {
		c, s, err := logbook.Load("../examples/" + name + ".case.yaml")
		if err != nil {
			t.Fatal(err)
		}
		quick, err := findings.Judge(c, s)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := findings.Reason(context.Background(), c, s, findings.Options{Circuits: findings.NoCircuits})
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][2]any{
			"verdicts":   {quick.Verdicts, whole.Verdicts},
			"capacitors": {quick.Capacitors, whole.Capacitors},
			"hazards":    {quick.Hazards, whole.Hazards},
		} {
			if difference := cmp.Diff(pair[1], pair[0], cmp.AllowUnexported(findings.Verdict{})); difference != "" {
				t.Errorf("%s: %s differ from those of the whole reasoning:\n%s", name, what, difference)
			}
		}
		if len(whole.Verdicts)+len(whole.Memories) == 0 {
			t.Errorf("%s: nothing to compare", name)
		}
	}
}
