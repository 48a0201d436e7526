package form_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/form"
)

// The schema and the reference of the test page, to be reviewed by eye.
func TestGolden(t *testing.T) {
	schema, err := form.Schema("Service sheet", &sheet{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, got string }{
		{"testdata/sheet.schema.json", string(schema)},
		{"testdata/sheet.md", form.Reference(&sheet{})},
	} {
		if *update {
			if err := os.WriteFile(c.path, []byte(c.got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(c.path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), c.got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.path, diff)
		}
	}
}

type box[T any] struct {
	Inside T `form:"inside"`
}

// Two types of one name, types without a name, generic types, and a page
// within itself have definitions of their own, which are all there.
func TestSchemaNames(t *testing.T) {
	type Part struct {
		A string `form:"a"`
	}
	type Whole struct {
		First Part `form:"first"`
		Other struct {
			B string `form:"b"`
		} `form:"other"`
		Inside []Whole   `form:"inside"`
		Boxed  box[Part] `form:"boxed"`
		Named  part      `form:"named"`
	}
	text, err := form.Schema("", &Whole{})
	if err != nil {
		t.Fatal(err)
	}
	var schema map[string]any
	if err := json.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	c := checked{schema}
	page := map[string]any{
		"first":  map[string]any{"a": "x"},
		"other":  map[string]any{"b": "x"},
		"inside": []any{map[string]any{"first": nil}},
		"boxed":  map[string]any{"inside": map[string]any{"a": "x"}},
	}
	if fault := c.fault(page, schema); fault != "" {
		t.Error(fault)
	}
	page["first"], page["other"] = page["other"], page["first"]
	if fault := c.fault(page, schema); fault == "" {
		t.Error("the two unnamed parts are taken for each other")
	}
}

// A checked schema is what a JSON Schema of this package can say (JSON Schema:
// A Media Type for Describing JSON Documents, draft 2020-12, and its Validation
// vocabulary): enough of a validator to compare the schema with the reader.
type checked struct{ root map[string]any }

// resolve follows a reference.
func (c checked) resolve(s map[string]any) map[string]any {
	for {
		ref, ok := s["$ref"].(string)
		if !ok {
			return s
		}
		at := any(c.root)
		for _, step := range strings.Split(strings.TrimPrefix(ref, "#"), "/")[1:] {
			at = at.(map[string]any)[step]
		}
		s = at.(map[string]any)
	}
}

// fault gives the first fault that a schema finds in a value, or "".
func (c checked) fault(v any, s map[string]any) string {
	s = c.resolve(s)
	if some, ok := s["anyOf"].([]any); ok {
		fault := ""
		for _, one := range some {
			if fault = c.fault(v, one.(map[string]any)); fault == "" {
				return ""
			}
		}
		return fault
	}
	if enum, ok := s["enum"].([]any); ok && !slices.ContainsFunc(enum, func(one any) bool { return cmp.Equal(one, v) }) {
		return fmt.Sprintf("%v is none of %v", v, enum)
	}
	if types, ok := s["type"]; ok && !slices.ContainsFunc(list(types), func(one any) bool { return isType(v, one.(string)) }) {
		return fmt.Sprintf("%v is not of type %v", v, types)
	}
	if pattern, ok := s["pattern"].(string); ok {
		if text, ok := v.(string); ok && !regexp.MustCompile(pattern).MatchString(text) {
			return fmt.Sprintf("%q does not match %s", text, pattern)
		}
	}
	switch v := v.(type) {
	case []any:
		items, _ := s["items"].(map[string]any)
		for _, item := range v {
			if fault := c.fault(item, items); fault != "" {
				return fault
			}
		}
	case map[string]any:
		return c.objectFault(v, s)
	}
	return ""
}

func (c checked) objectFault(v, s map[string]any) string {
	for _, key := range list(s["required"]) {
		if _, ok := v[key.(string)]; !ok {
			return fmt.Sprintf("%q is missing", key)
		}
	}
	properties, _ := s["properties"].(map[string]any)
	for key, value := range v {
		one, known := properties[key].(map[string]any)
		if !known {
			if one, known = s["additionalProperties"].(map[string]any); !known {
				return fmt.Sprintf("%q is unknown", key)
			}
		}
		if fault := c.fault(value, one); fault != "" {
			return fault
		}
	}
	return ""
}

// list gives a value as a list.
func list(v any) []any {
	switch v := v.(type) {
	case nil:
		return nil
	case []any:
		return v
	}
	return []any{v}
}

// isType tells whether a value is of a JSON Schema type.
func isType(v any, name string) bool {
	switch v := v.(type) {
	case nil:
		return name == "null"
	case bool:
		return name == "boolean"
	case string:
		return name == "string"
	case float64:
		return name == "number" || name == "integer" && v == float64(int(v))
	case []any:
		return name == "array"
	}
	return name == "object"
}

// draw draws a value that a schema accepts.
func (c checked) draw(t *rapid.T, s map[string]any, depth int) any {
	s = c.resolve(s)
	if some, ok := s["anyOf"].([]any); ok {
		return c.draw(t, rapid.SampledFrom(some).Draw(t, "one of").(map[string]any), depth)
	}
	if enum, ok := s["enum"].([]any); ok {
		return rapid.SampledFrom(enum).Draw(t, "word")
	}
	if examples, ok := s["examples"].([]any); ok && rapid.IntRange(0, 3).Draw(t, "example") > 0 {
		return rapid.SampledFrom(examples).Draw(t, "example")
	}
	switch rapid.SampledFrom(list(s["type"])).Draw(t, "type").(string) {
	case "boolean":
		return rapid.Bool().Draw(t, "yes or no")
	case "number", "integer":
		return float64(rapid.IntRange(-3, 3000).Draw(t, "number"))
	case "string":
		text := rapid.SampledFrom([]string{"a", "5 V", "12", "0x1F", "B4", "U3/14", "±5 %", "1..2 V", "-.5e3", ""})
		if pattern, ok := s["pattern"].(string); ok {
			text = text.Filter(regexp.MustCompile(pattern).MatchString)
		}
		return text.Draw(t, "text")
	case "array":
		items := []any{}
		for range rapid.IntRange(0, max(0, 3-depth)).Draw(t, "items") {
			items = append(items, c.draw(t, s["items"].(map[string]any), depth+1))
		}
		return items
	case "object":
		return c.drawObject(t, s, depth)
	}
	return nil
}

func (c checked) drawObject(t *rapid.T, s map[string]any, depth int) any {
	object := map[string]any{}
	required := list(s["required"])
	properties, _ := s["properties"].(map[string]any)
	for _, key := range slices.Sorted(maps.Keys(properties)) {
		if slices.Contains(required, any(key)) || depth < 4 && rapid.Bool().Draw(t, "has "+key) {
			object[key] = c.draw(t, properties[key].(map[string]any), depth+1)
		}
	}
	if free, ok := s["additionalProperties"].(map[string]any); ok {
		for _, key := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"+5", "-12", "on", "a b"}), 0, 2, rapid.ID).Draw(t, "names") {
			object[key] = c.draw(t, free, depth+1)
		}
	}
	return object
}

