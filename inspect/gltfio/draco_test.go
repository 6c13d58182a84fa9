package gltfio

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/draco"
	"rigloupe/inspect/draco/native"
	"rigloupe/inspect/rig"
)

const (
	dracoExact = "figure-draco-exact.glb" // in order, nothing rounded
	dracoCopy  = "figure-draco-copy.glb"  // as that, with the plain numbers beside it
	dracoRound = "figure-draco.glb"       // 14 bits; the box in the encoder's own order
)

func unpacked(t testing.TB, file []byte) (*rig.Rig, error) {
	t.Helper()
	r, err := Read([]File{{"m.glb", file}}, Options{Draco: native.Start})
	if err == nil {
		sane(t, r)
	}
	return r, err
}

// What the npm package's encoder packed in order and without rounding reads as the plain file
// does, number for number: positions, normals, UVs, joints, weights, triangles, beside morph
// targets that are not packed.
func TestDraco(t *testing.T) {
	plain, _, _ := packedFile(t, "figure.glb")
	want := readOne(t, plain)
	for _, name := range []string{dracoExact, dracoCopy} {
		file, _, _ := packedFile(t, name)
		got, err := unpacked(t, file)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Remarks) != len(want.Remarks) || len(got.Malformed) != len(want.Malformed) || len(got.File.NotHonored) > 0 {
			t.Errorf("%s: remarks %v, malformed %v", name, got.Remarks, got.Malformed)
		}
		same(t, name, got, want)
	}
}

// same holds the meshes of two readings against each other, but for the numbers of accessors
// and what is kept of rounding.
func same(t *testing.T, name string, got, want *rig.Rig) {
	t.Helper()
	for i := range want.Meshes {
		g, w := got.Meshes[i], want.Meshes[i]
		for k := range w.Primitives {
			g.Primitives[k].Array, g.Primitives[k].Slack = w.Primitives[k].Array, 0
		}
		if !reflect.DeepEqual(g, w) {
			t.Errorf("%s: mesh %d is another one", name, i)
		}
	}
}

// Rounded to 14 bits each position lies within half a step of its place (range 2 m over 2¹⁴ − 1),
// weights likewise; joints are whole numbers and exact. Extremes that are declared for what was
// there before are no fault.
func TestDracoRounded(t *testing.T) {
	plain, _, _ := packedFile(t, "figure.glb")
	want := readOne(t, plain)
	file, _, _ := packedFile(t, dracoRound)
	got, err := unpacked(t, file)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Malformed) != len(want.Malformed) {
		t.Errorf("malformed %v", got.Malformed)
	}
	g, w := &got.Meshes[0], &want.Meshes[0]
	far := func(a, b []float32) (most float64) {
		for i := range a {
			most = max(most, math.Abs(float64(a[i]-b[i])))
		}
		return most
	}
	const half = 2. / (1<<14 - 1) / 2
	if d := far(g.Positions, w.Positions); d == 0 || d > half*1.01 {
		t.Errorf("positions lie %.3g m off, half a step is %.3g", d, half)
	}
	if d := far(g.Weights, w.Weights); d > 1./(1<<14-1) {
		t.Errorf("weights are %.3g off", d)
	}
	if !slices.Equal(g.Joints, w.Joints) || !slices.Equal(g.Triangles, w.Triangles) {
		t.Error("other joints or triangles")
	}
	// The box is packed in an order of its own: as many triangles, each with its area.
	if a, b := area(&got.Meshes[1]), area(&want.Meshes[1]); math.Abs(a-b) > 1e-3*b || len(got.Meshes[1].Triangles) != len(want.Meshes[1].Triangles) {
		t.Errorf("an area of %g, %g are wanted", a, b)
	}
	if slack := got.Meshes[0].Primitives[0].Slack; math.Abs(slack-2./256) > 1e-4 {
		t.Errorf("slack %g", slack)
	}
}

func area(m *rig.MeshData) (sum float64) {
	at := func(v uint32, k int) float64 { return float64(m.Positions[3*v+uint32(k)]) }
	for i := 0; i+2 < len(m.Triangles); i += 3 {
		var e [2][3]float64
		for k := range 3 {
			e[0][k] = at(m.Triangles[i+1], k) - at(m.Triangles[i], k)
			e[1][k] = at(m.Triangles[i+2], k) - at(m.Triangles[i], k)
		}
		x, y, z := e[0][1]*e[1][2]-e[0][2]*e[1][1], e[0][2]*e[1][0]-e[0][0]*e[1][2], e[0][0]*e[1][1]-e[0][1]*e[1][0]
		sum += math.Sqrt(x*x+y*y+z*z) / 2
	}
	return sum
}

