package ask

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"
)

// Field is one field of a question, as its struct describes it.
type Field struct {
	Name    string // as the option is called
	Label   string
	Help    string
	Default string // what stands there before anything is typed
	Group   string // under which it is listed; empty for the first ones
	Check   bool   // yes or no
	Lines   bool   // a list with one item a line
}

// Fields lists the fields of a question, which is a pointer to one of the structs
// of this package.
func Fields(question any) []Field {
	var list []Field
	of := reflect.TypeOf(question).Elem()
	for i := range of.NumField() {
		f := of.Field(i)
		name := nameOf(f)
		list = append(list, Field{
			Name: name, Label: label(name), Help: f.Tag.Get("help"), Default: f.Tag.Get("default"),
			Group: f.Tag.Get("group"), Check: f.Type.Kind() == reflect.Bool,
			Lines: f.Type.Kind() == reflect.Slice && separator(f) != ",",
		})
	}
	return list
}

// Fill fills a question in. Given gives the text of a field, and whether the
// field was there at all: one that was not takes its default.
func Fill(question any, given func(field string) (text string, there bool)) error {
	value := reflect.ValueOf(question).Elem()
	for i := range value.NumField() {
		f := value.Type().Field(i)
		name := nameOf(f)
		text, there := given(name)
		text = strings.TrimSpace(text)
		if text == "" && (!there || f.Type.Kind() != reflect.Slice) {
			text = f.Tag.Get("default")
		}
		if text == "" {
			continue
		}
		to := value.Field(i)
		switch f.Type.Kind() {
		case reflect.String:
			to.SetString(text)
		case reflect.Bool:
			to.SetBool(true)
		case reflect.Int:
			n, err := strconv.Atoi(text)
			if err != nil {
				return wrong(name, "%q is no whole number", text)
			}
			to.SetInt(int64(n))
		case reflect.Float64:
			x, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
			if err != nil {
				return wrong(name, "%q is no number", text)
			}
			to.SetFloat(x)
		case reflect.Slice:
			for _, item := range strings.Split(text, separator(f)) {
				if item = strings.TrimSpace(item); item != "" {
					to.Set(reflect.Append(to, reflect.ValueOf(item)))
				}
			}
		default:
			panic(fmt.Sprintf("ask: a field of type %s cannot be filled in", f.Type)) // a mistake in the program
		}
	}
	return nil
}

// separator stands between the items of a list.
func separator(f reflect.StructField) string {
	switch s := f.Tag.Get("sep"); s {
	case "none", ";":
		return "\n"
	case "":
		return ","
	default:
		return s
	}
}

// nameOf gives a field its name on the command line.
func nameOf(f reflect.StructField) string {
	if name := f.Tag.Get("name"); name != "" {
		return name
	}
	var b strings.Builder
	for i, c := range f.Name {
		if i > 0 && unicode.IsUpper(c) {
			b.WriteByte('-')
		}
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}

// label makes a name into words.
func label(name string) string {
	if name == "esr" {
		return "ESR"
	}
	words := strings.ReplaceAll(strings.ReplaceAll(name, "-", " "), "esr", "ESR")
	return strings.ToUpper(words[:1]) + words[1:]
}
