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
	mostBytes = 4 << 20 // of a page
	mostDepth = 64      // lists and mappings within each other
)

// A Page is a target that can say how a page of its kind begins. The text
// becomes the hint for an empty file: `a service sheet begins with "sheet: 1"`.
type Page interface{ Begins() string }

// Read reads a page into the struct that target points to. It returns nil, or
// [Problems] that name every mistake on the page with file, line and column.
// Whatever could be read is put into target even when there are problems; the
// item or key with a syntax error is left out, and the rest is read.
//
// file is only a name for the messages. A page is UTF-8 text of at most 4 MB
// with at most 64 levels of lists and mappings. Read panics when target is not
// a pointer to a struct that follows the rules of this package: that is a
// mistake in the program, never on a page.
func Read(file string, text []byte, target any) error {
	s, err := targetShape(target)
	if err == nil && reflect.ValueOf(target).IsNil() {
		err = fmt.Errorf("form: the target is a nil %T", target)
	}
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
