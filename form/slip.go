package form

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
)

// emptyHint says what to write where a value is empty, or what became of it.
func (d *decoder) emptyHint(e *entry, s *shape) string {
	rest := ""
	if d.aliases == 0 {
		rest = strings.TrimLeft(d.from(place(e.node)), " ")
	}
	switch s = s.pointed(); {
	case len(rest) > 1 && rest[0] == '#' && rest[1] != ' ':
		return commentHint(e.node, rest)
	case e.like != "":
		return "write it, such as " + e.like
	case s.kind == record:
		return "write it with " + keysHint(s)
	case e.required:
		return ""
	}
	return "write it, or leave the key out"
}

// comment gives a comment right after a plain value that looks more like a
// part of it: "#3", but not "# three" or "#three".
func (d *decoder) comment(n *yaml.Node) string {
	if n.Style != 0 || n.Anchor != "" || d.aliases > 0 {
		return ""
	}
	rest, ok := strings.CutPrefix(d.from(place(n)), n.Value)
	if !ok {
		return ""
	}
	rest = strings.TrimLeft(rest, " ")
	if len(rest) > 1 && rest[0] == '#' && rest[1] >= '0' && rest[1] <= '9' {
		return rest
	}
	return ""
}

// cutShort reports a value of which a part was probably taken for a comment.
func (d *decoder) cutShort(e *entry) {
	if comment := d.comment(e.node); comment != "" {
		d.report(e.at, commentHint(e.node, comment), "%s: the value may be cut short", e.name())
	}
}

// runOn reports an item of a list that the parser took for more text of the
// value above it.
func (d *decoder) runOn(e *entry) {
	n := e.node
	if n.Style != 0 || d.aliases > 0 || !strings.Contains(n.Value, " - ") || strings.HasPrefix(d.from(place(n)), n.Value) {
		return
	}
	for m := d.next(n.Line + 1); m > 0; m = d.next(m + 1) {
		text := strings.TrimLeft(d.line(m), " ")
		if strings.HasPrefix(text, "- ") {
			d.report(Place{m, indentation(d.line(m)) + 1}, "begin the list on the line below its key; or, if all is text, quote it",
				"%s: an item of a list below a value", e.name())
			return
		}
		if !strings.Contains(n.Value, firstWord(text)) {
			return
		}
	}
}

// commentHint says how to keep a comment as part of the value before it.
func commentHint(n *yaml.Node, comment string) string {
	return fmt.Sprintf(`%q is taken for a comment: if it belongs to the value, %s; if not, put a space after "#"`,
		shortened(comment), quoteIt(strings.TrimSpace(n.Value+" "+comment)))
}

// An unknown is a key that a record does not have.
type unknown struct {
	name   string
	value  *yaml.Node
	record *shape
	before string // the key before it within the same braces
	meant  string // the key that was probably meant, or ""
	read   *yaml.Node
}

// explain gives a hint for an unknown key, and finds out which key was meant
// and what, if anything, can be read as its value.
func (u *unknown) explain() string {
	keys := u.record.keys()
	if key, rest, ok := strings.Cut(u.name, ":"); ok {
		if u.meant = Nearest(key, keys); u.meant != "" {
			return fmt.Sprintf("put a space after the colon: %q", u.meant+": "+shortened(rest))
		}
	}
	if empty(u.value) {
		if key, rest, ok := strings.Cut(u.name, " "); ok && u.record.has(key) {
			u.meant = key
			return fmt.Sprintf("put a colon after the key: %q", key+": "+shortened(rest))
		}
		if u.before != "" {
			return fmt.Sprintf("the comma ends the value of %q: quote that value if this belongs to it, or put it in brackets if it is a list", shortened(u.before))
		}
	}
	if under := u.record.under(u.name); under != "" {
		return fmt.Sprintf("it belongs under %q: write \"%s: {%s: …}\"", under, under, u.name)
	}
	if u.meant = Nearest(u.name, keys); u.meant != "" {
		u.read = u.value
	}
	return Suggest(u.name, keys)
}

// under is the key of the record's part that has the given key, when there is
// just one such part.
func (s *shape) under(key string) string {
	found := ""
	for _, f := range s.fields {
		part := f.shape
		if part.pointer != nil {
			part = part.pointer
		}
		if part.kind != record || !part.has(key) {
			continue
		}
		if found != "" {
			return ""
		}
		found = f.key
	}
	return found
}

// has tells whether a record has a key.
func (s *shape) has(key string) bool {
	_, ok := s.byKey[key]
	return ok
}

// dashGlued reports a list whose first dash has no space after it, which makes
// text of it.
func (d *decoder) dashGlued(e *entry) bool {
	n := e.node
	if n.Kind != yaml.ScalarNode || n.Style != 0 || d.aliases > 0 || n.Column != indentation(d.line(n.Line))+1 {
		return false
	}
	p := d.gluedDash(n.Line)
	if p.Message == "" {
		return false
	}
	d.report(p.Place(), p.Hint, "%s: %s", e.name(), p.Message)
	return true
}

// wrongKind reports a list, a mapping or a single value where another of the
// three is wanted.
func (d *decoder) wrongKind(e *entry, s *shape) {
	wanted, hint := "a single value", ""
	switch s.kind {
	case list:
		wanted, hint = "a list", `begin each item on a line of its own with "- "`
	case pairs:
		wanted, hint = "a mapping", `write "name: value" on lines of their own`
	case record:
		wanted, hint = "a mapping", "write it with "+keysHint(s)
	default:
		if e.like != "" {
			hint = "write it, such as " + e.like
		}
	}
	if e.alone {
		wanted += ", or a list of these"
	}
	found := "a single value"
	switch e.node.Kind {
	case yaml.SequenceNode:
		found = "a list"
		if !e.item && e.node.Style&yaml.FlowStyle == 0 && (s.kind == pairs || s.kind == record) {
			hint += `, without "- " before`
		}
	case yaml.MappingNode:
		found = "a mapping"
		if content := e.node.Content; s.kind < list && len(content) == 2 && content[0].Kind == yaml.ScalarNode && content[1].Kind == yaml.ScalarNode {
			hint = "if it is meant as text, " + quoteIt(strings.TrimSpace(content[0].Value+": "+content[1].Value))
		}
	default:
		typed := e.node.Value
		key, rest, colon := strings.Cut(typed, ":")
		name, value, equals := strings.Cut(typed, "=")
		switch {
		case equals && s.kind == record && Nearest(name, s.keys()) != "":
			hint = fmt.Sprintf("write a colon instead of %q: %q", "=", strings.TrimSpace(name)+": "+firstWord(strings.TrimSpace(value)))
		case s.kind == list && strings.Contains(typed, ","):
			hint = fmt.Sprintf("put it in brackets: [%s]", shortened(typed))
		case s.kind == list && s.elem.pointed().kind < list:
			hint = fmt.Sprintf("put it in brackets: [%s]", shortened(typed))
		case colon && s.kind == record && Nearest(key, s.keys()) != "", colon && s.kind == pairs && !strings.ContainsAny(key, " \n"):
			hint = fmt.Sprintf("put a space after the colon: %q", shortened(key+": "+rest))
		}
	}
	d.report(e.at, hint, "%s must be %s, not %s", e.name(), wanted, found)
}

// keysHint names a few keys of a record.
func keysHint(s *shape) string {
	const few = 4
	keys := s.keys()
	if len(keys) == 1 {
		return fmt.Sprintf("the key %q", keys[0])
	}
	if len(keys) > few {
		return "the keys " + strings.Join(keys[:few], ", ") + ", …"
	}
	return "the keys " + strings.Join(keys, ", ")
}
