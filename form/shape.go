package form

import (
	"encoding"
	"fmt"
	"reflect"
	"strings"
	"sync"
)

// A Reader is a type that reads itself from a single value on the page. An
// error of type [*Mistake] may say at which character of the value it is.
type Reader interface{ ReadForm(Scalar) error }

// A Choice is a string type whose values are a closed set of words. Words must
// not depend on the value it is called on.
type Choice interface{ Words() []string }

// A Shorthand is a struct type that may be written either in full, as a
// mapping, or as a single word that Short takes in. As in [Reader], the error
// may be a [*Mistake].
type Shorthand interface{ Short(Word) error }

// Written may be added to a [Reader], a [Shorthand] or a text-unmarshalling
// type to say in a few words, for schema and reference, how its single value
// is written: "a place, such as U3 or U3/14".
type Written interface{ Written() string }

// A Scalar is a single value as it stands on the page. Text is what was typed,
// without quotes and otherwise unchanged. Unit is the unit tag of its field.
type Scalar struct {
	Text   string
	Place  Place
	Quoted bool
	Unit   string
}

// kind says how a shape is written on the page.
type kind int

const (
	text    kind = iota // characters as typed: string
	word                // the same with its place: Word
	choice              // one of a set of words
	yesNo               // yes or no
	integer             // a whole number
	number              // a decimal number
	special             // a single value with a parser of its own
	list                // a slice of elem
	pairs               // free names, each with an elem
	record              // a struct
)

// A shape is what one Go type looks like on the page. The same shapes serve
// reader, schema and reference.
type shape struct {
	kind    kind
	goType  reflect.Type
	unit    string
	words   []string                          // choice
	parse   func(Scalar, reflect.Value) error // special
	pointer *shape                            // what a pointer points to, else nil
	elem    *shape                            // list, pairs
	short   bool                              // record: may be written as a single word
	doc     string                            // record
	fields  []field                           // record, in the order of the struct
	byKey   map[string]int                    // record: index into fields
	places  [][]int                           // record: fields of type Place
}

// A field is one key of a record.
type field struct {
	key            string
	doc, like      string
	required, lone bool
	last           bool // written after the others
	index          []int
	shape          *shape
}

var (
	wordType      = reflect.TypeFor[Word]()
	placeType     = reflect.TypeFor[Place]()
	readerType    = reflect.TypeFor[Reader]()
	choiceType    = reflect.TypeFor[Choice]()
	shorthandType = reflect.TypeFor[Shorthand]()
	pairType      = reflect.TypeFor[pair]()
	textType      = reflect.TypeFor[encoding.TextUnmarshaler]()
)

// known holds the shapes of the types read so far, by reflect.Type.
var known sync.Map

// shapeOf gives the shape of a type, or an error that names the field which
// cannot be part of a form: a mistake in the Go program, not on a page.
func shapeOf(t reflect.Type) (*shape, error) {
	if s, ok := known.Load(t); ok {
		return s.(*shape), nil
	}
	b := builder{done: map[shapeKey]*shape{}}
	s, err := b.shape(t, "")
	if err == nil {
		err = tryExamples(s)
	}
	if err != nil {
		return nil, fmt.Errorf("form: %w", err)
	}
	known.Store(t, s)
	return s, nil
}

// targetShape gives the shape of what a target points to.
func targetShape(target any) (*shape, error) {
	t := reflect.TypeOf(target)
	if t == nil || t.Kind() != reflect.Pointer || t.Elem().Kind() != reflect.Struct {
		return nil, fmt.Errorf("form: the target must be a pointer to a struct, not %v", t)
	}
	s, err := shapeOf(t.Elem())
	if err == nil && s.kind != record {
		err = fmt.Errorf("form: %v is written as a single value and cannot be a whole page", t.Elem())
	}
	return s, err
}

type shapeKey struct {
	t    reflect.Type
	unit string
}

// A builder makes shapes, each type (with its unit) once, so that types may
// contain themselves.
type builder struct{ done map[shapeKey]*shape }

func (b *builder) shape(t reflect.Type, unit string) (*shape, error) {
	if isRecord(t) {
		unit = "" // of no concern to the fields inside
	}
	id := shapeKey{t, unit}
	if s := b.done[id]; s != nil {
		return s, nil
	}
	s := &shape{goType: t, unit: unit}
	b.done[id] = s
	var err error
	switch {
	case t == wordType:
		s.kind = word
	case quantities[t] != nil:
		s.kind, s.parse = special, quantities[t]
	case reflect.PointerTo(t).Implements(readerType):
		s.kind, s.parse = special, readerParse
	case t.Kind() == reflect.String && reflect.PointerTo(t).Implements(choiceType):
		s.kind, s.words = choice, reflect.New(t).Interface().(Choice).Words()
	case reflect.PointerTo(t).Implements(textType):
		s.kind, s.parse = special, textParse
	case t.Kind() == reflect.Slice && t.Elem().Implements(pairType):
		s.kind = pairs
		s.elem, err = b.shape(t.Elem().Field(1).Type, unit)
	default:
		switch t.Kind() {
		case reflect.Struct:
			s.kind = record
			err = b.record(s)
		case reflect.String:
			s.kind = text
		case reflect.Bool:
			s.kind = yesNo
		case reflect.Int:
			s.kind = integer
		case reflect.Float64:
			s.kind = number
		case reflect.Slice:
			s.kind = list
			s.elem, err = b.shape(t.Elem(), unit)
		case reflect.Pointer:
			s.pointer, err = b.shape(t.Elem(), unit)
		default:
			err = fmt.Errorf("a field of type %v cannot be read from a page", t)
		}
	}
	return s, err
}

