package schematic

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"halfsplit/fault"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// sheets finds the circuits of the repository's own sheets.
func sheets(t testing.TB) map[string]Circuit {
	t.Helper()
	all := map[string]Circuit{}
	for _, pattern := range []string{"../examples/*.sheet.yaml", "../library/*.sheet.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			s, err := sheet.Load(file)
			if err != nil {
				t.Fatal(err)
			}
			for name, c := range s.Circuits.All() {
				all[filepath.Base(file)+", "+name.Text] = Of(s, name.Text, c)
			}
		}
	}
	if len(all) < 2 {
		t.Fatal("no circuits in the examples")
	}
	return all
}

// Every circuit of the examples and of the library is drawn with the netlist it
// was given, and nothing lies on anything else; with an overlay too.
func TestSheetsAreDrawn(t *testing.T) {
	for name, c := range sheets(t) {
		t.Run(name, func(t *testing.T) {
			d, err := Draw(c, nil)
			if err != nil {
				t.Fatal(err)
			}
			sound(t, &c, d)
			over := &Overlay{Parts: map[string]Suspect{}, Nodes: map[string]Reading{}}
			for i, p := range c.Parts {
				over.Parts[p.Name] = Suspect{Strength: float64(i) / float64(len(c.Parts)), Text: fmt.Sprintf("%d %%", i), Tone: Bad}
				over.Nodes[p.Nodes[0]] = Reading{Lines: []string{"read 4.87 V", "expected 5 V"}, Tone: Good, Flag: i%3 == 0}
			}
			if d, err = Draw(c, over); err != nil {
				t.Fatal(err)
			}
			sound(t, &c, d)
		})
	}
}

// someCircuit makes up a circuit: parts of any kind between a few nodes, some of
// them told where to stand.
func someCircuit(t *rapid.T) Circuit {
	type sized struct {
		name string
		n    []int
	}
	var kinds []sized
	for _, k := range wiring.Kinds() {
		switch {
		case k.Windings:
			kinds = append(kinds, sized{k.Name, []int{4, 6, 10}})
		case len(k.Nodes) > 4:
			kinds = append(kinds, sized{k.Name, []int{len(k.Nodes)}}, sized{k.Name, []int{len(k.Nodes) - 1}})
		default:
			kinds = append(kinds, sized{k.Name, []int{len(k.Nodes)}})
		}
	}
	for _, k := range fault.Kinds() {
		if _, ok := wiring.Find(k.Name); !ok {
			kinds = append(kinds, sized{k.Name, []int{1, 2, 3, 5, 8, 14}})
		}
	}
	count := rapid.IntRange(1, 25).Draw(t, "parts")
	nodes := rapid.IntRange(1, 2+count*3/2).Draw(t, "nodes")
	c := Circuit{Name: "made up", Ground: "node 0", Volts: map[string]float64{}}
	for i := range count {
		k := rapid.SampledFrom(kinds).Draw(t, "kind")
		p := Part{Name: fmt.Sprintf("X%d", i), Kind: k.name, Opposite: rapid.Bool().Draw(t, "opposite"), Schottky: rapid.Bool().Draw(t, "Schottky")}
		for range rapid.SampledFrom(k.n).Draw(t, "pins") {
			p.Nodes = append(p.Nodes, fmt.Sprintf("node %d", rapid.IntRange(0, nodes).Draw(t, "node")))
		}
		for range rapid.IntRange(0, 3).Draw(t, "lines") {
			p.Lines = append(p.Lines, rapid.StringN(0, 16, 40).Draw(t, "line"))
		}
		if rapid.IntRange(0, 5).Draw(t, "told") == 0 {
			p.Spot = &Spot{Column: rapid.IntRange(1, 6).Draw(t, "column"), Row: float64(rapid.IntRange(4, 20).Draw(t, "row")) / 4,
				Way: Way(rapid.IntRange(0, 4).Draw(t, "way")), Mirror: rapid.Bool().Draw(t, "mirror")}
		}
		c.Parts = append(c.Parts, p)
	}
	for n := range nodes {
		if rapid.IntRange(0, 4).Draw(t, "known") == 0 {
			c.Volts[fmt.Sprintf("node %d", n)] = rapid.Float64Range(-300, 300).Draw(t, "volts")
		}
	}
	return c
}

// Whatever the circuit, its drawing has the netlist it was given, nothing lies
// on anything else, and it is the same each time.
func TestAnyCircuitIsDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := someCircuit(t)
		var over *Overlay
		if rapid.Bool().Draw(t, "overlay") {
			over = &Overlay{Parts: map[string]Suspect{c.Parts[0].Name: {Strength: 0.4, Text: "40 %"}}, Nodes: map[string]Reading{c.Parts[0].Nodes[0]: {Lines: []string{"0 V"}}}}
		}
		d, err := Draw(c, over)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, &c, d)
		var first, second bytes.Buffer
		if err := d.WriteSVG(&first, Format{}); err != nil {
			t.Fatal(err)
		}
		wellFormed(t, first.Bytes())
		again, err := Draw(c, over)
		if err != nil {
			t.Fatal(err)
		}
		if err := again.WriteSVG(&second, Format{}); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("drawn otherwise the second time; %v", err)
		}
	})
}

// wellFormed reads a picture as XML.
func wellFormed(t interface{ Fatalf(string, ...any) }, text []byte) {
	for read := xml.NewDecoder(bytes.NewReader(text)); ; {
		_, err := read.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("no XML: %v", err)
		}
	}
}
