package paper

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strings"

	"rigloupe/inspect/say"
)

// Sheet is a document being written, from its head to its seal.
type Sheet struct {
	b    bytes.Buffer
	head Head

	Lengths say.Length // what lengths are read in; "": metres
}

// Head says what a document is and what it is about; programs read it, too (Read).
type Head struct {
	Kind    string `json:"kind"`    // one word: "proof"
	Version int    `json:"version"` // of the kind
	Program string `json:"program"` // and its version
	Files   []File `json:"files"`
	Title   string `json:"-"` // of the document: "Proof sheet"
	About   string `json:"-"` // the name that stands beside it on the first page
}

// File is one that the document is about.
type File struct {
	Role   string `json:"role"` // "source", "written"
	Name   string `json:"name"`
	SHA256 string `json:"sha256"` // of its bytes, hexadecimal
	Bytes  int64  `json:"bytes"`
}

// Picture is a PNG and what it shows.
type Picture struct {
	PNG     []byte
	W, H    int // pixels
	Caption Text
	Says    string // for those who do not see it
}

//go:embed paper.css
var style string

// symbols are the marks of the grades, as the page draws them.
const symbols = `<svg class="defs" aria-hidden="true"><symbol id="m-stop" viewBox="0 0 12 12"><path fill="currentColor" fill-rule="evenodd" d="M.8.8h10.4v10.4H.8zM3 5v2h6V5z"/></symbol>` +
	`<symbol id="m-flaw" viewBox="0 0 12 12"><path fill="none" stroke="currentColor" stroke-width="1.4" d="M6 .9 11.1 6 6 11.1.9 6z"/><path fill="currentColor" d="M6 .9v10.2L.9 6z"/></symbol>` +
	`<symbol id="m-note" viewBox="0 0 12 12"><path fill="none" stroke="currentColor" stroke-width="2" d="M1.4 9.8 6 2.6l4.6 7.2"/></symbol></svg>` + "\n"

// headMark stands before the head for programs; no text can hold it, since a quotation
// mark within text is escaped.
const headMark = `<meta name="rigloupe-sheet" content="`

// New begins a document. Its policy lets the browser run nothing and fetch nothing: of
// what is in the file only this style sheet and the pictures count.
func New(h Head) (*Sheet, error) {
	s := &Sheet{head: h}
	meta, err := json.Marshal(h)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte(style))
	fmt.Fprintf(&s.b, `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
%s%s">
<title>%s: %s</title>
<link rel="icon" href="data:,">
<style>%s</style>
</head>
<body>
`, base64.StdEncoding.EncodeToString(sum[:]), headMark, escape(string(meta)), escape(h.Title), escape(Name(h.About).Plain()), style)
	s.b.WriteString(symbols)
	fmt.Fprintf(&s.b, "<main>\n<header><span>Rigloupe %s</span><span>%s</span></header>\n", escape(strings.ToLower(h.Title)), Name(h.About).html)
	return s, nil
}

// Title is what the document is called; Part and Step head its parts and what stands in
// them.
func (s *Sheet) Title(t Text) { s.line("h1", "", t) }
func (s *Sheet) Part(t Text)  { s.line("h2", "", t) }
func (s *Sheet) Step(t Text)  { s.line("h3", "", t) }

// Verdict is the sentence that answers, Say any other, Small one that few need.
func (s *Sheet) Verdict(t Text) { s.line("p", "verdict", t) }
func (s *Sheet) Say(t Text)     { s.line("p", "", t) }
func (s *Sheet) Small(t Text)   { s.line("p", "small", t) }

func (s *Sheet) line(tag, class string, t Text) {
	if t.Empty() {
		return
	}
	if class != "" {
		class = ` class="` + class + `"`
	}
	fmt.Fprintf(&s.b, "<%s%s>%s</%s>\n", tag, class, t.html, tag)
}

