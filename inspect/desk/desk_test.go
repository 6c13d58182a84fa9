package desk

import (
	"archive/zip"
	"bytes"
	"errors"
	"image"
	"image/color/palette"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"rigloupe/inspect"
	"rigloupe/inspect/bvh"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/report"
)

const walk = "HIERARCHY ROOT Hips { OFFSET 0 0 0 CHANNELS 1 Xrotation } MOTION Frames: 1 Frame Time: .1 5"

// TestOpenChooses: a capture is opened where no model is among the files; told by its
// first word too. From a folder a file is read as it is from memory.
func TestOpenChooses(t *testing.T) {
	model := lamplighter.GLB(lamplighter.Options{Vertices: 6000})
	late := strings.Repeat("\n", 400) + walk
	for _, row := range []struct {
		name  string
		files []gltfio.File
		kind  string
	}{
		{"capture", []gltfio.File{{Name: "walk.bvh", Data: []byte(walk)}}, "bvh"},
		{"capture by its first word", []gltfio.File{{Name: "walk.txt", Data: []byte(walk)}}, "bvh"},
		{"capture after empty lines", []gltfio.File{{Name: "walk.dat", Data: []byte(late)}}, "bvh"},
		{"capture called glb", []gltfio.File{{Name: "walk.glb", Data: []byte(walk)}}, "bvh"},
		{"capture in capitals", []gltfio.File{{Name: "WALK.BVH", Data: []byte(walk)}}, "bvh"},
		{"model", []gltfio.File{{Name: "lamp.glb", Data: model}}, "glb"},
		{"model beside a capture", []gltfio.File{{Name: "lamp.glb", Data: model}, {Name: "walk.bvh", Data: []byte(walk)}}, "glb"},
		{"capture beside a model", []gltfio.File{{Name: "walk.bvh", Data: []byte(walk)}, {Name: "lamp.vrm", Data: model}}, "glb"},
	} {
		r, err := Files(row.files...).Open()
		if err != nil || r.File.Kind != row.kind {
			t.Errorf("%s: read as %+v, %v, want %s", row.name, r, err, row.kind)
			continue
		}
		dir := fstest.MapFS{}
		for _, f := range row.files {
			dir[f.Name] = &fstest.MapFile{Data: f.Data}
		}
		at, err := In(dir, r.File.Name).Open()
		if err != nil || at.File.Kind != r.File.Kind || at.File.Name != r.File.Name || len(at.Nodes) != len(r.Nodes) {
			t.Errorf("%s: from a folder %v", row.name, err)
		}
	}
	for _, bad := range []*Source{Files(), Files(gltfio.File{Name: "walk.bvh", Data: model}), In(fstest.MapFS{}, "none.glb")} {
		if r, err := bad.Open(); err == nil {
			t.Errorf("%+v was read", r.File)
		}
	}
}

