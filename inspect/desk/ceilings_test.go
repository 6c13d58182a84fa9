package desk

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/gltfio"
)

// elsewhere are the ceilings that another test tries on both sides, and which.
var elsewhere = map[string]string{
	"bytes of one file":                      "inspect/cmd/rigloupe TestLargestFile",
	"files in a folder":                      "none: a folder named by mistake ends somewhere",
	"pixels of one picture":                  "viewer/texels TestDecode",
	"joints that are bent":                   "inspect/bends TestMostJoints",
	"memory of the decoder of packed shapes": "inspect/draco/native TestBounded, TestBombs",
	"pixels of all pictures shown":           "viewer/scene TestPicturesHandedOver",
	"surfaces shown":                         "viewer/scene TestSurfacesLeftOut",
	"numbers of morph targets shown":         "viewer/scene TestTargetsForStage",
}

// zipped packs one file.
func zipped(names int, name string, data []byte) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create(name)
	if err == nil {
		_, err = w.Write(data)
	}
	for i := 1; i < names && err == nil; i++ {
		_, err = z.Create(fmt.Sprintf("side%d.bin", i))
	}
	if err != nil || z.Close() != nil {
		panic(err)
	}
	return b.Bytes()
}

const head = `{"asset":{"version":"2.0"}`

// TestCeilings goes over each ceiling by one (where it is counted in bytes of a packed file,
// by a little) and reads what is said; one below, nothing of the kind is said. The figures are
// written out, not taken from the constants.
func TestCeilings(t *testing.T) {
	list := func(member, item string) func(n int) []byte {
		return func(n int) []byte {
			return []byte(head + `,"` + member + `":[` + strings.TrimSuffix(strings.Repeat(item+",", n), ",") + `]}`)
		}
	}
	nodes := list("nodes", "{}")
	// A node weighs 1,000 bytes, and the file's own three are worth 96.
	objects := (32<<20 + 32*len(nodes(37_000))) / 1000
	for range 10 {
		objects = (32<<20 + 32*len(nodes(objects))) / 1000
	}
	points := func(n int) []byte {
		return []byte(fmt.Sprintf(`%s,"accessors":[{"count":%d,"type":"VEC3","componentType":5126}],"meshes":[{"primitives":[{"mode":0,"attributes":{"POSITION":0}}]}]}`, head, n))
	}
	// A vertex decodes to positions, normals and a texture's place: 32 bytes.
	numbers := (32<<20 + 64*len(points(1_000_000))) / 32
	capture := func(depth, channels int, step string) []byte {
		var b strings.Builder
		b.WriteString("HIERARCHY ROOT a {\nOFFSET 0 0 0\nCHANNELS ")
		fmt.Fprintf(&b, "%d%s\n", channels, strings.Repeat(" Xrotation", channels))
		for range depth - 1 {
			b.WriteString("JOINT b {\nOFFSET 0 1 0\n")
		}
		b.WriteString(strings.Repeat("}", depth))
		fmt.Fprintf(&b, "\nMOTION\nFrames: 2\nFrame Time: %s\n", step)
		row := strings.Repeat("1 ", channels) + "\n"
		return []byte(b.String() + row + row)
	}
	extensions := func(n int) []byte {
		return []byte(head + `,"extensionsUsed":["E"` + strings.Repeat(`,"E"`, n-1) + `],"nodes":[{}]}`)
	}
	springs := func(n int) []byte {
		return []byte(head + `,"nodes":[{}],"extensionsUsed":["VRMC_springBone"],"extensions":{"VRMC_springBone":{"specVersion":"1.0","springs":[{"joints":[{"node":0}` +
			strings.Repeat(`,{"node":0}`, n-1) + `]}]}}}`)
	}
	for _, row := range []struct {
		what       string
		name       string
		over, fits []byte
	}{
		{"decoded numbers", "m.gltf", points(numbers + 1), points(numbers)},
		{"objects of the JSON, as the bytes they take once read", "m.gltf", nodes(objects + 2), nodes(objects - 1)},
		{"lists and objects in each other", "m.gltf",
			[]byte(head + `,"extras":` + strings.Repeat("[", 513) + strings.Repeat("]", 513) + `,"nodes":[{}]}`), []byte(head + `,"extras":` + strings.Repeat("[", 512) + strings.Repeat("]", 512) + `,"nodes":[{}]}`)},
		{"nodes that carry a mesh", "m.gltf", []byte(string(bytes.TrimSuffix(list("nodes", `{"mesh":0}`)(16_385), []byte("}"))) + `,"meshes":[{"primitives":[]}]` + strings.Repeat(" ", 2<<20) + "}"),
			[]byte(string(bytes.TrimSuffix(list("nodes", `{"mesh":0}`)(16_384), []byte("}"))) + `,"meshes":[{"primitives":[]}]` + strings.Repeat(" ", 2<<20) + "}")},
		{"extensions named", "m.gltf", extensions(1001), extensions(1000)},
		{"places listed as malformed", "m.gltf", list("nodes", `{"mesh":7}`)(501), list("nodes", `{"mesh":7}`)(500)},
		{"joints and colliders of springs", "m.gltf", springs(100_001), springs(100_000)},
		{"bytes of a name", "m.gltf", list("nodes", `{"name":"`+strings.Repeat("n", 1001)+`"}`)(1), list("nodes", `{"name":"`+strings.Repeat("n", 1000)+`"}`)(1)},
		{"what a zip unpacks to", "m.zip", zipped(1, "m.gltf", []byte(head+`,"nodes":[{}]`+strings.Repeat(" ", 80<<20)+"}")), zipped(1, "m.gltf", []byte(head+`,"nodes":[{}]`+strings.Repeat(" ", 60<<20)+"}"))},
		{"what of a zip counts as bytes of the file", "m.zip", zipped(1, "m.gltf", nodes(90_000)), zipped(1, "m.gltf", nodes(35_000))},
		{"files in a zip", "m.zip", zipped(20_001, "m.gltf", []byte(head+`,"nodes":[{}]}`)), zipped(20_000, "m.gltf", []byte(head+`,"nodes":[{}]}`))},
		{"joints of motion capture in each other", "m.bvh", capture(513, 3, ".01"), capture(512, 3, ".01")},
		{"channels of one joint of motion capture", "m.bvh", capture(2, 1001, ".01"), capture(2, 1000, ".01")},
		{"seconds from row to row of motion capture", "m.bvh", capture(2, 3, "60.5"), capture(2, 3, "60")},
	} {
		says := ""
		for _, c := range ceiling.Table() {
			if c.What == row.what {
				says = c.Says
			}
		}
		if says == "" {
			t.Errorf("%s: no such row in the table", row.what)
			continue
		}
		elsewhere[row.what] = "here"
		told := func(data []byte) string {
			r, err := Files(gltfio.File{Name: row.name, Data: data}).Open()
			if err != nil {
				return err.Error()
			}
			all := strings.Join(r.Remarks, "\n")
			for _, m := range r.Malformed {
				all += "\n" + m.What
			}
			return all
		}
		if got := told(row.over); !strings.Contains(got, says) {
			t.Errorf("%s: one more: %.300q, want %q", row.what, got, says)
		}
		if got := told(row.fits); strings.Contains(got, says) || strings.Contains(got, "honestly") {
			t.Errorf("%s: at the ceiling: %.300q", row.what, got)
		}
	}
	for _, c := range ceiling.Table() {
		if elsewhere[c.What] == "" {
			t.Errorf("%s: no test tries it", c.What)
		}
	}
}
