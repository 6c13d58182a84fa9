package gltfio

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/qmuntal/gltf"

	"encoding/json"
)

// FuzzRead: whatever the bytes, the reader answers an error or a rig that every
// other part may rely on. Seeds: the sound figure, the broken files and, when they
// are there, the small real models.
func FuzzRead(f *testing.F) {
	f.Add(figure().glb())
	d := figure()
	d.put("buffers/0", object{"byteLength": 4, "uri": "data:;base64,AAAA"})
	f.Add(d.json())
	for _, row := range brokenFiles() {
		if b := row.file(); len(b) < 1<<16 {
			f.Add(b)
		}
	}
	f.Add(zipped(f, "m.glb", figure().glb()))
	paths, _ := filepath.Glob(corpus + "/models/*kin*.gl*")
	for _, p := range append(paths, "testdata/simpleskin.gltf", "testdata/figure-ext.glb", "testdata/figure-khr.glb") {
		if b, err := os.ReadFile(p); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Read([]File{{"fuzz.glb", b}}, Options{})
		if err != nil {
			if bytes.Contains([]byte(err.Error()), []byte("fault of the reader")) {
				t.Fatal(err)
			}
			return
		}
		sane(t, r)
	})
}

// FuzzDecode: any document that the library can read and write is read to equal
// values by the lean decoding.
func FuzzDecode(f *testing.F) {
	f.Add(figure().json())
	for _, row := range brokenFiles() {
		if row.damage != nil {
			d := figure()
			row.damage(d)
			f.Add(d.json())
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		doc := new(gltf.Document)
		if json.Unmarshal(b, doc) != nil || hasNil(doc) {
			return
		}
		text, err := json.Marshal(doc) // names and shapes as the standard spells them
		if err != nil {
			return
		}
		if again := new(gltf.Document); json.Unmarshal(text, again) != nil || tooLarge(again) {
			return
		}
		sameDocument(t, text)
	})
}

// hasNil tells lists that hold a null, which the lean decoding refuses.
func hasNil(d *gltf.Document) bool {
	b, err := json.Marshal(d)
	return err != nil || bytes.Contains(b, []byte("null"))
}

// tooLarge tells whole numbers that float64 cannot tell apart; they are refused.
func tooLarge(d *gltf.Document) bool {
	b, err := json.Marshal(d)
	if err != nil {
		return true
	}
	digits := 0
	for _, ch := range b {
		if ch-'0' <= 9 {
			if digits++; digits > 15 {
				return true
			}
		} else {
			digits = 0
		}
	}
	return false
}
