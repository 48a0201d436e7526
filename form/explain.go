package form

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// explain says in the words of a person who writes pages why the parser gave
// up, at the place where the slip probably is.
func (l lines) explain(err error) Problem {
	var load *yaml.LoadError
	if !errors.As(err, &load) {
		return problem(Place{1, 1}, "this page cannot be read: "+err.Error(), "")
	}
	x := explainer{
		lines:   l,
		at:      l.last(Place{load.Mark.Line, load.Mark.Column}),
		context: l.last(Place{load.ContextMark.Line, load.ContextMark.Column}),
		within:  load.ContextMsg,
		message: load.Message,
	}
	for _, rule := range rules {
		if strings.Contains(x.message, rule.message) && strings.Contains(x.within, rule.within) {
			if p := rule.explain(x); p.Message != "" {
				return p
			}
		}
	}
	return problem(x.at, "this cannot be read as YAML: "+strings.TrimSpace(x.within+" "+x.message), "")
}

// problem makes a Problem.
func problem(at Place, message, hint string) Problem {
	return Problem{Line: at.Line, Column: at.Column, Message: message, Hint: hint}
}

// An explainer holds what the parser says about a syntax error.
type explainer struct {
	lines
	at, context     Place
	within, message string
}

// A rule explains the errors whose message and context contain its own. A rule
// that gives no message leaves the error to the next.
type rule struct {
	message, within string
	explain         func(explainer) Problem
}

// rules is tried in order. The messages are those of the parser.
var rules = []rule{
	{"", "", explainer.tab},
	{"exceeded max depth", "", explainer.tooDeep},
	{"unknown anchor", "", explainer.noAnchor},
	{"cannot start any token", "", explainer.badBeginning},
	{"", "scanning an alias", explainer.badBeginningInContext},
	{"", "scanning an anchor", explainer.badBeginningInContext},
	{"", "scanning a tag", explainer.badBeginningInContext},
	{"tag handle", "", explainer.badBeginning},
	{"expected comment or line break", "block scalar", explainer.badBeginningInContext},
	{"did not find expected node content", "", explainer.badBeginning},
	{"mapping keys are not allowed", "", explainer.badBeginning},
	{"sequence entries are not allowed", "", explainer.lateItem},
	{"unexpected end of stream", "quoted scalar", explainer.openQuote},
	{"unexpected document indicator", "quoted scalar", explainer.openQuote},
	{"escape", "quoted scalar", explainer.escape},
	{"mapping values are not allowed", "", explainer.colon},
	{"could not find expected ':'", "", explainer.noColon},
	{"did not find expected ','", "", explainer.bracket},
	{"did not find expected '-' indicator", "", explainer.notAnItem},
	{"did not find expected key", "", explainer.notAKey},
	{"document start", "", explainer.outside},
	{"", "directive", explainer.directive},
	{"YAML document", "", explainer.directive},
}

const lineUp = `the keys of one mapping begin in the same column`

// tab finds a tab in the indentation of one of the lines in question.
func (x explainer) tab() Problem {
	for _, n := range []int{x.context.Line, x.at.Line} {
		if p := x.tabOn(n); p.Message != "" {
			return p
		}
	}
	return Problem{}
}

func (x explainer) tooDeep() Problem {
	return problem(x.at, fmt.Sprintf("lists and mappings stand more than %d deep within each other", mostDepth), "")
}

func (x explainer) noAnchor() Problem {
	value := x.valueAt(x.at)
	return problem(x.at, fmt.Sprintf("a value cannot begin with %q: it is taken for an alias, and no anchor %s is on this page",
		"*", "&"+strings.TrimPrefix(firstWord(value), "*")), quoteIt(value))
}

func (x explainer) badBeginning() Problem {
	value := x.valueAt(x.at)
	first, size := utf8.DecodeRuneInString(value)
	switch {
	case size == 0:
		if rest := x.from(x.at); rest != "" && strings.ContainsRune(",]}", rune(rest[0])) {
			return problem(x.at, fmt.Sprintf("a value is missing before %q", rest[:1]),
				fmt.Sprintf("if %q is meant as text, quote it", rest[:1]))
		}
		return problem(x.at, "a value is missing here", "")
	case first == '-' || first == '?':
		return problem(x.at, fmt.Sprintf("a value cannot begin with %q and a space", string(first)), quoteIt(value))
	}
	return problem(x.at, fmt.Sprintf("a value cannot begin with %q", string(first)), quoteIt(value))
}

func (x explainer) badBeginningInContext() Problem {
	x.at = x.context
	return x.badBeginning()
}

func (x explainer) lateItem() Problem {
	if p := x.openBracket(); p.Message != "" {
		return p
	}
	return problem(x.at, `a list cannot begin on the line of its key`,
		"begin it on a new line; or, if it is meant as text, "+quoteIt(x.valueAt(x.at)))
}

func (x explainer) openQuote() Problem {
	return problem(x.context, "the quote that opens here is never closed", "")
}

func (x explainer) escape() Problem {
	return problem(x.at, `this backslash means nothing within double quotes`, `write \\ for a backslash, or use single quotes`)
}

