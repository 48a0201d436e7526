package memory_test

import (
	"testing"

	"halfsplit/memory"
)

// TestCoverage compares what each march test guarantees with the collected
// table (testdata/memory.yaml, march_coverage): classes after van de Goor
// (1991), shares by a simulation made for that file.
//
// Outside: A. J. van de Goor, "Testing Semiconductor Memories" (1991), and a simulation
// made for the collection, memory/testdata/memory.yaml. Within: 0.001 % of the faults.
func TestCoverage(t *testing.T) {
	table := reference(t).Tables["march_coverage"]
	for _, row := range table.Rows {
		m, err := memory.FindMarch(row[0].(string))
		if err != nil {
			t.Fatal(err)
		}
		for i, model := range memory.FaultModels() {
			found, of := m.Coverage(model)
			got := 100 * float64(found) / float64(of)
			if want := number(row[i+1]); got < want-0.001 || got > want+0.001 {
				t.Errorf("%s, %s: %d of %d, %.4f %%, want %.4f %%", m.Name, model, found, of, got, want)
			}
		}
	}
}
