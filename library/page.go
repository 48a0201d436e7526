package library

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// page is the text of a sheet with the places of all that stands in it. Values are
// replaced and put in where they stand; all else stays as it is written.
type page struct {
	text string
	root *yaml.Node
}

// newPage parses a text.
func newPage(text string) (*page, error) {
	var document yaml.Node
	if err := yaml.Unmarshal([]byte(text), &document); err != nil {
		return nil, err
	}
	if document.Kind != yaml.DocumentNode || document.Content[0].Kind != yaml.MappingNode {
		return nil, errors.New("the page holds no keys")
	}
	return &page{text, document.Content[0]}, nil
}

// value gives what stands under a key of a mapping; nil when there is no such key.
func value(mapping *yaml.Node, key string) *yaml.Node {
	for i := 0; mapping != nil && mapping.Kind == yaml.MappingNode && i+1 < len(mapping.Content); i += 2 {
		if mapping.Content[i].Value == key {
			return mapping.Content[i+1]
		}
	}
	return nil
}

// named lists the items of a list of mappings that have a name under a key.
func named(list *yaml.Node, key, name string) (found []*yaml.Node) {
	if list == nil {
		return nil
	}
	for _, item := range list.Content {
		if is := value(item, key); is != nil && is.Value == name {
			found = append(found, item)
		}
	}
	return found
}

// places gives where a thing stands: a part that stands in the list of parts and in
// a circuit does so twice.
func (p *page) places(of thing) (list []*yaml.Node) {
	for _, one := range sections {
		switch {
		case one.name != of.section:
		case one.named == "":
			if model := value(p.root, one.name); model != nil {
				list = append(list, model)
			}
		default:
			list = append(list, named(value(p.root, one.name), one.named, of.name)...)
		}
	}
	if circuits := value(p.root, "circuits"); of.section == "parts" && circuits != nil {
		for i := 1; i < len(circuits.Content); i += 2 {
			list = append(list, named(value(circuits.Content[i], "parts"), "part", of.name)...)
		}
	}
	return list
}

// offset is where in the text a node begins. Columns count characters.
func (p *page) offset(n *yaml.Node) int {
	at := 0
	for range n.Line - 1 {
		at += strings.IndexByte(p.text[at:], '\n') + 1
	}
	column := 1
	for i := range p.text[at:] {
		if column == n.Column {
			return at + i
		}
		column++
	}
	return len(p.text)
}

// replace puts another value in the place of one.
func (p *page) replace(n *yaml.Node, with string) error {
	from := p.offset(n)
	to, err := p.end(n, from)
	if err != nil {
		return err
	}
	return p.splice(from, to, written(with))
}

// end is where a single value that begins at from ends.
func (p *page) end(n *yaml.Node, from int) (int, error) {
	rest := p.text[from:]
	switch {
	case n.Kind != yaml.ScalarNode:
	case n.Style&yaml.DoubleQuotedStyle != 0:
		for i := 1; i < len(rest); i++ {
			switch rest[i] {
			case '\\':
				i++
			case '"':
				return from + i + 1, nil
			}
		}
	case n.Style&yaml.SingleQuotedStyle != 0:
		for i := 1; i < len(rest); i++ {
			if rest[i] != '\'' {
				continue
			}
			if i+1 < len(rest) && rest[i+1] == '\'' {
				i++
				continue
			}
			return from + i + 1, nil
		}
	case n.Value != "" && strings.HasPrefix(rest, n.Value):
		return from + len(n.Value), nil
	}
	return 0, fmt.Errorf("what stands on line %d is no value in one piece; edit it by hand", n.Line)
}

// add puts a key with its value into a mapping that has keys already: behind them
// where they stand in braces, else before the second. Value is put in as it is.
func (p *page) add(mapping *yaml.Node, key, value string) error {
	pair := key + ": " + value
	if mapping.Style&yaml.FlowStyle != 0 {
		at := p.brace(p.offset(mapping))
		return p.splice(at, at, ", "+pair)
	}
	if len(mapping.Content) < 4 { // on a line of its own, before what follows
		at := p.offset(mapping.Content[0])
		return p.splice(at, at, pair+"\n"+strings.Repeat(" ", mapping.Content[0].Column-1))
	}
	before := mapping.Content[2]
	at := p.offset(before)
	return p.splice(at, at, pair+"\n"+strings.Repeat(" ", before.Column-1))
}

// brace gives the place of the brace that closes the one at from; the page was
// parsed, so there is one. Blanks before it stay before it.
func (p *page) brace(from int) int {
	depth, quote := 0, byte(0)
	for i := from; i < len(p.text); i++ {
		switch c := p.text[i]; {
		case quote == '"' && c == '\\':
			i++
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case (c == '"' || c == '\'') && strings.ContainsRune(" ,:[{\n", rune(p.text[i-1])):
			quote = c
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				return from + len(strings.TrimRight(p.text[from:i], " \n"))
			}
		}
	}
	return len(p.text)
}

// splice replaces a stretch of the text, and parses it anew.
func (p *page) splice(from, to int, with string) error {
	now, err := newPage(p.text[:from] + with + p.text[to:])
	if err != nil {
		return err
	}
	*p = *now
	return nil
}

// bare matches what needs no quotes wherever a value may stand.
var bare = regexp.MustCompile(`^(-?\pN|[\pL±.])[\pL\pN .%±+Ωµμ°²()/-]*$`)

// written writes a value, in quotes where it needs them.
func written(value string) string {
	if bare.MatchString(value) {
		return value
	}
	return strconv.Quote(value)
}
