package form

import (
	"fmt"
	"reflect"

	"go.yaml.in/yaml/v4"
)

const (
	mostExpanded = 20000 // nodes read through aliases
	mostKept     = 1000  // problems, before reading stops
)

// A decoder walks the nodes of a page along the shape of the target.
type decoder struct {
	lines
	problems Problems
	root     *yaml.Node
	lost     loss                // what could not be parsed
	open     map[*yaml.Node]bool // anchored lists and mappings around the node
	used     map[*yaml.Node]bool // anchored nodes that an alias refers to; nil: not counted yet
	depth    int                 // lists and mappings around the node
	aliases  int                 // aliases around the node
	expanded int                 // nodes read through aliases
	stopped  bool
}

// An entry is one value to be read: the node, what it is to the reader of a
// message, and what is expected of it.
type entry struct {
	node     *yaml.Node
	at       Place // of the value, or of the alias that stands for it
	key      string
	item     bool // an item of the list under key
	like     string
	required bool
	lone     bool // a list that may also be one item
	alone    bool // the one item of such a list
}

// name gives what the entry is called in messages.
func (e *entry) name() string {
	switch {
	case e.key == "":
		return "the page"
	case e.item:
		return fmt.Sprintf("an item of %q", shortened(e.key))
	}
	return fmt.Sprintf("%q", shortened(e.key))
}

// report notes a problem, unless there are too many.
func (d *decoder) report(at Place, hint, format string, args ...any) {
	if d.stopped {
		return
	}
	if len(d.problems) >= mostKept {
		d.stop(at, "correct these first", "there are more than %d mistakes; reading stopped here", mostKept)
		return
	}
	d.problems.Add(at, fmt.Sprintf(format, args...), hint)
}

// stop notes a problem that ends the reading of the page.
func (d *decoder) stop(at Place, hint, format string, args ...any) {
	d.problems.Add(at, fmt.Sprintf(format, args...), hint)
	d.stopped = true
}

// place gives the position of a node.
func place(n *yaml.Node) Place { return Place{n.Line, n.Column} }

// empty tells whether nothing at all is written where a value should be.
func empty(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Value == "" && n.Style&^yaml.TaggedStyle == 0
}

// value reads an entry into v, a Go value of shape s.
func (d *decoder) value(e entry, s *shape, v reflect.Value) {
	if d.stopped {
		return
	}
	e.at = place(e.node)
	if e.node.Kind == yaml.AliasNode {
		if !d.follow(&e) {
			return
		}
		defer func() { d.aliases-- }()
	}
	if d.aliases > 0 {
		if d.expanded++; d.expanded > mostExpanded {
			d.stop(e.at, "write the values out", "the aliases of this page repeat more than %d values", mostExpanded)
			return
		}
	}
	taken := d.properties(&e)
	if empty(e.node) {
		wanted := e.required || s.pointed().kind < list
		if wanted && !taken && !(d.lost.any() && d.lost.lines[d.next(e.node.Line+1)]) {
			d.report(d.last(e.at), d.emptyHint(&e, s), "%s: value is empty", e.name())
		}
		return
	}
	whole := v
	for s.pointer != nil {
		v.Set(reflect.New(s.pointer.goType))
		s, v = s.pointer, v.Elem()
	}
	if e.node.Kind == yaml.ScalarNode {
		switch {
		case e.node.Value == "" && (e.required || s.kind != text && s.kind != word):
			d.report(d.last(e.at), d.emptyHint(&e, s), "%s: value is empty", e.name())
			return
		case s.kind < list:
			if !d.scalar(&e, s, v) {
				whole.SetZero()
			}
			return
		case s.kind == record && s.short:
			d.short(&e, s, v)
			return
		}
	}
	if s.kind == list && d.dashGlued(&e) {
		return
	}
	if s.kind == list && e.lone && e.node.Kind != yaml.SequenceNode {
		v.Set(reflect.MakeSlice(s.goType, 1, 1))
		e.lone, e.alone, e.required = false, true, true
		d.value(e, s.elem, v.Index(0))
		return
	}
	d.collection(&e, s, v)
}

