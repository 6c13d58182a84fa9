package gltfio

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"unicode/utf8"
)

// container is a file taken apart: its JSON text and, of a GLB, its binary chunk.
type container struct {
	kind  string // "glb" or "gltf"
	json  []byte
	at    int // byte of the file where json starts
	bin   []byte
	hasIt bool // bin is there, perhaps empty
	more  []Chunk
	notes []note
}

// Chunk types (glTF 2.0, GLB File Format).
const (
	chunkJSON = 0x4E4F534A
	chunkBIN  = 0x004E4942
)

func isGLB(b []byte) bool { return len(b) >= 4 && string(b[:4]) == "glTF" }

// unpack takes a file apart. A .gltf is its own JSON text.
func unpack(name string, b []byte) (*container, error) {
	refuse := func(place, hint, format string, args ...any) (*container, error) {
		return nil, &Refused{File: name, Place: place, What: fmt.Sprintf(format, args...), Hint: hint}
	}
	if !isGLB(b) {
		return unpackText(name, b)
	}
	const again = "the file is cut off or damaged: copy or export it again"
	if len(b) < 12 {
		return refuse("byte 0", again, "a GLB header has 12 bytes, the file has %d", len(b))
	}
	version, length := binary.LittleEndian.Uint32(b[4:]), binary.LittleEndian.Uint32(b[8:])
	if version != 2 {
		return refuse("byte 4", "export it as glTF 2.0", "a GLB of version %d; this program reads version 2", version)
	}
	c := &container{kind: "glb"}
	if int64(length) != int64(len(b)) {
		c.notes = append(c.notes, note{place: "byte 8", what: fmt.Sprintf("the header states %d bytes, the file has %d", length, len(b)), spare: int64(length) < int64(len(b))})
	}
	for i, at := 0, 12; at < len(b); i++ {
		rest := len(b) - at
		if rest < 8 {
			if int64(at) >= int64(length) || i >= 2 {
				c.notes = append(c.notes, note{place: fmt.Sprintf("byte %d", at), what: fmt.Sprintf("%d bytes behind the last chunk; ignored", rest), spare: true})
				break
			}
			return refuse(fmt.Sprintf("byte %d", at), again, "a chunk header has 8 bytes, %d are left", rest)
		}
		size, kind := binary.LittleEndian.Uint32(b[at:]), binary.LittleEndian.Uint32(b[at+4:])
		place := fmt.Sprintf("byte %d, chunk %d", at, i)
		if i == 0 && kind != chunkJSON {
			return refuse(place, again, "the first chunk must be JSON, this one is of type %08X", kind)
		}
		if int64(size) > int64(rest-8) {
			if i > 0 && kind != chunkBIN {
				c.notes = append(c.notes, note{place: place, what: fmt.Sprintf("a chunk of unknown type %08X states %d bytes, %d are there; ignored", kind, size, rest-8)})
				break
			}
			return refuse(place, again, "the chunk states %d bytes, %d are there", size, rest-8)
		}
		if size%4 != 0 {
			c.notes = append(c.notes, note{place: place, what: fmt.Sprintf("%d bytes are no multiple of 4; read as they stand", size)})
		}
		body := b[at+8 : at+8+int(size) : at+8+int(size)]
		switch {
		case i == 0:
			c.json, c.at = body, at+8
		case kind == chunkBIN && c.hasIt:
			c.notes = append(c.notes, note{place: place, what: "a second binary chunk; ignored"})
		case kind == chunkBIN:
			c.bin, c.hasIt = body, true
			if i != 1 {
				c.notes = append(c.notes, note{place: place, what: "the binary chunk must be the second one; read all the same"})
			}
		case kind == chunkJSON:
			c.notes = append(c.notes, note{place: place, what: "a second JSON chunk; ignored"})
		default:
			c.more = append(c.more, Chunk{kind, body})
		}
		at += 8 + int(size)
	}
	if c.json == nil {
		return refuse("byte 12", again, "there is no JSON chunk")
	}
	return c, nil
}

var byteOrderMark = []byte("\xEF\xBB\xBF")

