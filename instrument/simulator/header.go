package simulator

import "strings"

// matches tells whether a header that was sent is the one of a pattern such as
// "SYSTem:ERRor[:NEXT]?". Each keyword is sent whole or as its capital letters,
// in any case of letters; what stands in brackets may be left out; a colon may
// go before the first keyword.
//
// Source: SCPI-1999, volume 1, section 6.2 (from memory).
func matches(pattern, header string) bool {
	asks := strings.HasSuffix(pattern, "?")
	if asks != strings.HasSuffix(header, "?") {
		return false
	}
	header = strings.TrimPrefix(strings.TrimSuffix(header, "?"), ":")
	sent := strings.Split(strings.ToUpper(header), ":")
	return nodes(keywords(strings.TrimSuffix(pattern, "?")), sent)
}

// A keyword is one node of a pattern.
type keyword struct {
	long, short string
	optional    bool
}

// keywords takes a pattern apart.
func keywords(pattern string) []keyword {
	pattern = strings.ReplaceAll(strings.ReplaceAll(pattern, "[:", ":["), ":]", "]:")
	var list []keyword
	for _, text := range strings.Split(pattern, ":") {
		bare := strings.Trim(text, "[]")
		short := strings.Map(func(r rune) rune {
			if r >= 'a' && r <= 'z' {
				return -1
			}
			return r
		}, bare)
		list = append(list, keyword{strings.ToUpper(bare), short, strings.HasPrefix(text, "[")})
	}
	return list
}

// nodes tells whether what was sent fits the rest of a pattern.
func nodes(rest []keyword, sent []string) bool {
	if len(rest) == 0 {
		return len(sent) == 0
	}
	k := rest[0]
	if len(sent) > 0 && (sent[0] == k.long || sent[0] == k.short) && nodes(rest[1:], sent[1:]) {
		return true
	}
	return k.optional && nodes(rest[1:], sent)
}
