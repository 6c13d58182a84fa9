package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"strings"

	"rigloupe/inspect/say"
)

// The seal is the SHA-256 of the whole file with zeros where the seal itself stands. It
// tells a document that was changed, by a slip or a damaged copy, from one that was not.
// It is no signature: who changes the document on purpose can work it out anew.
const (
	sealMark = `<code class="hash" data-seal>`
	sealEnd  = `</code>`
	sealSize = 2 * sha256.Size
)

// Seal ends the document and answers the file.
func (s *Sheet) Seal() []byte {
	if s.Lengths != "" && s.Lengths != say.InMetres {
		words := say.In(s.b.String(), s.Lengths)
		s.b.Reset()
		s.b.WriteString(words)
	}
	blank := strings.Repeat("0", sealSize)
	fmt.Fprintf(&s.b, "<footer><span>%s</span><span>Hash of this sheet, sha256 with zeros in its place: %s%s%s</span></footer>\n</main>\n</body>\n</html>\n",
		escape(s.head.Program), sealMark, blank, sealEnd)
	data := s.b.Bytes()
	at := bytes.LastIndex(data, []byte(sealMark)) + len(sealMark)
	sum := sha256.Sum256(data)
	hex.Encode(data[at:], sum[:])
	return data
}

// Document is one that was read back.
type Document struct {
	Head
	Seal  string // as it stands there
	Whole bool   // the seal fits: nothing was changed since it was made
	Texts map[string]string
}

var (
	errNoSheet = errors.New("this is no sheet of Rigloupe")
	errTwice   = errors.New("this is no sheet of Rigloupe: what may stand in it once stands there more than once")
)

// Read reads a document back. One that was changed is read, too, as far as it can be:
// Whole says so.
func Read(data []byte) (*Document, error) {
	d := &Document{Texts: map[string]string{}}
	meta, _, err := between(data, headMark, `"`)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal([]byte(html.UnescapeString(string(meta))), &d.Head); err != nil {
		return nil, fmt.Errorf("this is no sheet of Rigloupe: its head cannot be read: %w", err)
	}
	seal, at, err := between(data, sealMark, sealEnd)
	if err != nil {
		return nil, err
	}
	d.Seal = string(seal)
	blank := bytes.Clone(data)
	for i := range len(seal) {
		blank[at+i] = '0'
	}
	sum := sha256.Sum256(blank)
	d.Whole = d.Seal == hex.EncodeToString(sum[:])
	for rest := data; ; {
		i := bytes.Index(rest, []byte(planMark))
		if i < 0 {
			return d, nil
		}
		rest = rest[i+len(planMark):]
		name, text, ok := bytes.Cut(rest, []byte(`">`))
		text, _, end := bytes.Cut(text, []byte("</pre>"))
		if ok && end {
			d.Texts[html.UnescapeString(string(name))] = html.UnescapeString(string(text))
		}
	}
}

// between answers what stands between two marks, the first of which is there once.
func between(data []byte, mark, end string) (in []byte, at int, err error) {
	at = bytes.Index(data, []byte(mark))
	if at < 0 {
		return nil, 0, errNoSheet
	}
	at += len(mark)
	if bytes.Contains(data[at:], []byte(mark)) {
		return nil, 0, errTwice
	}
	n := bytes.Index(data[at:], []byte(end))
	if n < 0 {
		return nil, 0, errNoSheet
	}
	return data[at : at+n], at, nil
}

// Of answers the role of a file with these bytes; "": the document is not about it.
func (d *Document) Of(sha256 string) string {
	for _, f := range d.Files {
		if f.SHA256 == sha256 {
			return f.Role
		}
	}
	return ""
}
