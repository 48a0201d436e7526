package schematic

import (
	"fmt"
	"io"
	"math/rand/v2"
	"testing"
)

// ladder is a circuit of so many parts: stages of a transistor amplifier, one
// after another.
func ladder(parts int) Circuit {
	c := Circuit{Name: "stages", Ground: "gnd", Volts: map[string]float64{"+12": 12}, Points: []Point{{Name: "TP1", Node: "collector 1"}}}
	c.Parts = append(c.Parts, Part{Name: "supply", Kind: "dc source", Lines: []string{"12 V"}, Nodes: []string{"+12", "gnd"}}, Part{Name: "input", Kind: "sine source", Nodes: []string{"in", "gnd"}})
	from := "in"
	for i := 1; len(c.Parts) < parts; i++ {
		base, collector, emitter := fmt.Sprint("base ", i), fmt.Sprint("collector ", i), fmt.Sprint("emitter ", i)
		c.Parts = append(c.Parts,
			Part{Name: fmt.Sprint("C", i), Kind: "electrolytic", Lines: []string{"10 µF 25 V"}, Nodes: []string{from, base}},
			Part{Name: fmt.Sprint("R", 4*i), Kind: "resistor", Lines: []string{"47k"}, Nodes: []string{"+12", base}},
			Part{Name: fmt.Sprint("R", 4*i+1), Kind: "resistor", Lines: []string{"10k"}, Nodes: []string{base, "gnd"}},
			Part{Name: fmt.Sprint("R", 4*i+2), Kind: "resistor", Lines: []string{"4k7"}, Nodes: []string{"+12", collector}},
			Part{Name: fmt.Sprint("R", 4*i+3), Kind: "resistor", Lines: []string{"1k"}, Nodes: []string{emitter, "gnd"}},
			Part{Name: fmt.Sprint("Q", i), Kind: "transistor", Lines: []string{"small npn"}, Nodes: []string{collector, base, emitter}},
		)
		from = collector
	}
	c.Parts = c.Parts[:parts]
	return c
}

// tangle is a circuit of so many resistors between nodes taken blindly.
func tangle(parts int) Circuit {
	r := rand.New(rand.NewPCG(1, 2))
	c := Circuit{Name: "tangle", Ground: "0"}
	for i := range parts {
		c.Parts = append(c.Parts, Part{Name: fmt.Sprint("R", i), Kind: "resistor", Lines: []string{"1k"}, Nodes: []string{fmt.Sprint(r.IntN(parts * 2 / 3)), fmt.Sprint(r.IntN(parts * 2 / 3))}})
	}
	return c
}

func BenchmarkDraw(b *testing.B) {
	for _, c := range []Circuit{ladder(14), ladder(60), tangle(60), ladder(200)} {
		b.Run(fmt.Sprintf("%s of %d parts", c.Name, len(c.Parts)), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Draw(c, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkWriteSVG(b *testing.B) {
	d, err := Draw(ladder(60), nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := d.WriteSVG(io.Discard, Format{}); err != nil {
			b.Fatal(err)
		}
	}
}
