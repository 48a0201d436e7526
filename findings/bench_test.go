package findings_test

import (
	"context"
	"testing"

	"halfsplit/findings"
	"halfsplit/logbook"
)

func BenchmarkReason(b *testing.B) {
	c, s, err := logbook.Load("/tmp/t/c1.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := findings.Reason(context.Background(), c, s); err != nil {
			b.Fatal(err)
		}
	}
}
