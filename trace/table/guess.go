package table

import (
	"errors"
	"fmt"
	"strings"
)

// kind is what a field looks like.
type kind byte

const (
	isText   kind = iota
	isNumber      // a number, or a word that stands for one
	isBlank
	isDate  // a date, alone or with a clock
	isClock // a clock alone
)

// kindOf tells what a field looks like.
func kindOf(text string, point byte) kind {
	if text == "" {
		return isBlank
	}
	if _, ok := field(text, point, scale{0, 1}); ok {
		return isNumber
	}
	if _, ok := readMoment(text, Clock); ok {
		return isClock
	}
	for _, form := range []Form{Date, DayFirst, MonthDay} {
		if _, ok := readMoment(text, form); ok {
			return isDate
		}
	}
	return isText
}

// layout is one way to read the sample: the fields of its rows, and where the
// rows begin.
type layout struct {
	delimiter, point byte
	first            int      // line of the first row
	kinds            []kind   // by field, what most rows have there
	rows             [][]kind // of the lines that look alike
	texts            [][]string
	lines            int     // lines that are neither blank nor comments
	score            float64 // how well it fits
	alike            float64 // share of the lines from the first row on that are rows
}

// comment tells whether a line holds no readings by its nature.
func comment(line string) bool {
	line = strings.TrimSpace(line)
	return line == "" || line[0] == '#' || line[0] == '%' || line[0] == '!'
}

// tryLayout reads the sample one way. skip, if not negative, is given.
func tryLayout(lines []string, delimiter, point byte, skip int) layout {
	l := layout{delimiter: delimiter, point: point, first: -1}
	fields := make([][]string, len(lines))
	kinds := make([][]kind, len(lines))
	numeric := make([]bool, len(lines)) // whether there is a number in the line at all
	counts := map[int]int{}
	for i, line := range lines {
		if i < skip || comment(line) {
			continue
		}
		l.lines++
		fields[i] = trimmed(split(line, delimiter))
		kinds[i] = make([]kind, len(fields[i]))
		for j, f := range fields[i] {
			kinds[i][j] = kindOf(f, point)
			numeric[i] = numeric[i] || kinds[i][j] == isNumber
		}
		if numeric[i] {
			counts[len(fields[i])] += len(fields[i])
		}
	}
	width := 0 // the number of fields that accounts for most of the sample
	for n, weight := range counts {
		if weight > counts[width] || weight == counts[width] && n > width {
			width = n
		}
	}
	if width == 0 {
		return l
	}
	votes := make([][isClock + 1]int, width)
	for i := range lines {
		if len(kinds[i]) == width && numeric[i] {
			for j, k := range kinds[i] {
				votes[j][k]++
			}
		}
	}
	l.kinds = make([]kind, width)
	for j := range votes {
		best := isText
		for k := isNumber; k <= isClock; k++ {
			if k != isBlank && votes[j][k] > 0 && votes[j][k] >= votes[j][best] {
				best = k
			}
		}
		l.kinds[j] = best
	}
	fits := func(i int) bool {
		if len(kinds[i]) != width || !numeric[i] {
			return false
		}
		for j, k := range kinds[i] {
			if l.kinds[j] != isText && k == isText {
				return false
			}
		}
		return true
	}
	numbers, total := 0, 0
	for i := range lines {
		if !fits(i) {
			continue
		}
		if l.first < 0 {
			l.first = i
		}
		l.rows, l.texts = append(l.rows, kinds[i]), append(l.texts, fields[i])
		for _, k := range kinds[i] {
			total++
			if k != isText && k != isBlank {
				numbers++
			}
		}
	}
	if total == 0 {
		return l
	}
	following := 0
	for i := l.first; i < len(lines); i++ {
		if fields[i] != nil {
			following++
		}
	}
	l.alike = float64(len(l.rows)) / float64(following)
	l.score = float64(len(l.rows)) / float64(l.lines) * float64(numbers) / float64(total)
	return l
}

// leastAlike is the share of the lines that must be rows for a text to be taken
// for a table.
const leastAlike = 0.5

// guessLayout finds the reading of the sample that makes most of it numbers.
func guessLayout(lines []string, o Options) (layout, error) {
	skip := -1
	if o.Skip != nil {
		skip = *o.Skip
	}
	var best layout
	for _, d := range delimiters {
		if o.Delimiter != "" {
			sign, err := delimiterSign(o.Delimiter)
			if err != nil {
				return best, err
			}
			d.sign = sign
		}
		for _, point := range []byte{'.', ','} {
			if o.Decimal != "" {
				point = o.Decimal[0]
			}
			if point == d.sign && o.Decimal == "" {
				continue
			}
			l := tryLayout(lines, d.sign, point, skip)
			// The same score with more fields tells more; with the same fields,
			// the earlier of the list is the more usual.
			if l.first >= 0 && (l.score > best.score*1.001 || l.score > best.score*0.999 && len(l.kinds) > len(best.kinds)) {
				best = l
			}
		}
		if o.Delimiter != "" {
			break
		}
	}
	if best.score == 0 || best.alike < leastAlike {
		return best, errors.New("there are no rows of numbers in it; is it a text table as a logger or scope exports it?")
	}
	if skip >= 0 {
		best.first = skip
	}
	return best, nil
}

// find gives the field of a name or a number counted from 1.
func find(what string, names []string, fields int) (int, error) {
	for i, name := range names {
		short, _, _ := nameAndUnit(name)
		if i < fields && (strings.EqualFold(name, what) || strings.EqualFold(short, what)) {
			return i, nil
		}
	}
	n := 0
	if _, err := fmt.Sscanf(what, "%d", &n); err == nil && n >= 1 && n <= fields && fmt.Sprint(n) == what {
		return n - 1, nil
	}
	var known []string
	for i, name := range names {
		if i < fields && name != "" {
			known = append(known, name)
		}
	}
	if len(known) == 0 {
		return 0, fmt.Errorf("there is no field %q; the fields have no names: write a number from 1 to %d", what, fields)
	}
	return 0, fmt.Errorf("there is no field %q; the fields are %s, or write a number from 1 to %d", what, strings.Join(known, ", "), fields)
}
