package memory

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Failure is one failing access: what was expected at an address and what was
// read.
type Failure struct {
	Address, Expected, Read uint64
}

// column says what a column of a list holds.
type column byte

const (
	ignored column = iota
	address
	expected
	read
	mask
)

// columnNames are the headings that a list may have.
var columnNames = map[string]column{
	"address": address, "addr": address, "adr": address, "location": address,
	"expected": expected, "exp": expected, "wrote": expected, "written": expected, "good": expected, "should": expected,
	"read": read, "got": read, "actual": read, "found": read, "was": read, "is": read,
	"mask": mask, "bits": mask, "syndrome": mask, "xor": mask, "differ": mask,
}

const (
	blockSize   = 1 << 18
	longestLine = 1 << 12
	mostColumns = 32
)

// hexDigit is the value of a hexadecimal digit, or what else a byte is.
var hexDigit = func() (table [256]byte) {
	for i := range table {
		switch c := byte(i); {
		case c >= '0' && c <= '9':
			table[i] = c - '0'
		case c >= 'a' && c <= 'f':
			table[i] = c - 'a' + 10
		case c >= 'A' && c <= 'F':
			table[i] = c - 'A' + 10
		case c == ' ' || c == '\t' || c == ',' || c == ';':
			table[i] = gap
		default:
			table[i] = other
		}
	}
	return table
}()

const (
	gap   = 0x40
	other = 0x80
)

// ListError says what is wrong with a list of failures, and where.
type ListError struct {
	Line    int // counted from 1
	Message string
}

func (e *ListError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Message) }

// Read reads a list of failing accesses and hands each to visit, in blocks, so
// that a list of any length takes the same memory. A line holds address, expected
// and read, or address and mask of the wrong bits, in hexadecimal (4A37, 0x4A37,
// $4A37, 4A37h), between commas, semicolons, tabs or spaces. A heading may name
// the columns in another order (address, expected, read, mask), and columns that
// it names otherwise are passed over. Empty lines and what follows a # are
// skipped. The error is a *ListError for a line that cannot be read, or the
// first error of the reader or of visit. It returns the number of failures.
func Read(r io.Reader, visit func(Failure) error) (int, error) {
	l := list{visit: visit}
	block := make([]byte, blockSize)
	kept := 0 // bytes of an unfinished line at the beginning of the block
	for {
		n, err := r.Read(block[kept:])
		whole := block[:kept+n]
		last := bytes.LastIndexByte(whole, '\n')
		if err == nil && last < 0 {
			if len(whole) > longestLine {
				return l.count, &ListError{l.line + 1, fmt.Sprintf("longer than %d characters; this is no list of failures", longestLine)}
			}
			kept = len(whole)
			continue
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return l.count, err
		}
		end := last + 1
		if err != nil {
			end = len(whole)
		}
		if wrong := l.lines(whole[:end]); wrong != nil {
			return l.count, wrong
		}
		if err != nil {
			return l.count, nil
		}
		kept = copy(block, whole[end:])
		if kept > longestLine {
			return l.count, &ListError{l.line + 1, fmt.Sprintf("longer than %d characters; this is no list of failures", longestLine)}
		}
	}
}

// list is the state of reading a list.
type list struct {
	visit   func(Failure) error
	line    int // lines read
	count   int // failures handed on
	columns []column
}

// lines reads whole lines.
func (l *list) lines(text []byte) error {
	for len(text) > 0 {
		n, err := l.plain(text)
		if err != nil {
			return err
		}
		if text = text[n:]; len(text) == 0 {
			return nil
		}
		end := bytes.IndexByte(text, '\n')
		line := text
		if end >= 0 {
			line, text = text[:end], text[end+1:]
		} else {
			text = nil
		}
		l.line++
		if err := l.one(line); err != nil {
			return err
		}
	}
	return nil
}

// plain reads lines as long as they are three bare numbers with one separator
// between each, which most are, and returns the length of what it read. The
// first line is not for it: that decides on the columns.
func (l *list) plain(text []byte) (int, error) {
	if len(l.columns) != 3 || l.columns[0] != address || l.columns[1] != expected || l.columns[2] != read {
		return 0, nil
	}
	done := 0
	for i := 0; i < len(text); done = i {
		var f [3]uint64
		for n := range f {
			start := i
			value, d := uint64(0), byte(other)
			for i < len(text) {
				if d = hexDigit[text[i]]; d > 15 {
					break
				}
				value = value<<4 | uint64(d)
				i++
			}
			if i == start || i-start > 8 || i == len(text) || n < 2 && d != gap {
				return done, nil
			}
			f[n] = value
			i++
		}
		if end := text[i-1]; end == '\r' && i < len(text) && text[i] == '\n' {
			i++
		} else if end != '\n' {
			return done, nil
		}
		l.line++
		l.count++
		if err := l.visit(Failure{f[0], f[1], f[2]}); err != nil {
			return i, err
		}
	}
	return done, nil
}

