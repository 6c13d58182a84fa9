package gltfio

import (
	"bytes"
	"fmt"
	"slices"
	"testing"

	"rigloupe/inspect/rig"
)

// A strip of numbers through every component type, packed, interleaved, sparse and
// without a view. The values of normalised integers are those of the table in
// glTF 2.0, Animations, worked out by hand: 64/127, 128/255, 16384/32767, …
func TestComponentTypes(t *testing.T) {
	for _, row := range []struct {
		name       string
		code       int
		normalized bool
		stored     []float64
		want       []float32
	}{
		{"float", 5126, false, []float64{-1.5, 0, 3e7}, []float32{-1.5, 0, 3e7}},
		{"byte", 5120, false, []float64{-128, 64, 127}, []float32{-128, 64, 127}},
		{"byte normalised", 5120, true, []float64{-128, -64, 64}, []float32{-1, -64. / 127, 64. / 127}},
		{"unsigned byte", 5121, false, []float64{0, 200, 255}, []float32{0, 200, 255}},
		{"unsigned byte normalised", 5121, true, []float64{1, 64, 128}, []float32{1. / 255, 64. / 255, 128. / 255}},
		{"short", 5122, false, []float64{-32768, 5, 32767}, []float32{-32768, 5, 32767}},
		{"short normalised", 5122, true, []float64{-32768, 16384, 32766}, []float32{-1, 16384. / 32767, 32766. / 32767}},
		{"unsigned short", 5123, false, []float64{0, 1, 65535}, []float32{0, 1, 65535}},
		{"unsigned short normalised", 5123, true, []float64{1, 32768, 65534}, []float32{1. / 65535, 32768. / 65535, 65534. / 65535}},
	} {
		for _, layout := range []string{"packed", "interleaved", "sparse", "sparse without a view"} {
			t.Run(row.name+"/"+layout, func(t *testing.T) {
				d := newDraft()
				d.doc["extensionsUsed"] = array{"KHR_mesh_quantization"}
				lo, hi := slices.Min(row.stored), slices.Max(row.stored)
				a := object{"componentType": row.code, "count": 3, "type": "VEC3", "normalized": row.normalized,
					"min": array{lo, lo, lo}, "max": array{hi, hi, hi}}
				element := numbers(row.code, row.stored...)
				step := (len(element) + 3) &^ 3
				// Three elements: the row, the row turned by one, by two.
				var packed []byte
				rows := make([][]byte, 3)
				for k := range rows {
					turned := append(slices.Clone(row.stored[k:]), row.stored[:k]...)
					rows[k] = numbers(row.code, turned...)
					padded := append(slices.Clone(rows[k]), make([]byte, step-len(rows[k]))...)
					packed = append(packed, padded...)
				}
				// A stride is stated whenever elements are padded.
				stride := 0
				if step != len(element) {
					stride = step
				}
				sparse := func(base bool) {
					v := object{"bufferView": d.view(slices.Concat(rows[1], rows[2]), 0)}
					i := object{"bufferView": d.view(numbers(5125, 1, 2), 0), "componentType": 5125}
					a["sparse"] = object{"count": 2, "indices": i, "values": v}
					if !base {
						a["sparse"].(object)["count"] = 3
						v["bufferView"] = d.view(slices.Concat(rows...), 0)
						i["bufferView"] = d.view(numbers(5125, 0, 1, 2), 0)
					}
				}
				switch layout {
				case "packed":
					a["bufferView"] = d.view(packed, stride)
				case "interleaved":
					var mixed []byte
					for k := range rows {
						mixed = append(mixed, bytes.Repeat([]byte{0xEE}, 8)...)
						mixed = append(mixed, packed[k*step:(k+1)*step]...)
					}
					a["bufferView"], a["byteOffset"] = d.view(mixed, step+8), 8
				case "sparse":
					base := slices.Concat(packed[:step], bytes.Repeat([]byte{0}, 2*step))
					a["bufferView"] = d.view(base, stride)
					sparse(true)
				case "sparse without a view":
					sparse(false)
				}
				d.doc["meshes"] = array{object{"primitives": array{object{"attributes": object{"POSITION": d.add("accessors", a)}}}}}
				r, err := d.read()
				if err != nil {
					t.Fatal(err)
				}
				sane(t, r)
				if len(r.Malformed) > 0 {
					t.Errorf("malformed: %v", r.Malformed)
				}
				m := &r.Meshes[0]
				for k := range 9 {
					want := row.want[(k%3+k/3)%3]
					if got := m.Positions[k]; got != want {
						t.Errorf("number %d: got %.9g, want %.9g", k, got, want)
					}
				}
				p := m.Primitives[0]
				if p.PositionType != uint16(row.code) || p.PositionNormalized != row.normalized || p.TrueMin[0] != lo || p.TrueMax[2] != hi {
					t.Errorf("%+v", p)
				}
			})
		}
	}
}

