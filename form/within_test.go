package form

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A probe is a value that reports a mistake at a byte of itself.
type probe struct{ offset int }

func (p *probe) ReadForm(s Scalar) error {
	if p.offset >= 0 {
		return &Mistake{Offset: p.offset, Message: "here"}
	}
	return nil
}

// A mark is a piece of a value as it is written and as it is read.
type mark struct{ written, read string }

var plainMarks = []mark{{"a", "a"}, {"µ", "µ"}, {"7", "7"}, {" b", " b"}, {"'x", "'x"}, {"Ω", "Ω"}, {"\n   c", " c"}, {"  \n\n\n    d", "\n\nd"}}
var doubleMarks = []mark{{"a", "a"}, {`\"`, `"`}, {`\\`, `\`}, {`\t`, "\t"}, {`\x41`, "A"}, {`\u00b5`, "µ"}, {`\U0001F600`, "😀"}, {"Ω", "Ω"}, {" b", " b"}, {"'", "'"}, {"\n  c", " c"}, {"\n  \\\"", " \""}, {"\n\n  \\x41", "\nA"}}
var singleMarks = []mark{{"a", "a"}, {"''", "'"}, {`\`, `\`}, {`"`, `"`}, {"µ", "µ"}, {" b", " b"}, {"\n  c", " c"}}

// The place of a mistake within a value is exact in every way of writing it:
// the value is put together from pieces, so that the place of each is known.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		name, before, after string
		marks               []mark
		pieces              string
	}{
		{"plain", "k: ", "", plainMarks, "a"},
		{"plain, anchored", "l: [&n 1, *n]\nk: &m ", "\nl2: *m", plainMarks, "a"},
		{"double quotes", `k: "`, `"`, doubleMarks, ""},
		{"single quotes", `k: '`, `'`, singleMarks, ""},
		{"in brackets", "m: [x, \"", "\"]", doubleMarks, ""},
		{"text block", "k: |\n  ", "", []mark{{"a", "a"}, {"µ", "µ"}, {" b", " b"}, {"\n  c", "\nc"}, {"\n\n    d", "\n\n  d"}, {`"`, `"`}}, "a"},
		{"folded block", "k: >\n  ", "", []mark{{"a", "a"}, {"µ", "µ"}, {" b", " b"}, {"\n  c", " c"}, {"\n\n  d", "\nd"}}, "a"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				pieces := rapid.SliceOfN(rapid.SampledFrom(c.marks), 1, 12).Draw(t, "pieces")
				pieces = append([]mark{{"s", "s"}}, pieces...)
				wrong := rapid.IntRange(0, len(pieces)-1).Draw(t, "wrong piece")
				page, offset, column := c.before, 0, Place{}
				for i, piece := range pieces {
					if i == wrong {
						begin := strings.TrimLeft(piece.written, " \n")
						offset += len(piece.read) - len(strings.TrimLeft(piece.read, " \n"))
						column = end(page + strings.TrimSuffix(piece.written, begin))
					}
					page += piece.written
					if i < wrong {
						offset += len(piece.read)
					}
				}
				page += c.after + "\n"
				if got := placeOf(t, page, offset); got != column {
					t.Fatalf("mistake at byte %d of the value in %q: got %v, want %v", offset, page, got, column)
				}
			})
		})
	}
}

// end gives the place after a text.
func end(text string) Place {
	l := newLines(text)
	return l.place(len(text))
}

// placeOf gives the place of the one problem on a page whose values are all
// wrong at an offset.
func placeOf(t *rapid.T, page string, offset int) Place {
	var target struct {
		K  probe   `form:"k"`
		L  []int   `form:"l"`
		L2 string  `form:"l2"`
		M  []probe `form:"m"`
	}
	s, err := targetShape(&target)
	if err != nil {
		t.Fatal(err)
	}
	target.K.offset = offset
	l := newLines(page)
	root, _, problems := l.parseAll()
	if problems != nil {
		t.Fatalf("%q: %v", page, problems)
	}
	if strings.HasPrefix(page, "m:") {
		node := root.Content[1].Content[1]
		return l.within(node, offset)
	}
	d := decoder{lines: l, root: root}
	d.record(&entry{node: root}, s, reflect.ValueOf(&target).Elem())
	if len(d.problems) != 1 {
		t.Fatalf("%q: %d problems: %v", page, len(d.problems), d.problems)
	}
	return d.problems[0].Place()
}

// The places of a text and its bytes belong to each other, whatever the order
// in which they are asked for.
func TestPlacesAndOffsets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{"a", "µ", "\n", "\r\n", "\r", "😀", " "})).Draw(t, "text"), "")
		l := newLines(text)
		var offsets []int
		for i := range text {
			if text[i] != '\n' && text[i] != '\r' {
				offsets = append(offsets, i)
			}
		}
		if len(offsets) == 0 {
			return
		}
		for _, offset := range rapid.Permutation(offsets).Draw(t, "order") {
			at := l.place(offset)
			if got := l.offset(at); got != offset {
				t.Fatalf("byte %d of %q is at %v, and there is byte %d", offset, text, at, got)
			}
			breaks := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text[:offset])
			if want := strings.Count(breaks, "\n") + 1; at.Line != want {
				t.Fatalf("byte %d of %q: line %d, want %d", offset, text, at.Line, want)
			}
		}
	})
}

// The edit distance by its definition, without the table, for short words.
func TestDistance(t *testing.T) {
	var slow func(a, b string) int
	slow = func(a, b string) int {
		if a == "" || b == "" {
			return len(a) + len(b)
		}
		x, y := a[len(a)-1], b[len(b)-1]
		change := 1
		switch {
		case x == y:
			change = 0
		case x <= '9' && y <= '9':
			change = 2
		}
		d := min(slow(a[:len(a)-1], b)+1, slow(a, b[:len(b)-1])+1, slow(a[:len(a)-1], b[:len(b)-1])+change)
		if len(a) > 1 && len(b) > 1 && a[len(a)-2:] == string([]byte{b[len(b)-1], b[len(b)-2]}) {
			d = min(d, slow(a[:len(a)-2], b[:len(b)-2])+1)
		}
		return d
	}
	// The usual examples of the literature, from memory; the last tells this
	// distance from the one that may edit swapped letters again.
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"ca", "abc", 3}} {
		if got := distance([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("from %q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	short := rapid.StringMatching(`[abc12]{0,5}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := short.Draw(t, "a"), short.Draw(t, "b")
		if got, want := distance([]rune(a), []rune(b)), slow(a, b); got != want {
			t.Fatalf("from %q to %q: %d, want %d", a, b, got, want)
		}
	})
}

