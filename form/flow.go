package form

import (
	"encoding"
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// Brief may be added to a [Shorthand] to be written as the single word that
// Short takes in, where that says all. Brief gives "" where it does not.
type Brief interface{ Brief() string }

// flow gives a value as it stands within brackets.
func (s *shape) flow(v reflect.Value) string { return s.inBrackets(v, false) }

// inBrackets gives a value as it stands within brackets, a list of one item
// without brackets of its own where lone allows that.
func (s *shape) inBrackets(v reflect.Value, lone bool) string {
	for s.pointer != nil {
		if v.IsNil() {
			return `""`
		}
		s, v = s.pointer, v.Elem()
	}
	var parts []string
	switch s.kind {
	case list:
		for i := range v.Len() {
			parts = append(parts, s.elem.inBrackets(v.Index(i), false))
		}
		if elem := s.elem.pointed(); lone && len(parts) == 1 && (elem.kind < list || elem.short && !strings.HasPrefix(parts[0], "{")) {
			return parts[0]
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case pairs:
		for i := range v.Len() {
			key := v.Index(i).Field(0).Interface().(Word).Text
			parts = append(parts, quoteText(key, true, true)+": "+s.elem.inBrackets(v.Index(i).Field(1), false))
		}
	case record:
		if brief := s.brief(v); brief != "" {
			return quoteText(brief, true, true)
		}
		for _, f := range s.present(v) {
			parts = append(parts, f.key+": "+f.shape.inBrackets(v.FieldByIndex(f.index), f.lone))
		}
	default:
		return quoteText(s.typed(v), s.kind == text || s.kind == word, true)
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// line gives a value as it stands on the line of its key.
func (s *shape) line(v reflect.Value, lone bool) string {
	if lone && s.kind == list && v.Len() == 1 {
		if one := s.inBrackets(v, true); !strings.HasPrefix(one, "[") {
			return s.elem.line(v.Index(0), false)
		}
	}
	if s.kind < list {
		return quoteText(s.typed(v), s.kind == text || s.kind == word, false)
	}
	if brief := s.brief(v); brief != "" {
		return quoteText(brief, true, false)
	}
	return s.inBrackets(v, lone)
}

// brief gives the single word that a record may be written as, or "".
func (s *shape) brief(v reflect.Value) string {
	if s.kind != record || !s.short {
		return ""
	}
	if b, ok := pointerTo(v).(Brief); ok {
		return b.Brief()
	}
	return ""
}

// present gives the fields of a record that are to be written: those that are
// required, then those that hold something, those to come last at the end.
func (s *shape) present(v reflect.Value) []*field {
	var fields, last []*field
	for i := range s.fields {
		f := &s.fields[i]
		switch {
		case !f.required && f.shape.nothing(v.FieldByIndex(f.index)):
		case f.last:
			last = append(last, f)
		default:
			fields = append(fields, f)
		}
	}
	return append(fields, last...)
}

// nothing tells whether a value is what it is when its key is absent.
func (s *shape) nothing(v reflect.Value) bool {
	switch {
	case s.pointer != nil:
		return v.IsNil()
	case s.kind == list || s.kind == pairs:
		return v.Len() == 0
	case s.kind == word:
		return v.Interface().(Word).Text == ""
	case s.kind == record:
		for i := range s.fields {
			if f := &s.fields[i]; !f.shape.nothing(v.FieldByIndex(f.index)) {
				return false
			}
		}
		return true
	}
	return v.IsZero()
}

// typed gives a single value as one would type it.
func (s *shape) typed(v reflect.Value) string {
	switch s.kind {
	case text, choice:
		return v.String()
	case word:
		return v.Interface().(Word).Text
	case yesNo:
		if v.Bool() {
			return "yes"
		}
		return "no"
	case integer:
		return strconv.FormatInt(v.Int(), 10)
	case number:
		return strconv.FormatFloat(v.Float(), 'g', -1, 64)
	}
	value := pointerTo(v)
	if m, ok := value.(encoding.TextMarshaler); ok {
		if typed, err := m.MarshalText(); err == nil {
			return string(typed)
		}
	}
	return fmt.Sprint(value)
}

// pointerTo gives a pointer to a value, or to a copy of one that has no place.
func pointerTo(v reflect.Value) any {
	if !v.CanAddr() {
		copied := reflect.New(v.Type())
		copied.Elem().Set(v)
		return copied.Interface()
	}
	return v.Addr().Interface()
}

// same tells whether two values would stand on a page in the same way; if not,
// path says where they differ.
func (s *shape) same(a, b reflect.Value) (path string, same bool) {
	switch {
	case s.pointer != nil && (a.IsNil() || b.IsNil()):
		return "", a.IsNil() == b.IsNil()
	case s.pointer != nil:
		return s.pointer.same(a.Elem(), b.Elem())
	case s.kind == record:
		for i := range s.fields {
			f := &s.fields[i]
			if path, same := f.shape.same(a.FieldByIndex(f.index), b.FieldByIndex(f.index)); !same {
				return fmt.Sprintf(": %q%s", f.key, path), false
			}
		}
		return "", true
	case s.kind == list || s.kind == pairs:
		if a.Len() != b.Len() {
			return "", false
		}
		for i := range a.Len() {
			one, other := a.Index(i), b.Index(i)
			if s.kind == pairs {
				if one.Field(0).Interface().(Word).Text != other.Field(0).Interface().(Word).Text {
					return fmt.Sprintf(", key %d", i+1), false
				}
				one, other = one.Field(1), other.Field(1)
			}
			if path, same := s.elem.same(one, other); !same {
				return fmt.Sprintf(", item %d%s", i+1, path), false
			}
		}
		return "", true
	case s.kind == number:
		return "", a.Float() == b.Float()
	}
	return "", s.typed(a) == s.typed(b)
}