// TestCalledWhatTheyAre: a file that only bears the name of motion capture is called what
// it is; the pictures are those that Go's own encoders write.
func TestCalledWhatTheyAre(t *testing.T) {
	dot := image.NewPaletted(image.Rect(0, 0, 3, 3), palette.Plan9)
	made := func(encode func(io.Writer, image.Image) error) []byte {
		var b bytes.Buffer
		if err := encode(&b, dot); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	for says, data := range map[string][]byte{
		"a PNG picture":      made(png.Encode),
		"a JPEG picture":     made(func(w io.Writer, m image.Image) error { return jpeg.Encode(w, m, nil) }),
		"a GIF picture":      made(func(w io.Writer, m image.Image) error { return gif.Encode(w, m, nil) }),
		"a web page (HTML)":  []byte("<!doctype html><title>Please sign in</title>"),
		"a glTF model (GLB)": lamplighter.GLB(lamplighter.Options{Vertices: 6000}),
	} {
		for where, s := range map[string]*Source{
			"memory": Files(gltfio.File{Name: "walk.bvh", Data: data}),
			"folder": In(fstest.MapFS{"walk.bvh": {Data: data}}, "walk.bvh"),
		} {
			_, err := s.Open()
			var refused *bvh.Refused
			if !errors.As(err, &refused) || refused.What != "this is "+says+", no motion capture" || refused.Hint == "" {
				t.Errorf("%s, from %s: %v", says, where, err)
			}
		}
	}
	// A text is explained by its reader, with the line.
	if _, err := Files(gltfio.File{Name: "walk.bvh", Data: []byte("v 0 0 0\nv 1 0 0\n")}).Open(); err == nil || strings.Contains(err.Error(), "no motion capture") {
		t.Errorf("a text: %v", err)
	}
}

// TestMemoryBounds: a model whose numbers take more than the bound is refused.
func TestMemoryBounds(t *testing.T) {
	s := Files(gltfio.File{Name: "lamp.glb", Data: lamplighter.GLB(lamplighter.Options{Vertices: 6000})})
	s.Memory = 1 << 10
	if _, err := s.Open(); err == nil {
		t.Error("a model of more than a kilobyte was read into one")
	}
}

// TestSample: the words of both drivers mean the same figures, and a wrong one says which
// there are.
func TestSample(t *testing.T) {
	plain, err := Sample{}.File()
	if err != nil || plain.Name != "lamplighter.glb" || !slices.Equal(plain.Data, lamplighter.GLB(lamplighter.Options{})) {
		t.Errorf("%s, %v", plain.Name, err)
	}
	same, err := Sample{Pose: "t", Names: "plain"}.File()
	if err != nil || !slices.Equal(same.Data, plain.Data) {
		t.Error("T is not the pose of the page", err)
	}
	posed, err := Sample{Pose: "a", Names: "snake", Vertices: 6000}.File()
	if want := (lamplighter.Options{Pose: lamplighter.A, Names: lamplighter.Snake, Vertices: 6000}); err != nil || posed.Name != want.FileName() || !slices.Equal(posed.Data, lamplighter.GLB(want)) {
		t.Error(posed.Name, err)
	}
	faulty, err := Sample{Vertices: 6000, Faults: []string{"binding/unbound"}}.File()
	if err != nil || slices.Equal(faulty.Data, lamplighter.GLB(lamplighter.Options{Vertices: 6000})) {
		t.Error("no fault was planted", err)
	}
	for _, s := range []Sample{{Pose: "H"}, {Names: "camel"}, {Faults: []string{"binding/none"}}} {
		if _, err := s.File(); err == nil {
			t.Errorf("%+v was built", s)
		}
	}
}

// TestCarried: what was carried over holds as a file in both formats, and what cannot be
// is told.
func TestCarried(t *testing.T) {
	own := gltfio.File{Name: "lamp.glb", Data: lamplighter.GLB(lamplighter.Options{Vertices: 6000})}
	from := Files(own)
	target, err := from.Open()
	if err != nil {
		t.Fatal(err)
	}
	m := match.Find(lamplighter.Build(lamplighter.Options{Vertices: 6000, Names: lamplighter.Snake}), target)
	clips, err := Clips(m.S.Rig, nil)
	if err != nil || len(clips) != 2 {
		t.Fatal(clips, err)
	}
	done, _, err := carry.All(t.Context(), m, clips, carry.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := Carried(from, target, done, GLB)
	if err != nil || s.Name != "lamp-stroll 2.glb" || s.Holds(s.Data) != nil {
		t.Fatal(s.Name, err)
	}
	// A bit that is lost is seen: the last of the clip's values.
	broken := slices.Clone(s.Data)
	broken[len(broken)-5] ^= 0x40
	if s.Holds(broken) == nil {
		t.Error("a broken file holds")
	}
	at, err := Carried(In(fstest.MapFS{"lamp.glb": {Data: own.Data}}, "lamp.glb"), target, done, GLB)
	if err != nil || !slices.Equal(at.Data, s.Data) {
		t.Error("from a folder other bytes are saved", err)
	}
	one, err := Carried(from, target, done[:1], BVH)
	if err != nil || one.Name != "lamp-stroll 2.bvh" || !bvh.Is(one.Data) || one.Holds(one.Data) != nil {
		t.Error(one.Name, err)
	}
	for _, row := range []struct {
		done   []*carry.Result
		format string
		says   string
	}{{nil, GLB, "nothing has been carried"}, {done, BVH, "one clip"}, {done, "png", "want glb or bvh"}} {
		if _, err := Carried(from, target, row.done, row.format); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%d as %s: %v", len(row.done), row.format, err)
		}
	}
	seven, two, minus := 7, 2, -1
	for _, k := range []*int{&seven, &two, &minus} {
		if _, err := Clips(m.S.Rig, k); err == nil || !strings.Contains(err.Error(), "it holds 2") {
			t.Errorf("clip %d: %v", *k, err)
		}
	}
	bare := *m.S.Rig
	bare.Clips = nil
	if _, err := Clips(&bare, nil); err == nil {
		t.Error("a file without clips was carried over")
	}
}

// TestHandOver: the file, the plan and the sheet of one run fit together; a model that
// came in a zip is known by either.
func TestHandOver(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 6000})
	model := gltfio.File{Name: "lamp.vrm", Data: lamplighter.Write(r)}
	var packed bytes.Buffer
	z := zip.NewWriter(&packed)
	w, err := z.Create("lamp.vrm")
	if err == nil {
		_, err = w.Write(model.Data)
	}
	if err = errors.Join(err, z.Close()); err != nil {
		t.Fatal(err)
	}
	d, err := Files(gltfio.File{Name: "pack.zip", Data: packed.Bytes()}).Original()
	if err != nil {
		t.Fatal(err)
	}
	start, err := mend.Open(d)
	if err != nil {
		t.Fatal(err)
	}
	plan := &mend.Plan{Version: 1, Steps: []mend.Step{{Mend: "thin"}}}
	if err := plan.Check(); err != nil {
		t.Fatal(err)
	}
	done, _, err := plan.Run(t.Context(), start, mend.Options{})
	if err != nil {
		t.Fatal(err)
	}
	made := Mended(start, done, "")
	if made.Name != "lamp-mended.vrm" || made.Holds(made.Data) != nil {
		t.Error(made.Name)
	}
	sheet, err := Proof(t.Context(), start, plan, done, made, "", nil)
	if err != nil || sheet.Name != "lamp-mended-proof.html" || sheet.Holds(sheet.Data) != nil {
		t.Fatal(sheet.Name, err)
	}
	if sheet.Holds(sheet.Data[1:]) == nil {
		t.Error("a sheet that lost a byte holds")
	}
	if p, err := Plan(sheet.Data); err != nil || len(p.Steps) != 1 || p.Steps[0].Mend != "thin" {
		t.Error(p, err)
	}
	if _, err := Plan(append(sheet.Data, ' ')); err == nil {
		t.Error("the plan of a changed sheet was taken")
	}
	for _, row := range []struct {
		file gltfio.File
		role string
	}{
		{gltfio.File{Name: "x.glb", Data: made.Data}, "written"}, {model, "source"},
		{gltfio.File{Name: "pack.zip", Data: packed.Bytes()}, "source"}, {gltfio.File{Name: "x.glb", Data: model.Data[1:]}, ""},
	} {
		if v, err := Verify(sheet.Data, Files(row.file)); err != nil || v.File.Role != row.role || !v.Whole {
			t.Errorf("%s: %+v, %v", row.file.Name, v, err)
		}
	}
	if _, err := Verify(sheet.Data, Files()); err == nil {
		t.Error("no file was taken for one")
	}
	for source, want := range map[string]string{"a.gltf": "a-mended.glb", "a.b.GLB": "a.b-mended.glb", "in/A.VRM": "A-mended.VRM", "a": "a-mended.glb"} {
		if got := mend.MendedName(source); got != want {
			t.Errorf("%s: %s, want %s", source, got, want)
		}
	}
}

// TestReport: the report of a model is about its own file, by a name of its own.
func TestReport(t *testing.T) {
	file := gltfio.File{Name: "lamp.glb", Data: lamplighter.GLB(lamplighter.Options{Vertices: 6000})}
	r, err := Files(file).Open()
	if err != nil {
		t.Fatal(err)
	}
	res, err := inspect.Examine(t.Context(), r, inspect.Options{Only: []string{"intake"}})
	if err != nil {
		t.Fatal(err)
	}
	s, err := Report(res, nil, In(fstest.MapFS{"lamp.glb": {Data: file.Data}}, "lamp.glb"), "", "", report.Draw{})
	if err != nil || s.Name != "lamp-report.html" || s.Holds(s.Data) != nil || s.Holds(s.Data[1:]) == nil {
		t.Fatal(s.Name, err)
	}
	if v, err := Verify(s.Data, Files(file)); err != nil || !v.Good() || v.File.Role != "examined" {
		t.Errorf("%+v, %v", v, err)
	}
	if _, err := Report(res, nil, Files(), "", "", report.Draw{}); err == nil {
		t.Error("a report of no file was made")
	}
}
