package form

import (
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"
)

const (
	mostBytes   = 4 << 20 // of a page
	mostDepth   = 64      // lists and mappings within each other
	mostParsed  = 1 << 20 // bytes parsed again to find further syntax errors
	mostParsing = 20      // syntax errors sought
)

// A Page is a target that can say how a page of its kind begins. The text
// becomes the hint for an empty file: `a service sheet begins with "sheet: 1"`.
type Page interface{ Begins() string }

// Read reads a page into the struct that target points to. It returns nil, or
// [Problems] that name every mistake on the page with file, line and column.
// Whatever could be read is put into target even when there are problems; a
// top-level part with a syntax error is left out, and the rest is read.
//
// file is only a name for the messages. A page is UTF-8 text of at most 4 MB
// with at most 64 levels of lists and mappings. Read panics when target is not
// a pointer to a struct that follows the rules of this package: that is a
// mistake in the program, never on a page.
func Read(file string, text []byte, target any) error {
	s, err := targetShape(target)
	if err != nil {
		panic(err)
	}
	if len(text) > mostBytes {
		var problems Problems
		problems.Add(Place{}, fmt.Sprintf("the file has %d bytes, and a page may have %d", len(text), mostBytes),
			"keep measured data in files of their own")
		return problems.In(file).Err()
	}
	l := newLines(strings.TrimPrefix(string(text), "\ufeff"))
	problems := l.refuse()
	if len(problems) == 0 {
		problems = l.read(s, target)
	}
	return problems.In(file).Err()
}

// read parses the text and decodes it into target.
func (l lines) read(s *shape, target any) Problems {
	root, lost, problems := l.parseAll()
	if root == nil || empty(root) {
		if len(problems) == 0 {
			hint := ""
			if page, ok := target.(Page); ok {
				hint = page.Begins()
			}
			problems.Add(Place{1, 1}, "the file is empty", hint)
		}
		return problems
	}
	d := decoder{lines: l, problems: problems, root: root, lost: lost, open: map[*yaml.Node]bool{}}
	d.value(entry{node: root, required: true}, s, reflect.ValueOf(target).Elem())
	return d.problems
}

// parseAll parses the text. At a syntax error it notes the problem, leaves out
// the part of the page where the error is, and parses the rest, until all is
// parsed or too much is broken. It gives the root node (nil when there is
// none) and the keys of the parts left out.
func (l lines) parseAll() (root *yaml.Node, lost map[string]bool, problems Problems) {
	lost = map[string]bool{}
	rest, parsed := l, 0
	for range mostParsing {
		root, second, err := parse(rest.text)
		if err == nil {
			if second != (Place{}) {
				problems.Add(second, "a second page begins here", `keep one page in a file: delete the line "---"`)
			}
			return root, lost, problems
		}
		p := rest.explain(err)
		if !l.consequence(err, lost) {
			problems = append(problems, p)
		}
		if parsed += len(rest.text); parsed > mostParsed {
			break
		}
		first, last := rest.section(p.Line)
		if p == rest.tabOn(p.Line) {
			for n := p.Line + 1; n <= last; n++ {
				if another := rest.tabOn(n); another.Message != "" {
					problems = append(problems, another)
				}
			}
		}
		if strings.TrimSpace(rest.line(first)) == "" {
			break
		}
		lost[strings.Trim(firstKey(rest.line(first)), `"' `)] = true
		rest = rest.without(first, last)
	}
	return nil, nil, problems
}

// consequence tells whether an error is only due to a part left out: an alias
// whose anchor stood there.
func (l lines) consequence(err error, lost map[string]bool) bool {
	var load *yaml.LoadError
	if len(lost) == 0 || !errors.As(err, &load) {
		return false
	}
	_, name, unknown := strings.Cut(load.Message, "unknown anchor '")
	return unknown && strings.Contains(l.text, "&"+strings.TrimSuffix(name, "' referenced"))
}

// firstKey gives a line up to its colon.
func firstKey(line string) string {
	key, _, _ := strings.Cut(line, ":")
	return key
}

// parse gives the root node of a text, nil when there is none, and the place
// where a second document begins, if one does.
func parse(text string) (root *yaml.Node, second Place, err error) {
	defer func() {
		if failed := recover(); failed != nil {
			root, err = nil, fmt.Errorf("the parser failed: %v", failed)
		}
	}()
	loader, err := yaml.NewLoader(strings.NewReader(text), yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(mostDepth))))
	if err != nil {
		return nil, second, err
	}
	var document, another yaml.Node
	switch err = loader.Load(&document); {
	case errors.Is(err, io.EOF):
		return nil, second, nil
	case err != nil:
		return nil, second, err
	}
	switch err = loader.Load(&another); {
	case err == nil:
		second = place(&another)
	case !errors.Is(err, io.EOF):
		return nil, second, err
	}
	return document.Content[0], second, nil
}
