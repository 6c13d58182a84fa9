package lineup

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"rigloupe/inspect/say"
)

// than holds the other's number against one's own.
func than(n int) string {
	if n == 0 {
		return ", the other none"
	}
	return fmt.Sprintf(", against %d", n)
}

// against says how many findings of a grade b has, which of them a has not, and
// how many a has.
func against(b, a *Row, grade string, ofB, ofA int) string {
	s := say.Regular(ofB, grade)
	if own := titlesNotIn(b, a, grade); own != "" {
		s += " (" + own + ")"
	}
	return s + than(ofA)
}

// titles lists the counted findings of a grade, each title once.
func titles(r *Row, grade string) string { return titlesNotIn(r, nil, grade) }

// most is how many titles a sentence takes.
const most = 4

func titlesNotIn(r, other *Row, grade string) string {
	known := map[string]bool{}
	if other != nil {
		for _, b := range other.Brief {
			known[b.ID] = known[b.ID] || b.Grade == grade
		}
	}
	var list []string
	seen := map[string]bool{}
	for _, b := range r.Brief {
		if b.Grade == grade && b.Counts && !known[b.ID] && !seen[b.Title] {
			seen[b.Title] = true
			list = append(list, lower(b.Title))
		}
	}
	if more := len(list) - most; more > 0 {
		list = append(list[:most], fmt.Sprintf("and %d more", more))
	}
	return strings.Join(list, "; ")
}

// quoted is `"a"`, `"a" and "b"`, `"a", "b" and "c"`.
func quoted(names []string) string {
	var b strings.Builder
	for i, n := range names {
		switch {
		case i == 0:
		case i == len(names)-1:
			b.WriteString(" and ")
		default:
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%q", n)
	}
	return b.String()
}

func files(rows []Row) []string {
	out := []string{}
	for i := range rows {
		out = append(out, rows[i].File)
	}
	return out
}

// apart names the columns in which rows that stand level still differ.
func apart(rows []Row) string {
	var differ []string
	for _, c := range columns {
		for i := range rows {
			if rows[i].Cells[c.Key].Value != rows[0].Cells[c.Key].Value {
				differ = append(differ, c.Title)
				break
			}
		}
	}
	if len(differ) == 0 {
		return "They are alike in every column."
	}
	return "They differ in what does not decide: " + strings.Join(differ, ", ") + "."
}

func lower(s string) string { return firstLetter(s, unicode.ToLower) }
func upper(s string) string { return firstLetter(s, unicode.ToUpper) }

func firstLetter(s string, change func(rune) rune) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(change(r)) + s[n:]
}

// Words is a word of a cell as a person reads it; numbers are the caller's to write.
func Words(value any) string {
	switch v := value.(type) {
	case string:
		if s, ok := said[v]; ok {
			return s
		}
		return v
	case nil:
		return "---"
	}
	return fmt.Sprint(value)
}

var said = map[string]string{
	afterSteps:    "after a few steps",
	notYet:        "not yet",
	cannotTell:    "cannot tell",
	nothingToBind: "nothing to bind",
	isReady:       "ready",
	bound:         "already bound",
	boundFlaws:    "already bound, with flaws",
	boundStops:    "already bound, with stops",
}