// follow takes an entry from an alias to the node it stands for.
func (d *decoder) follow(e *entry) bool {
	name, anchor := e.node.Value, e.node.Alias
	if d.open[anchor] {
		d.report(e.at, "", "*%s stands within itself: the anchor &%s is at line %d", name, name, anchor.Line)
		return false
	}
	d.aliases++
	e.node = anchor
	return true
}

// properties reports a tag, or an anchor that is probably meant as text, and
// tells whether there was one.
func (d *decoder) properties(e *entry) bool {
	n := e.node
	if n.Style&yaml.TaggedStyle != 0 || n.Tag == "!" {
		d.report(place(n), quoteIt(d.valueAt(place(n))), "a value cannot begin with %q", "!")
		return true
	}
	if n.Anchor != "" && n.Kind == yaml.ScalarNode && d.aliases == 0 && !d.isUsed(n) {
		d.report(place(n), quoteIt(d.valueAt(place(n))), "a value cannot begin with %q: it is taken for an anchor, and no alias %s is on this page", "&", "*"+n.Anchor)
		return true
	}
	return false
}

// isUsed tells whether an alias refers to an anchored node.
func (d *decoder) isUsed(n *yaml.Node) bool {
	if d.used == nil {
		d.used = map[*yaml.Node]bool{}
		var visit func(*yaml.Node)
		visit = func(n *yaml.Node) {
			if n.Kind == yaml.AliasNode {
				d.used[n.Alias] = true
			}
			for _, child := range n.Content {
				visit(child)
			}
		}
		visit(d.root)
	}
	return d.used[n]
}

// scalar reads a single value, and tells whether it could be read.
func (d *decoder) scalar(e *entry, s *shape, v reflect.Value) bool {
	if err := s.set(Scalar{Text: e.node.Value, Place: e.at, Quoted: e.node.Style&^yaml.TaggedStyle != 0}, v); err != nil {
		d.mistake(e, err)
		return false
	}
	d.cutShort(e)
	d.runOn(e)
	return true
}

// short reads a struct from a single word.
func (d *decoder) short(e *entry, s *shape, v reflect.Value) {
	for _, index := range s.places {
		*v.FieldByIndex(index).Addr().Interface().(*Place) = e.at
	}
	if err := v.Addr().Interface().(Shorthand).Short(Word{e.node.Value, e.at}); err != nil {
		d.mistake(e, err)
		return
	}
	d.cutShort(e)
}

// mistake reports an error within a single value at the character where it is.
func (d *decoder) mistake(e *entry, err error) {
	m := mistake(err)
	at := e.at
	if d.aliases == 0 {
		at = d.within(e.node, m.Offset)
	}
	hint := m.Hint
	if comment := d.comment(e.node); comment != "" {
		hint = commentHint(e.node, comment)
	}
	d.report(at, hint, "%s: %s", e.name(), m.Message)
}

// collection reads a list or a mapping.
func (d *decoder) collection(e *entry, s *shape, v reflect.Value) {
	n := e.node
	if d.depth == mostDepth {
		d.report(e.at, "", "lists and mappings stand more than %d deep within each other", mostDepth)
		return
	}
	d.depth++
	defer func() { d.depth-- }()
	if n.Anchor != "" {
		d.open[n] = true
		defer delete(d.open, n)
	}
	switch {
	case s.kind == list && n.Kind == yaml.SequenceNode:
		d.list(e, s, v)
	case s.kind == pairs && n.Kind == yaml.MappingNode:
		d.pairs(e, s, v)
	case s.kind == record && n.Kind == yaml.MappingNode:
		d.record(e, s, v)
	default:
		d.wrongKind(e, s)
	}
}

// list reads a list into a slice.
func (d *decoder) list(e *entry, s *shape, v reflect.Value) {
	items := e.node.Content
	v.Set(reflect.MakeSlice(s.goType, len(items), len(items)))
	for i, n := range items {
		if d.stopped {
			return
		}
		d.value(entry{node: n, key: e.key, item: true, like: e.like, required: true}, s.elem, v.Index(i))
	}
}