// emptyColumn reports whether a line has nothing between two commas or
// semicolons, before the first or after the last.
func emptyColumn(line []byte) bool {
	empty, separated := true, false
	for _, c := range line {
		switch {
		case c == '#':
			return separated && empty
		case c == ',' || c == ';':
			if empty {
				return true
			}
			empty, separated = true, true
		case c != ' ' && c != '\t' && c != '\r':
			empty = false
		}
	}
	return separated && empty
}

// one reads one line.
func (l *list) one(line []byte) error {
	if emptyColumn(line) {
		return l.wrong("%.40q has an empty column", line)
	}
	if l.columns == nil {
		skip, err := l.heading(line)
		if skip || err != nil {
			return err
		}
	}
	var f Failure
	i, n := 0, 0
	byMask := false
	for {
		separated := n == 0
		for i < len(line) && (hexDigit[line[i]] == gap || line[i] == '\r') {
			separated = true
			i++
		}
		if i == len(line) || line[i] == '#' {
			break
		}
		if n == len(l.columns) || !separated {
			return l.wrong("%.40q has more than the %d columns of the first line", line, len(l.columns))
		}
		what := l.columns[n]
		n++
		if what == ignored {
			for i < len(line) && hexDigit[line[i]] != gap && line[i] != '\r' {
				i++
			}
			continue
		}
		start := i
		if line[i] == '$' {
			i++
		} else if line[i] == '0' && i+1 < len(line) && line[i+1]|0x20 == 'x' {
			i += 2
		}
		first, value := i, uint64(0)
		for i < len(line) {
			d := hexDigit[line[i]]
			if d > 15 {
				break
			}
			value = value<<4 | uint64(d)
			i++
		}
		digits := i - first
		if i < len(line) && line[i]|0x20 == 'h' {
			i++
		}
		if digits == 0 || digits > 8 || i < len(line) && hexDigit[line[i]] != gap && line[i] != '\r' && line[i] != '#' {
			return l.wrong("%.20q is no hexadecimal number of at most eight digits, such as 4A37", field(line[start:]))
		}
		switch what {
		case address:
			f.Address = value
		case expected:
			f.Expected = value
		case read:
			f.Read = value
		case mask:
			byMask = true
			f.Read = value // against what is expected, below
		}
	}
	if n == 0 {
		return nil // empty, or a remark
	}
	if n < len(l.columns) {
		return l.wrong("%.40q has %d columns; the first line has %d", line, n, len(l.columns))
	}
	if byMask {
		f.Read ^= f.Expected
	}
	l.count++
	return l.visit(f)
}

func field(text []byte) []byte {
	for i, c := range text {
		if hexDigit[c] == gap || c == '\r' {
			return text[:i]
		}
	}
	return text
}

func (l *list) wrong(format string, values ...any) error {
	return &ListError{l.line, fmt.Sprintf(format, values...)}
}

// heading decides by the first line that is not empty what the columns are.
// It reports whether that line is done with: empty, or a heading.
func (l *list) heading(line []byte) (done bool, err error) {
	if i := bytes.IndexByte(line, '#'); i >= 0 {
		line = line[:i]
	}
	words := strings.FieldsFunc(strings.TrimPrefix(string(line), "\ufeff"), func(r rune) bool { return strings.ContainsRune(" \t,;\r", r) })
	if len(words) == 0 {
		return true, nil
	}
	if len(words) > mostColumns {
		return false, l.wrong("%d columns; at most %d", len(words), mostColumns)
	}
	var columns []column
	seen := map[column]bool{}
	for _, word := range words {
		what := columnNames[strings.ToLower(strings.Trim(word, `"'`))]
		if what != ignored && seen[what] {
			return false, l.wrong("two columns are called %.20q or mean the same", word)
		}
		seen[what] = true
		columns = append(columns, what)
	}
	if seen[address] || seen[expected] || seen[read] || seen[mask] { // a heading
		if !seen[address] || seen[mask] == seen[read] || seen[read] && !seen[expected] {
			return false, l.wrong("the heading %.60q must name address, expected and read, or address and mask", line)
		}
		l.columns = columns
		return true, nil
	}
	switch len(words) {
	case 2:
		l.columns = []column{address, mask}
	case 3:
		l.columns = []column{address, expected, read}
	default:
		return false, l.wrong("%.60q: without a heading a line holds address, expected and read, or address and mask of the wrong bits", line)
	}
	return false, nil
}
