package upkeep_test

import (
	"fmt"
	"testing"

	"halfsplit/experience"
	"halfsplit/sheet"
	"halfsplit/upkeep"
)

// museum is a collection of which one unit in so many has a sheet, of one of two models.
func museum(b *testing.B, units, sheets int) []upkeep.Unit {
	b.Helper()
	var models [2]upkeep.Contents
	for i, file := range []string{"../examples/vt9.sheet.yaml", "../examples/p6.sheet.yaml"} {
		s, err := sheet.Load(file)
		if err != nil {
			b.Fatal(err)
		}
		models[i] = upkeep.FromSheet(s)
	}
	kinds := []string{"display terminal", "home computer", "synthesizer", "amplifier", "tape machine", "frequency counter", "oscilloscope"}
	list := make([]upkeep.Unit, units)
	for i := range list {
		u := &list[i]
		*u = upkeep.Unit{ID: fmt.Sprintf("M-%05d", i), Kind: kinds[i%len(kinds)], Year: 1970 + i%25, Temperature: 288 + float64(i%12), HoursADay: float64(i%7) / 2, LastPowered: now.AddDate(0, -(i % 400), 0)}
		if i%sheets == 0 {
			u.Contents = models[i/sheets%2]
		}
	}
	return list
}

// Twenty thousand units, one in ten with a sheet.
func BenchmarkRankMuseum(b *testing.B) { benchmarkRank(b, museum(b, 20_000, 10), nil) }

// Twenty thousand units, each with a sheet of some thirty to ninety parts.
func BenchmarkRankAllWithSheets(b *testing.B) { benchmarkRank(b, museum(b, 20_000, 1), nil) }

// The same as the first, with what benches have seen.
func BenchmarkRankWithExperience(b *testing.B) {
	book, err := experience.NewBook(experience.Record{Bench: "one", ID: "1", Revision: 1, Key: experience.Key{Kind: "tantalum"}, Count: experience.Count{Failed: 7, Good: 20}})
	if err != nil {
		b.Fatal(err)
	}
	benchmarkRank(b, museum(b, 20_000, 10), book.Tally())
}

func benchmarkRank(b *testing.B, units []upkeep.Unit, seen *experience.Tally) {
	b.ReportAllocs()
	for b.Loop() {
		if queue, err := upkeep.Rank(units, upkeep.Terms{Now: now, Experience: seen}); err != nil || len(queue) != len(units) {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssess(b *testing.B) {
	u := museum(b, 1, 1)[0]
	for b.Loop() {
		if a, err := upkeep.Assess(&u, upkeep.Terms{Now: now}); err != nil || len(a.Why(5)) == 0 {
			b.Fatal(err)
		}
	}
}