// What is wrong with a packed shape refuses the file with the primitive's place, and where the
// plain numbers stand beside it they are read and that is said.
func TestDracoDamaged(t *testing.T) {
	plain, _, _ := packedFile(t, "figure.glb")
	want := readOne(t, plain)
	for _, row := range []struct {
		name, says string
		harm       func(d *draft, how object)
	}{
		{"torn", "no stream of Draco", func(d *draft, how object) {
			v := d.at("bufferViews/" + itoa(int(how["bufferView"].(float64)))).(object)
			v["byteLength"] = int(v["byteLength"].(float64)) / 2
		}},
		{"first byte", "Not a Draco file", func(d *draft, how object) {
			v := d.at("bufferViews/" + itoa(int(how["bufferView"].(float64)))).(object)
			d.bin[int(v["byteOffset"].(float64))] ^= 1
		}},
		{"no view", "buffer view 999 does not exist", func(_ *draft, how object) { how["bufferView"] = 999 }},
		{"no view named", "buffer view -1 does not exist", func(_ *draft, how object) { delete(how, "bufferView") }},
		{"attributes exchanged", "numbers a point", func(_ *draft, how object) {
			a := how["attributes"].(object)
			a["POSITION"], a["TEXCOORD_0"] = a["TEXCOORD_0"], a["POSITION"]
		}},
		{"an attribute that is not there", "it holds no attribute 40", func(_ *draft, how object) { how["attributes"].(object)["NORMAL"] = 40 }},
		{"words for a number", "KHR_draco_mesh_compression is not as it should be", func(_ *draft, how object) { how["bufferView"] = "first" }},
		{"a component type of none", "componentType 5124", func(d *draft, _ object) {
			d.put("accessors/"+itoa(int(d.at("meshes/0/primitives/0/attributes/NORMAL").(float64)))+"/componentType", 5124)
		}},
	} {
		for _, file := range []string{dracoExact, dracoCopy} {
			_, doc, bin := packedFile(t, file)
			d := &draft{doc: doc, bin: slices.Clone(bin)}
			row.harm(d, d.at("meshes/0/primitives/0/extensions/KHR_draco_mesh_compression").(object))
			got, err := unpacked(t, d.glb())
			if file == dracoExact {
				if err == nil || !strings.Contains(err.Error(), row.says) || !strings.Contains(err.Error(), `mesh 0 "tube", primitive 0, KHR_draco_mesh_compression`) {
					t.Errorf("%s: %v, want %q and the place", row.name, err, row.says)
				}
				continue
			}
			if row.name == "a component type of none" { // of the copy too
				continue
			}
			if err != nil || !slices.ContainsFunc(got.Malformed, func(m rig.Malformed) bool {
				return strings.Contains(m.What, row.says) && strings.Contains(m.What, "its copy that is not packed is read") && m.Place == "/meshes/0/primitives/0/extensions/KHR_draco_mesh_compression"
			}) {
				t.Errorf("%s, with a copy: %v", row.name, err)
				continue
			}
			same(t, row.name, got, want)
		}
	}
}

// Without a decoder, or where none can be begun, a packed shape is left empty and named with
// the reason; a copy that is not packed is read.
func TestNoDraco(t *testing.T) {
	file, _, _ := packedFile(t, dracoExact)
	lost := func(int64) (draco.Program, error) { return nil, errors.New("the server answers 404") }
	for says, start := range map[string]draco.Start{"(nothing here unpacks them): 2 parts are left empty": nil, "(the server answers 404): 2 parts are left empty": lost} {
		r, err := Read([]File{{"m.glb", file}}, Options{Draco: start})
		if err != nil {
			t.Fatal(err)
		}
		if all := strings.Join(r.Remarks, "\n"); !strings.Contains(all, says) || !slices.Equal(r.File.NotHonored, []string{"KHR_draco_mesh_compression"}) || len(r.Meshes[0].Positions) > 0 {
			t.Errorf("remarks %q, not honoured %v", all, r.File.NotHonored)
		}
	}
	plain, _, _ := packedFile(t, "figure.glb")
	copied, _, _ := packedFile(t, dracoCopy)
	r, err := Read([]File{{"m.glb", copied}}, Options{})
	if err != nil || strings.Contains(strings.Join(r.Remarks, "\n"), "not unpacked") {
		t.Fatalf("%v", err)
	}
	same(t, "the copy", r, readOne(t, plain))
}

// A primitive's own counts are held against the stream: what it holds is read, and that is
// said. Strips come as the triangles that they stand for.
func TestDracoCounts(t *testing.T) {
	plain, _, _ := packedFile(t, "figure.glb")
	_, doc, bin := packedFile(t, dracoExact)
	d := &draft{doc: doc, bin: bin}
	d.put("accessors/"+itoa(int(d.at("meshes/0/primitives/0/attributes/NORMAL").(float64)))+"/count", 71)
	d.put("meshes/0/primitives/0/mode", 5)
	got, err := unpacked(t, d.glb())
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(got.Malformed, func(m rig.Malformed) bool {
		return m.Place == "/meshes/0/primitives/0/attributes/NORMAL" && m.What == "71 elements are stated, the packed shape has 72 points; these are read"
	}) {
		t.Errorf("%v", got.Malformed)
	}
	same(t, "counts", got, readOne(t, plain))
}
