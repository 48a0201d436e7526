package findings_test

import (
	"context"
	"testing"

	"halfsplit/findings"
	"halfsplit/logbook"
	"halfsplit/prediction"
)

// BenchmarkWarm reasons over the two examples with what their circuits do
// known already: what a restorer waits for after one more reading.
func BenchmarkWarm(b *testing.B) {
	for _, name := range []string{"vt9-shuts-down", "p6-hum-and-voice-four"} {
		b.Run(name, func(b *testing.B) {
			c, s, err := logbook.Load("../examples/" + name + ".case.yaml")
			if err != nil {
				b.Fatal(err)
			}
			with := findings.Options{Cache: &prediction.Memory{}}
			if _, err := findings.Reason(context.Background(), c, s, with); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := findings.Reason(context.Background(), c, s, with); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