func TestZerosWithoutAView(t *testing.T) {
	d := newDraft()
	a := d.add("accessors", object{"componentType": 5126, "count": 6, "type": "VEC3", "min": array{0, 0, 0}, "max": array{0, 0, 0}})
	d.doc["buffers"] = array{}
	d.doc["meshes"] = array{object{"primitives": array{object{"attributes": object{"POSITION": a}}}}}
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Meshes[0].Positions; len(got) != 18 || slices.Max(got) != 0 || slices.Min(got) != 0 || len(r.Malformed) > 0 {
		t.Errorf("positions %v, malformed %v", got, r.Malformed)
	}
}

// The strip and fan formulas of glTF 2.0, Meshes, on five vertices.
func TestTriangleModes(t *testing.T) {
	for _, row := range []struct {
		name    string
		mode    any
		indices []float64
		code    int
		want    []uint32
	}{
		{"triangles", 4, nil, 0, []uint32{0, 1, 2}},
		{"no mode", gone, []float64{4, 3, 2, 0, 1, 2}, 5121, []uint32{4, 3, 2, 0, 1, 2}},
		{"strip", 5, nil, 0, []uint32{0, 1, 2, 1, 3, 2, 2, 3, 4}},
		{"fan", 6, nil, 0, []uint32{1, 2, 0, 2, 3, 0, 3, 4, 0}},
		{"strip by index", 5, []float64{4, 2, 0, 1}, 5125, []uint32{4, 2, 0, 2, 1, 0}},
		{"fan by index", 6, []float64{4, 2, 0, 1}, 5123, []uint32{2, 0, 4, 0, 1, 4}},
		{"points", 0, nil, 0, nil},
		{"line strip", 3, []float64{0, 1, 2}, 5121, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := newDraft()
			p := object{"attributes": object{"POSITION": d.accessor(5126, "VEC3", true, 0, 0, 0, 1, 0, 0, 2, 1, 0, 3, 1, 0, 4, 4, 0)}}
			if row.mode != gone {
				p["mode"] = row.mode
			}
			if row.indices != nil {
				p["indices"] = d.accessor(row.code, "SCALAR", false, row.indices...)
			}
			d.doc["meshes"] = array{object{"primitives": array{p}}}
			r, err := d.read()
			if err != nil {
				t.Fatal(err)
			}
			sane(t, r)
			if got := r.Meshes[0].Triangles; !slices.Equal(got, row.want) {
				t.Errorf("got %v, want %v", got, row.want)
			}
			if want := row.name == "triangles"; (len(r.Malformed) > 0) != want { // 5 corners, no multiple of 3
				t.Errorf("malformed: %v", r.Malformed)
			}
		})
	}
}

// Two primitives, the second with two sets of influences and vertices of its own.
func TestInfluenceSets(t *testing.T) {
	d := figure()
	second := object{"attributes": object{
		"POSITION":  d.accessor(5126, "VEC3", true, 0, 0, 0, 1, 0, 0, 0, 1, 0),
		"JOINTS_0":  d.accessor(5123, "VEC4", false, 0, 1, 0, 1, 1, 0, 1, 0, 900, 1, 0, 0),
		"WEIGHTS_0": d.accessor(5121, "VEC4", false, 51, 51, 51, 51, 100, 0, 0, 0, 255, 0, 0, 0),
		"JOINTS_1":  d.accessor(5121, "VEC4", false, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0),
		"WEIGHTS_1": d.accessor(5121, "VEC4", false, 51, 0, 0, 0, 154, 0, 0, 0, 0, 0, 0, 0),
	}}
	for _, name := range []string{"WEIGHTS_0", "WEIGHTS_1"} {
		d.at(fmt.Sprintf("accessors/%d", second["attributes"].(object)[name])).(object)["normalized"] = true
	}
	first := d.at("meshes/0/primitives/0")
	delete(first.(object), "targets")
	d.put("meshes/0/primitives", array{first, second})
	d.put("meshes/0/weights", gone)
	d.put("meshes/0/extras", gone)
	d.put("animations", array{})
	d.put("buffers/0/byteLength", len(d.bin))
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Malformed) > 0 {
		t.Errorf("malformed: %v", r.Malformed)
	}
	m := &r.Meshes[0]
	if m.K != 8 || m.Vertices() != 7 {
		t.Fatalf("K %d, %d vertices", m.K, m.Vertices())
	}
	if got, want := m.Joints[6*8:7*8], []uint16{900, 1, 0, 0, 0, 0, 0, 0}; !slices.Equal(got, want) {
		t.Errorf("joints %v, want %v: a place outside the skin stays as it is", got, want)
	}
	if got, want := m.Weights[4*8:5*8], []float32{.2, .2, .2, .2, .2, 0, 0, 0}; !slices.Equal(got, want) {
		t.Errorf("weights %v, want %v", got, want)
	}
	if got, want := m.Primitives[1].WeightSums, []uint32{255, 254, 255}; !slices.Equal(got, want) {
		t.Errorf("sums %v, want %v", got, want)
	}
	if m.Primitives[0].WeightSums != nil || m.Primitives[1].Sets != 2 || m.Primitives[1].JointType != 5123 || m.Primitives[1].WeightType != 5121 {
		t.Errorf("%+v", m.Primitives)
	}
	if got, want := m.Triangles[6:], []uint32{4, 5, 6}; !slices.Equal(got, want) {
		t.Errorf("triangles %v, want %v", got, want)
	}
}

