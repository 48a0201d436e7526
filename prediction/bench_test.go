package prediction

import (
	"context"
	"fmt"
	"testing"

	"halfsplit/wiring"
)

// dictionary is every act of every part of a circuit, one at a time.
func dictionary(c *wiring.Circuit) []Case {
	list := []Case{{}}
	for _, placed := range c.Parts {
		for _, a := range placed.Acts() {
			list = append(list, Case{Troubles: []Trouble{{Part: placed.Name, Act: a}}})
		}
	}
	return list
}

// BenchmarkDictionary is all acts of the P6's supply with the spread of each, worked
// out, and taken from a cache.
func BenchmarkDictionary(b *testing.B) {
	c := example(b, "p6")
	cases := dictionary(c)
	memory := &Memory{}
	for _, kept := range []bool{false, true} {
		b.Run(fmt.Sprintf("kept=%v", kept), func(b *testing.B) {
			for b.Loop() {
				if !kept {
					memory = &Memory{}
				}
				p := supply(b, Settings{Cache: memory})
				if _, err := p.ForecastAll(context.Background(), cases, nil); err != nil {
					b.Fatal(err)
				}
			}
			size := 0
			for _, value := range memory.values {
				size += len(value)
			}
			b.ReportMetric(float64(len(cases)), "cases")
			b.ReportMetric(float64(size)/float64(len(memory.values)), "bytes/case")
		})
	}
}

// BenchmarkLogDensity is ten readings in one forecast of the P6's supply.
func BenchmarkLogDensity(b *testing.B) {
	f := foretold(b, quick(b), Bench{})
	var reads []Read
	for _, n := range []string{"raw plus", "raw minus", "+15", "-15", "ac1"} {
		for _, a := range []Aspect{Level, RMS} {
			of := Observable{Aspect: a, Node: n}
			mean, deviation := read(b, f, of)
			reads = append(reads, Read{Of: of, Value: mean + deviation, U: 0.01})
		}
	}
	for b.Loop() {
		f.LogDensity(reads)
	}
}
