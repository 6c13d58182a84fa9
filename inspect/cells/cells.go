// Package cells makes text safe as a cell of a table of comma-separated values.
package cells

// Text answers a cell that holds text from a file. A spreadsheet takes a cell that
// begins with = + - @, a tab or a line's end for a formula and would run it; such a
// cell gets an apostrophe before it, which spreadsheets read as "this is text"
// (OWASP, CSV Injection). Numbers of ours are no text: write them as they are, or a
// minus would be no number any more.
func Text(s string) string {
	if s == "" {
		return s
	}
	switch s[0] {
	case '=', '+', '-', '@', '\t', '\r', '\n':
		return "'" + s
	}
	return s
}
