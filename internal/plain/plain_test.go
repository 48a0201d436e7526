package plain_test

import (
	"errors"
	"os"
	"testing"

	"halfsplit/internal/plain"
)

func ExamplePrinter_Table() {
	p := plain.To(os.Stdout)
	p.Line("Readings   ")
	p.Table([][]string{{"node", "mean"}, {"Ω out", "5 V"}, {"in", "12.1 V"}})
	p.List("Nothing under it is not printed", nil)
	p.List("Notes", []string{"one"})
	// Output:
	// Readings
	//   node     mean
	//   Ω out     5 V
	//   in     12.1 V
	// Notes
	//   one
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }

func TestErrorIsKept(t *testing.T) {
	p := plain.To(full{})
	p.Line("x")
	p.Table([][]string{{"a"}})
	if p.Err() == nil {
		t.Error("no error")
	}
}
