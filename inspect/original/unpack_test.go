package original

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"rigloupe/inspect/gltfio"
)

func packedFigure(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../gltfio/testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A packed file is opened as it reads: no view, list or buffer speaks of packing any more,
// the rig of what is written is that of the plain file, and no packed byte is carried along.
func TestUnpack(t *testing.T) {
	plain := packedFigure(t, "figure.glb")
	want, err := gltfio.Read([]gltfio.File{{Name: "m.glb", Data: plain}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"figure-ext.glb", "figure-khr.glb"} {
		d, err := Open([]gltfio.File{{Name: "m.glb", Data: packedFigure(t, name)}})
		if err != nil {
			t.Fatal(err)
		}
		if d.Unpacked() != 13 {
			t.Errorf("%s: %d views unpacked, want 13", name, d.Unpacked())
		}
		out := glb(t, d)
		if bytes.Contains(out, []byte("meshopt")) || bytes.Contains(out, []byte("extensionsRequired")) || bytes.Contains(out, []byte(`"fallback"`)) {
			t.Errorf("%s: packing is still spoken of", name)
		}
		if n := len(out); n > len(plain)+200 {
			t.Errorf("%s: %d bytes, the plain file has %d", name, n, len(plain))
		}
		got, err := gltfio.Read([]gltfio.File{{Name: "m.glb", Data: out}}, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got.File = want.File
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: another rig: remarks %v, malformed %v", name, got.Remarks, got.Malformed)
		}
		if again := reopen(t, out); again.Unpacked() != 0 || again.Count(Buffers) != 1 || len(Changes(d, again).Pointers) > 0 {
			t.Errorf("%s: %d unpacked, %d buffers, changed %v", name, again.Unpacked(), again.Count(Buffers), Changes(d, again).Pointers)
		}
		for i := range d.Count(Accessors) {
			if a, err := d.Accessor(i); err != nil {
				t.Errorf("%s: %v", name, err)
			} else if _, _, err := a.Raw(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	if d, err := Open([]gltfio.File{{Name: "m.glb", Data: plain}}); err != nil || d.Unpacked() != 0 || !bytes.Equal(d.buffers[0].data, plainData(plain)) {
		t.Errorf("a plain file: %v, %d unpacked", err, d.Unpacked())
	}
}

func plainData(glb []byte) []byte {
	at := 20 + int(binary.LittleEndian.Uint32(glb[12:]))
	var doc struct{ Buffers []struct{ ByteLength int } }
	if json.Unmarshal(glb[20:at], &doc) != nil {
		return nil
	}
	return glb[at+8 : at+8+doc.Buffers[0].ByteLength]
}

// A view whose stream is torn stays as it is, and so do the extension and the buffers.
func TestUnpackTorn(t *testing.T) {
	b := packedFigure(t, "figure-ext.glb")
	size := int(binary.LittleEndian.Uint32(b[12:]))
	b[20+size+8] ^= 0xFF // the first stream's first byte
	d, err := Open([]gltfio.File{{Name: "m.glb", Data: b}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Accessor(0); d.Unpacked() != 12 || err == nil {
		t.Errorf("%d unpacked, %v", d.Unpacked(), err)
	}
	out := glb(t, d)
	if !bytes.Contains(out, []byte(`"EXT_meshopt_compression"`)) {
		t.Error("the extension is gone, and a view is packed")
	}
	if again := reopen(t, out); again.Unpacked() != 0 {
		t.Errorf("%d unpacked again", again.Unpacked())
	}
}
