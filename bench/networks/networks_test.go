package networks

import (
	"slices"
	"testing"
)

func TestMake(t *testing.T) {
	for _, kind := range Kinds {
		for _, n := range []int{10, 57, 1000} {
			s := Make(kind, n, 4)
			if s.Size != n || len(s.Rows) != len(s.Values) || len(s.Columns) != len(s.Values) {
				t.Fatalf("%s: size %d, want %d; %d rows, %d columns, %d values", s.Name, s.Size, n, len(s.Rows), len(s.Columns), len(s.Values))
			}
			seen := map[[2]int]bool{}
			empty := n // unknowns without a coefficient on the diagonal
			for k := range s.Rows {
				at := [2]int{s.Rows[k], s.Columns[k]}
				if seen[at] || min(at[0], at[1]) < 0 || max(at[0], at[1]) >= n {
					t.Errorf("%s: coefficient %v is listed twice or outside", s.Name, at)
				}
				seen[at] = true
				if at[0] == at[1] {
					empty--
				}
			}
			if want := max(1, n/20); empty != want {
				t.Errorf("%s: %d voltage sources, want %d", s.Name, empty, want)
			}
			if again := Make(kind, n, 4); !slices.Equal(again.Values, s.Values) || !slices.Equal(again.Rows, s.Rows) {
				t.Errorf("%s: made again, it differs", s.Name)
			}
			if other := Make(kind, n, 5); slices.Equal(other.Values, s.Values) {
				t.Errorf("%s: another number gives the same network", s.Name)
			}
		}
	}
}

func TestMakeRefuses(t *testing.T) {
	for name, f := range map[string]func(){
		"unknown kind": func() { Make("thing", 50, 1) },
		"too small":    func() { Make("grid", 9, 1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}
