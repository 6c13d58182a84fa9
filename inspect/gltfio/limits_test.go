package gltfio

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"
)

// Every tolerance of the reader on both sides of its number. Sources: glTF 2.0, Buffer
// Views (a stride is a multiple of 4 from the element's size to 252), Sparse Accessors
// (indices rise, and are of elements that there are), Skins (the fourth row is 0 0 0 1),
// Meshes (sets of joints and weights go in pairs); a unit quaternion as the standard's own
// tutorial writes it with three digits is off by 2.3e-4 and sound.
func TestTolerances(t *testing.T) {
	for _, row := range []struct {
		name   string
		damage func(*draft)
		told   string // "": nothing is
	}{
		{"fourth row off by float32", float(7, 16+7, 5e-6), ""},
		{"fourth row off by more", float(7, 16+7, 2e-5), "a fourth row other than 0 0 0 1"},
		{"rotation as three digits give it", put("nodes/1/rotation", array{0, 0, 0, 1.0009}), ""},
		{"rotation a fiftieth too long", put("nodes/1/rotation", array{0, 0, 0, 1.02}), "a rotation of length 1.02"},
		{"stride 16", strided(16), ""},
		{"stride 252", strided(252), ""},
		{"stride 14", strided(14), "14 bytes for elements of 12"},
		{"stride 256", strided(256), "256 bytes for elements of 12"},
		{"sparse indices rise", sparse(1, 3, 2), ""},
		{"sparse indices equal", sparse(2, 2, 2), "1 of 2 indices do not rise"},
		{"sparse index of the last element", sparse(0, 3, 2), ""},
		{"sparse index one beyond", sparse(0, 4, 2), "1 of 2 indices point beyond the 4 elements"},
		{"joints and weights in pairs", both(put(prim+"attributes/JOINTS_1", 3), put(prim+"attributes/WEIGHTS_1", 4)), ""},
		{"weights without joints", put(prim+"attributes/WEIGHTS_1", 4), "1 sets of joints and 2 of weights"},
		{"joints without weights", put(prim+"attributes/JOINTS_1", 3), "2 sets of joints and 1 of weights"},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := figure()
			d.close()
			row.damage(d)
			r := mustRead(t, File{"figure.glb", d.glb()})
			var told []string
			for _, m := range r.Malformed {
				told = append(told, m.What)
			}
			if all := strings.Join(told, "\n"); row.told == "" && all != "" || !strings.Contains(all, row.told) {
				t.Errorf("told %q, want %q", all, row.told)
			}
		})
	}
}

// strided lays the figure's positions out with so many bytes from one to the next.
func strided(stride int) func(*draft) {
	return func(d *draft) {
		data := make([]byte, 3*stride+12)
		for v, p := range [4][3]float32{{-1, 0, 0}, {1, 0, 0}, {-1, 2, 0}, {1, 2, 0}} {
			for c := range p {
				binary.LittleEndian.PutUint32(data[v*stride+4*c:], math.Float32bits(p[c]))
			}
		}
		d.put("accessors/0/bufferView", d.view(data, stride))
		d.put("buffers/0/byteLength", len(d.bin))
	}
}

// A text that packs to a thousandth is no bomb while it is small: a hundred times its
// size and 64 MB more may come out of a zip.
func TestSmallZipMayGrow(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("m.gltf")
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte(`{"asset":{"version":"2.0"},"nodes":[{}],"scenes":[{"nodes":[0]}]` + strings.Repeat(" ", 1<<20) + "}"))
	z.Close()
	if _, err := Read([]File{{"m.zip", b.Bytes()}}, Options{}); err != nil {
		t.Errorf("1 MB in a zip of %d bytes: %v", b.Len(), err)
	}
}

// Of several models the one with a mesh or a skin is read, whichever stands first.
func TestWhichOfTwoIsRead(t *testing.T) {
	motion := []byte(`{"asset":{"version":"2.0"},"nodes":[{}]}`)
	skin := []byte(`{"asset":{"version":"2.0"},"nodes":[{},{"children":[0]}],"skins":[{"joints":[1,0]}]}`)
	mesh := figure().glb()
	for _, row := range []struct {
		name  string
		files []File
		want  string
	}{
		{"the mesh second", []File{{"a.gltf", motion}, {"b.glb", mesh}}, "b.glb"},
		{"the mesh first", []File{{"a.glb", mesh}, {"b.gltf", motion}}, "a.glb"},
		{"a skin without a mesh first", []File{{"a.gltf", skin}, {"b.gltf", motion}}, "a.gltf"},
		{"a skin without a mesh second", []File{{"a.gltf", motion}, {"b.gltf", skin}}, "b.gltf"},
		{"a skin and a mesh", []File{{"a.gltf", skin}, {"b.glb", mesh}}, ""},
	} {
		r, err := Read(row.files, Options{})
		if row.want == "" {
			if err == nil || !strings.Contains(err.Error(), "one of 2 models") {
				t.Errorf("%s: %v", row.name, err)
			}
			continue
		}
		if err != nil || r.File.Name != row.want {
			t.Errorf("%s: read %v, %v; want %s", row.name, r, err, row.want)
		}
	}
}

// What a person reads of a long name is cut between two letters, and a pointer to it is short.
func TestLongNames(t *testing.T) {
	// An odd byte before letters of two: the 72nd byte is the second half of one.
	if got, want := quote("x"+strings.Repeat("é", 60)), `"x`+strings.Repeat("é", 35)+`"…`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got := place("meshes", strings.Repeat("n", 1000)); len(got) != len("/meshes/")+80 {
		t.Errorf("a pointer of %d bytes", len(got))
	}
}
