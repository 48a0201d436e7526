package form

import (
	"errors"
	"strings"

	"go.yaml.in/yaml/v4"
)

const (
	mostParsed = 2 << 20 // bytes parsed again to find further syntax errors
	mostErrors = 20      // syntax errors sought
)

// A loss is what was left out of a page because it could not be parsed.
type loss struct {
	keys  map[string]bool // keys that begin on the first line of a part left out
	lines []bool          // whether a line was left out, by its number
}

// parseAll parses the text. At a syntax error it notes the problem, leaves out
// the item or key where the error is, and parses the rest, until all is parsed
// or too much is broken. An error within what was left out is no new one: the
// whole section around it is then left out. parseAll gives the root node (nil
// when there is none) and what was left out.
func (l lines) parseAll() (root *yaml.Node, lost loss, problems Problems) {
	lost = loss{map[string]bool{}, make([]bool, len(l.starts)+2)}
	rest, parsed := l, 0
	for range mostErrors {
		root, second, err := parse(rest.text)
		if err == nil {
			if second != (Place{}) {
				problems.Add(second, "a second page begins here", `keep one page in a file: delete the line "---"`)
			}
			return root, lost, problems
		}
		p := rest.explain(err)
		first, last := rest.entry(p.Line)
		if lost.lines[p.Line] {
			first, last = l.section(p.Line)
		} else if !l.dangling(err, lost) {
			problems = append(problems, p)
			problems = append(problems, rest.moreTabs(p, last)...)
		}
		if !lost.add(first, last) {
			break
		}
		lost.keys[keyOf(l.line(first))] = true
		rest = rest.without(first, last)
		if parsed += l.offset(Place{p.Line, 1}); parsed > mostParsed {
			break
		}
	}
	return nil, lost, problems
}

// add adds lines to a loss, and tells whether that made a difference.
func (lost loss) add(first, last int) (more bool) {
	for n := first; n <= last; n++ {
		more = more || !lost.lines[n]
		lost.lines[n] = true
	}
	return more
}

// any tells whether anything was left out.
func (lost loss) any() bool { return len(lost.keys) > 0 }

// dangling tells whether an error is only due to a part left out: an alias
// whose anchor stood there.
func (l lines) dangling(err error, lost loss) bool {
	var load *yaml.LoadError
	if !lost.any() || !errors.As(err, &load) {
		return false
	}
	_, name, unknown := strings.Cut(load.Message, "unknown anchor '")
	return unknown && strings.Contains(l.text, "&"+strings.TrimSuffix(name, "' referenced"))
}

// moreTabs gives, where p is about a tab, the same problem for the lines that
// will be left out with it.
func (l lines) moreTabs(p Problem, last int) (more Problems) {
	if p != l.tabOn(p.Line) {
		return nil
	}
	for n := p.Line + 1; n <= last && len(more) < mostShown; n++ {
		if another := l.tabOn(n); another.Message != "" {
			more = append(more, another)
		}
	}
	return more
}

// section gives the first and the last line of the part of the page around
// line n that begins at the margin: a key of the page and all that belongs to
// it.
func (l lines) section(n int) (first, last int) {
	n = max(1, min(n, len(l.starts)))
	for first = n; first > 1 && !l.atMargin(first); first-- {
	}
	for last = n; last < len(l.starts) && !l.atMargin(last+1); last++ {
	}
	return first, last
}

// atMargin tells whether a key of the page may begin on line n.
func (l lines) atMargin(n int) bool {
	line := l.line(n)
	return line != "" && !strings.ContainsRune(" \t#-[]{}", rune(line[0]))
}

// entry gives the first and the last line of the smallest part of the page that
// can be left out for line n to be gone: the item of a list that it belongs to,
// or else the key that begins on it.
func (l lines) entry(n int) (first, last int) {
	n = max(1, l.written(n))
	first = n
	for m, depth := n, indentation(l.line(n)); m > 0; m-- {
		line := l.line(m)
		text := strings.TrimLeft(line, " ")
		if text == "" || text[0] == '#' || m != n && indentation(line) >= depth {
			continue
		}
		depth = indentation(line)
		if strings.HasPrefix(text, "- ") {
			first = m
			break
		}
		if l.atMargin(m) {
			break
		}
	}
	if l.atMargin(first) {
		return l.section(first)
	}
	depth := indentation(l.line(first))
	for last = first; last < len(l.starts); last++ {
		line := l.line(last + 1)
		text := strings.TrimLeft(line, " ")
		if text != "" && text[0] != '#' && indentation(line) <= depth && !strings.ContainsRune("]}", rune(text[0])) {
			break
		}
	}
	return first, last
}

// next gives the first line at or below n with something on it besides a
// comment, or 0.
func (l lines) next(n int) int {
	for ; n <= len(l.starts); n++ {
		if text := strings.TrimLeft(l.line(n), " "); text != "" && text[0] != '#' {
			return n
		}
	}
	return 0
}

// keyOf gives the key on a line, without dash or quotes.
func keyOf(line string) string {
	key, _, _ := strings.Cut(line, ":")
	return strings.Trim(key, "\"' -")
}

// without gives the text with the lines first to last blank, so that all other
// places stay what they are.
func (l lines) without(first, last int) lines {
	end := len(l.text)
	if last < len(l.starts) {
		end = l.starts[last]
	}
	text := []byte(l.text)
	for i := l.starts[first-1]; i < end; i++ {
		if text[i] != '\n' && text[i] != '\r' {
			text[i] = ' '
		}
	}
	return lines{string(text), l.starts, new(cursor)}
}
