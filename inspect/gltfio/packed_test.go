package gltfio

import (
	"encoding/binary"
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/rig"
)

// packedFile is a figure whose views the encoder of the npm package meshoptimizer packed
// (inspect/meshopt/testdata/pack.mjs), and its JSON and data taken apart.
func packedFile(t testing.TB, name string) (file []byte, doc map[string]any, bin []byte) {
	t.Helper()
	file, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	size := binary.LittleEndian.Uint32(file[12:])
	if err := json.Unmarshal(file[20:20+size], &doc); err != nil {
		t.Fatal(err)
	}
	return file, doc, file[28+size:]
}

func readOne(t testing.TB, file []byte, beside ...File) *rig.Rig {
	t.Helper()
	r, err := Read(append([]File{{"m.glb", file}}, beside...), Options{})
	if err != nil {
		t.Fatal(err)
	}
	sane(t, r)
	return r
}

// A packed file is the same rig as the one it was packed from: shape, weights, target, bind
// matrices, clips and picture.
func TestPackedAsPlain(t *testing.T) {
	plain, _, _ := packedFile(t, "figure.glb")
	want := readOne(t, plain)
	if len(want.Meshes[0].Positions) == 0 || len(want.Clips) == 0 || len(want.Skins) == 0 || len(want.Images) == 0 {
		t.Fatal("the plain figure holds too little to compare")
	}
	for _, name := range []string{"figure-ext.glb", "figure-khr.glb"} {
		file, _, _ := packedFile(t, name)
		got := readOne(t, file)
		if len(got.File.Required) == 0 || len(got.File.NotHonored) > 0 {
			t.Errorf("%s: required %v, not honoured %v", name, got.File.Required, got.File.NotHonored)
		}
		got.File = want.File
		if !reflect.DeepEqual(got, want) {
			for i := range want.Meshes {
				t.Logf("mesh %d alike: %v", i, reflect.DeepEqual(got.Meshes[i], want.Meshes[i]))
			}
			t.Errorf("%s: another rig: remarks %v, malformed %v", name, got.Remarks, got.Malformed)
		}
	}
}

// What is not as a packed view has to be is refused with the view's number, or read from the
// copy that is not packed.
func TestPackedBroken(t *testing.T) {
	const by = "EXT_meshopt_compression"
	for _, row := range []struct {
		name string
		harm func(view, how map[string]any)
		says string
	}{
		{"count", func(_, how map[string]any) { how["count"] = 1e12 }, "honestly hold"},
		{"count below", func(_, how map[string]any) { how["count"] = -1 }, "count is -1"},
		{"stride", func(_, how map[string]any) { how["byteStride"] = 10 }, "multiple of 4"},
		{"mode", func(_, how map[string]any) { how["mode"] = "TRIANGLES" }, "2 or 4"},
		{"filter", func(_, how map[string]any) { how["filter"] = "QUATERNION" }, "does not go with"},
		{"buffer", func(_, how map[string]any) { how["buffer"] = 7 }, "buffer 7 does not exist"},
		{"none", func(_, how map[string]any) { delete(how, "buffer") }, "buffer -1 does not exist"},
		{"fallback", func(_, how map[string]any) { how["buffer"] = 1 }, "buffer 1 has no data"},
		{"offset", func(_, how map[string]any) { how["byteOffset"] = 1 << 40 }, "starts at byte"},
		{"length", func(_, how map[string]any) { how["byteLength"] = 12 }, "end early"},
		{"long", func(_, how map[string]any) { how["byteLength"] = 1 << 40 }, "are there"},
		{"another kind", func(v, _ map[string]any) { v["extensions"] = map[string]any{by: []any{1}} }, "not as it should be"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, doc, bin := packedFile(t, "figure-ext.glb")
			view := doc["bufferViews"].([]any)[0].(map[string]any)
			row.harm(view, view["extensions"].(map[string]any)[by].(map[string]any))
			d := &draft{doc: doc, bin: bin}
			_, err := d.read()
			if err == nil || !strings.Contains(err.Error(), row.says) || !strings.Contains(err.Error(), "view 0") && row.name != "fallback" {
				t.Errorf("%v, want %q and the view", err, row.says)
			}
		})
	}
	// A stream that is torn, beside a copy of all views that is not packed.
	plain, _, data := packedFile(t, "figure.glb")
	_, doc, bin := packedFile(t, "figure-ext.glb")
	how := doc["bufferViews"].([]any)[0].(map[string]any)["extensions"].(map[string]any)[by].(map[string]any)
	how["byteLength"] = 12
	doc["buffers"].([]any)[1].(map[string]any)["uri"] = "copy.bin"
	d := &draft{doc: doc, bin: bin}
	got, want := readOne(t, d.glb(), File{"copy.bin", data}), readOne(t, plain)
	if !reflect.DeepEqual(got.Meshes, want.Meshes) || !slices.ContainsFunc(got.Malformed, func(m rig.Malformed) bool {
		return strings.Contains(m.What, "its copy that is not packed is read") && strings.Contains(m.Place, "/bufferViews/0")
	}) {
		t.Errorf("malformed %v", got.Malformed)
	}
	// Without the copy beside it, a file that is whole needs none and says nothing of it.
	how["byteLength"] = len(bin)
	_, doc, bin = packedFile(t, "figure-ext.glb")
	doc["buffers"].([]any)[1].(map[string]any)["uri"] = "copy.bin"
	d = &draft{doc: doc, bin: bin}
	if got := readOne(t, d.glb()); !reflect.DeepEqual(got.Meshes, want.Meshes) || strings.Contains(strings.Join(got.Remarks, "\n"), "copy.bin") {
		t.Errorf("remarks %v", got.Remarks)
	}
}

// What views unpack to counts among the decoded numbers of a file: a few bytes that stand for
// gigabytes are refused before anything is allocated.
func TestPackedBudget(t *testing.T) {
	d := figure()
	const count, stride = 1 << 22, 256
	zeros := make([]byte, 1+(count+31)/32*stride/4+stride+stride/4) // all control bits 2: no delta differs
	zeros[0] = 0xA1
	for i := 1; i <= (count+31)/32*stride/4; i++ {
		zeros[i] = 0xAA
	}
	view := d.view(zeros, 0)
	how := object{"buffer": 0, "byteOffset": d.at("bufferViews/" + itoa(view)).(object)["byteOffset"], "byteLength": len(zeros), "byteStride": stride, "count": count, "mode": "ATTRIBUTES"}
	d.put("bufferViews/"+itoa(view)+"/extensions", object{"KHR_meshopt_compression": how})
	d.put("bufferViews/"+itoa(view)+"/byteLength", count*stride)
	d.put("bufferViews/"+itoa(view)+"/buffer", d.add("buffers", object{"byteLength": count * stride}))
	d.put("accessors/0/bufferView", view)
	d.put("buffers/0/byteLength", len(d.bin))
	if _, err := Read([]File{{"m.glb", d.glb()}}, Options{Memory: 256 << 20}); err == nil || !strings.Contains(err.Error(), "honestly hold") {
		t.Errorf("%v", err)
	}
}