func TestInterpolations(t *testing.T) {
	d := figure()
	keys := d.accessor(5126, "SCALAR", true, 0, 2)
	spline := d.accessor(5126, "VEC3", false, 0, 0, 0, 1, 2, 3, .5, 0, 0, -1, 0, 0, 4, 5, 6, 0, 0, 0)
	turn := d.accessor(5122, "VEC4", false, 0, 0, 0, 32767, 0, 0, 32767, 0)
	d.at(fmt.Sprintf("accessors/%d", turn)).(object)["normalized"] = true
	d.put("animations/0/samplers", array{object{"input": keys, "output": spline, "interpolation": "CUBICSPLINE"}, object{"input": keys, "output": turn}})
	d.put("animations/0/channels", array{
		object{"sampler": 0, "target": object{"node": 2, "path": "translation"}},
		object{"sampler": 1, "target": object{"node": 2, "path": "rotation"}},
		object{"sampler": 1, "target": object{"path": "rotation"}},
	})
	d.put("buffers/0/byteLength", len(d.bin))
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	if len(r.Malformed) > 0 {
		t.Errorf("malformed: %v", r.Malformed)
	}
	c := r.Clips[0].Channels
	if len(c) != 2 || c[0].Interpolation != rig.Cubic || c[0].Path != rig.Translation || c[0].Values[3] != 1 || c[0].Values[6] != .5 || c[0].Values[9] != -1 {
		t.Errorf("%+v", c)
	}
	if c[1].Values[3] != 1 || c[1].Values[6] != 1 || c[1].Interpolation != rig.Linear {
		t.Errorf("%+v", c[1])
	}
}

// Sorted times take their values along; of two keys at one time the later one in
// the file counts.
func TestTimesThatFall(t *testing.T) {
	d := figure()
	d.put("animations/0/samplers/0/input", d.accessor(5126, "SCALAR", true, 1, 0, 1))
	d.put("animations/0/samplers/0/output", d.accessor(5126, "VEC4", false, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0))
	d.put("buffers/0/byteLength", len(d.bin))
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	c := r.Clips[0].Channels[0]
	if want := []float32{0, 1}; !slices.Equal(c.Times, want) {
		t.Errorf("times %v, want %v", c.Times, want)
	}
	if want := []float32{0, 1, 0, 0, 0, 0, 1, 0}; !slices.Equal(c.Values, want) {
		t.Errorf("values %v, want %v", c.Values, want)
	}
}

// One primitive has no target of its own: its vertices stay where they are.
func TestUnevenTargets(t *testing.T) {
	d := figure()
	first := d.at("meshes/0/primitives/0")
	second := object{"attributes": object{"POSITION": d.accessor(5126, "VEC3", true, 0, 0, 0, 1, 0, 0, 0, 1, 0)}}
	d.put("meshes/0/primitives", array{second, first})
	d.put("buffers/0/byteLength", len(d.bin))
	r, err := d.read()
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	m := &r.Meshes[0]
	if p := m.Targets[0].Positions; len(p) != 21 || slices.Max(p[:15]) != 0 || p[16] != .5 || p[19] != .5 {
		t.Errorf("target %v", p)
	}
	if m.K != 4 || m.Weights[0] != 0 || m.Weights[3*4] != 1 {
		t.Errorf("weights %v", m.Weights)
	}
}