func unpackText(name string, b []byte) (*container, error) {
	c := &container{kind: "gltf", json: b}
	text := bytes.TrimLeft(b, " \r\n\t")
	switch {
	case len(text) == 0:
		return nil, &Refused{File: name, What: "the file is empty", Hint: "copy or export it again"}
	case bytes.HasPrefix(text, byteOrderMark):
		c.at = len(b) - len(text) + 3
		c.json = b[c.at:]
		c.notes = append(c.notes, note{place: "byte 0", what: "a byte order mark before the JSON; passed over"})
	case bytes.HasPrefix(b, []byte{0xFF, 0xFE}) || bytes.HasPrefix(b, []byte{0xFE, 0xFF}):
		return nil, &Refused{File: name, Place: "byte 0", What: "the text is UTF-16, glTF wants UTF-8", Hint: "save it as UTF-8"}
	case text[0] != '{':
		starts := fmt.Sprintf("neither a GLB (it would start with %q) nor JSON: it starts with %q", "glTF", b[:min(8, len(b))])
		switch says, hint := otherType(b); says {
		case "":
		case aText:
			return nil, &Refused{File: name, What: "this is " + says + ", " + starts, Hint: hint}
		default:
			return nil, &Refused{File: name, What: "this is " + says + ", not a model", Hint: hint}
		}
		return nil, &Refused{File: name, Place: "byte 0", What: starts, Hint: aModel}
	}
	return c, nil
}

// document decodes the JSON text and notes what stands around it.
// left is how many bytes its objects may take.
func (c *container) document(name string, left int64) (*document, error) {
	text := c.json
	doc, end, bad := decode(text, left)
	if bad != nil {
		if v := statedVersion(text); v != "" && !strings.HasPrefix(v, "2") {
			return nil, &Refused{File: name, Place: "/asset/version", What: "it is glTF " + quote(v) + ", this program reads 2.0", Hint: "export it as glTF 2.0"}
		}
		line, column := 1+bytes.Count(text[:bad.at], []byte{'\n'}), bad.at-bytes.LastIndexByte(text[:bad.at], '\n')
		where := fmt.Sprintf("JSON line %d, column %d", line, column)
		if p := pointerAt(text, bad.at); p != "" {
			where += " (" + p + ")"
		}
		return nil, &Refused{File: name, Place: where, What: bad.what, Hint: "the file is damaged or was written wrongly: export it again"}
	}
	if !utf8.Valid(text[:end]) {
		at := 0
		for at < end {
			if r, n := utf8.DecodeRune(text[at:end]); r != utf8.RuneError || n > 1 {
				at += n
				continue
			}
			break
		}
		c.notes = append(c.notes, note{place: fmt.Sprintf("byte %d", c.at+at), what: "the JSON is not UTF-8 here; letters that cannot be read are shown as \uFFFD"})
	}
	if rest := bytes.TrimLeft(text[end:], " \r\n\t"); len(rest) > 0 {
		what := fmt.Sprintf("%d bytes behind the JSON; ignored", len(rest))
		if len(bytes.Trim(rest, "\x00")) == 0 {
			what = "the JSON chunk is padded with zeros, glTF wants spaces; passed over"
		}
		c.notes = append(c.notes, note{place: fmt.Sprintf("byte %d", c.at+len(text)-len(rest)), what: what, spare: true})
	}
	return doc, nil
}

// statedVersion looks for asset.version in a text that cannot be read otherwise:
// lists of glTF 1.0 are objects.
func statedVersion(text []byte) string {
	c := &cursor{b: text}
	for k := c.member(); k != nil; k = c.next() {
		if string(k) != "asset" {
			c.raw()
			continue
		}
		for k := c.member(); k != nil; k = c.next() {
			if v := c.raw(); string(k) == "version" {
				return strings.Trim(string(v), `"`)
			}
		}
		return ""
	}
	return ""
}

// pointerAt finds the JSON pointer of the value that holds the byte at, at most
// eight levels deep. It is only used for errors, so it reads the text once more for
// every level, as far as it is JSON.
func pointerAt(text []byte, at int) (pointer string) {
	c := &cursor{b: text}
	here := func(from int) bool { return at >= from && (at < c.i || c.err != nil) }
	for range 8 {
		inside := false
		switch c.peek() {
		case '{':
			for k := c.member(); k != nil; k = c.next() {
				from := c.i
				if c.raw(); here(from) {
					c.err, c.i, inside = nil, from, true
					pointer += "/" + escapePointer(string(k))
					break
				}
			}
		case '[':
			n := 0
			for ok := c.item(); ok; ok = c.more() {
				from := c.i
				if c.raw(); here(from) {
					c.err, c.i, inside = nil, from, true
					pointer += fmt.Sprintf("/%d", n)
					break
				}
				n++
			}
		}
		if !inside {
			break
		}
	}
	return pointer
}
