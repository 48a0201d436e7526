package form

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// quoteText gives a text as a single value of a page: as it is where it will be
// read so, and in double quotes otherwise. Within brackets more signs have a
// meaning. Free text that other readers of YAML would take for a number, a
// yes/no or nothing is quoted too, so that serial numbers keep their zeros
// everywhere. What is not UTF-8 becomes U+FFFD.
func quoteText(value string, free, inBrackets bool) string {
	value = strings.ToValidUTF8(value, "\ufffd")
	if plain(value, inBrackets) && !(free && otherwise.MatchString(value)) {
		return value
	}
	return inQuotes(value)
}

// inQuotes puts a text in double quotes.
func inQuotes(value string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range value {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r <= 0xff:
			fmt.Fprintf(&b, `\x%02X`, r)
		case r <= 0xffff:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			fmt.Fprintf(&b, `\U%08X`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// plain tells whether a text is read as it is without quotes. Where that is in
// doubt it is not. (YAML 1.2.2, section 7.3.3, plain style.)
func plain(value string, inBrackets bool) bool {
	if value == "" || value == "=" || value == "<<" || strings.HasPrefix(value, "...") || strings.TrimSpace(value) != value {
		return false
	}
	first := value[0]
	if strings.IndexByte("?:,[]{}#&*!|>'\"%@`", first) >= 0 || first == '-' && (len(value) == 1 || strings.IndexByte(" -,[]{}", value[1]) >= 0) {
		return false
	}
	if strings.Contains(value, ": ") || strings.Contains(value, " #") || strings.HasSuffix(value, ":") || inBrackets && strings.ContainsAny(value, ",[]{}") {
		return false
	}
	for _, r := range value {
		if !unicode.IsPrint(r) {
			return false
		}
	}
	return true
}

// otherwise matches what YAML's core schema takes for a number, a yes/no or
// nothing (YAML 1.2.2, section 10.3.2).
var otherwise = regexp.MustCompile(`^(~|null|Null|NULL|true|True|TRUE|false|False|FALSE|[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?|0o[0-7]+|0x[0-9a-fA-F]+|[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN))$`)
