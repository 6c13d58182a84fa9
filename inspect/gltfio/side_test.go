package gltfio

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

// split is the figure as a .gltf with one side file of the given uri.
func split(uri string) (text, bin []byte) {
	d := figure()
	d.put("buffers/0/uri", uri)
	return d.json(), d.bin
}

func TestSideFiles(t *testing.T) {
	for _, row := range []struct {
		name   string
		uri    string
		model  string // name of the .gltf
		side   string // name of the file with the bytes
		also   []string
		remark string // a piece, "" wants none
	}{
		{name: "beside it", uri: "figure.bin", model: "figure.gltf", side: "figure.bin"},
		{name: "in one folder", uri: "figure.bin", model: "drop/figure.gltf", side: "drop/figure.bin"},
		{name: "below it", uri: "data/figure.bin", model: "drop/figure.gltf", side: "drop/data/figure.bin"},
		{name: "dot and slash", uri: "./figure.bin", model: "figure.gltf", side: "figure.bin"},
		{name: "percent-encoded", uri: "my%20figure%C3%A9.bin", model: "figure.gltf", side: "my figureé.bin"},
		{name: "spaces as they are", uri: "my figure.bin", model: "figure.gltf", side: "my figure.bin"},
		{name: "percent signs in the file's own name", uri: "my%20figure.bin", model: "figure.gltf", side: "my%20figure.bin", remark: "percent signs"},
		{name: "backslash in the model", uri: `data\figure.bin`, model: "figure.gltf", side: "data/figure.bin", remark: `\ stands for /`},
		{name: "backslash in the drop", uri: "data/figure.bin", model: `drop\figure.gltf`, side: `drop\data\figure.bin`},
		{name: "another case", uri: "Figure.BIN", model: "figure.gltf", side: "figure.bin", remark: "case or accents"},
		{name: "accents as marks", uri: "pu\u0308ppé.bin", model: "figure.gltf", side: "p\u00fcppe\u0301.bin", remark: "case or accents"},
		{name: "kana with voiced marks", uri: "がぎ.bin", model: "figure.gltf", side: "か\u3099き\u3099.bin", remark: "case or accents"},
		{name: "Hangul taken apart", uri: "한글.bin", model: "figure.gltf", side: "\u1112\u1161\u11ab\u1100\u1173\u11af.bin", remark: "case or accents"},
		{name: "Cyrillic case", uri: "Фигура.bin", model: "figure.gltf", side: "фигура.bin", remark: "case or accents"},
		{name: "dropped without its folder", uri: "data/figure.bin", model: "figure.gltf", side: "figure.bin", remark: "another folder"},
		{name: "absolute on a disk", uri: `C:\work\figure.bin`, model: "figure.gltf", side: "figure.bin", remark: "another folder"},
		{name: "on a network", uri: "https://example.com/x/figure.bin?v=2", model: "figure.gltf", side: "figure.bin", remark: "another folder"},
		{name: "outside the folder", uri: "../figure.bin", model: "drop/figure.gltf", side: "drop/figure.bin", remark: "another folder"},
		{name: "strays", uri: "figure.bin", model: "figure.gltf", side: "figure.bin", also: []string{"notes.txt", ".DS_Store"}, remark: `ignored: "notes.txt"`},
	} {
		t.Run(row.name, func(t *testing.T) {
			text, bin := split(row.uri)
			files := []File{{row.model, text}, {row.side, bin}}
			for _, n := range row.also {
				files = append(files, File{n, []byte("x")})
			}
			slices.Reverse(files)
			r := mustRead(t, files...)
			if got := strings.Join(r.Remarks, "\n"); row.remark == "" && got != "" || !strings.Contains(got, row.remark) {
				t.Errorf("remarks %q, want %q", got, row.remark)
			}
			if len(r.Malformed) > 0 || len(r.Meshes[0].Positions) != 12 || r.File.Bytes != int64(len(text)) {
				t.Errorf("malformed %v, %d bytes", r.Malformed, r.File.Bytes)
			}
			// The same as one zip.
			var packed bytes.Buffer
			z := zip.NewWriter(&packed)
			for _, f := range files {
				w, err := z.Create(f.Name)
				if err != nil {
					t.Fatal(err)
				}
				w.Write(f.Data)
			}
			z.Close()
			r = mustRead(t, File{"drop.zip", packed.Bytes()})
			if len(r.Malformed) > 0 || len(r.Meshes[0].Positions) != 12 {
				t.Errorf("zip: malformed %v", r.Malformed)
			}
		})
	}
}

