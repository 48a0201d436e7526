package quantity_test

import (
	"testing"

	"halfsplit/quantity"
)

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"12 V", "4.7 kΩ", "2200uF", "1 h 30 min"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := quantity.Parse(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkParseAs(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := quantity.ParseAs("4k7", quantity.Ohm); err != nil {
			b.Fatal(err)
		}
	}
}

// A mistyped unit is compared with every unit word.
func BenchmarkParseMistyped(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := quantity.Parse("12.01 Vv"); err == nil {
			b.Fatal("read nonsense")
		}
	}
}

func BenchmarkParseInterval(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := quantity.ParseInterval("4.75..5.25 V"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkString(b *testing.B) {
	q := quantity.Quantity{Value: 4700, Unit: quantity.Ohm}
	b.ReportAllocs()
	for b.Loop() {
		_ = q.String()
	}
}
