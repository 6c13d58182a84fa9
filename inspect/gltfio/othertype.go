package gltfio

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// signature is how files of another type begin: at offset 0, and at second where also
// is not empty.
type signature struct {
	first, also string
	second      int
	says, hint  string
}

const (
	aPicture = "a picture goes with the .gltf that names it: drop that with it, or the model itself"
	aText    = "a plain text"
	aModel   = "drop a .glb, a .gltf with its files, a .vrm or a .zip"
)

// signatures are those of MIME Sniffing (WHATWG, §6.1, §7.1), of TIFF 6.0 (§2) and of
// KTX 2.0 (§3.1).
var signatures = []signature{
	{first: "\x89PNG\r\n\x1a\n", says: "a PNG picture", hint: aPicture},
	{first: "\xff\xd8\xff", says: "a JPEG picture", hint: aPicture},
	{first: "GIF87a", says: "a GIF picture", hint: aPicture},
	{first: "GIF89a", says: "a GIF picture", hint: aPicture},
	{first: "RIFF", also: "WEBPVP", second: 8, says: "a WebP picture", hint: aPicture},
	{first: "BM", also: "\x00\x00\x00\x00", second: 6, says: "a BMP picture", hint: aPicture}, // the reserved bytes, else any text with BM
	{first: "II*\x00", says: "a TIFF picture", hint: aPicture},
	{first: "MM\x00*", says: "a TIFF picture", hint: aPicture},
	{first: "\xabKTX 20\xbb\r\n\x1a\n", says: "a KTX2 picture", hint: aPicture},
	{first: "%PDF-", says: "a PDF document", hint: aModel},
	{first: "%!PS-Adobe-", says: "a PostScript document", hint: aModel},
	{first: "PK\x03\x04", says: "a ZIP archive", hint: "drop the .zip by itself"},
	{first: "\x1f\x8b\x08", says: "a gzip archive", hint: "unpack it first"},
	{first: "Rar!\x1a\x07", says: "a RAR archive", hint: "unpack it first"},
}

// OtherType tells what a file is that bears the name of motion capture: "a PNG picture";
// empty: nothing known, or a text, which its reader explains better.
func OtherType(b []byte) (says, hint string) {
	if bytes.HasPrefix(b, []byte("glTF")) {
		return "a glTF model (GLB)", "give it the ending .glb"
	}
	if says, hint = otherType(b); says == aText {
		return "", ""
	}
	return says, hint
}

// otherType tells what a file is that is no model, by its first bytes; empty: nothing known.
func otherType(b []byte) (says, hint string) {
	for _, s := range signatures {
		if bytes.HasPrefix(b, []byte(s.first)) && (s.also == "" || len(b) >= s.second && bytes.HasPrefix(b[s.second:], []byte(s.also))) {
			return s.says, s.hint
		}
	}
	head := b[:min(len(b), 512)]
	for len(head) < len(b) && len(head) > 0 && !utf8.RuneStart(b[len(head)]) {
		head = head[:len(head)-1] // not within a letter
	}
	if !utf8.Valid(head) || bytes.ContainsFunc(head, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' && r != '\f' && r != '\x1b' }) {
		return "", ""
	}
	text := strings.ToLower(strings.TrimSpace(strings.TrimPrefix(string(head), string(byteOrderMark))))
	switch {
	case strings.HasPrefix(text, "<!doctype html"), strings.HasPrefix(text, "<html"), strings.HasPrefix(text, "<head"), strings.HasPrefix(text, "<body"):
		return "a web page (HTML)", "a download that asks for a login answers so: download the model itself again"
	case strings.HasPrefix(text, "<svg"), strings.HasPrefix(text, "<?xml") && strings.Contains(text, "<svg"):
		return "an SVG picture", aModel
	case strings.HasPrefix(text, "<?xml"):
		return "an XML text", aModel
	}
	return aText, aModel
}
