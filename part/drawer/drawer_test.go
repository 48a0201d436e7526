package drawer_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/internal/drawn"
	"halfsplit/part"
	"halfsplit/part/drawer"
	"halfsplit/part/replacement"
)

func TestParse(t *testing.T) {
	page := `drawer: 1
parts:
  - 4 x 2200 uF 35 V electrolytic
  - 1000uF 25V
  - {part: 100 nF 275 V X2, count: 2, where: box 7}
  - 10 × 4k7 1% 0.25W resistor
`
	stock, err := drawer.Parse("drawer.yaml", []byte(page), replacement.Part{Kind: replacement.Capacitor, Dielectric: part.AluminiumElectrolytic})
	if err != nil || len(stock) != 4 {
		t.Fatal(stock, err)
	}
	for i, want := range []string{"4: 2200 µF 35 V aluminium electrolytic", "1: 1000 µF 25 V aluminium electrolytic", "2: 100 nF 275 V AC class X2 plastic film", "10: 4.7 kΩ ±1 % 0.25 W resistor"} {
		if got := fmt.Sprintf("%d: %v", stock[i].Count, stock[i].Part); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if stock[2].Part.Name != "box 7" {
		t.Error(stock[2])
	}
}

func TestMistakes(t *testing.T) {
	for page, want := range map[string]string{
		"":                              `begins with the line "drawer: 1"`,
		"drawer: 2\nparts: [4k7]\n":     "version 2",
		"drawer: 1\n":                   `"parts" is missing`,
		"drawer: 1\nparts:\n  - -47 uF": "drawer.yaml:3:5:",
		"drawer: 1\nparts:\n  - {part: 47 uF 0 V electrolytic}":         "rated for 0 V",
		"drawer: 1\nparts:\n  - {part: 4k7 resistor, count: -3}":        "1 or more",
		"drawer: 1\nparts:\n  - {part: 47 uF 25 V valve electrolytic}":  "valve",
		"drawer: 1\nparts:\n  - {prat: 4k7 resistor}":                   `did you mean "part"`,
		"drawer: 1\nparts:\n  - something\n  - 4k7 0.25W resistor 9 Hz": "drawer.yaml:4:5",
	} {
		_, err := drawer.Parse("drawer.yaml", []byte(page), replacement.Part{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", page, err, want)
		}
	}
	if _, err := drawer.Load("nowhere.yaml", replacement.Part{}); err == nil {
		t.Error("a file that is not there")
	}
	if _, err := drawer.Label("0 x 4k7 resistor", replacement.Part{}); err == nil {
		t.Error("none of it")
	}
}

func FuzzParse(f *testing.F) {
	f.Add("drawer: 1\nparts:\n  - 4 x 2200 uF 35 V electrolytic\n")
	f.Add("drawer: 1\nparts: [{part: 104K 100V film, count: 7, where: a}, 1 A 400 V fast rectifier]\n")
	f.Fuzz(func(t *testing.T, text string) {
		stock, err := drawer.Parse("x", []byte(text), replacement.Part{})
		if err != nil {
			return
		}
		for _, s := range stock {
			if err := s.Part.Validate(); err != nil || s.Count < 1 {
				t.Fatalf("%q: %+v, %v", text, s, err)
			}
		}
	})
}

func ExampleLabel() {
	s, err := drawer.Label("3 x 104K 100V film", replacement.Part{})
	fmt.Println(s.Count, s.Part, err)
	// Output: 3 100 nF ±10 % 100 V plastic film <nil>
}

func BenchmarkParse(b *testing.B) {
	page := []byte("drawer: 1\nparts:\n" + strings.Repeat("  - 4 x 2200 uF 35 V electrolytic\n", 200))
	for b.Loop() {
		if _, err := drawer.Parse("x", page, replacement.Part{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A drawer comes back from its page as it was, and its parts stand on it as one
// writes them.
func TestWriteAndRead(t *testing.T) {
	text, err := os.ReadFile("../../examples/drawer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var read drawer.Drawer
	if err := form.Read("drawer.yaml", text, &read); err != nil {
		t.Fatal(err)
	}
	page, err := form.Write(&read)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(written(string(text)), written(string(page))); diff != "" {
		t.Errorf("-typed +written:\n%s", diff)
	}
	rapid.Check(t, func(t *rapid.T) {
		var source drawer.Drawer
		drawn.Page(t, &source)
		drawn.Returns(t, &source, drawn.Same())
	})
}

// written gives the lines of a page without its comments and blank lines.
func written(page string) (lines []string) {
	for line := range strings.Lines(page) {
		if text := strings.TrimSpace(line); text != "" && text[0] != '#' {
			lines = append(lines, line)
		}
	}
	return lines
}
