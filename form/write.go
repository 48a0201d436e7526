package form

import (
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"
)

// A Completed page is a struct that its package completes after it was read,
// such as a part of a circuit with what the list of parts says of it. OnPage
// gives the struct as it should stand on a page: a pointer of the same type.
type Completed interface{ OnPage() any }

// Write gives the page that [Read] takes into a struct like the one that target
// points to. Keys stand in the order of the struct, and what is empty is left
// out. A short mapping stands on one line, a list of mappings has one a line,
// and text is in quotes only where it would be read as something else.
//
// A word is written as it was typed, and so are limits and other values that
// keep their text; a quantity, which keeps none, in engineering notation
// (4.7 kΩ for 4k7). Reading the page gives the same values again; places are
// those on the new page.
//
// The error is what Read would say of the page that was written, such as a key
// that is missing, or names a value that cannot stand on a page, such as text
// that is not UTF-8. The page is given all the same, so that the places in the
// error can be shown. Like Read, Write panics when target is not a pointer to a
// struct of a form.
func Write(target any) ([]byte, error) {
	s, v := written(target)
	var w pageWriter
	w.record(s, v, 0)
	if s.empty(v) {
		w.WriteString("{}\n")
	}
	page := []byte(w.String())
	return page, readsBack(s, v, page)
}

// Line gives a struct as a mapping in braces on a single line, such as
//
//	{measure: TP3, reads: 4.62 V, state: {on for: 12 min}}
//
// in which a log or a table can keep it. [Read] takes the line into a struct of
// the same type. Line checks nothing: a value that cannot stand on a page is
// written as it prints, and reading the line says what is wrong with it. Like
// Read, Line panics when target is not a pointer to a struct of a form.
func Line(target any) string {
	s, v := written(target)
	return s.flow(v)
}

// written gives the shape and value of a struct to be written.
func written(target any) (*shape, reflect.Value) {
	s, err := targetShape(target)
	if err == nil && reflect.ValueOf(target).IsNil() {
		err = fmt.Errorf("form: the target is a nil %T", target)
	}
	if err != nil {
		panic(err)
	}
	if done, ok := target.(Completed); ok {
		target = done.OnPage()
	}
	return s, reflect.ValueOf(target).Elem()
}

// readsBack reads a page that was written, and compares it with its source.
func readsBack(s *shape, v reflect.Value, page []byte) error {
	again := reflect.New(s.goType)
	if err := Read("", page, again.Interface()); err != nil {
		return err
	}
	var problems Problems
	if path, same := s.same(v, again.Elem()); !same {
		problems.Add(Place{}, fmt.Sprintf("%s cannot stand on a page as it is", strings.TrimPrefix(path, ": ")), "text is UTF-8, and a number is finite")
	}
	return problems.Err()
}

const (
	widest = 110 // characters of a line up to which a mapping or list stays on it
	indent = "  "
)

// A pageWriter writes a page line by line.
type pageWriter struct{ strings.Builder }

// record writes the keys of a struct, one or more lines each. Lists of mappings
// at the margin stand apart from what is around them.
func (w *pageWriter) record(s *shape, v reflect.Value, depth int) {
	apart := false
	for i, f := range s.present(v) {
		value := v.FieldByIndex(f.index)
		spread := depth == 0 && f.shape.spread(value)
		switch {
		case i > 0 && (spread || apart):
			w.WriteString("\n")
			fallthrough
		case i > 0:
			w.WriteString(strings.Repeat(indent, depth))
		}
		apart = spread
		w.WriteString(f.key + ":")
		w.value(f.shape, value, f.lone, depth, utf8.RuneCountInString(f.key)+1)
	}
}

// value writes a value after its key, of which so many characters stand on the
// line, and ends the line.
func (w *pageWriter) value(s *shape, v reflect.Value, lone bool, depth, before int) {
	for s.pointer != nil && !v.IsNil() {
		s, v = s.pointer, v.Elem()
	}
	text := s.line(v, lone)
	if s.kind < list || s.brief(v) != "" || s.empty(v) || !s.spread(v) && len(indent)*depth+before+1+utf8.RuneCountInString(text) <= widest {
		w.WriteString(" " + text + "\n")
		return
	}
	w.WriteString("\n")
	depth++
	switch s.kind {
	case record:
		w.WriteString(strings.Repeat(indent, depth))
		w.record(s, v, depth)
	case pairs:
		for i := range v.Len() {
			key := quoteText(v.Index(i).Field(0).Interface().(Word).Text, true, false)
			w.WriteString(strings.Repeat(indent, depth) + key + ":")
			w.value(s.elem, v.Index(i).Field(1), false, depth, utf8.RuneCountInString(key)+1)
		}
	case list:
		for i := range v.Len() {
			w.WriteString(strings.Repeat(indent, depth) + "-")
			w.item(s.elem, v.Index(i), depth)
		}
	}
}

// item writes an item of a list after its dash, and ends the line.
func (w *pageWriter) item(s *shape, v reflect.Value, depth int) {
	for s.pointer != nil && !v.IsNil() {
		s, v = s.pointer, v.Elem()
	}
	text := s.line(v, false)
	if s.kind != record || s.brief(v) != "" || s.empty(v) || !s.spread(v) && len(indent)*(depth+1)+utf8.RuneCountInString(text) <= widest {
		w.WriteString(" " + text + "\n")
		return
	}
	w.WriteString(" ")
	w.record(s, v, depth+1)
}

// spread tells whether a value has a list or a mapping of mappings in it, which
// is easier to read with one of them a line.
func (s *shape) spread(v reflect.Value) bool {
	for s.pointer != nil {
		if v.IsNil() {
			return false
		}
		s, v = s.pointer, v.Elem()
	}
	switch s.kind {
	case list, pairs:
		elem := s.elem.pointed().kind
		return v.Len() > 0 && (elem == record || elem == pairs || s.kind == pairs && elem == list)
	case record:
		for _, f := range s.present(v) {
			if f.shape.spread(v.FieldByIndex(f.index)) {
				return true
			}
		}
	}
	return false
}

// empty tells whether nothing stands in a list or mapping.
func (s *shape) empty(v reflect.Value) bool {
	if s.kind == record {
		return len(s.present(v)) == 0
	}
	return v.Len() == 0
}