// key gives the text of the key before Content[i] of a mapping, or reports why
// it is none. Keys before it are looked through for the same one.
func (d *decoder) key(mapping *yaml.Node, i int, seen map[string]int) (string, bool) {
	n := mapping.Content[i]
	switch {
	case n.Kind != yaml.ScalarNode:
		d.report(place(n), "quote it if it is meant as text", "a key must be a word")
		return "", false
	case empty(n):
		d.report(place(n), `write "key: value"`, "a key is missing before the colon")
		return "", false
	case n.Value == "<<" && n.Style == 0:
		d.report(place(n), "write the keys out", "merging mappings with << is not part of this format")
		return "", false
	}
	if first, twice := seen[n.Value]; twice {
		d.report(place(n), "keep one of the two", "the key %q is given twice; the first is at line %d", shortened(n.Value), mapping.Content[first].Line)
		return "", false
	}
	seen[n.Value] = i
	d.properties(&entry{node: n})
	return n.Value, true
}

// pairs reads a mapping with free names.
func (d *decoder) pairs(e *entry, s *shape, v reflect.Value) {
	content := e.node.Content
	seen := make(map[string]int, len(content)/2)
	v.Set(reflect.MakeSlice(s.goType, len(content)/2, len(content)/2))
	read := 0
	for i := 0; i+1 < len(content) && !d.stopped; i += 2 {
		name, ok := d.key(e.node, i, seen)
		if !ok {
			continue
		}
		pair := v.Index(read)
		read++
		*pair.Field(0).Addr().Interface().(*Word) = Word{name, place(content[i])}
		d.value(entry{node: content[i+1], key: name, like: e.like, required: true}, s.elem, pair.Field(1))
	}
	v.SetLen(read)
}

// record reads a mapping into a struct. An unknown key that is probably a
// misspelt one is an error, but its value is read all the same, so that the
// mistakes within it come to light too.
func (d *decoder) record(e *entry, s *shape, v reflect.Value) {
	n := e.node
	for _, index := range s.places {
		*v.FieldByIndex(index).Addr().Interface().(*Place) = place(n)
	}
	seen := make(map[string]int, len(n.Content)/2)
	var meant map[string]*yaml.Node // keys that were meant by unknown ones
	for i := 0; i+1 < len(n.Content) && !d.stopped; i += 2 {
		name, ok := d.key(n, i, seen)
		if !ok {
			if n.Content[i].Value == "<<" {
				meant = s.all()
			}
			continue
		}
		if at, ok := s.byKey[name]; ok {
			d.field(&s.fields[at], n.Content[i+1], v)
			continue
		}
		u := unknown{name: name, value: n.Content[i+1], record: s}
		if i > 0 && n.Style&yaml.FlowStyle != 0 {
			u.before = n.Content[i-2].Value
		}
		hint := u.explain()
		d.report(place(n.Content[i]), hint, "unknown key %q", shortened(name))
		if u.meant != "" {
			if meant == nil {
				meant = map[string]*yaml.Node{}
			}
			meant[u.meant] = u.read
		}
	}
	for i := range s.fields {
		f := &s.fields[i]
		if _, ok := seen[f.key]; ok {
			continue
		}
		if value, ok := meant[f.key]; ok {
			if value != nil {
				d.field(f, value, v)
			}
			continue
		}
		if !f.required || d.lost.keys[f.key] {
			continue
		}
		hint := ""
		if f.like != "" {
			hint = fmt.Sprintf("write %q", f.key+": "+f.like)
		}
		d.report(place(n), hint, "the key %q is missing", f.key)
	}
}

// field reads a node into a field of the struct v.
func (d *decoder) field(f *field, n *yaml.Node, v reflect.Value) {
	d.value(entry{node: n, key: f.key, like: f.like, required: f.required, lone: f.lone}, f.shape, v.FieldByIndex(f.index))
}

// all gives every key of a record as meant, with nothing to read.
func (s *shape) all() map[string]*yaml.Node {
	all := make(map[string]*yaml.Node, len(s.fields))
	for i := range s.fields {
		all[s.fields[i].key] = nil
	}
	return all
}
