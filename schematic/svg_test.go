package schematic

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"halfsplit/fault"
	"halfsplit/wiring"
)

var update = flag.Bool("update", false, "write the drawings into testdata, to be looked at")

// svg writes a drawing.
func svg(t testing.TB, d *Drawing, how Format) string {
	t.Helper()
	var b bytes.Buffer
	if err := d.WriteSVG(&b, how); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The drawings of the example circuits, which were looked at as pictures.
func TestExamplesGolden(t *testing.T) {
	all := sheets(t)
	for name, file := range map[string]string{"p6.sheet.yaml, supply": "p6-supply.svg", "vt9.sheet.yaml, supply": "vt9-supply.svg"} {
		d, err := Draw(all[name], nil)
		if err != nil {
			t.Fatal(err)
		}
		golden(t, file, svg(t, d, Format{}))
	}
}

// A drawing with an overlay: suspects with their bars, readings beside what is
// expected, and where to measure next.
func TestOverlayGolden(t *testing.T) {
	d, err := Draw(sheets(t)["p6.sheet.yaml, supply"], &Overlay{
		Parts: map[string]Suspect{
			"C1": {Strength: 0.71, Text: "71 %", Tone: Bad}, "BR1": {Strength: 0.18, Text: "18 %", Tone: Doubt}, "U1": {Strength: 0.04, Text: "4 %"}, "C2": {Strength: 0, Text: "cleared", Tone: Good},
		},
		Nodes: map[string]Reading{
			"raw plus": {Lines: []string{"✗ read 17.2 V", "expected 22.9 V"}, Tone: Bad},
			"+15":      {Lines: []string{"? read 14.3 V", "expected 15.0 V"}, Tone: Doubt},
			"-15":      {Lines: []string{"✓ read −15.02 V"}, Tone: Good},
			"ac1":      {Lines: []string{"measure next"}, Flag: true},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "overlay.svg", svg(t, d, Format{}))
}

// golden compares a text with a file of testdata.
func golden(t *testing.T, file, got string) {
	t.Helper()
	name := filepath.Join("testdata", file)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s is drawn otherwise (-want +got); look at it as a picture before -update:\n%s", file, diff)
	}
}

// every is a circuit with one part of every kind that there is.
func every() Circuit {
	c := Circuit{Name: "every kind", Ground: "gnd"}
	add := func(kind string, n int) {
		p := Part{Name: kind, Kind: kind}
		for k := range n {
			p.Nodes = append(p.Nodes, string(rune('a'+k))+fmt.Sprint(len(c.Parts)))
		}
		i := len(c.Parts)
		p.Spot = &Spot{Column: i%9 + 1, Row: float64(i/9)*1.75 + 1, Way: markOf(&p, make([]bool, n/2)).natural}
		c.Parts = append(c.Parts, p)
	}
	for _, k := range wiring.Kinds() {
		switch {
		case k.Windings:
			add(k.Name, 4)
			add(k.Name, 6)
		case len(k.Nodes) == 5:
			least := map[string]int{"op-amp": 3, "relay": 4}[k.Name]
			add(k.Name, least)
			add(k.Name, 5)
		default:
			add(k.Name, len(k.Nodes))
		}
	}
	for _, k := range fault.Kinds() {
		if _, ok := wiring.Find(k.Name); !ok {
			add(k.Name, 2)
			add(k.Name, 5)
		}
	}
	return c
}

// Every kind that a circuit can hold has a mark of its own, and what has none is
// a box that says what it is.
func TestEveryKindHasAMark(t *testing.T) {
	for _, k := range wiring.Kinds() {
		p := Part{Kind: k.Name, Nodes: k.Nodes}
		var near []bool
		if k.Windings {
			p.Nodes, near = []string{"a", "b", "c", "d"}, []bool{true, false}
		}
		m := markOf(&p, near)
		if len(m.pins) != len(p.Nodes) || len(m.strokes) == 0 {
			t.Errorf("%s: %d pins for %d nodes", k.Name, len(m.pins), len(p.Nodes))
		}
		for _, text := range m.texts {
			if text.Text == k.Name {
				t.Errorf("%s is drawn as a box", k.Name)
			}
		}
	}
	c := every()
	d, err := Draw(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, &c, d)
	golden(t, "every-kind.svg", svg(t, d, Format{}))
}

// Whatever somebody writes, it stays text: no name opens a tag or leaves an
// attribute.
func TestTextIsEscaped(t *testing.T) {
	nasty := `<script>alert("1")</script>&'` + "\x00\xff"
	c := Circuit{Name: nasty, Ground: "gnd", Points: []Point{{Name: nasty, Node: nasty}}, Parts: []Part{
		{Name: nasty, Kind: nasty, Lines: []string{nasty}, Nodes: []string{nasty, "gnd"}},
		{Name: "R1", Kind: "resistor", Nodes: []string{nasty, "gnd"}},
	}}
	d, err := Draw(c, &Overlay{Parts: map[string]Suspect{"R1": {Strength: 1, Text: nasty, Tone: Tone(nasty)}}, Nodes: map[string]Reading{nasty: {Lines: []string{nasty}}}})
	if err != nil {
		t.Fatal(err)
	}
	got := svg(t, d, Format{Prefix: "a-"})
	wellFormed(t, []byte(got))
	if strings.Contains(got, "<script") || strings.Contains(got, `"1"`) {
		t.Error("a name has become a tag")
	}
}

// Parts and nodes can be found by a page: each has an id of its own, its name as
// data, and a title in words.
func TestPartsCanBeFound(t *testing.T) {
	c := Circuit{Name: "twins", Ground: "gnd", Parts: []Part{
		{Name: "R 1", Kind: "resistor", Lines: []string{"4k7"}, Nodes: []string{"in", "gnd"}}, {Name: "R-1", Kind: "resistor", Nodes: []string{"in", "gnd"}}, {Name: "R.1", Kind: "resistor", Nodes: []string{"in", "gnd"}},
	}}
	d, err := Draw(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := svg(t, d, Format{Within: true, Prefix: "c1-"})
	for _, want := range []string{`id="c1-part-R-1"`, `id="c1-part-R-1-2"`, `id="c1-part-R-1-3"`, `data-part="R 1"`, `data-node="in"`, `<title>R 1, resistor, 4k7: in, gnd</title>`, `<title>node in</title>`} {
		if strings.Count(got, want) != 1 {
			t.Errorf("%d times %s", strings.Count(got, want), want)
		}
	}
	if strings.Contains(got, "<style>") || strings.Contains(got, "sk-paper") {
		t.Error("within a page the style is the page's")
	}
}

// What cannot be drawn is refused with what would be right.
func TestRefused(t *testing.T) {
	one := Circuit{Ground: "gnd", Parts: []Part{{Name: "R1", Kind: "resistor", Nodes: []string{"a", "gnd"}}}}
	for _, c := range []struct {
		circuit Circuit
		over    *Overlay
		want    string
	}{
		{Circuit{}, nil, "no parts"},
		{Circuit{Parts: []Part{{Name: "R1", Kind: "resistor"}}}, nil, `part "R1" names no nodes`},
		{one, &Overlay{Parts: map[string]Suspect{"R2": {}}}, `part "R2", which the circuit does not have`},
		{one, &Overlay{Parts: map[string]Suspect{"R1": {Strength: 1.2}}}, "strength of 1.2"},
		{one, &Overlay{Nodes: map[string]Reading{"b": {}}}, `node "b", which the circuit does not have`},
	} {
		if _, err := Draw(c.circuit, c.over); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v; want %q", err, c.want)
		}
	}
}
