package original

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Every real model with a clip behind its own reads back as it was, with the clip;
// written once more nothing but that changes.
func TestClipKeepsTheModel(t *testing.T) {
	for _, path := range corpusFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			was, err := gltfio.ReadFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			clip := turning(rig.Node(len(was.Nodes) - 1))
			first, err := openPath(t, path).WithClips([]rig.ClipData{clip})
			if err != nil {
				t.Fatal(err)
			}
			got, err := gltfio.Read([]gltfio.File{{Name: "one.glb", Data: first}}, gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			sameRig(t, was, got, clip)
			second, err := reopen(t, first).WithClips([]rig.ClipData{clip})
			if err != nil {
				t.Fatal(err)
			}
			again, err := gltfio.Read([]gltfio.File{{Name: "two.glb", Data: second}}, gltfio.Options{})
			if err != nil {
				t.Fatal(err)
			}
			sameRig(t, got, again, clip)
		})
	}
}

// sameRig compares all that a file holds but its last clip.
func sameRig(t *testing.T, was, got *rig.Rig, clip rig.ClipData) {
	t.Helper()
	if len(got.Clips) != len(was.Clips)+1 {
		t.Fatalf("%d clips, want one more than %d", len(got.Clips), len(was.Clips))
	}
	if last := got.Clips[len(was.Clips)]; !reflect.DeepEqual(last, clip) {
		t.Errorf("clip %+v, want %+v", last, clip)
	}
	for _, row := range []struct {
		what      string
		was, have any
	}{
		{"meshes", was.Meshes, got.Meshes}, {"skins", was.Skins, got.Skins}, {"clips", was.Clips, got.Clips[:len(was.Clips)]},
		{"materials", was.Materials, got.Materials}, {"scenes", was.Scenes, got.Scenes}, {"malformed", was.Malformed, got.Malformed},
	} {
		if !reflect.DeepEqual(row.was, row.have) {
			t.Errorf("the %s have changed", row.what)
		}
	}
	for i := range was.Images {
		if !bytes.Equal(was.Images[i].Data, got.Images[i].Data) {
			t.Errorf("picture %d has changed", i)
		}
	}
	for i := range was.Nodes {
		a, b := was.Nodes[i], got.Nodes[i]
		for c := range a.Matrix { // a moved node's matrix was taken apart
			if d := a.Matrix[c] - b.Matrix[c]; d > 1e-6 || d < -1e-6 {
				t.Errorf("node %d stands elsewhere", i)
				break
			}
		}
	}
}

// Members that nobody here knows stay byte for byte, side files come along, and a
// matrix of a moved node becomes what a clip can move.
func TestClipKeepsWhatItDoesNotKnow(t *testing.T) {
	text := `{"asset":{"version":"2.0","extras":{"odd": [1,  2]}},"zebra":{"x":1e3},
	"nodes":[{"matrix":[0,1,0,0,-1,0,0,0,0,0,1,0,5,6,7,1],"extras":{"keep":"ü"}}],"scenes":[{"nodes":[0]}],"scene":0,
	"images":[{"uri":"a.png","name":"a"}],"buffers":[{"byteLength":4,"uri":"b.bin"},{"byteLength":3,"uri":"c.bin"}],
	"bufferViews":[{"buffer":0,"byteLength":4},{"buffer":1,"byteLength":3}],
	"accessors":[{"bufferView":0,"componentType":5126,"count":1,"type":"SCALAR"}]}`
	png := append([]byte("\x89PNG\r\n\x1a\n"), 1, 2, 3)
	files := []gltfio.File{{Name: "m.gltf", Data: []byte(text)}, {Name: "a.png", Data: png}, {Name: "b.bin", Data: []byte{1, 2, 3, 4}}, {Name: "c.bin", Data: []byte{7, 8, 9}}}
	d, err := Open(files)
	if err != nil {
		t.Fatal(err)
	}
	glb, err := d.WithClips([]rig.ClipData{turning(0)})
	if err != nil {
		t.Fatal(err)
	}
	again := reopen(t, glb)
	box := struct{ json, bin []byte }{again.Root.Bytes(), again.buffers[0].data}
	for _, want := range []string{`{"version":"2.0","extras":{"odd": [1,  2]}}`, `"zebra":{"x":1e3}`, `"extras":{"keep":"ü"}`, `"mimeType":"image/png"`, `"translation":[5,6,7]`} {
		if !bytes.Contains(box.json, []byte(want)) {
			t.Errorf("%s is not in %s", want, box.json)
		}
	}
	for _, gone := range []string{"matrix", ".png", ".bin"} {
		if bytes.Contains(box.json, []byte(gone)) {
			t.Errorf("%q is still in %s", gone, box.json)
		}
	}
	if !bytes.HasPrefix(box.bin, []byte{1, 2, 3, 4}) || !bytes.Contains(box.bin, png) {
		t.Errorf("binary chunk % x", box.bin)
	}
	var doc struct{ Buffers []struct{ ByteLength int } }
	if err := json.Unmarshal(box.json, &doc); err != nil || len(doc.Buffers) != 2 || doc.Buffers[0].ByteLength > len(box.bin) {
		t.Errorf("%v %+v, %d bytes", err, doc, len(box.bin))
	}
	if _, err := gltfio.Read([]gltfio.File{{Name: "out.glb", Data: glb}}, gltfio.Options{}); err != nil {
		t.Error(err)
	}
}

