package gltfio

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
)

// What stands in a file and cannot be meant is said, with its place.
func TestOddThingsAreSaid(t *testing.T) {
	const head = `{"asset":{"version":"2.0"},"nodes":[{"name":"a","children":[1]},{"name":"b"},{"name":"c"}],`
	for name, row := range map[string]struct{ text, place, what string }{
		"skeleton beside the joints": {head + `"skins":[{"joints":[0,1],"skeleton":2}]}`, "/skins/0/skeleton", "node 2 is no common root: joint node 0 does not hang on it"},
		"skeleton below the first":   {head + `"skins":[{"joints":[0,1],"skeleton":1}]}`, "/skins/0/skeleton", "joint node 0"},
		"not UTF-8":                  {strings.Replace(head, `"b"`, "\"b\xff\"", 1) + `"skins":[]}`, "byte 74", "not UTF-8"},
	} {
		r, err := Read([]File{{"m.gltf", []byte(row.text)}}, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		found := false
		for _, m := range r.Malformed {
			found = found || m.Place == row.place && strings.Contains(m.What, row.what)
		}
		if !found {
			t.Errorf("%s: %+v", name, r.Malformed)
		}
	}
	for _, root := range []string{"0", "1"} { // a common root says nothing: of the joints or above
		r, err := Read([]File{{"m.gltf", []byte(head + `"skins":[{"joints":[1],"skeleton":` + root + `}]}`)}}, Options{})
		if err != nil || len(r.Malformed) > 0 {
			t.Errorf("root %s: %v %+v", root, err, r.Malformed)
		}
	}
}

// Bytes behind what a chunk of a GLB holds are told, wherever they stand.
func TestTrailingBytesAreSaid(t *testing.T) {
	plain := figure().glb()
	n := int(binary.LittleEndian.Uint32(plain[12:]))
	text, bin := plain[20:20+n], plain[20+n+8:]
	build := func(text, bin, behind []byte) []byte {
		b := []byte("glTF\x02\x00\x00\x00\x00\x00\x00\x00")
		for i, part := range [][]byte{text, bin} {
			part = bytes.Clone(part)
			for len(part)%4 != 0 {
				part = append(part, " \x00"[i])
			}
			b = binary.LittleEndian.AppendUint32(b, uint32(len(part)))
			b = append(append(b, []string{"JSON", "BIN\x00"}[i]...), part...)
		}
		binary.LittleEndian.PutUint32(b[8:], uint32(len(b)))
		return append(b, behind...)
	}
	for name, row := range map[string]struct {
		glb  []byte
		what string
	}{
		"behind the JSON":       {build(append(bytes.Clone(text), "junk"...), bin, nil), "bytes behind the JSON; ignored"},
		"zeros behind the JSON": {build(zeros(text), bin, nil), "padded with zeros"},
		"in the binary chunk":   {build(text, append(bytes.Clone(bin), make([]byte, 64)...), nil), "the rest is ignored"},
		"behind the last chunk": {build(text, bin, []byte("junk")), "bytes behind the last chunk; ignored"},
		"a chunk of nobody's":   {build(text, bin, append([]byte{4, 0, 0, 0}, "ODD!junk"...)), "the header states"},
		"a second binary chunk": {build(text, bin, append([]byte{4, 0, 0, 0}, "BIN\x00junk"...)), "a second binary chunk; ignored"},
	} {
		r, err := Read([]File{{"m.glb", row.glb}}, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		found := false
		for _, m := range r.Malformed {
			if !strings.Contains(m.What, row.what) {
				continue
			}
			found = true
			if spare := !strings.Contains(name, "nobody's") && !strings.Contains(name, "second binary"); spare != m.Spare && !strings.Contains(m.What, "the header states") {
				t.Errorf("%s: spare is %v", name, m.Spare)
			}
		}
		if !found {
			t.Errorf("%s: %+v", name, r.Malformed)
		}
	}
}

// zeros pads a text to a multiple of four with zeros, at least one.
func zeros(text []byte) []byte {
	b := append(bytes.TrimRight(bytes.Clone(text), " "), 0)
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	return b
}
