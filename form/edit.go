package form

import (
	"fmt"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Set gives a page with one value changed, or put in where it was absent.
// Comments, layout and all other values stay as they were typed.
//
// The path leads to the value: a key for a mapping, and for a list the item's
// name, which is the value of its first key ("C3"), a key and its value
// ("part: C3"), or its number ("#2"). So
//
//	Set(page, "25 V", "parts", "C3", "rated")
//
// sets what C3 is rated. Keys at the end of the path that are not there are put
// in behind the others. The value is a string, a []string, or a pointer to a
// struct of a form, which is written as [Line] does.
//
// Set does not look at what the value means: read the page to know that. The
// error is a [Problems] for a page that cannot be read as YAML, a path that
// leads nowhere, or a place that cannot be changed by itself, such as an alias.
func Set(page []byte, value any, path ...string) ([]byte, error) {
	return edited(page, path, func(e *editor, at site, absent []string) error {
		return e.set(at, absent, given(value))
	})
}

// Append gives a page with one more item at the end of a list, which is begun
// where it was absent. Page, path, item and error are as for [Set]; a value that
// stands without a list around it becomes the first of two items.
func Append(page []byte, item any, path ...string) ([]byte, error) {
	return edited(page, path, func(e *editor, at site, absent []string) error {
		if len(absent) > 0 || empty(at.node) {
			return e.set(at, absent, listOf(given(item)))
		}
		return e.add(at, given(item))
	})
}

// Remove gives a page without a key or an item of a list. Comments above it stay.
// Page, path and error are as for [Set]; what is not there cannot be removed.
func Remove(page []byte, path ...string) ([]byte, error) {
	return edited(page, path, func(e *editor, at site, absent []string) error {
		if len(absent) > 0 {
			return e.nowhere(at.node, absent[0])
		}
		return e.remove(at)
	})
}

// edited opens a page, finds the place that a path leads to, makes a change
// there, and makes sure that the page is changed there and nowhere else.
func edited(page []byte, path []string, change func(*editor, site, []string) error) ([]byte, error) {
	text := string(page)
	unmarked := strings.TrimPrefix(text, "\ufeff")
	e := &editor{lines: newLines(unmarked)}
	if problems := e.refuse(); len(problems) > 0 {
		return nil, problems.Err()
	}
	root, _, err := parse(e.text)
	switch {
	case err != nil:
		return nil, Problems{e.explain(err)}
	case root == nil || root.Kind != yaml.MappingNode:
		return nil, Problems{problem(Place{1, 1}, "the page has no keys", "")}
	}
	at, absent, err := e.find(root, path)
	if err == nil {
		err = change(e, at, absent)
	}
	if err != nil {
		return nil, err
	}
	if now, _, err := parse(e.text); err != nil || now == nil || !alike(root, now) {
		return nil, Problems{problem(place(at.node), "this cannot be changed without a change to what stands around it", "change it by hand")}
	}
	return []byte(text[:len(text)-len(unmarked)] + e.text), nil
}

// An editor changes the text of a page, and its nodes with it: what the nodes
// say in the end is what the text must say.
type editor struct{ lines }

// A site is a node with its surroundings.
type site struct {
	node, parent *yaml.Node // parent is nil for the whole page
	index        int        // of the node among the content of its parent
	brackets     bool       // whether it stands within brackets
}

// find follows a path as far as it goes, and gives the keys that are absent.
func (e *editor) find(root *yaml.Node, path []string) (at site, absent []string, err error) {
	at.node = root
	for i, step := range path {
		n := at.node
		if n.Kind == yaml.AliasNode || n.Anchor != "" {
			return at, nil, Problems{problem(place(n), "this is used in several places of the page, by an anchor and aliases", "change it by hand")}
		}
		index := -1
		switch n.Kind {
		case yaml.MappingNode:
			for k := 0; k+1 < len(n.Content) && index < 0; k += 2 {
				if n.Content[k].Value == step {
					index = k + 1
				}
			}
			if index < 0 {
				return at, path[i:], nil
			}
		case yaml.SequenceNode:
			if index, err = e.item(n, step); err != nil {
				return at, nil, err
			}
		default:
			if empty(n) {
				return at, path[i:], nil
			}
			return at, nil, e.nowhere(n, step)
		}
		at = site{node: n.Content[index], parent: n, index: index, brackets: at.brackets || n.Style&yaml.FlowStyle != 0}
	}
	if at.parent == nil {
		return at, nil, Problems{problem(Place{1, 1}, "the path is empty", "name a key")}
	}
	return at, nil, nil
}

// item gives the index of an item of a list by its name, a key and its value, or
// its number.
func (e *editor) item(list *yaml.Node, step string) (int, error) {
	if number, ok := strings.CutPrefix(step, "#"); ok {
		if n, err := strconv.Atoi(number); err == nil && n >= 1 && n <= len(list.Content) {
			return n - 1, nil
		}
	}
	key, value, keyed := strings.Cut(step, ": ")
	found := -1
	for i, item := range list.Content {
		if nameOf(item) != step && !(keyed && valueOf(item, key) == value) {
			continue
		}
		if found >= 0 {
			return 0, Problems{problem(place(item), fmt.Sprintf("there are two of the name %q; the first is at line %d", step, list.Content[found].Line), `name it by its number in the list, as in "#2"`)}
		}
		found = i
	}
	if found < 0 {
		return 0, e.nowhere(list, step)
	}
	return found, nil
}

// nameOf gives the name of an item of a list: itself, or what its first key says.
func nameOf(item *yaml.Node) string {
	if item.Kind == yaml.MappingNode && len(item.Content) > 1 {
		item = item.Content[1]
	}
	return item.Value
}

// valueOf gives the single value under a key of a mapping, or "".
func valueOf(n *yaml.Node, key string) string {
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1].Value
		}
	}
	return ""
}

