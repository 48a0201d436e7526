package form

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode"
)

// Reference gives the tables of a handbook for the pages that [Read] takes
// into target, as Markdown: a heading for each struct, and under it a row for
// each key: what it is, how it is written, whether it is required. Like
// [Read], it panics when target is not a pointer to a struct of a form.
func Reference(target any) string {
	s, err := targetShape(target)
	if err != nil {
		panic(err)
	}
	all := records(s)
	names := names(all)
	var b strings.Builder
	for i, one := range all {
		if i > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "## %s\n\n", heading(names[one]))
		if one.doc != "" {
			fmt.Fprintf(&b, "%s\n\n", one.doc)
		}
		b.WriteString("| key | what | written as | required |\n|---|---|---|---|\n")
		for i := range one.fields {
			f := &one.fields[i]
			required := ""
			if f.required {
				required = "yes"
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", f.key, cell(f.doc), cell(writtenAs(f, names, inMarkdown)), required)
		}
	}
	return b.String()
}

// records lists the record shapes that belong to s, in the order in which a
// reader of the page meets them. The first is s itself.
func records(s *shape) []*shape {
	var all []*shape
	var visit func(*shape)
	visit = func(s *shape) {
		switch s = s.pointed(); s.kind {
		case list, pairs:
			visit(s.elem)
		case record:
			if slices.Contains(all, s) {
				return
			}
			all = append(all, s)
			for i := range s.fields {
				visit(s.fields[i].shape)
			}
		}
	}
	visit(s)
	return all
}

// names gives each record a name of its own: that of its Go type, with a
// number where there would be two of one name.
func names(all []*shape) map[*shape]string {
	given := make(map[*shape]string, len(all))
	used := map[string]bool{}
	for _, s := range all {
		plain := strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return r
			}
			return -1
		}, s.goType.Name())
		if plain == "" {
			plain = "Part"
		}
		name := plain
		for n := 2; used[name]; n++ {
			name = fmt.Sprint(plain, n)
		}
		used[name] = true
		given[s] = name
	}
	return given
}

// heading turns the name of a Go type into words: "PowerTree" into "Power
// tree", "ROMImage" into "ROM image".
func heading(name string) string {
	letters := []rune(name)
	var b strings.Builder
	for i, r := range letters {
		nextLower := i+1 < len(letters) && unicode.IsLower(letters[i+1])
		switch {
		case i == 0:
			r = unicode.ToUpper(r)
		case unicode.IsUpper(r) && (nextLower || unicode.IsLower(letters[i-1])):
			b.WriteByte(' ')
			if nextLower || i+1 == len(letters) {
				r = unicode.ToLower(r)
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}

// cell makes a text fit for a cell of a table.
func cell(s string) string {
	return strings.NewReplacer("|", `\|`, "\n", " ").Replace(s)
}

// A style says how a description shows typed characters and other structs.
type style struct {
	typed  func(string) string
	record func(name string) string
}

var (
	plainly    = style{typed: func(s string) string { return s }, record: heading}
	inMarkdown = style{
		typed: func(s string) string { return "`" + s + "`" },
		record: func(name string) string {
			name = heading(name)
			return fmt.Sprintf("[%s](#%s)", name, strings.ReplaceAll(strings.ToLower(name), " ", "-"))
		},
	}
)

// writtenAs says in a few words how the value of a field is written.
func writtenAs(f *field, names map[*shape]string, in style) string {
	words := form(f.shape, f.lone, names, in)
	if leaf := f.leaf().kind; f.like != "" && leaf != choice && leaf != yesNo {
		words += ", such as " + in.typed(f.like)
	}
	return words
}

// form says in a few words how a shape is written.
func form(s *shape, lone bool, names map[*shape]string, in style) string {
	s = s.pointed()
	switch s.kind {
	case list:
		one := form(s.elem, false, names, in)
		if lone {
			return one + ", or a list of these"
		}
		return "list of: " + one
	case pairs:
		return "names, each with: " + form(s.elem, false, names, in)
	case record:
		name := in.record(names[s])
		if !s.short {
			return name
		}
		if written := s.written(); written != "" {
			return name + ", or " + written
		}
		return name + ", or one word"
	case choice:
		words := make([]string, len(s.words))
		for i, w := range s.words {
			words[i] = in.typed(w)
		}
		return "one of " + strings.Join(words, ", ")
	case yesNo:
		return in.typed("yes") + " or " + in.typed("no")
	case integer:
		return "whole number"
	case number:
		return "number"
	case special:
		if written := s.written(); written != "" {
			return written
		}
	}
	return "text"
}

// written says how a type with a parser of its own is written.
func (s *shape) written() string {
	if w, ok := reflect.New(s.goType).Interface().(Written); ok {
		return w.Written()
	}
	return quantityWritten(s.goType, s.unit)
}