// damage changes one thing on a page, so that it may no longer be one.
func damage(t *rapid.T, page map[string]any) {
	var objects []map[string]any
	var visit func(any)
	visit = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, item := range v {
				visit(item)
			}
		case map[string]any:
			objects = append(objects, v)
			for _, key := range slices.Sorted(maps.Keys(v)) {
				visit(v[key])
			}
		}
	}
	visit(page)
	object := rapid.SampledFrom(objects).Draw(t, "damaged")
	key := rapid.SampledFrom(append(slices.Sorted(maps.Keys(object)), "strange")).Draw(t, "key")
	switch rapid.SampledFrom([]string{"remove", "list", "mapping", "text", "number"}).Draw(t, "damage") {
	case "remove":
		delete(object, key)
	case "list":
		object[key] = []any{"a"}
	case "mapping":
		object[key] = map[string]any{"zz": "a"}
	case "text":
		object[key] = "a"
	case "number":
		object[key] = 7.0
	}
}

// asPage writes a value as a page: JSON, but with nothing where JSON has null,
// as that is how an editor comes to see null.
func asPage(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case []any:
		items := make([]string, len(v))
		for i, item := range v {
			items[i] = asPage(item)
		}
		return "[" + strings.Join(items, ", ") + "]"
	case map[string]any:
		var members []string
		for _, key := range slices.Sorted(maps.Keys(v)) {
			members = append(members, asPage(key)+": "+asPage(v[key]))
		}
		return "{" + strings.Join(members, ", ") + "}"
	}
	text, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// Reader and schema agree on pages of any shape: what the reader accepts, the
// schema accepts, and where the reader finds an unknown key, a missing key, a
// word outside a choice or a value of the wrong kind, the schema finds a fault.
func TestSchemaAgrees(t *testing.T) {
	text, err := form.Schema("Service sheet", &sheet{})
	if err != nil {
		t.Fatal(err)
	}
	var schema map[string]any
	if err := json.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	c := checked{schema}
	var accepted, refused int
	rapid.Check(t, func(t *rapid.T) {
		value := c.draw(t, schema, 0)
		if fault := c.fault(value, schema); fault != "" {
			t.Fatalf("%v is drawn from the schema, and the schema says: %s", value, fault)
		}
		if rapid.Bool().Draw(t, "damaged") {
			damage(t, value.(map[string]any))
		}
		page := asPage(value)
		err := form.Read("p", []byte(page), &sheet{})
		fault := c.fault(value, schema)
		if err == nil {
			accepted++
			if fault != "" {
				t.Fatalf("%s\nis read without fault, and the schema says: %s", page, fault)
			}
			return
		}
		refused++
		var problems form.Problems
		if !errors.As(err, &problems) {
			t.Fatal(err)
		}
		for _, p := range problems {
			for _, kind := range []string{"unknown key", "unknown word", "the key", "must be"} {
				if fault == "" && strings.Contains(p.Message, kind) {
					t.Fatalf("%s\nis accepted by the schema, and the reader says: %v", page, p)
				}
			}
		}
	})
	if accepted == 0 || refused == 0 {
		t.Errorf("%d pages accepted, %d refused: the pages drawn are of no use", accepted, refused)
	}
}
