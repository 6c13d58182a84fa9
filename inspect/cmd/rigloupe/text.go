package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// shown is a name for a sentence: quoted, with whatever could move the cursor, turn the
// writing round or begin a line written as an escape.
func shown(name string) string { return strconv.Quote(name) }

// line is text of a file within one line: what ends a line is written as an escape.
func line(s string) string {
	if !strings.ContainsAny(s, "\n\r\t\v\f\u0085\u2028\u2029") {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if unicode.IsSpace(r) && r != ' ' && (unicode.IsControl(r) || r == 0x2028 || r == 0x2029) {
			fmt.Fprintf(&b, "\\u%04x", r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// tame is where all text for a terminal goes through: names, generators and paths are a
// stranger's, and an escape in one could clear the screen, retype the line before it or
// turn the writing round. Such letters are written as \u001b, which is what JSON writes
// as well, so documents stay what they are. Line feeds are ours.
type tame struct {
	w    io.Writer
	held []byte // the first bytes of a letter that a write cut in two
}

func (t *tame) Write(b []byte) (int, error) {
	n := len(b)
	if len(t.held) > 0 {
		b = append(t.held, b...)
		t.held = nil
	}
	out := make([]byte, 0, len(b))
	for len(b) > 0 {
		r, size := utf8.DecodeRune(b)
		if r == utf8.RuneError && size < 2 {
			if !utf8.FullRune(b) {
				t.held = append([]byte{}, b...)
				break
			}
			out = append(out, "\uFFFD"...)
			b = b[1:]
			continue
		}
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == 0x2028 || r == 0x2029) {
			out = fmt.Appendf(out, "\\u%04x", r)
		} else {
			out = append(out, b[:size]...)
		}
		b = b[size:]
	}
	if _, err := t.w.Write(out); err != nil {
		return 0, err
	}
	return n, nil
}
