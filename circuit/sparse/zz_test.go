package sparse

import (
	"testing"
	"halfsplit/bench/networks"
)

func TestZZ(t *testing.T) {
	for _, kind := range networks.Kinds {
		for _, n := range []int{50, 500, 5000} {
			s := networks.Make(kind, n, 1)
			p := NewPattern(s.Size)
			for k := range s.Rows {
				p.Entry(s.Rows[k], s.Columns[k])
			}
			lu, err := Factor(p, s.Real())
			if err != nil { t.Fatal(err) }
			t.Log(s.Name, "sections", len(lu.sections), "groups", len(lu.groups), "fronts", len(lu.fronts), "updates", len(lu.updates), "targets", len(lu.targets), "links", len(lu.links), "coupling", len(lu.couplingAt), "values", lu.length)
		}
	}
}
