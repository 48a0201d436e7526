package form

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Schema gives the JSON Schema (draft 2020-12) of the pages that [Read] takes
// into target, for editors that complete and check a page while it is typed.
// The same target always gives the same bytes. The error names a field that
// cannot be part of a form.
//
// An editor turns a page into JSON before it looks at the schema, so that
// "4e3" reaches it as a number and "true" as a yes/no; wherever Read takes the
// typed characters the schema lets these pass. The schema cannot see all that
// Read sees: it accepts every page that Read accepts (but for a bare "~" or
// "null" meant as text), and refuses unknown keys, missing keys, words outside
// a choice, and lists, mappings and single values in each other's place.
func Schema(title string, target any) ([]byte, error) {
	s, err := targetShape(target)
	if err != nil {
		return nil, err
	}
	all := records(s)
	w := schemaWriter{root: s, names: names(all)}
	schema := object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", title},
	}
	schema = append(schema, w.record(s)...)
	var definitions object
	for _, one := range all[1:] {
		definitions = append(definitions, member{w.names[one], w.record(one)})
	}
	slices.SortFunc(definitions, func(a, b member) int { return strings.Compare(a.key, b.key) })
	if len(definitions) > 0 {
		schema = append(schema, member{"$defs", definitions})
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(schema); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// An object is a JSON object whose members keep their order.
type object []member

// A member is one member of an object.
type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := e.Encode(m.key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := e.Encode(m.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// A schemaWriter writes shapes as schemas that refer to each other by name.
type schemaWriter struct {
	root  *shape
	names map[*shape]string
}

// record gives the schema of a struct.
func (w schemaWriter) record(s *shape) object {
	var schema object
	if s.doc != "" {
		schema = object{{"description", s.doc}}
	}
	properties, required := object{}, []string{}
	for i := range s.fields {
		f := &s.fields[i]
		properties = append(properties, member{f.key, w.field(f)})
		if f.required {
			required = append(required, f.key)
		}
	}
	schema = append(schema, member{"type", "object"}, member{"properties", properties})
	if len(required) > 0 {
		schema = append(schema, member{"required", required})
	}
	return append(schema, member{"additionalProperties", false})
}

// field gives the schema of a key: what it is and how it is written.
func (w schemaWriter) field(f *field) object {
	description := strings.TrimSpace(f.doc + " Written as: " + writtenAs(f, w.names, plainly) + ".")
	schema := append(object{{"description", description}}, w.value(f.shape, f.lone, !f.required)...)
	if f.like == "" || f.shape.pointed().kind == pairs || f.leaf().kind >= list {
		return schema
	}
	var example any = f.like
	if leaf := f.leaf(); leaf.kind == integer || leaf.kind == number {
		if x, err := strconv.ParseFloat(f.like, 64); err == nil && decimalForm.MatchString(f.like) {
			example = x
		}
	}
	if f.shape.pointed().kind == list && !f.lone {
		example = []any{example}
	}
	return append(schema, member{"examples", []any{example}})
}

// value gives the schema of a value. A list or mapping that may be left out
// may also be left empty, which an editor sees as null.
func (w schemaWriter) value(s *shape, lone, optional bool) object {
	s = s.pointed()
	var also []object
	if optional && s.kind >= list {
		also = []object{{{"type", "null"}}}
	}
	var schema object
	switch s.kind {
	case list:
		items := w.value(s.elem, false, false)
		schema = object{{"type", "array"}, {"items", items}}
		if lone {
			also = append([]object{items}, also...)
		}
	case pairs:
		schema = object{{"type", "object"}, {"additionalProperties", w.value(s.elem, false, false)}}
	case record:
		schema = object{{"$ref", "#/$defs/" + w.names[s]}}
		if s == w.root {
			schema = object{{"$ref", "#"}}
		}
		if s.short {
			also = append([]object{{{"type", typed}}}, also...)
		}
	case choice:
		return object{{"enum", seen(s.words)}}
	case yesNo:
		return object{{"enum", seen([]string{"yes", "no", "true", "false"})}}
	case integer:
		return object{{"type", []string{"integer", "string"}}, {"pattern", wholePattern}}
	case number:
		return object{{"type", []string{"number", "string"}}, {"pattern", decimalPattern}}
	case special:
		if quantities[s.goType] != nil {
			return object{{"type", []string{"string", "number"}}}
		}
		return object{{"type", typed}}
	default:
		return object{{"type", typed}}
	}
	if also == nil {
		return schema
	}
	return object{{"anyOf", append([]object{schema}, also...)}}
}

// typed is what characters taken as typed may look like to an editor.
var typed = []string{"string", "number", "boolean"}

// Numbers in quotes, as wholeNumber and decimalNumber read them.
const (
	wholePattern   = `^([+-]?[0-9]+|0[xX][0-9A-Fa-f]+)$`
	decimalPattern = `^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`
)

// decimalForm is a number as YAML writes it (YAML 1.2.2, section 10.3.2).
var decimalForm = regexp.MustCompile(`^[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?$`)

// seen gives words as an editor may see them: as text and, where a word reads
// like a number, a yes/no or nothing, as that.
func seen(words []string) []any {
	var all []any
	for _, word := range words {
		all = append(all, word)
	}
	for _, word := range words {
		switch x, err := strconv.ParseFloat(word, 64); {
		case word == "true" || word == "false":
			all = append(all, word == "true")
		case word == "null" || word == "~":
			all = append(all, nil)
		case err == nil && decimalForm.MatchString(word):
			all = append(all, x)
		}
	}
	return all
}
