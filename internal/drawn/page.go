// Package drawn draws pages of any format of package form at random, for
// property tests: every kind of value that a format can hold, and text with
// everything in it that a reader may stumble over.
package drawn

import (
	"cmp"
	"encoding"
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"pgregory.net/rapid"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Text draws text that is not empty: what YAML gives a meaning to, and any
// characters at all, line ends and controls among them.
func Text() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{
			"on", "off", "yes", "~", "null", "true", "1:30", "#", "# a", "a # b", "a #3", ":", "a: b", "a:", ": a", "-", "- a", "-a", "--- ", "---", "...", "?", "? a",
			"0417", "0x10", "4e3", "+5", "-12", ".inf", "1_000", "=", "<<", "*a", "&a", "!a", "!", "%a", "@a", "`a`", "|", ">", "[a", "a]", "{", "}", "a, b", ",", "'", `"`, `"a"`, "it's", `\`, `\n`,
			" a", "a ", "\ta", "a\tb", "a\n", "\na", "a\n\n b", "a\r\nb", "\r", "\x00", "\x1b[1m", "\x7f", "\u0085", "\u00a0", "\u2028", "\ufeff", "\ufffe", "\ufffd", "µΩ°", "電源", "🔥", "e\u0301", "a - b", "±5 %", "2026-03-02 10:40",
		}),
		rapid.StringMatching(`[A-Za-z0-9+./_ -]{1,12}`),
		rapid.StringOfN(rapid.RuneFrom([]rune("ab1 :#-,[]{}\"'\\\n\t&*!|>%@?~=<.")), 1, 12, -1),
		rapid.StringN(1, 12, -1).Filter(utf8.ValidString),
	)
}

// Page fills the struct that target points to. The values are such as can stand
// on a page; what they mean together is not looked at.
func Page(t *rapid.T, target any) { record(t, reflect.ValueOf(target).Elem(), 0) }

// deepest is how many mappings stand within each other.
const deepest = 4

func record(t *rapid.T, v reflect.Value, depth int) {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		tag, tagged := f.Tag.Lookup("form")
		key, options, _ := strings.Cut(tag, ",")
		switch {
		case options == "inline":
			record(t, v.Field(i), depth)
		case tagged && key != "-" && f.IsExported():
			required := strings.Contains(options, "required")
			if required || depth < deepest && rapid.IntRange(0, 2).Draw(t, "is "+key+" there") == 0 {
				value(t, v.Field(i), f.Tag, depth)
			}
		}
	}
}

// value draws a value that is not empty.
func value(t *rapid.T, v reflect.Value, tag reflect.StructTag, depth int) {
	unit := quantity.Unit(tag.Get("unit"))
	switch at := v.Addr().Interface().(type) {
	case *form.Word:
		at.Text = Text().Draw(t, "word")
		return
	case *quantity.Quantity:
		*at = quantity.Quantity{Value: number(t), Unit: unitOf(t, unit)}
		return
	case *quantity.Interval:
		low := number(t)
		*at = quantity.Interval{Low: low, High: low + max(1, low, -low), Unit: unitOf(t, unit)}
		return
	case *quantity.Tolerance:
		*at = quantity.Tolerance{Low: -0.2, High: rapid.Float64Range(0.01, 1).Draw(t, "tolerance"), Unit: quantity.Percent}
		return
	case form.Reader:
		must(at.ReadForm(form.Scalar{Text: cmp.Or(tag.Get("like"), "high"), Unit: string(unit)}))
		return
	case form.Choice:
		v.SetString(rapid.SampledFrom(at.Words()).Draw(t, "choice"))
		return
	case encoding.TextUnmarshaler:
		must(at.UnmarshalText([]byte(tag.Get("like"))))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(Text().Draw(t, "text"))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "yes"))
	case reflect.Int:
		v.SetInt(int64(rapid.Int().Draw(t, "whole number")))
	case reflect.Float64:
		v.SetFloat(rapid.Float64().Draw(t, "number"))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		value(t, v.Elem(), tag, depth)
	case reflect.Slice:
		items(t, v, tag, depth)
	case reflect.Struct:
		record(t, v, depth+1)
	default:
		panic(fmt.Sprintf("no value of type %v can be drawn", v.Type()))
	}
}

// items draws a list, or a mapping with names of its own.
func items(t *rapid.T, v reflect.Value, tag reflect.StructTag, depth int) {
	n := rapid.IntRange(1, 3).Draw(t, "items")
	elem := v.Type().Elem()
	named := elem.Kind() == reflect.Struct && elem.NumField() == 2 && elem.Field(0).Name == "Key"
	var keys []string
	if named {
		keys = rapid.SliceOfNDistinct(Text(), n, n, rapid.ID).Draw(t, "keys")
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	for i := range n {
		one := v.Index(i)
		if named {
			one.Field(0).Set(reflect.ValueOf(form.Word{Text: keys[i]}))
			one = one.Field(1)
		}
		value(t, one, tag, depth)
	}
}

// number draws a number as quantities hold it: zero, or within 1e-29 and 1e29.
func number(t *rapid.T) float64 {
	size := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-3, 1e3), rapid.Float64Range(1e-29, 1e29)).Draw(t, "size")
	if rapid.Bool().Draw(t, "negative") && size != 0 {
		return -size
	}
	return size
}

// unitOf gives the unit of a field, or any unit where it has none.
func unitOf(t *rapid.T, unit quantity.Unit) quantity.Unit {
	if unit != quantity.None {
		return unit
	}
	return rapid.SampledFrom([]quantity.Unit{quantity.Volt, quantity.Ampere, quantity.Watt, quantity.Celsius}).Draw(t, "unit")
}

// must panics where an example of the format cannot be read.
func must(err error) {
	if err != nil {
		panic(err)
	}
}