// isRecord tells whether a type is a struct that is written as a mapping.
func isRecord(t reflect.Type) bool {
	pointer := reflect.PointerTo(t)
	return t.Kind() == reflect.Struct && t != wordType && quantities[t] == nil && !pointer.Implements(readerType) && !pointer.Implements(textType)
}

// record fills in the keys of a struct.
func (b *builder) record(s *shape) error {
	s.byKey = map[string]int{}
	s.short = reflect.PointerTo(s.goType).Implements(shorthandType)
	return b.fields(s, s.goType, nil)
}

// fields adds the fields of struct t, which stands at index within s.
func (b *builder) fields(s *shape, t reflect.Type, index []int) error {
	for i := range t.NumField() {
		f := t.Field(i)
		at := append(append([]int(nil), index...), i)
		tag, tagged := f.Tag.Lookup("form")
		key, options, _ := strings.Cut(tag, ",")
		switch {
		case f.Name == "_":
			if len(index) == 0 {
				s.doc = f.Tag.Get("doc")
			}
			continue
		case f.Type == placeType && f.IsExported() && (key == "-" || !tagged):
			s.places = append(s.places, at)
			continue
		case !tagged || key == "-":
			continue
		case options == "inline":
			if !f.Anonymous || f.Type.Kind() != reflect.Struct {
				return fmt.Errorf("%v.%s is tagged inline but is not an embedded struct", t, f.Name)
			}
			if err := b.fields(s, f.Type, at); err != nil {
				return err
			}
			continue
		}
		one := field{key: key, index: at, doc: f.Tag.Get("doc"), like: f.Tag.Get("like")}
		for option := range strings.SplitSeq(options, ",") {
			switch option {
			case "":
			case "required":
				one.required = true
			case "lone":
				one.lone = true
			case "last":
				one.last = true
			default:
				return fmt.Errorf("%v.%s has the unknown option %q in its form tag", t, f.Name, option)
			}
		}
		_, twice := s.byKey[key]
		switch {
		case key == "":
			return fmt.Errorf("%v.%s has no key in its form tag", t, f.Name)
		case !f.IsExported():
			return fmt.Errorf("%v.%s has a form tag but is not exported", t, f.Name)
		case twice:
			return fmt.Errorf("%v has the key %q twice", s.goType, key)
		case !unitKnown(f.Tag.Get("unit")):
			return fmt.Errorf("%v.%s has the unknown unit %q", t, f.Name, f.Tag.Get("unit"))
		}
		var err error
		if one.shape, err = b.shape(f.Type, f.Tag.Get("unit")); err != nil {
			return fmt.Errorf("%v.%s: %w", t, f.Name, err)
		}
		if one.lone && one.shape.kind != list {
			return fmt.Errorf("%v.%s is tagged lone but is not a list", t, f.Name)
		}
		s.byKey[key] = len(s.fields)
		s.fields = append(s.fields, one)
	}
	return nil
}

// leaf gives the shape of a field's single values: that of its items where it
// is a list or a mapping with free names.
func (f *field) leaf() *shape {
	s := f.shape.pointed()
	for s.kind == list || s.kind == pairs {
		s = s.elem.pointed()
	}
	return s
}

// tryExamples reads the example of each field as if it stood on a page, so that
// what schema and reference show is never wrong.
func tryExamples(s *shape) error {
	for _, one := range records(s) {
		for i := range one.fields {
			f := &one.fields[i]
			leaf := f.leaf()
			if f.like == "" || leaf.kind >= list {
				continue
			}
			if err := leaf.set(Scalar{Text: f.like}, reflect.New(leaf.goType).Elem()); err != nil {
				return fmt.Errorf("%v: the example %q of the key %q cannot be read: %w", one.goType, f.like, f.key, err)
			}
		}
	}
	return nil
}

// keys lists the keys of a record in the order of the struct.
func (s *shape) keys() []string {
	keys := make([]string, len(s.fields))
	for i, f := range s.fields {
		keys[i] = f.key
	}
	return keys
}

// pointed gives the shape behind any pointers.
func (s *shape) pointed() *shape {
	for s.pointer != nil {
		s = s.pointer
	}
	return s
}