// nowhere is the error for a step of a path that leads nowhere.
func (e *editor) nowhere(n *yaml.Node, step string) error {
	var known []string
	for i, one := range n.Content {
		switch {
		case n.Kind == yaml.SequenceNode:
			known = append(known, nameOf(one))
		case i%2 == 0:
			known = append(known, one.Value)
		}
	}
	return Problems{problem(place(n), fmt.Sprintf("there is no %q here", shortened(step)), Suggest(step, known))}
}

// A fragment is a value to be put onto a page: as it stands in brackets, on the
// line of its key, behind a dash, and, if that is better, below its key.
type fragment struct{ flow, line, item, below string }

// given makes a fragment of a value that a caller gave.
func given(value any) fragment {
	switch value := value.(type) {
	case string:
		line := quoteText(value, false, false)
		return fragment{flow: quoteText(value, false, true), line: line, item: line}
	case []string:
		items := make([]string, len(value))
		for i, one := range value {
			items[i] = quoteText(one, false, true)
		}
		list := "[" + strings.Join(items, ", ") + "]"
		return fragment{flow: list, line: list, item: list}
	}
	s, v := written(value)
	var w pageWriter
	w.item(s, v, 0)
	return fragment{flow: s.flow(v), line: s.line(v, false), item: strings.TrimSpace(w.String())}
}

// listOf makes a list with one item; a mapping stands on lines of its own.
func listOf(item fragment) fragment {
	list := fragment{flow: "[" + item.flow + "]", line: "[" + item.flow + "]"}
	if strings.HasPrefix(item.flow, "{") {
		list.below = indent + "- " + strings.ReplaceAll(item.item, "\n", "\n"+indent)
	}
	return list
}

// under puts a fragment under keys that are absent, but for the first of them.
func under(absent []string, f fragment) fragment {
	for i := len(absent) - 1; i > 0; i-- {
		f.flow = "{" + quoteText(absent[i], true, true) + ": " + f.flow + "}"
		f.line, f.below = f.flow, ""
	}
	return f
}

// alike tells whether two nodes say the same.
func alike(a, b *yaml.Node) bool {
	if a.Kind != b.Kind || a.Value != b.Value || a.Anchor != b.Anchor || len(a.Content) != len(b.Content) {
		return false
	}
	for i := range a.Content {
		if !alike(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

// node gives what a text says as the value of a key; nil when it cannot be read.
func node(text string) *yaml.Node {
	root, _, err := parse("- " + text)
	if err != nil || root == nil || len(root.Content) != 1 {
		return &yaml.Node{}
	}
	return root.Content[0]
}
