package memory

import (
	"fmt"
	"strings"
)

// Direction is the order in which an element of a march test walks through the
// addresses.
type Direction int

// The directions.
const (
	Either Direction = iota
	Up
	Down
)

func (d Direction) String() string { return [...]string{"any", "up", "down"}[d] }

// Operation is one operation of a march element: read or write, of 0 or 1.
type Operation struct {
	Write bool
	One   bool
}

func (o Operation) String() string {
	return string([]byte{"rw"[btoi(o.Write)], "01"[btoi(o.One)]})
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Element is one element of a march test: operations done on each cell in turn.
type Element struct {
	Direction  Direction
	Operations []Operation
}

// March is a march test.
type March struct {
	Name     string
	Elements []Element
}

// String writes a test in standard notation: "any(w0); up(r0,w1); down(r1,w0)".
func (m March) String() string {
	var elements []string
	for _, e := range m.Elements {
		var operations []string
		for _, o := range e.Operations {
			operations = append(operations, o.String())
		}
		elements = append(elements, e.Direction.String()+"("+strings.Join(operations, ",")+")")
	}
	return strings.Join(elements, "; ")
}

// Length is the number of operations for each cell: 10 for March C−.
func (m March) Length() int {
	n := 0
	for _, e := range m.Elements {
		n += len(e.Operations)
	}
	return n
}

// Reads counts the reads of 0 and of 1 for each cell.
func (m March) Reads() (zeros, ones int) {
	for _, e := range m.Elements {
		for _, o := range e.Operations {
			switch {
			case o.Write:
			case o.One:
				ones++
			default:
				zeros++
			}
		}
	}
	return zeros, ones
}

const mostOperations = 200

// ParseMarch reads a march test in standard notation, as String writes it; the
// arrows ⇑, ⇓, ⇕ serve for up, down, any. The error says which element or
// operation is none, or where a read expects what was not written.
func ParseMarch(text string) (March, error) {
	var m March
	holds := -1 // what the cells hold
	for i, part := range strings.Split(strings.TrimRight(strings.TrimSpace(text), ";"), ";") {
		part = strings.ToLower(strings.TrimSpace(part))
		for arrow, word := range map[string]string{"⇑": "up", "⇓": "down", "⇕": "any"} {
			part = strings.ReplaceAll(part, arrow, word)
		}
		name, rest, opened := strings.Cut(part, "(")
		inner, after, closed := strings.Cut(rest, ")")
		var e Element
		switch strings.TrimSpace(name) {
		case "any":
		case "up":
			e.Direction = Up
		case "down":
			e.Direction = Down
		default:
			return m, fmt.Errorf("element %d begins with %.20q; write up, down or any, as in up(r0,w1)", i+1, name)
		}
		if !opened || !closed || strings.TrimSpace(after) != "" {
			return m, fmt.Errorf("element %d, %.40q, needs its operations in brackets, as in up(r0,w1)", i+1, part)
		}
		for _, word := range strings.Split(inner, ",") {
			word = strings.TrimSpace(word)
			if len(word) != 2 || strings.IndexByte("rw", word[0]) < 0 || strings.IndexByte("01", word[1]) < 0 {
				return m, fmt.Errorf("element %d: %.20q is no operation; write r0, r1, w0 or w1", i+1, word)
			}
			o := Operation{word[0] == 'w', word[1] == '1'}
			if !o.Write && holds != btoi(o.One) {
				return m, fmt.Errorf("element %d: %s expects what was not written before it", i+1, word)
			}
			if o.Write {
				holds = btoi(o.One)
			}
			e.Operations = append(e.Operations, o)
		}
		m.Elements = append(m.Elements, e)
		if m.Length() > mostOperations {
			return m, fmt.Errorf("the test has more than %d operations", mostOperations)
		}
	}
	return m, nil
}

// Marches lists well-known march tests. Elements of MATS+, MATS++, March A and B
// and the lengths of X, C−, SS: "March algorithm" (Wikipedia, Variants), which
// prints 22 n for March Y where its elements count 8 n. The other elements are
// from memory after van de Goor (1991) and, for March LR, A. J. van de Goor, G.
// N. Gaydadjiev et al., "March LR: a test for realistic linked faults" (1996),
// of which versions differ. What each finds was checked by simulation.
func Marches() []March {
	var list []March
	for _, m := range []struct{ name, text string }{
		{"MATS", "any(w0); any(r0,w1); any(r1)"},
		{"MATS+", "any(w0); up(r0,w1); down(r1,w0)"},
		{"MATS++", "any(w0); up(r0,w1); down(r1,w0,r0)"},
		{"March X", "any(w0); up(r0,w1); down(r1,w0); any(r0)"},
		{"March Y", "any(w0); up(r0,w1,r1); down(r1,w0,r0); any(r0)"},
		{"March C-", "any(w0); up(r0,w1); up(r1,w0); down(r0,w1); down(r1,w0); any(r0)"},
		{"March C", "any(w0); up(r0,w1); up(r1,w0); any(r0); down(r0,w1); down(r1,w0); any(r0)"},
		{"March A", "any(w0); up(r0,w1,w0,w1); up(r1,w0,w1); down(r1,w0,w1,w0); down(r0,w1,w0)"},
		{"March B", "any(w0); up(r0,w1,r1,w0,r0,w1); up(r1,w0,w1); down(r1,w0,w1,w0); down(r0,w1,w0)"},
		{"March LR", "any(w0); down(r0,w1); up(r1,w0,r0,w1); up(r1,w0); up(r0,w1,r1,w0); up(r0)"},
		{"March SS", "any(w0); up(r0,r0,w0,r0,w1); up(r1,r1,w1,r1,w0); down(r0,r0,w0,r0,w1); down(r1,r1,w1,r1,w0); any(r0)"},
	} {
		test, err := ParseMarch(m.text)
		if err != nil {
			panic(err) // a mistake in the program
		}
		test.Name = m.name
		list = append(list, test)
	}
	return list
}

// FindMarch gives the march test of a name ("March C-", "mats+"), or reads one
// in standard notation. A true minus or dash is taken for the hyphen.
func FindMarch(text string) (March, error) {
	plain := strings.NewReplacer("−", "-", "–", "-").Replace(strings.TrimSpace(text))
	var names []string
	for _, m := range Marches() {
		if strings.EqualFold(m.Name, plain) {
			return m, nil
		}
		names = append(names, m.Name)
	}
	if strings.Contains(plain, "(") {
		return ParseMarch(plain)
	}
	return March{}, fmt.Errorf("no march test is called %.40q; known here: %s; or write its elements, as in any(w0); up(r0,w1)", text, strings.Join(names, ", "))
}
