package preferred_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/part/internal/reference"
	"halfsplit/part/preferred"
)

// Every member of every series, against the collected list.
//
// Outside: IEC 60063, every number of E3 to E192, part/testdata/e-series.csv. Within:
// exact.
func TestMembers(t *testing.T) {
	file, err := os.Open(reference.Folder + "/e-series.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 382 {
		t.Fatal(len(rows), err)
	}
	have := map[string][]float64{}
	for _, s := range preferred.All {
		have[s.String()] = s.Values()
	}
	counts := map[string]int{}
	for _, row := range rows[1:] {
		index, _ := strconv.Atoi(row[1])
		want, _ := strconv.ParseFloat(row[2], 64)
		counts[row[0]]++
		if got := have[row[0]]; index >= len(got) || got[index] != want {
			t.Errorf("%s member %d is not %v", row[0], index, want)
		}
	}
	for name, list := range have {
		if counts[name] != len(list) {
			t.Errorf("%s has %d members, the list %d", name, len(list), counts[name])
		}
	}
}

// The worked cases: nearest value and membership (IEC 60063).
//
// Outside: cases of ../testdata/values-and-codes.yaml only val-nearest-*, val-member-*.
// Within: exact.
func TestReferenceCases(t *testing.T) {
	type figure struct{ Value float64 }
	cases, _ := reference.Read(t, "values-and-codes.yaml", "val-nearest-", "val-member-")
	nearest, member := 0, 0
	for _, one := range cases {
		var c struct {
			Inputs struct {
				Wanted   figure
				Series   string
				Mantissa float64
			}
			Expected struct {
				Nearest figure `yaml:"nearest_log"`
				Member  *bool
			}
		}
		one.Decode(t, &c)
		var series preferred.Series
		for _, s := range preferred.All {
			if s.String() == c.Inputs.Series {
				series = s
			}
		}
		if c.Expected.Nearest.Value > 0 {
			nearest++
			if got := series.Nearest(c.Inputs.Wanted.Value); got != c.Expected.Nearest.Value {
				t.Errorf("%s: %v", one.ID, got)
			}
		}
		if c.Expected.Member != nil {
			member++
			if got := series.Contains(c.Inputs.Mantissa); got != *c.Expected.Member {
				t.Errorf("%s: %v", one.ID, got)
			}
		}
	}
	if nearest != 6 || member != 11 {
		t.Errorf("%d cases of nearest, %d of membership", nearest, member)
	}
}

func TestNeighbours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(preferred.All).Draw(t, "series")
		x := math.Pow(10, rapid.Float64Range(-14, 12).Draw(t, "decades"))
		below, above, near := s.AtMost(x), s.AtLeast(x), s.Nearest(x)
		if !(below <= x*(1+1e-6) && x*(1-1e-6) <= above) || below == 0 {
			t.Fatalf("%v is not between %v and %v", x, below, above)
		}
		if !s.Contains(below) || !s.Contains(above) || near != below && near != above {
			t.Fatalf("%v, %v, %v", below, near, above)
		}
		if worst := math.Pow(10, 0.6/float64(s)) * 1.06; near/x > worst || x/near > worst {
			t.Fatalf("%v is far from %v", near, x)
		}
		if coarse, ok := preferred.Of(near); !ok || coarse > s && s != preferred.E24 {
			t.Fatalf("%v belongs to %v", near, coarse)
		}
	})
}

func TestNothing(t *testing.T) {
	for _, x := range []float64{0, -1, math.NaN(), math.Inf(1), 1e-310} {
		if preferred.E24.Nearest(x) != 0 || preferred.E24.Contains(x) {
			t.Errorf("%v has a nearest value", x)
		}
	}
	if preferred.Series(7).Nearest(1) != 0 || len(preferred.Series(7).Values()) != 0 {
		t.Error("there is no E7")
	}
	if _, ok := preferred.Of(5); ok {
		t.Error("5 is no preferred value")
	}
}

func ExampleSeries_Nearest() {
	fmt.Println(preferred.E12.Nearest(5000), preferred.E24.Nearest(5000), preferred.E24.AtLeast(4.71e-6))
	// Output: 4700 5100 5.1e-06
}

func ExampleOf() {
	series, ok := preferred.Of(49.9)
	fmt.Println(series, ok)
	// Output: E96 true
}

func BenchmarkNearest(b *testing.B) {
	for b.Loop() {
		preferred.E96.Nearest(12345)
	}
}