// colon explains a second ": " where only one can be.
func (x explainer) colon() Problem {
	if p := x.openBracket(); p.Message != "" {
		return p
	}
	if p := x.gluedDash(x.at.Line); p.Message != "" {
		return p
	}
	line := x.line(x.at.Line)
	before := x.before(x.at)
	if first := keyEnd(before); first > 0 && first < len(before) {
		value := strings.TrimSpace(before[first:])
		if value != "" && !strings.HasPrefix(value, "*") {
			whole := plainValue(strings.TrimSpace(line[first:]), false)
			return problem(x.at, `": " cannot stand within a value`, quoteIt(whole))
		}
		if value != "" {
			return problem(x.at, `an alias cannot be a key`, quoteIt(value))
		}
	}
	if above := x.written(x.at.Line - 1); above > 0 {
		if p := x.gluedColon(above); p.Message != "" {
			return p
		}
		if !strings.Contains(x.line(above), ": ") && !keyLine.MatchString(x.line(above)) {
			return problem(Place{above, indentation(x.line(above)) + 1}, "a line without a colon stands where a key should", `write "key: value"`)
		}
	}
	return problem(Place{x.at.Line, indentation(line) + 1},
		"this key is indented further than the one above, which has its value already", lineUp)
}

// noColon explains a line that begins like a key and is none.
func (x explainer) noColon() Problem {
	if p := x.gluedColon(x.context.Line); p.Message != "" {
		return p
	}
	return problem(x.context, `this line is neither "key: value" nor an item of a list`,
		"if it continues the text above, indent it further or quote the whole text")
}

// openBracket reports a bracket that opens above, within the same section, and
// that nothing closes before the line.
func (x explainer) openBracket() Problem {
	first, _ := x.section(x.at.Line - 1)
	brackets, _ := x.open(first, x.at.Line-1)
	if len(brackets) == 0 {
		return Problem{}
	}
	at := brackets[len(brackets)-1]
	return problem(at, fmt.Sprintf("the %q that opens here is never closed", x.from(at)[:1]), "")
}

// bracket explains a list or mapping in brackets that does not go on.
func (x explainer) bracket() Problem {
	open := x.from(x.context)
	if open == "" {
		return Problem{}
	}
	closing := "]"
	if open[0] == '{' {
		closing = "}"
	}
	rest := x.from(x.at)
	first, last := x.section(x.context.Line)
	if brackets, _ := x.open(first, last); rest == "" || x.at.Line != x.context.Line && slices.Contains(brackets, x.context) {
		return problem(x.context, fmt.Sprintf("the %q that opens here is never closed", open[:1]), "")
	}
	if rest[0] == ']' || rest[0] == '}' {
		return problem(x.at, fmt.Sprintf("%q closes what %q opened", rest[:1], open[:1]), fmt.Sprintf("write %q", closing))
	}
	line := x.line(x.at.Line)
	before := x.before(x.at)
	if strings.HasPrefix(rest, ":") {
		item := strings.LastIndexAny(before, "{[,")
		if item < 0 && keyEnd(before) == 0 {
			return problem(Place{x.at.Line, indentation(line) + 1}, "a comma is missing before this", "put it at the end of the line above")
		}
		value := strings.TrimLeft(line[item+1:], " ")
		if colon := strings.Index(value, ": "); colon > 0 && open[0] == '{' && len(line)-len(value)+colon < len(before) {
			value = strings.TrimLeft(value[colon+1:], " ")
		}
		return problem(x.at, `": " cannot stand within a value`, quoteIt(plainValue(value, true)))
	}
	if typed := strings.TrimRight(before, " "); strings.HasSuffix(typed, `"`) || strings.HasSuffix(typed, "'") {
		return problem(x.at, "text after the closing quote", fmt.Sprintf("put the whole value in quotes, or a comma or %q before this", closing))
	}
	return problem(x.at, fmt.Sprintf("a comma or %q is missing before this", closing), "")
}

func (x explainer) notAnItem() Problem {
	before, text := x.before(x.at), x.from(x.at)
	switch {
	case strings.TrimLeft(before, " -") != "":
		return x.trailing(before)
	case keyLine.MatchString(text):
		return problem(x.at, "a key where the next item of a list should begin",
			`begin the item with "- ", or line the key up with the other keys of its mapping`)
	}
	return problem(x.at, "this is not an item of the list above", `begin it with "- "`)
}

func (x explainer) notAKey() Problem {
	before, text := x.before(x.at), x.from(x.at)
	switch {
	case strings.TrimSpace(before) != "":
		return x.trailing(before)
	case strings.HasPrefix(text, "- "):
		return problem(x.at, "an item of a list where a key should be", "line the items of one list up in the same column")
	}
	return problem(x.at, "this line is not lined up with the keys above", lineUp)
}

// trailing explains text after a value that has come to its end.
func (x explainer) trailing(before string) Problem {
	value := strings.TrimLeft(before[keyEnd(before):], " -")
	switch {
	case value == "":
	case value[0] == '*' || value[0] == '&':
		whole := strings.TrimLeft(x.line(x.at.Line)[keyEnd(before):], " -")
		return problem(x.at, "text after an alias", quoteIt(plainValue(whole, false)))
	case value[0] == '[' || value[0] == '{':
		return problem(x.at, "text after the closing bracket", "put the whole value in quotes, or begin a new line")
	}
	first, _ := x.section(x.at.Line)
	if _, quote := x.open(first, x.at.Line-1); quote != (Place{}) {
		return problem(quote, "the quote that opens here is never closed", "")
	}
	return problem(x.at, "text after the closing quote", "put the whole value in quotes")
}

func (x explainer) outside() Problem {
	if p := x.gluedColon(x.at.Line); p.Message != "" {
		return p
	}
	if rest := x.from(x.at); rest != "" && strings.ContainsRune("]}", rune(rest[0])) {
		return problem(x.at, fmt.Sprintf("nothing is open that %q could close", rest[:1]), "")
	}
	return problem(x.at, "this does not belong to what stands above it", lineUp)
}

func (x explainer) directive() Problem {
	return problem(Place{x.at.Line, 1}, `a line that begins with "%" is not part of this format`, "delete it")
}
