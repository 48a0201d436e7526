package experience_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"halfsplit/experience"
)

// large is a book of twenty thousand records: many benches, many years.
func large(b *testing.B) *experience.Book {
	book := &experience.Book{}
	for i := range 20_000 {
		err := book.Add(experience.Record{
			Bench: fmt.Sprint("bench ", i%40), ID: fmt.Sprint("job ", i), Revision: 1, Age: experience.BandOf(float64(30 + i%20)),
			Key:   experience.Key{Kind: []string{"chip", "electrolytic", "dynamic ram", "tantalum"}[i%4], Family: fmt.Sprint("family ", i%50), Maker: fmt.Sprint("maker ", i%7), Batch: fmt.Sprint(8000 + i%300)},
			Count: experience.Count{Failed: i % 3, Good: i % 17, Years: float64(1 + i%500)},
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	return book
}

func BenchmarkTally(b *testing.B) {
	book := large(b)
	for b.Loop() {
		book.Tally()
	}
}

func BenchmarkEstimate(b *testing.B) {
	tally := large(b).Tally()
	k := experience.Key{Kind: "chip", Family: "family 4", Maker: "maker 4", Batch: "8004"}
	for b.Loop() {
		if e, err := tally.Estimate(k); err != nil || e.Count.Seen() == 0 {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	text, err := json.Marshal(large(b))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := experience.Parse("book.json", text); err != nil {
			b.Fatal(err)
		}
	}
}