func TestClipRefused(t *testing.T) {
	good := lamplighter.GLB(lamplighter.Options{Vertices: 6000})
	late := turning(0)
	late.Channels[0].Times = []float32{1, 1}
	twice := turning(0)
	twice.Channels[1] = twice.Channels[0]
	short := turning(0)
	short.Channels[0].Values = short.Channels[0].Values[:5]
	for name, clip := range map[string]rig.ClipData{
		"no channel": {}, "no such node": turning(9999), "times that do not rise": late, "one property twice": twice, "too few numbers": short,
	} {
		d := reopen(t, good)
		if _, err := d.AddClip(&clip); err == nil {
			t.Errorf("%s was written", name)
		}
		if again, _ := d.GLB(); !bytes.Equal(again, good) {
			t.Errorf("%s: refused, and changed all the same", name)
		}
	}
}

// FuzzClip: what can be read gets a clip and can be read again, with one clip more.
func FuzzClip(f *testing.F) {
	f.Add(lamplighter.GLB(lamplighter.Options{Vertices: 6000}))
	f.Add([]byte(linked))
	f.Add([]byte(`{"asset":{"version":"2.0"},"nodes":[{}],"animations":null}`))
	f.Add([]byte(`{"asset":{"version":"2.0"},"nodes":[{"matrix":[1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1]}],"buffers":[{"byteLength":2}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		was, err := gltfio.Read([]gltfio.File{{Name: "f.glb", Data: b}}, gltfio.Options{})
		if err != nil || len(was.Nodes) == 0 {
			return
		}
		d, err := Open([]gltfio.File{{Name: "f.glb", Data: b}})
		if err != nil {
			t.Fatal(err)
		}
		glb, err := d.WithClips([]rig.ClipData{turning(0)})
		if err != nil {
			return
		}
		got, err := gltfio.Read([]gltfio.File{{Name: "g.glb", Data: glb}}, gltfio.Options{})
		if err != nil {
			t.Fatalf("%v\n%q", err, b)
		}
		if len(got.Clips) != len(was.Clips)+1 || len(got.Nodes) != len(was.Nodes) {
			t.Fatalf("%d clips of %d, %d nodes of %d\n%q", len(got.Clips), len(was.Clips), len(got.Nodes), len(was.Nodes), b)
		}
	})
}

func withClip(files []gltfio.File) ([]byte, error) {
	d, err := Open(files)
	if err != nil {
		return nil, err
	}
	return d.WithClips([]rig.ClipData{turning(0)})
}

// A number that points just behind the end of a list is left out by the reader. When
// the list grows by a clip it would suddenly mean something: a normal read from the
// clip's times. Each place that can hold such a number refuses.
func TestClipRefusedWhereItWouldBeTakenForWhatIsNotThere(t *testing.T) {
	const head = `{"asset":{"version":"2.0"},"nodes":[{"mesh":0}],"scenes":[{"nodes":[0]}],"buffers":[{"byteLength":36,"uri":"data:application/octet-stream;base64,AAAAAAAAAAAAAAAAAACAPwAAAAAAAAAAAAAAAAAAgD8AAAAA"}],`
	const view = `"bufferViews":[{"buffer":0,"byteLength":36}],`
	const position = `"accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}],`
	mesh := func(attributes, more string) string {
		return `"meshes":[{"primitives":[{"attributes":{"POSITION":0` + attributes + `}` + more + `}]}]`
	}
	clip := func(in, out int) string {
		return fmt.Sprintf(`,"animations":[{"channels":[{"sampler":0,"target":{"node":0,"path":"translation"}}],"samplers":[{"input":%d,"output":%d}]}]`, in, out)
	}
	for name, row := range map[string]struct{ text, place string }{
		"normal":         {head + view + position + mesh(`,"NORMAL":1`, "") + `}`, "attributes/NORMAL"},
		"colour, unread": {head + view + position + mesh(`,"COLOR_0":3`, "") + `}`, "attributes/COLOR_0"},
		"tangent target": {head + view + position + mesh("", `,"targets":[{"TANGENT":2}]`) + `}`, "targets/0/TANGENT"},
		"times":          {head + view + position + mesh("", "") + clip(1, 0) + `}`, "samplers/0/input"},
		"values":         {head + view + position + mesh("", "") + clip(0, 2) + `}`, "samplers/0/output"},
		"picture":        {head + view + position + mesh("", "") + `,"images":[{"bufferView":1,"mimeType":"image/png"}]}`, "images/0/bufferView"},
		"unread accessor": {head + view + strings.Replace(position, "}],", `},{"bufferView":1,"componentType":5126,"count":1,"type":"SCALAR"}],`, 1) +
			mesh("", "") + `}`, "accessors/1/bufferView"},
	} {
		t.Run(name, func(t *testing.T) {
			files := []gltfio.File{{Name: "m.gltf", Data: []byte(row.text)}}
			if _, err := gltfio.Read(files, gltfio.Options{}); err != nil {
				t.Fatalf("the target itself is refused: %v", err)
			}
			_, err := withClip(files)
			if err == nil || !strings.Contains(err.Error(), row.place) {
				t.Errorf("%v; want a refusal that names %s", err, row.place)
			}
			far := strings.NewReplacer(`"NORMAL":1`, `"NORMAL":99`, `"COLOR_0":3`, `"COLOR_0":99`, `"TANGENT":2`, `"TANGENT":99`, `"input":1`, `"input":99`,
				`"output":2`, `"output":99`, `"bufferView":1,`, `"bufferView":99,`).Replace(row.text)
			glb, err := withClip([]gltfio.File{{Name: "m.gltf", Data: []byte(far)}})
			if err != nil {
				t.Fatalf("a number far behind the end stays without meaning, and yet: %v", err)
			}
			was, _ := gltfio.Read([]gltfio.File{{Name: "m.gltf", Data: []byte(far)}}, gltfio.Options{})
			if err := gltfio.Holds(glb, was, append(slices.Clone(was.Clips), turning(0))); err != nil {
				t.Error(err)
			}
		})
	}
}