// List is sentences one under the other.
func (s *Sheet) List(list []Text) {
	if len(list) == 0 {
		return
	}
	s.b.WriteString("<ul>\n")
	for _, t := range list {
		s.line("li", "", t)
	}
	s.b.WriteString("</ul>\n")
}

// Together keeps what fill writes on one page where it fits on one.
func (s *Sheet) Together(fill func()) {
	s.b.WriteString("<section class=\"together\">\n")
	fill()
	s.b.WriteString("</section>\n")
}

// Facts is a table of names and what they are.
func (s *Sheet) Facts(rows [][2]Text) {
	s.b.WriteString("<table class=\"facts\"><tbody>\n")
	for _, r := range rows {
		fmt.Fprintf(&s.b, "<tr><th scope=\"row\">%s</th><td>%s</td></tr>\n", r[0].html, r[1].html)
	}
	s.b.WriteString("</tbody></table>\n")
}

// Table has a head and rows; the first cell of a row names it. Columns from the one
// numbered figures on (from 0) stand to the right.
func (s *Sheet) Table(head []string, figures int, rows [][]Text) {
	if len(rows) == 0 {
		return
	}
	class := func(i int) string {
		if i >= figures {
			return ` class="r"`
		}
		return ""
	}
	s.b.WriteString("<table><thead><tr>")
	for i, h := range head {
		fmt.Fprintf(&s.b, "<th scope=\"col\"%s>%s</th>", class(i), escape(h))
	}
	s.b.WriteString("</tr></thead><tbody>\n")
	for _, r := range rows {
		s.b.WriteString("<tr>")
		for i, c := range r {
			if i == 0 {
				fmt.Fprintf(&s.b, "<th scope=\"row\">%s</th>", c.html)
			} else {
				fmt.Fprintf(&s.b, "<td%s>%s</td>", class(i), c.html)
			}
		}
		s.b.WriteString("</tr>\n")
	}
	s.b.WriteString("</tbody></table>\n")
}

// Pictures stand side by side, so many in a row.
func (s *Sheet) Pictures(list []Picture) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintf(&s.b, "<div class=\"pictures of-%d\">\n", min(4, len(list)))
	for i := range list {
		s.figure(&list[i])
	}
	s.b.WriteString("</div>\n")
}

func (s *Sheet) figure(p *Picture) {
	fmt.Fprintf(&s.b, `<figure><img alt="%s" width="%d" height="%d" src="data:image/png;base64,%s">`, escape(p.Says), p.W, p.H, base64.StdEncoding.EncodeToString(p.PNG))
	if !p.Caption.Empty() {
		fmt.Fprintf(&s.b, "<figcaption>%s</figcaption>", p.Caption.html)
	}
	s.b.WriteString("</figure>\n")
}

// planMark stands before a text that programs read back.
const planMark = `<pre data-text="`

// Text is one that programs read, too: word by word what Document.Texts holds. Letters
// that escape would write otherwise must not be in it.
func (s *Sheet) Text(name, text string) {
	fmt.Fprintf(&s.b, "%s%s\">%s</pre>\n", planMark, escape(name), escapeLines(text))
}

// escapeLines is escape that lets line feeds be.
func escapeLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = escape(lines[i])
	}
	return strings.Join(lines, "\n")
}

// Sign is a line to sign on for each of the words, as wide as told.
func (s *Sheet) Sign(fields []Field) {
	s.b.WriteString("<div class=\"sign\">\n")
	for _, f := range fields {
		class := ""
		if f.Short {
			class = ` class="short"`
		}
		filled := "&nbsp;"
		if !f.Filled.Empty() {
			filled = f.Filled.html
		}
		fmt.Fprintf(&s.b, "<p%s><span>%s</span>%s</p>\n", class, filled, escape(f.Name))
	}
	s.b.WriteString("</div>\n")
}

// Field is one place to write on, filled in already or not.
type Field struct {
	Name   string
	Filled Text
	Short  bool
}
