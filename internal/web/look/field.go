package look

import (
	"strings"
	"unicode"
)

// Field is a field of a form: what stands in it, what belongs in it and, after
// an answer of the server, what is wrong with it.
type Field struct {
	Name    string // of the value that is sent
	Label   string
	Value   string // kept over errors
	Hint    string // what belongs in it
	Like    string // an example, shown under the field
	Problem string // what is wrong with what stands in it
	Kind    string // text when empty; else number, textarea, select, check, date, file, hidden
	Options []Option
	Suggest []string // completions
	Need    bool     // must be filled in
	Figure  bool     // a figure: big, tabular, with the keyboard for figures
	Rows    int      // of a textarea
	Accept  string   // kinds of file
	Focus   bool     // the cursor begins here
}

// Option is one choice of a select.
type Option struct {
	Value, Text string
}

func (f Field) id() string {
	return "field-" + strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return c
		}
		return '-'
	}, f.Name)
}

// describedBy names what explains the field.
func (f Field) describedBy() string {
	switch {
	case f.Problem != "":
		return f.id() + "-problem"
	case f.Hint != "" || f.Like != "":
		return f.id() + "-hint"
	}
	return ""
}

func (f Field) rows() int {
	if f.Rows == 0 {
		return 4
	}
	return f.Rows
}

func (f Field) kind() string {
	switch f.Kind {
	case "":
		return "text"
	case "number": // a typed "4k7" must not be lost to the browser's idea of a number
		return "text"
	}
	return f.Kind
}

func (f Field) inputMode() string {
	if f.Kind == "number" {
		return "decimal"
	}
	return "text"
}
