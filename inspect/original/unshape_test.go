package original

import (
	"bytes"
	"reflect"
	"testing"

	"rigloupe/inspect/draco/native"
	"rigloupe/inspect/gltfio"
)

var withDraco = gltfio.Options{Draco: native.Start}

// A file with packed shapes is opened as it reads: nothing speaks of packing any more, what is
// written reads as the packed file does, and no packed byte is carried along. Its extremes are
// those of what it holds.
func TestUnshape(t *testing.T) {
	plain := packedFigure(t, "figure.glb")
	for _, name := range []string{"figure-draco.glb", "figure-draco-exact.glb", "figure-draco-copy.glb"} {
		file := []gltfio.File{{Name: "m.glb", Data: packedFigure(t, name)}}
		want, err := gltfio.Read(file, withDraco)
		if err != nil {
			t.Fatal(err)
		}
		d, err := OpenBy(file, withDraco)
		if err != nil {
			t.Fatal(err)
		}
		if d.UnpackedShapes() != 2 || d.Unpacked() != 0 || d.Clone().UnpackedShapes() != 2 {
			t.Errorf("%s: %d shapes", name, d.UnpackedShapes())
		}
		out := glb(t, d)
		if bytes.Contains(out, []byte("draco")) || bytes.Contains(out, []byte("extensionsRequired")) || bytes.Contains(out, []byte("DRACO")) {
			t.Errorf("%s: packing is still spoken of", name)
		}
		if n := len(out); name == "figure-draco-exact.glb" && n > len(plain)+3000 { // the box has its own positions now
			t.Errorf("%s: %d bytes, the plain file has %d", name, n, len(plain))
		}
		got, err := gltfio.Read([]gltfio.File{{Name: "m.glb", Data: out}}, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Malformed) != len(want.Malformed) || len(got.Remarks) != len(want.Remarks) {
			t.Errorf("%s: malformed %v, remarks %v", name, got.Malformed, got.Remarks)
		}
		for i := range want.Meshes {
			for k := range want.Meshes[i].Primitives {
				g, w := &got.Meshes[i].Primitives[k], &want.Meshes[i].Primitives[k]
				if g.HasBounds && (g.Min != g.TrueMin || g.Max != g.TrueMax) {
					t.Errorf("%s: mesh %d states %v to %v, it reaches from %v to %v", name, i, g.Min, g.Max, g.TrueMin, g.TrueMax)
				}
				g.Min, g.Max, g.Slack, g.Array = w.Min, w.Max, w.Slack, w.Array
			}
		}
		if !reflect.DeepEqual(got.Meshes, want.Meshes) || !reflect.DeepEqual(got.Skins, want.Skins) || !reflect.DeepEqual(got.Clips, want.Clips) {
			t.Errorf("%s: another rig", name)
		}
		if again := reopen(t, out); again.UnpackedShapes() != 0 || len(Changes(d, again).Pointers) > 0 {
			t.Errorf("%s: %d unpacked again, changed %v", name, again.UnpackedShapes(), Changes(d, again).Pointers)
		}
		for i := range d.Count(Accessors) {
			if a, err := d.Accessor(i); err != nil {
				t.Errorf("%s: %v", name, err)
			} else if _, _, err := a.Raw(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	// Without a decoder it stays as it is.
	b := packedFigure(t, "figure-draco-exact.glb")
	d, err := Open([]gltfio.File{{Name: "m.glb", Data: b}})
	if err != nil || d.UnpackedShapes() != 0 || !bytes.Contains(glb(t, d), []byte(dracoName)) {
		t.Errorf("%v", err)
	}
}

// An accessor that two shapes fill with different numbers is two afterwards; a stream that is
// torn stays, with the extension, beside one that was unpacked.
func TestUnshapeShared(t *testing.T) {
	b := packedFigure(t, "figure-draco-exact.glb")
	d, err := Open([]gltfio.File{{Name: "m.glb", Data: b}})
	if err != nil {
		t.Fatal(err)
	}
	tube, box := d.Object(Meshes, 0).Get("primitives").At(0), d.Object(Meshes, 1).Get("primitives").At(0)
	box.Get("attributes").Set("POSITION", Whole(tube.Get("attributes").Get("NORMAL").Int()))
	both := glb(t, d)
	d, err = OpenBy([]gltfio.File{{Name: "m.glb", Data: both}}, withDraco)
	if err != nil || d.UnpackedShapes() != 2 {
		t.Fatalf("%v", err)
	}
	tube, box = d.Object(Meshes, 0).Get("primitives").At(0), d.Object(Meshes, 1).Get("primitives").At(0)
	if tube.Get("attributes").Get("NORMAL").Int() == box.Get("attributes").Get("POSITION").Int() {
		t.Error("two lists are one")
	}
	d, err = Open([]gltfio.File{{Name: "m.glb", Data: b}})
	if err != nil {
		t.Fatal(err)
	}
	view := d.Object(Meshes, 0).Get("primitives").At(0).Get("extensions").Get(dracoName).Get("bufferView").Int()
	d.own(0)[d.Object(Views, view).Get("byteOffset").Int()] ^= 1
	d, err = OpenBy([]gltfio.File{{Name: "m.glb", Data: glb(t, d)}}, withDraco)
	if err != nil || d.UnpackedShapes() != 1 {
		t.Fatalf("%v, %d shapes", err, d.UnpackedShapes())
	}
	if out := glb(t, d); !bytes.Contains(out, []byte("extensionsRequired")) || d.Object(Meshes, 1).Get("primitives").At(0).Get("extensions") != nil {
		t.Error("the torn shape's extension is gone, or the other's is not")
	}
}
