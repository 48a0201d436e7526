package library

import (
	"errors"
	"fmt"

	"go.yaml.in/yaml/v4"

	"halfsplit/form"
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

// A place is a mapping on the page, with the path that leads to it, as [form.Set]
// takes it.
type place struct {
	*yaml.Node
	path []string
}

// under gives the path of a key of a mapping, or of one within that.
func (p place) under(keys ...string) []string {
	return append(p.path[:len(p.path):len(p.path)], keys...)
}

// named lists the items of a list of mappings that have a name under a key. The
// path is that of the list.
func named(list *yaml.Node, key, name string, path ...string) (found []place) {
	if list == nil {
		return nil
	}
	for i, item := range list.Content {
		if is := value(item, key); is != nil && is.Value == name {
			found = append(found, place{item, append(path[:len(path):len(path)], fmt.Sprintf("#%d", i+1))})
		}
	}
	return found
}

// places gives where a thing stands: a part that stands in the list of parts and in
// a circuit does so twice.
func (p *page) places(of thing) (list []place) {
	for _, one := range sections {
		switch {
		case one.name != of.section:
		case one.named == "":
			if model := value(p.root, one.name); model != nil {
				list = append(list, place{model, []string{one.name}})
			}
		default:
			list = append(list, named(value(p.root, one.name), one.named, of.name, one.name)...)
		}
	}
	if circuits := value(p.root, "circuits"); of.section == "parts" && circuits != nil {
		for i := 1; i < len(circuits.Content); i += 2 {
			list = append(list, named(value(circuits.Content[i], "parts"), "part", of.name, "circuits", circuits.Content[i-1].Value, "parts")...)
		}
	}
	return list
}

// set puts a value under a path, in the place of the one that is there.
func (p *page) set(text string, path []string) error {
	return p.become(form.Set([]byte(p.text), text, path...))
}

// add puts one more value beside those under a path.
func (p *page) add(text string, path []string) error {
	return p.become(form.Append([]byte(p.text), text, path...))
}

// become makes a changed text the page.
func (p *page) become(text []byte, err error) error {
	if err != nil {
		return err
	}
	now, err := newPage(string(text))
	if err == nil {
		*p = *now
	}
	return err
}
