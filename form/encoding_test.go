package form_test

import (
	"encoding/binary"
	"errors"
	"strings"
	"testing"
	"unicode/utf16"

	"halfsplit/form"
)

// wide writes a text as UTF-16.
func wide(order binary.AppendByteOrder, mark bool, text string) string {
	var b []byte
	if mark {
		b = order.AppendUint16(b, 0xfeff)
	}
	for _, unit := range utf16.Encode([]rune(text)) {
		b = order.AppendUint16(b, unit)
	}
	return string(b)
}

// Bytes that cannot be shown in a file of cases.
func TestBytes(t *testing.T) {
	for _, c := range []struct{ name, page, want string }{
		{"byte-order mark", "\ufeffsheet: 1\n", ""},
		{"byte-order mark and a mistake", "\ufeffsheet: x\n", `p:1:8: "sheet": "x" is not a whole number; write digits only, such as 16`},
		{"CR LF", "sheet: 1\r\nmodel:\r\n  maker: a\r\n  name: b\r\n", ""},
		{"CR LF and a mistake", "sheet: 1\r\nmodel:\r\n  maker: a\r\n  nmae: b\r\n", `p:4:3: unknown key "nmae"; did you mean "name"?`},
		{"CR LF and a syntax error", "sheet: 1\r\nnotes: @a\r\n", `p:2:8: a value cannot begin with "@"; quote it: "@a"`},
		{"CR alone", "sheet: 1\rcolor: x", `p:2:1: unknown key "color"; known here: sheet, model, rails, parts, blocks, notes, codes`},
		{"no line end", "sheet: 1", ""},
		{"columns count characters", "sheet: 1\nmodel: {maker: µΩ±, nom: ü}", "p:2:8: the key \"name\" is missing; write \"name: VT-9\"\np:2:21: unknown key \"nom\"; known here: maker, name, year, mains"},
		{"Latin-1", "sheet: 1\nnotes: 47 \xb5F", `p:2:11: the byte 0xB5 is not UTF-8 text; in the older Latin-1 encoding it is 'µ': save the file as UTF-8`},
		{"not UTF-8", "sheet: 1\nnotes: \x80", `p:2:8: the byte 0x80 is not UTF-8 text; save the file as UTF-8`},
		{"surrogate", "notes: \xed\xa0\x80", "p:1:8: the byte 0xED is not UTF-8 text; in the older Latin-1 encoding it is 'í': save the file as UTF-8\n" +
			"p:1:9: the byte 0xA0 is not UTF-8 text; save the file as UTF-8\np:1:10: the byte 0x80 is not UTF-8 text; save the file as UTF-8"},
		{"NUL", "sheet: 1\nnotes: a\x00b", `p:2:9: the control character U+0000 cannot stand on a page; delete it`},
		{"escape", "sheet: \x1b[1m", `p:1:8: the control character U+001B cannot stand on a page; delete it`},
		{"line separator", "sheet: 1\nnotes: a\u2028b", `p:2:9: the invisible line separator U+2028 cannot stand on a page; delete it, or begin a new line`},
		{"no character", "notes: \uffff", `p:1:8: U+FFFF is not a character; delete it`},
		{"no-break space after the colon", "sheet: 1\nmodel:\n  maker:\u00a0a\n  name: b", `p:3:8: a space is missing after the colon; write "maker: a"`},
		{"UTF-16, marked, low byte first", wide(binary.LittleEndian, true, "sheet: 1\n"), `p:1:1: the file is UTF-16 text; save it as UTF-8`},
		{"UTF-16, marked, high byte first", wide(binary.BigEndian, true, "sheet: 1\n"), `p:1:1: the file is UTF-16 text; save it as UTF-8`},
		{"UTF-16, low byte first", wide(binary.LittleEndian, false, "sheet: 1\n"), `p:1:1: the file is UTF-16 text; save it as UTF-8`},
		{"UTF-16, high byte first", wide(binary.BigEndian, false, "sheet: 1\n"), `p:1:1: the file is UTF-16 text; save it as UTF-8`},
		{"only a byte-order mark", "\ufeff", `p:1:1: the file is empty; a service sheet begins with "sheet: 1"`},
		{"blank", " \n\n\t\n", `p:1:1: the file is empty; a service sheet begins with "sheet: 1"`},
		{"too large", "sheet: 1\n" + strings.Repeat("# filling\n", 1<<19), `p: the file has 5242889 bytes, and a page may have 4194304; keep measured data in files of their own`},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ""
			if err := form.Read("p", []byte(c.page), &sheet{}); err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// Pages that are meant to exhaust the reader are refused, or read, like others.
func TestExcess(t *testing.T) {
	repeat := func(s string) string { return strings.Repeat(s, 1<<16/len(s)) }
	nest := func(levels int, inmost string) string {
		return strings.Repeat("{name: a, inside: [", levels) + inmost + strings.Repeat("]}", levels)
	}
	laughs := "sheet: 1\nblocks:\n  - &b0 {name: a}\n"
	list := []string{"*b0"}
	for i := range 20 {
		laughs += "  - &b" + string(rune('a'+i)) + " {name: a, inside: [" + strings.Join(append(list, list...), ", ") + "]}\n"
		list = []string{"*b" + string(rune('a'+i))}
	}
	const deep = "lists and mappings stand more than 64 deep within each other"
	for _, c := range []struct{ name, page, want string }{
		{"brackets", repeat("["), deep},
		{"braces", repeat("{a: "), deep},
		{"dashes", repeat("- "), deep},
		{"colons", repeat(": : :"), ""},
		{"spaced colons", repeat(": "), deep},
		{"question marks", repeat("? "), deep},
		{"deep but allowed", "sheet: 1\nblocks: [" + nest(30, "{name: a}") + "]", ""},
		{"too deep", "sheet: 1\nblocks: [" + nest(31, "{name: a}") + "]", deep},
		{"deep through aliases", "sheet: 1\nblocks: [&a " + nest(14, "{name: a}") + ", &b " + nest(14, "*a") + "]", ""},
		{"too deep through aliases", "sheet: 1\nblocks: [&a " + nest(14, "{name: a}") + ", &b " + nest(14, "*a") + ", " + nest(14, "*b") + "]", deep},
		{"a billion laughs", laughs, "the aliases of this page repeat more than 20000 values"},
		{"quotes", repeat(`"`), ""},
		{"an open quote", "sheet: 1\nnotes: \"" + repeat("a "), "the quote that opens here is never closed"},
		{"backslashes", `"` + repeat(`\`), ""},
		{"tabs", repeat("\t"), "the file is empty"},
		{"tags", repeat("!"), ""},
		{"anchors", repeat("&a "), ""},
		{"stars", repeat("*a "), ""},
		{"pipes", repeat("|"), ""},
		{"percent", repeat("%"), ""},
		{"documents", repeat("---\n"), ""},
		{"directives", repeat("%TAG ! a\n"), ""},
		{"unknown keys", repeat("a: b\n"), ""},
		{"different unknown keys", func() string {
			var b strings.Builder
			for i := range 5000 {
				b.WriteString(strings.Repeat("x", i%9+1) + strings.Repeat("y", i/9%9) + strings.Repeat("z", i/81%99) + ": 1\n")
			}
			return b.String()
		}(), "there are more than 1000 mistakes; reading stopped here"},
		{"syntax errors in every part", func() string {
			var b strings.Builder
			for range 5000 {
				b.WriteString("a: @\n")
			}
			return b.String()
		}(), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := form.Read("p", []byte(c.page), &sheet{})
			var problems form.Problems
			if err != nil && !errors.As(err, &problems) {
				t.Fatalf("not a list of problems: %v", err)
			}
			if c.name == "deep but allowed" || c.name == "deep through aliases" {
				if err != nil {
					t.Error(err)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), c.want) && !contains(problems, c.want) {
				t.Errorf("got %v\nwant %s", err, c.want)
			}
		})
	}
}

// contains tells whether one of the problems has a message with a text in it.
func contains(problems form.Problems, text string) bool {
	for _, p := range problems {
		if strings.Contains(p.Message, text) {
			return true
		}
	}
	return false
}
