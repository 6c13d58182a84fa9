// Package cells makes text safe as a cell of a table of comma-separated values.
package cells

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Text answers a cell that holds text from a file. A spreadsheet takes a cell that
// begins with = + - @, their full-width forms, a tab or a line's end for a formula and
// would run it, also behind blanks; such a cell gets an apostrophe before it, which spreadsheets read as "this is text"
// (OWASP, CSV Injection). Numbers of ours are no text: write them as they are, or a
// minus would be no number any more.
func Text(s string) string {
	if s == "" {
		return s
	}
	if strings.ContainsRune("\t\r\n", rune(s[0])) {
		return "'" + s
	}
	// Blanks of every kind, and what is not seen at all, are passed over by some.
	first, _ := utf8.DecodeRuneInString(strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) || unicode.IsControl(r) }))
	if strings.ContainsRune("=+-@＝＋－＠﹢﹣﹦﹫", first) {
		return "'" + s
	}
	return s
}