// A type that cannot be part of a form is named, with what is wrong with it.
func TestTypes(t *testing.T) {
	type inner struct {
		A string `form:"a"`
	}
	type badKind string
	for _, c := range []struct {
		target any
		want   string
	}{
		{nil, "form: the target must be a pointer to a struct, not <nil>"},
		{inner{}, "form: the target must be a pointer to a struct, not form.inner"},
		{new(string), "form: the target must be a pointer to a struct, not *string"},
		{&Word{}, "form: form.Word is written as a single value and cannot be a whole page"},
		{&struct {
			A chan int `form:"a"`
		}{}, "form: struct { A chan int \"form:\\\"a\\\"\" }.A: a field of type chan int cannot be read from a page"},
		{&struct {
			inner `form:",inline"`
			A     badKind `form:"a"`
		}{}, "has the key \"a\" twice"},
		{&struct {
			A string `form:"a,lone"`
		}{}, "is tagged lone but is not a list"},
		{&struct {
			A Pairs[int] `form:"a,lone"`
		}{}, "is tagged lone but is not a list"},
		{&struct {
			A string `form:"a,optional"`
		}{}, "has the unknown option \"optional\""},
		{&struct {
			A inner `form:",inline"`
		}{}, "is tagged inline but is not an embedded struct"},
		{&struct {
			A string `form:""`
		}{}, "has no key in its form tag"},
		{&struct {
			a string `form:"a"`
		}{}, "has a form tag but is not exported"},
		{&struct {
			A probe `form:"a" unit:"volts"`
		}{}, "has the unknown unit \"volts\""},
		{&struct {
			A []int `form:"a" like:"ten"`
		}{}, "the example \"ten\" of the key \"a\" cannot be read"},
	} {
		_, err := Schema("", c.target)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%T: got %v\nwant %s", c.target, err, c.want)
		}
		func() {
			defer func() {
				if fmt.Sprint(recover()) != fmt.Sprint(err) {
					t.Errorf("%T: Read does not panic with %v", c.target, err)
				}
			}()
			_ = Read("", nil, c.target)
		}()
	}
}

func TestNilTarget(t *testing.T) {
	defer func() {
		if got := fmt.Sprint(recover()); got != "form: the target is a nil *struct { A int \"form:\\\"a\\\"\" }" {
			t.Error(got)
		}
	}()
	_ = Read("", nil, (*struct {
		A int `form:"a"`
	})(nil))
}
