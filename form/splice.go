package form

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// This file knows where on a page things begin and end.

// splice replaces a stretch of the text. What cannot be found on an odd page, such
// as the colon of a key that has none, is taken to be at its end; edited looks at
// what became of the page.
func (e *editor) splice(from, to int, with string) {
	from = min(from, to)
	if strings.Contains(e.text, "\r\n") {
		with = strings.ReplaceAll(with, "\n", "\r\n")
	}
	e.lines = newLines(e.text[:from] + with + e.text[to:])
}

// set puts a value at a site, or under the keys that are absent there.
func (e *editor) set(at site, absent []string, f fragment) error {
	switch {
	case at.node.Kind == yaml.AliasNode || at.node.Anchor != "":
		return Problems{problem(place(at.node), "this is used in several places of the page, by an anchor and aliases", "change it by hand")}
	case len(absent) == 0:
		e.replace(at, f)
	case empty(at.node):
		e.replace(at, under(append([]string{""}, absent...), f))
	default:
		e.insert(at, absent[0], under(absent, f))
	}
	return nil
}

// replace puts another value in the place of one. A serial number in quotes stays
// in quotes.
func (e *editor) replace(at site, f fragment) {
	text := f.line
	if at.brackets {
		text = f.flow
	}
	quotes := at.node.Style & (yaml.SingleQuotedStyle | yaml.DoubleQuotedStyle)
	if said := node(text); quotes != 0 && said.Kind == yaml.ScalarNode && said.Style == 0 && otherwise.MatchString(said.Value) {
		text = inQuotes(said.Value)
	}
	from, to := e.span(at)
	if from == to {
		text = " " + text
	}
	e.splice(from, to, text)
	at.parent.Content[at.index] = node(text)
}

// insert puts a key into a mapping, behind the others.
func (e *editor) insert(at site, key string, f fragment) {
	n := at.node
	flow := at.brackets || n.Style&yaml.FlowStyle != 0
	name := quoteText(key, true, flow)
	n.Content = append(n.Content, node(name), node(f.flow))
	last := len(n.Content) - 3
	switch {
	case flow && last < 0:
		from := e.offset(place(n)) + 1
		e.splice(from, from, name+": "+f.flow)
	case flow:
		end := e.end(n.Content[last])
		if empty(n.Content[last]) {
			_, end = e.span(site{n.Content[last], n, last, true})
		}
		e.splice(end, end, ", "+name+": "+f.flow)
	default:
		_, end := e.span(site{n.Content[last], n, last, false})
		end = e.lineEnd(end)
		margin := "\n" + strings.Repeat(" ", n.Content[0].Column-1)
		text := " " + f.line
		if f.below != "" {
			text = margin + strings.ReplaceAll(f.below, "\n", margin)
		}
		e.splice(end, end, margin+name+":"+text)
	}
}

// add puts an item at the end of a list, or beside a value that stands without a
// list around it.
func (e *editor) add(at site, item fragment) error {
	n := at.node
	switch {
	case n.Kind == yaml.AliasNode || n.Anchor != "":
		return e.set(at, nil, item)
	case n.Kind != yaml.SequenceNode && n.Kind == yaml.MappingNode && n.Style&yaml.FlowStyle == 0:
		return Problems{problem(place(n), "this is no list", "begin each item on a line of its own with \"- \"")}
	case n.Kind != yaml.SequenceNode:
		from, to := e.span(at)
		old := e.text[from:to]
		if n.Kind == yaml.ScalarNode && n.Style&^yaml.TaggedStyle == 0 {
			old = quoteText(n.Value, false, true)
		}
		list := "[" + old + ", " + item.flow + "]"
		e.splice(from, to, list)
		at.parent.Content[at.index] = node(list)
		return nil
	}
	last := len(n.Content) - 1
	switch {
	case last < 0:
		from := e.offset(place(n)) + 1
		e.splice(from, from, item.flow)
	case at.brackets || n.Style&yaml.FlowStyle != 0:
		end := e.end(n.Content[last])
		e.splice(end, end, ", "+item.flow)
	default:
		end := e.lineEnd(e.end(n.Content[last]))
		margin := "\n" + strings.Repeat(" ", n.Column-1)
		e.splice(end, end, margin+"- "+strings.ReplaceAll(item.item, "\n", margin))
	}
	n.Content = append(n.Content, node(item.flow))
	return nil
}

