package gltfio

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"rigloupe/inspect/rig"
)

// turning is a clip that turns a node.
func turning(n rig.Node) rig.ClipData {
	times := []float32{0, .1}
	return rig.ClipData{Name: "added", Seconds: float64(times[1]), Channels: []rig.Channel{
		{Node: n, Path: rig.Rotation, Width: 4, Times: times, Values: []float32{0, 0, 0, 1, 0, 1, 0, 0}},
		{Node: n, Path: rig.Translation, Interpolation: rig.Step, Width: 3, Times: times, Values: []float32{0, 0, 0, 1, 2, 3}},
	}}
}

// Every real model with a clip behind its own reads back as it was, with the clip;
// written once more nothing but that changes.
func TestAppendKeepsTheModel(t *testing.T) {
	for _, path := range corpusModels(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			was := openPath(t, path)
			clip := turning(rig.Node(len(was.Nodes) - 1))
			first, err := AppendFS(os.DirFS(filepath.Dir(path)), filepath.Base(path), []rig.ClipData{clip})
			if err != nil {
				t.Fatal(err)
			}
			got, err := Read([]File{{"one.glb", first}}, Options{})
			if err != nil {
				t.Fatal(err)
			}
			same(t, was, got, clip)
			second, err := Append([]File{{"one.glb", first}}, []rig.ClipData{clip})
			if err != nil {
				t.Fatal(err)
			}
			again, err := Read([]File{{"two.glb", second}}, Options{})
			if err != nil {
				t.Fatal(err)
			}
			same(t, got, again, clip)
		})
	}
}

// same compares all that a file holds but its last clip.
func same(t *testing.T, was, got *rig.Rig, clip rig.ClipData) {
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
func TestAppendKeepsWhatItDoesNotKnow(t *testing.T) {
	text := `{"asset":{"version":"2.0","extras":{"odd": [1,  2]}},"zebra":{"x":1e3},
	"nodes":[{"matrix":[0,1,0,0,-1,0,0,0,0,0,1,0,5,6,7,1],"extras":{"keep":"ü"}}],"scenes":[{"nodes":[0]}],"scene":0,
	"images":[{"uri":"a.png","name":"a"}],"buffers":[{"byteLength":4,"uri":"b.bin"},{"byteLength":3,"uri":"c.bin"}],
	"bufferViews":[{"buffer":0,"byteLength":4},{"buffer":1,"byteLength":3}],
	"accessors":[{"bufferView":0,"componentType":5126,"count":1,"type":"SCALAR"}]}`
	png := append([]byte("\x89PNG\r\n\x1a\n"), 1, 2, 3)
	files := []File{{"m.gltf", []byte(text)}, {"a.png", png}, {"b.bin", []byte{1, 2, 3, 4}}, {"c.bin", []byte{7, 8, 9}}}
	glb, err := Append(files, []rig.ClipData{turning(0)})
	if err != nil {
		t.Fatal(err)
	}
	box, err := unpack("out.glb", glb)
	if err != nil {
		t.Fatal(err)
	}
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
	if _, err := Read([]File{{"out.glb", glb}}, Options{}); err != nil {
		t.Error(err)
	}
}

func TestAppendRefuses(t *testing.T) {
	good := figure().glb()
	late := turning(0)
	late.Channels[0].Times = []float32{1, 1}
	twice := turning(0)
	twice.Channels[1] = twice.Channels[0]
	short := turning(0)
	short.Channels[0].Values = short.Channels[0].Values[:5]
	for name, clip := range map[string]rig.ClipData{
		"no channel": {}, "no such node": turning(9999), "times that do not rise": late, "one property twice": twice, "too few numbers": short,
	} {
		if _, err := Append([]File{{"f.glb", good}}, []rig.ClipData{clip}); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if _, err := Append(nil, nil); err == nil {
		t.Error("no file was taken")
	}
}

// FuzzAppend: what can be read gets a clip and can be read again, with one clip more.
func FuzzAppend(f *testing.F) {
	f.Add(figure().glb())
	f.Add(figure().json())
	f.Add([]byte(`{"asset":{"version":"2.0"},"nodes":[{}],"animations":null}`))
	f.Add([]byte(`{"asset":{"version":"2.0"},"nodes":[{"matrix":[1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1]}],"buffers":[{"byteLength":2}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		was, err := Read([]File{{"f.glb", b}}, Options{})
		if err != nil || len(was.Nodes) == 0 {
			return
		}
		glb, err := Append([]File{{"f.glb", b}}, []rig.ClipData{turning(0)})
		if err != nil {
			if bytes.Contains([]byte(err.Error()), []byte("fault of the reader")) {
				t.Fatal(err)
			}
			return
		}
		got, err := Read([]File{{"g.glb", glb}}, Options{})
		if err != nil {
			t.Fatalf("%v\n%q", err, b)
		}
		if len(got.Clips) != len(was.Clips)+1 || len(got.Nodes) != len(was.Nodes) {
			t.Fatalf("%d clips of %d, %d nodes of %d\n%q", len(got.Clips), len(was.Clips), len(got.Nodes), len(was.Nodes), b)
		}
	})
}
