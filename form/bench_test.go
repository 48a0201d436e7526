package form_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"halfsplit/form"
	"halfsplit/quantity"
)

// A board is a page of the size of a whole unit.
type board struct {
	Sheet int         `form:"sheet,required"`
	Parts []boardPart `form:"parts"`
}

type boardPart struct {
	Place     form.Place
	Part      form.Word           `form:"part,required"`
	Kind      kind                `form:"kind,required"`
	Value     quantity.Quantity   `form:"value" unit:"Ω"`
	Tolerance *quantity.Tolerance `form:"tolerance"`
	Power     quantity.Quantity   `form:"power" unit:"W"`
	Nodes     []form.Word         `form:"nodes"`
	Near      []form.Word         `form:"near,lone"`
	Note      string              `form:"note"`
}

// boardText writes a page of n parts, with every tenth part wrong when told.
func boardText(n int, wrong bool) []byte {
	var b strings.Builder
	b.WriteString("sheet: 1\nparts:\n")
	for i := range n {
		key := "tolerance"
		if wrong && i%10 == 0 {
			key = "tolerence"
		}
		fmt.Fprintf(&b, "  - {part: R%d, kind: resistor, value: 4k7, %s: ±5 %%, power: 0.25 W, nodes: [n%d, n%d], near: R%d}\n", i, key, i, i+1, i+7)
	}
	return []byte(b.String())
}

func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name  string
		wrong bool
	}{{"2000 parts", false}, {"2000 parts, 200 wrong", true}} {
		b.Run(c.name, func(b *testing.B) {
			text := boardText(2000, c.wrong)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				var read board
				if err := form.Read("board.yaml", text, &read); (err != nil) != c.wrong || len(read.Parts) != 2000 {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSchema(b *testing.B) {
	for b.Loop() {
		if _, err := form.Schema("service sheet", &sheet{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A megabyte of what no one would write.
func BenchmarkGarbage(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	printable := make([]byte, 1<<20)
	for i := range printable {
		printable[i] = byte(' ' + random.IntN(95))
		if random.IntN(40) == 0 {
			printable[i] = '\n'
		}
	}
	repeat := func(s string) []byte { return []byte(strings.Repeat(s, 1<<20/len(s))) }
	numbered := func(format string) []byte {
		var b strings.Builder
		for i := 0; b.Len() < 1<<20; i++ {
			fmt.Fprintf(&b, format, i)
		}
		return []byte(b.String())
	}
	for _, c := range []struct {
		name string
		text []byte
	}{
		{"printable", printable},
		{"brackets", repeat("[")},
		{"colons", repeat(": : :")},
		{"dashes", repeat("- ")},
		{"one long list", []byte("notes: [" + strings.Repeat("a,", 1<<19) + "]")},
		{"one long list of numbers 3", []byte("notes: [" + strings.Repeat("a #3,", 1<<18) + "]")},
		{"one long mapping", []byte("codes: {" + string(numbered("k%d: x, ")) + "}")},
		{"list", []byte("notes:\n" + string(repeat("- a\n")))},
		{"comments", []byte("notes:\n" + string(repeat("- a #3\n")))},
		{"unknown keys", numbered("key%d: 1\n")},
		{"wrong words", []byte("parts: [" + string(numbered("{part: R%d, kind: x}, ")) + "]")},
		{"syntax errors", repeat("a: @\n")},
		{"tabs", repeat("a:\n\tb: c\n")},
		{"quotes", repeat(`"a": `)},
		{"anchors", []byte("notes:\n" + string(numbered("- &a%d b\n")))},
		{"aliases", []byte("notes:\n- &a b\n" + string(repeat("- *a\n")))},
		{"blanks in quotes", []byte("rails: {+5: {nominal: \"5 " + string(repeat(" ")) + "x\"}}")},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.text)))
			for b.Loop() {
				_ = form.Read("garbage", c.text, &sheet{})
			}
		})
	}
}

// Writing a page reads it again, and so takes longer than reading.
func BenchmarkWrite(b *testing.B) {
	text := boardText(100, false)
	var page board
	if err := form.Read("p", text, &page); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := form.Write(&page); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSet(b *testing.B) {
	text := boardText(100, false)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := form.Set(text, "10k", "parts", "R50", "value"); err != nil {
			b.Fatal(err)
		}
	}
}
