package paper

import (
	"fmt"
	"html"
	"strings"
	"unicode"
	"unicode/utf8"

	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

// Text is a piece of a line, already safe: only this package makes one.
type Text struct{ html string }

// Words are our own, or such as hold names of a file: what is no plain letter is written
// as in Name.
func Words(s string) Text { return Text{escape(s)} }

// mostName is how many letters of a name stand in a line; of a longer one nameHead and nameTail
// letters stand there, and how long it is stands behind. Whole cuts nothing.
const (
	mostName = 96
	nameHead = 60
	nameTail = 24
)

// Name is text that somebody else wrote: a file, a joint, a clip. It is kept apart from
// the words around it, so that writing that runs from right to left turns nothing round
// but itself.
func Name(s string) Text {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if n := utf8.RuneCountInString(s); n > mostName {
		r := []rune(s)
		return Text{fmt.Sprintf("<bdi>%s</bdi> … <bdi>%s</bdi> (%s)", escape(string(r[:nameHead])), escape(string(r[n-nameTail:])), escape(say.Count(n, "letter", "letters")))}
	}
	return Whole(s)
}

// Whole is Name with nothing cut.
func Whole(s string) Text { return Text{"<bdi>" + escape(s) + "</bdi>"} }

// Gone is text that is struck through: what was and is no more. A reader aloud says so, too,
// if the words do; they have to.
func Gone(t Text) Text { return Text{"<s>" + t.html + "</s>"} }

// Soft is a second voice: a limit, an id.
func Soft(t Text) Text { return Text{`<span class="soft">` + t.html + "</span>"} }

// Unbroken stays on one line.
func Unbroken(t Text) Text { return Text{`<span class="w">` + t.html + "</span>"} }

// Join puts pieces one behind the other.
func Join(list ...Text) Text {
	var b strings.Builder
	for _, t := range list {
		b.WriteString(t.html)
	}
	return Text{b.String()}
}

// Lines puts pieces one under the other.
func Lines(list ...Text) Text {
	var b strings.Builder
	for i, t := range list {
		if i > 0 {
			b.WriteString("<br>")
		}
		b.WriteString(t.html)
	}
	return Text{b.String()}
}

// Mark is the mark of a grade and its word for those who do not see it.
func Mark(g check.Grade) Text {
	if g < check.Note || g > check.Stop {
		return Text{}
	}
	return Text{fmt.Sprintf(`<svg class="mark %s" role="img" aria-label="%s"><use href="#m-%s"/></svg>`, g, g, g)}
}

// Hash is a hash in groups of eight, which a person compares; copied, it is one word.
func Hash(hex string) Text {
	var b strings.Builder
	b.WriteString(`<code class="hash">`)
	for i := 0; i < len(hex); i += 8 {
		b.WriteString("<span>" + escape(hex[i:min(i+8, len(hex))]) + "</span><wbr>")
	}
	b.WriteString("</code>")
	return Text{b.String()}
}

// Plain is the text without its elements, as it is read.
func (t Text) Plain() string {
	var b strings.Builder
	rest := strings.ReplaceAll(t.html, "<br>", "\n")
	for rest != "" {
		words, tag, is := strings.Cut(rest, "<")
		b.WriteString(words)
		if !is {
			break
		}
		_, rest, _ = strings.Cut(tag, ">")
	}
	return html.UnescapeString(b.String())
}

// Capital is a sentence with a capital letter at its beginning.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Empty tells that there is nothing to read.
func (t Text) Empty() bool { return t.html == "" }

// escape makes any string text within an element or an attribute. Letters that move the
// cursor, turn the writing round or end a line are written as \u202e, as on the terminal:
// they are there, and do nothing.
func escape(s string) string {
	var b strings.Builder
	for _, r := range s { // bytes that are no letter come as U+FFFD
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\'':
			b.WriteString("&#39;")
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == 0x2028, r == 0x2029, r == 0xFEFF:
			fmt.Fprintf(&b, "\\u%04x", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