func TestReadFS(t *testing.T) {
	text, bin := split("data/Figure.bin")
	disk := fstest.MapFS{
		"a/figure.gltf":     {Data: text},
		"a/data/figure.BIN": {Data: bin},
		"b/figure.gltf":     {Data: text},
		"outside.bin":       {Data: bin},
	}
	r, err := ReadFS(disk, "a/figure.gltf", Options{})
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Remarks) != 1 || !strings.Contains(r.Remarks[0], "case or accents") || r.File.Name != "figure.gltf" {
		t.Errorf("%q %v", r.File.Name, r.Remarks)
	}
	var missing *Missing
	if _, err := ReadFS(disk, "b/figure.gltf", Options{}); !errors.As(err, &missing) || !slices.Equal(missing.Names, []string{"data/Figure.bin"}) {
		t.Errorf("got %v", err)
	}
	for _, uri := range []string{"../outside.bin", "/outside.bin", "..\\outside.bin", "data/../../outside.bin", "%2e%2e/outside.bin", "file:///outside.bin"} {
		text, _ := split(uri)
		disk["a/climb.gltf"] = &fstest.MapFile{Data: text}
		if _, err := ReadFS(disk, "a/climb.gltf", Options{}); !errors.As(err, &missing) || !slices.Equal(missing.Names, []string{"outside.bin"}) {
			t.Errorf("%s: got %v", uri, err)
		}
	}
	if _, err := ReadFS(disk, "none.glb", Options{}); err == nil || !strings.Contains(err.Error(), `"none.glb": cannot be opened: file does not exist`) {
		t.Errorf("got %v", err)
	}
}

func TestMissing(t *testing.T) {
	d := figure()
	d.put("buffers/0/uri", "body%20one.bin")
	d.put("bufferViews/9/buffer", d.add("buffers", object{"uri": "clips.bin", "byteLength": 100}))
	d.put("bufferViews/9/byteOffset", 0)
	d.add("buffers", object{"uri": "nobody.bin", "byteLength": 100})
	d.put("images/0", object{"uri": "skin.png"})
	d.put("images/0/mimeType", gone)
	_, err := Read([]File{{"figure.gltf", d.json()}, {"other.bin", nil}}, Options{})
	var missing *Missing
	if !errors.As(err, &missing) || !slices.Equal(missing.Names, []string{"body one.bin", "clips.bin"}) {
		t.Fatalf("got %v", err)
	}
	if want := `"figure.gltf": the model needs "body one.bin", "clips.bin", not found beside it; add the missing files`; err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
	// Adding them opens it, without the picture and the buffer nobody needs.
	r := mustRead(t, File{"figure.gltf", d.json()}, File{"body one.bin", d.bin}, File{"clips.bin", numbers(5126, make([]float64, 25)...)})
	said := strings.Join(r.Remarks, "\n")
	if !strings.Contains(said, `"nobody.bin", was not found`) || !strings.Contains(said, `"skin.png" was not found`) || r.Images[0].Missing == "" {
		t.Errorf("remarks %s", said)
	}
}

