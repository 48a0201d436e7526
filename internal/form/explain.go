package form

import (
	"errors"
	"fmt"
	"regexp"
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

// keyLine matches a line that begins a key, with or without a list dash.
var keyLine = regexp.MustCompile(`^\s*(- +)*["']?[^\s#"',:{}\[\]][^"',:{}\[\]]*["']?:(\s|$)`)

// glued matches a key whose colon is not followed by a space.
var glued = regexp.MustCompile(`^(\s*(?:- +)*)([A-Za-z][\w -]*):([^\s:/].*)$`)

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

// tabOn reports a tab in the indentation of a line.
func (l lines) tabOn(n int) Problem {
	line := l.line(n)
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	if i := strings.IndexByte(indent, '\t'); i >= 0 && len(indent) < len(line) {
		return problem(Place{n, i + 1}, "a tab in the indentation", "indent with spaces")
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
		if p := x.gluedAt(above); p.Message != "" {
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
	if p := x.gluedAt(x.context.Line); p.Message != "" {
		return p
	}
	return problem(x.context, `this line is neither "key: value" nor an item of a list`,
		"if it continues the text above, indent it further or quote the whole text")
}

// gluedAt finds a key without a space after its colon on a line.
func (x explainer) gluedAt(n int) Problem {
	m := glued.FindStringSubmatch(x.line(n))
	if m == nil {
		return Problem{}
	}
	return problem(Place{n, utf8.RuneCountInString(m[1]+m[2]) + 1},
		"a space is missing after the colon", fmt.Sprintf("write %q", m[2]+": "+strings.TrimSpace(m[3])))
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
	if x.at.Line != x.context.Line && (rest == "" || keyLine.MatchString(x.line(x.at.Line)) && !strings.Contains(x.line(x.at.Line), closing)) {
		return problem(x.context, fmt.Sprintf("the %q that opens here is never closed", open[:1]), "")
	}
	line := x.line(x.at.Line)
	before := x.before(x.at)
	if strings.HasPrefix(rest, ":") {
		if item := strings.LastIndexAny(before, "{[,"); item >= 0 {
			value := strings.TrimLeft(line[item+1:], " ")
			if colon := strings.Index(value, ": "); colon > 0 && open[0] == '{' && len(line)-len(value)+colon < len(before) {
				value = strings.TrimLeft(value[colon+1:], " ")
			}
			return problem(x.at, `": " cannot stand within a value`, quoteIt(plainValue(value, true)))
		}
	}
	if quoted := strings.TrimRight(before, " "); strings.HasSuffix(quoted, `"`) || strings.HasSuffix(quoted, "'") {
		return problem(x.at, "text after the closing quote", fmt.Sprintf("put the whole value in quotes, or a comma or %q before this", closing))
	}
	return problem(x.at, fmt.Sprintf("a comma or %q is missing before this", closing), "")
}

func (x explainer) notAnItem() Problem {
	if trimmed := strings.TrimSpace(x.line(x.at.Line)); keyLine.MatchString(trimmed) {
		return problem(x.at, "a key where the next item of a list should begin",
			`begin the item with "- ", or line the key up with the other keys of its mapping`)
	}
	return problem(x.at, "this is not an item of the list above", `begin it with "- "`)
}

func (x explainer) notAKey() Problem {
	line := x.line(x.at.Line)
	before := x.before(x.at)
	value := before[keyEnd(before):]
	switch value = strings.TrimLeft(value, " "); {
	case strings.TrimSpace(before) == "" && strings.HasPrefix(x.from(x.at), "- "):
		return problem(x.at, "an item of a list where a key should be", "line the items of one list up in the same column")
	case strings.TrimSpace(before) == "":
		return problem(x.at, "this line is not lined up with the keys above", lineUp)
	case strings.HasPrefix(value, "*") || strings.HasPrefix(value, "&"):
		return problem(x.at, "text after an alias", quoteIt(plainValue(strings.TrimSpace(line[keyEnd(before):]), false)))
	case strings.ContainsAny(value, `"'`):
		if open := x.oddQuote(); open != (Place{}) {
			return problem(open, "the quote that opens here is never closed", "")
		}
		return problem(x.at, "text after the closing quote", "put the whole value in quotes")
	case strings.ContainsAny(value, "]}"):
		return problem(x.at, "text after the closing bracket", "put the whole value in quotes, or begin a new line")
	}
	return problem(x.at, "a key should stand here", lineUp)
}

// oddQuote finds the last line above, within the same part of the page, on
// which a double quote opens and none closes.
func (x explainer) oddQuote() Place {
	for n := x.at.Line - 1; n > 0; n-- {
		line := x.line(n)
		if strings.Count(line, `"`)%2 == 1 {
			return Place{n, utf8.RuneCountInString(line[:strings.LastIndexByte(line, '"')]) + 1}
		}
		if x.atMargin(n) {
			break
		}
	}
	return Place{}
}

func (x explainer) outside() Problem {
	if p := x.gluedAt(x.at.Line); p.Message != "" {
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

// valueAt gives the value that begins at a place: to the end of the line, or,
// within brackets, to the comma or bracket that ends it.
func (l lines) valueAt(at Place) string {
	before := l.before(at)
	return plainValue(l.from(at), strings.Count(before, "{")+strings.Count(before, "[") > strings.Count(before, "}")+strings.Count(before, "]"))
}

// plainValue cuts a comment off a value, and within brackets what follows it.
func plainValue(rest string, inBrackets bool) string {
	if i := strings.Index(rest, " #"); i >= 0 {
		rest = rest[:i]
	}
	if inBrackets {
		if i := strings.IndexAny(rest, ",]}"); i >= 0 {
			rest = rest[:i]
		}
	}
	return strings.TrimSpace(rest)
}

// quoteIt gives the hint to quote a text, with the quoted text.
func quoteIt(value string) string {
	return "quote it: " + quoted(value)
}

// quoted puts a text in the quotes that need the fewest changes within.
func quoted(value string) string {
	value = shortened(value)
	if strings.ContainsAny(value, `"\`) {
		return "'" + strings.ReplaceAll(value, "'", "''") + "'"
	}
	return `"` + value + `"`
}

// keyEnd gives the offset in a line just after the colon of its key, or 0.
func keyEnd(line string) int {
	for i := range len(line) {
		if line[i] == ':' && (i+1 == len(line) || line[i+1] == ' ') {
			return i + 1
		}
	}
	return 0
}

// firstWord gives a text up to its first space.
func firstWord(s string) string {
	word, _, _ := strings.Cut(s, " ")
	return word
}

// indentation counts the spaces before the text of a line.
func indentation(line string) int {
	return len(line) - len(strings.TrimLeft(line, " "))
}