// remove takes a key with its value, or an item, off the page.
func (e *editor) remove(at site) error {
	parent, first := at.parent, at.index
	if parent.Kind == yaml.MappingNode {
		first--
	}
	begin := e.offset(place(parent.Content[first]))
	_, end := e.span(at)
	next := at.index + 1
	flow := at.brackets || parent.Style&yaml.FlowStyle != 0
	switch {
	case len(parent.Content) == next-first:
		return e.removeLast(parent, begin, end, flow)
	case flow && first > 0:
		before := site{parent.Content[first-1], parent, first - 1, true}
		_, begin = e.span(before)
	case flow:
		end = e.offset(place(parent.Content[next]))
	case parent.Kind == yaml.SequenceNode || strings.TrimSpace(e.before(place(parent.Content[first]))) == "":
		begin = e.starts[e.line0(begin)]
		end = e.nextLine(end)
	case next < len(parent.Content): // the first key of an item, behind its dash
		end = e.offset(place(parent.Content[next]))
	}
	e.splice(begin, end, "")
	parent.Content = slices.Delete(parent.Content, first, next)
	return nil
}

// removeLast empties a list or mapping.
func (e *editor) removeLast(parent *yaml.Node, begin, end int, flow bool) error {
	brackets := "{}"
	if parent.Kind == yaml.SequenceNode {
		brackets = "[]"
	}
	if flow {
		e.splice(begin, end, "")
	} else {
		begin = e.offset(place(parent))
		e.splice(begin, end, brackets)
	}
	parent.Content = nil
	return nil
}

// span gives where a value begins and ends; for an empty one both are just behind
// the colon of its key.
func (e *editor) span(at site) (from, to int) {
	if empty(at.node) && at.parent != nil && at.parent.Kind == yaml.MappingNode && at.index > 0 {
		colon := e.end(at.parent.Content[at.index-1])
		colon = min(colon+strings.IndexByte(e.text[colon:]+":", ':')+1, len(e.text))
		return colon, colon
	}
	return e.offset(place(at.node)), e.end(at.node)
}

// end gives the byte just behind a node.
func (e *editor) end(n *yaml.Node) int {
	from := e.offset(place(n))
	t := tracer{text: e.text, at: from, style: n.Style}
	t.skipProperties()
	switch {
	case n.Kind == yaml.AliasNode:
		return min(from+1+len(n.Value), len(e.text))
	case n.Kind == yaml.ScalarNode && n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return e.blockEnd(n)
	case n.Kind == yaml.ScalarNode:
		return e.scalarEnd(n, t.at)
	case len(n.Content) == 0:
		return e.closing(t.at + 1)
	}
	last := len(n.Content) - 1
	_, end := e.span(site{n.Content[last], n, last, n.Style&yaml.FlowStyle != 0})
	if n.Style&yaml.FlowStyle != 0 {
		return e.closing(end)
	}
	return end
}

// scalarEnd gives the end of a single value that begins at a byte.
func (e *editor) scalarEnd(n *yaml.Node, from int) int {
	quote := byte(0)
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		quote = '"'
	case n.Style&yaml.SingleQuotedStyle != 0:
		quote = '\''
	case strings.HasPrefix(e.text[from:], n.Value):
		return from + len(n.Value)
	default: // over several lines
		t := tracer{text: e.text, at: from, style: n.Style}
		for _, r := range n.Value {
			if !t.step(r) {
				break
			}
		}
		return t.at
	}
	for i := from + 1; i < len(e.text); i++ {
		switch {
		case quote == '"' && e.text[i] == '\\':
			i++
		case e.text[i] == quote && quote == '\'' && i+1 < len(e.text) && e.text[i+1] == quote:
			i++
		case e.text[i] == quote:
			return i + 1
		}
	}
	return len(e.text)
}

// blockEnd gives the end of a text that begins with "|" or ">": of the last line
// that is indented further than the one it begins on.
func (e *editor) blockEnd(n *yaml.Node) int {
	last, depth := n.Line, indentation(e.line(n.Line))
	for m := n.Line + 1; m <= len(e.starts); m++ {
		line := e.line(m)
		if strings.TrimSpace(line) == "" {
			continue
		}
		if indentation(line) <= depth {
			break
		}
		last = m
	}
	return e.starts[last-1] + len(e.line(last))
}

// closing gives the byte behind the bracket that closes after blanks, commas and
// comments.
func (e *editor) closing(at int) int {
	for ; at < len(e.text); at++ {
		switch c := e.text[at]; {
		case c == ']' || c == '}':
			return at + 1
		case c == '#':
			at = e.lineEnd(at)
		}
	}
	return len(e.text)
}

// line0 gives the index of the line of a byte.
func (e *editor) line0(offset int) int { return e.lines.place(offset).Line - 1 }

// lineEnd gives the byte at which the line of a byte ends.
func (e *editor) lineEnd(offset int) int {
	n := e.line0(offset)
	return e.starts[n] + len(e.line(n+1))
}

// nextLine gives the byte at which the line after that of a byte begins.
func (e *editor) nextLine(offset int) int {
	if n := e.line0(offset) + 1; n < len(e.starts) {
		return e.starts[n]
	}
	return len(e.text)
}