func TestChoice(t *testing.T) {
	glb := figure().glb()
	motion := []byte(`{"asset":{"version":"2.0"},"nodes":[{}]}`)
	for _, row := range []struct {
		name  string
		files []File
		want  string // of an error, or of the remarks
		model string
	}{
		{"none", []File{}, "no file was handed over", ""},
		{"pictures only", []File{{"a.png", []byte("x")}, {"b.txt", nil}}, `no model among "a.png", "b.txt"`, ""},
		{"two models", []File{{"a.glb", glb}, {"b.glb", glb}}, `one of 2 models: "a.glb", "b.glb"; drop one model at a time`, ""},
		{"one of them is only motion", []File{{"a.gltf", motion}, {"b.glb", glb}}, `only "b.glb" holds a mesh`, "b.glb"},
		{"one of them is damaged", []File{{"a.glb", glb[:50]}, {"b.glb", glb}}, `only "b.glb" holds a mesh`, "b.glb"},
		{"another name", []File{{"model.dat", glb}, {"x.txt", nil}}, `ignored: "x.txt"`, "model.dat"},
		{"a vrm", []File{{"A.VRM", glb}}, "", "A.VRM"},
		{"a glb called gltf", []File{{"a.gltf", glb}}, "", "a.gltf"},
		{"a stray beside a zip", []File{{"a.zip", zipped(t, "f/m.glb", glb)}, {"x.png", nil}}, `ignored: "x.png"`, "f/m.glb"},
		{"two zips", []File{{"a.zip", zipped(t, "m.glb", glb)}, {"b.zip", zipped(t, "m.glb", glb)}}, "one of 2 zips", ""},
		{"a zip of nothing", []File{{"a.zip", zipped(t, "readme.txt", []byte("x"))}}, `no model among "readme.txt"`, ""},
		{"a folder's hidden files", []File{{"__MACOSX/._m.glb", []byte("x")}, {"m.glb", glb}}, "", "m.glb"},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, err := Read(row.files, Options{})
			if row.model == "" {
				if err == nil || !strings.Contains(err.Error(), row.want) {
					t.Fatalf("got %v, want %q", err, row.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(r.Remarks, "\n"); !strings.Contains(got, row.want) || row.want == "" && got != "" || r.File.Name != row.model {
				t.Errorf("%q: remarks %q, want %q", r.File.Name, got, row.want)
			}
		})
	}
}

func zipped(t testing.TB, name string, data []byte) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w.Write(data)
	z.Close()
	return b.Bytes()
}

func TestBadZips(t *testing.T) {
	glb := figure().glb()
	good := zipped(t, "m.glb", glb)
	entry := func(at int, v uint32) []byte { // a field of the central directory's one entry
		b := bytes.Clone(good)
		i := bytes.Index(b, []byte("PK\x01\x02"))
		binary.LittleEndian.PutUint32(b[i+at:], v)
		return b
	}
	bomb := zipped(t, "m.gltf", bytes.Repeat([]byte(" "), 80<<20))
	for _, row := range []struct {
		name string
		data []byte
		want string
	}{
		{"cut off", good[:len(good)/2], "the zip cannot be opened"},
		{"locked", entry(8, 1), "locked with a password"},
		{"a size of 4 GB in the directory", entry(24, 0xFFFFFFF0), "cannot be read"},
		{"another checksum", entry(16, 1), "checksum"},
		{"a bomb", bomb, "a zip bomb"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Read([]File{{"a.zip", row.data}}, Options{})
			if err == nil || !strings.Contains(err.Error(), row.want) || strings.Contains(err.Error(), "fault of the reader") {
				t.Errorf("got %v, want %q", err, row.want)
			}
		})
	}
}

// Files handed over beside an incomplete zip complete it.
func TestZipAndMissing(t *testing.T) {
	text, bin := split("figure.bin")
	files := []File{{"a.zip", zipped(t, "in/figure.gltf", text)}}
	var missing *Missing
	if _, err := Read(files, Options{}); !errors.As(err, &missing) || !slices.Equal(missing.Names, []string{"figure.bin"}) {
		t.Fatalf("got %v", err)
	}
	r := mustRead(t, append(files, File{"figure.bin", bin})...)
	if len(r.Malformed) > 0 || len(r.Meshes[0].Positions) != 12 {
		t.Errorf("malformed %v", r.Malformed)
	}
}

func TestFolder(t *testing.T) {
	text, bin := split("figure.bin")
	disk := fstest.MapFS{
		"hero/figure.gltf": {Data: text}, "hero/figure.bin": {Data: bin}, "hero/notes.txt": {Data: []byte("x")},
		"hero/.git/other.gltf": {Data: text}, "empty/x.txt": {Data: []byte("x")},
	}
	r, err := ReadFS(disk, "hero", Options{})
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Remarks) != 1 || !strings.Contains(r.Remarks[0], "notes.txt") || r.File.Name != "figure.gltf" {
		t.Errorf("%q %v", r.File.Name, r.Remarks)
	}
	if _, err := ReadFS(disk, "empty", Options{}); err == nil || !strings.Contains(err.Error(), `no model among "x.txt"`) {
		t.Errorf("got %v", err)
	}
	disk["a.zip"] = &fstest.MapFile{Data: zipped(t, "figure.glb", figure().glb())}
	if r, err := ReadFS(disk, "a.zip", Options{}); err != nil || r.File.Name != "figure.glb" {
		t.Errorf("got %v", err)
	}
}
