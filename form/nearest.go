package form

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	mostListed  = 12 // names listed by Suggest
	longestName = 64 // characters in a name that Nearest looks at
)

// Nearest gives the known name that the word was probably meant to be, or ""
// when none is near enough. Letter case, and which of "-", "_" and space joins
// two parts of a name, do not count. A name is near when few letters have to
// be changed, left out, put in or swapped with their neighbour (one in three or
// four letters, two in five to seven, and so on), or when the word is the
// beginning of that name alone. One digit for another counts twice: R12 is
// rarely a slip for R13.
func Nearest(word string, known []string) string {
	typed := folded(word)
	if len(typed) == 0 || len(typed) > longestName {
		return ""
	}
	best, least := "", 1
	if len(typed) > 2 {
		least += (len(typed) + 1) / 3
	}
	begun, begins := "", 0
	for _, name := range known {
		if utf8.RuneCountInString(name) > longestName {
			continue
		}
		wanted := folded(name)
		if apart := len(wanted) - len(typed); apart < least && -apart < least {
			if d := distance(typed, wanted); d < least {
				best, least = name, d
			}
		}
		if len(typed) >= 3 && len(wanted) > len(typed) && string(wanted[:len(typed)]) == string(typed) {
			begun = name
			begins++
		}
	}
	if best == "" && begins == 1 {
		return begun
	}
	return best
}

// Suggest gives a hint for a word that is not known: `did you mean "x"?` when
// one known name is near, and otherwise `known here: a, b, c`, cut at twelve.
// With no names known it gives "".
func Suggest(word string, known []string) string {
	if near := Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	switch {
	case len(known) == 0:
		return ""
	case len(known) > mostListed:
		return fmt.Sprintf("known here: %s and %d more", strings.Join(known[:mostListed], ", "), len(known)-mostListed)
	}
	return "known here: " + strings.Join(known, ", ")
}

// folded gives the letters of a name as they are compared.
func folded(name string) []rune {
	letters := []rune(strings.ToLower(strings.TrimSpace(name)))
	for i, r := range letters {
		if r == '_' || r == ' ' {
			letters[i] = '-'
		}
	}
	return letters
}

// distance is the number of single-letter edits (change, insert, delete, swap
// of two neighbours) that turn a into b, no part being edited twice and one
// digit for another counting as two: the optimal string alignment distance. (F. J. Damerau, "A technique for computer
// detection and correction of spelling errors", Communications of the ACM 7,
// 1964, names these four slips; the recurrence is the usual dynamic programme.)
func distance(a, b []rune) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			switch {
			case a[i-1] == b[j-1]:
				change = 0
			case unicode.IsDigit(a[i-1]) && unicode.IsDigit(b[j-1]):
				change = 2
			}
			row[j] = min(above[j]+1, row[j-1]+1, above[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
