package store

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// matching turns what somebody typed into a query for the index of words: every
// word must be there, the last one may be the beginning of a word when it has two
// signs or more (open says so; whole is then the query for the whole word). What
// stands in double quotes must follow upon each other. Both are "" when no word
// was typed. Signs that mean something to the index are taken as plain text.
func matching(typed string) (whole, open string) {
	typed = strings.ToValidUTF8(strings.ReplaceAll(typed, "\x00", " "), " ")
	var parts []string
	begun := false
	for i, piece := range strings.Split(typed, `"`) {
		quoted := i%2 == 1
		words := []string{piece}
		if !quoted {
			words = strings.Fields(piece)
		}
		for _, word := range words {
			if strings.ContainsFunc(word, isWord) {
				parts = append(parts, `"`+strings.TrimSpace(word)+`"`)
				begun = !quoted && utf8.RuneCountInString(word) > 1
			}
		}
	}
	if len(parts) == 0 {
		return "", ""
	}
	whole = strings.Join(parts, " ")
	last := []rune(typed)[len([]rune(typed))-1]
	if begun && isWord(last) {
		return whole, whole + "*"
	}
	return whole, whole
}

// isWord reports whether a sign is part of words, as the index sees it.
func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsNumber(r) }
