package findings_test

import (
	"context"
	"testing"

	"halfsplit/findings"
	"halfsplit/logbook"
)

// BenchmarkReason reasons over the two examples, everything included: what a
// restorer waits for after each reading.
func BenchmarkReason(b *testing.B) {
	for _, name := range []string{"vt9-shuts-down", "p6-hum-and-voice-four"} {
		b.Run(name, func(b *testing.B) {
			c, s, err := logbook.Load("../examples/" + name + ".case.yaml")
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := findings.Reason(context.Background(), c, s, findings.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
