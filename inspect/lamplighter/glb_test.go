package lamplighter_test

import (
	"encoding/binary"
	"maps"
	"reflect"
	"slices"
	"testing"

	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func read(t *testing.T, r *rig.Rig) *rig.Rig {
	t.Helper()
	got, err := gltfio.Read([]gltfio.File{{Name: r.File.Name, Data: lamplighter.Write(r)}}, gltfio.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestOpensToTheSameRig: what the reader makes of the bytes is the rig that was
// built, every number of it.
func TestOpensToTheSameRig(t *testing.T) {
	for _, o := range []lamplighter.Options{{}, {Pose: lamplighter.A, Names: lamplighter.Prefix}, {Vertices: 70_000}} {
		t.Run(o.FileName(), func(t *testing.T) {
			want := lamplighter.Build(o)
			got := read(t, want)
			if len(got.Malformed) > 0 || len(got.Remarks) > 0 {
				t.Errorf("read with %v %v", got.Malformed, got.Remarks)
			}
			for i := range got.Meshes[0].Primitives {
				want.Meshes[0].Primitives[i].Array = got.Meshes[0].Primitives[i].Array
			}
			a, b := reflect.ValueOf(want).Elem(), reflect.ValueOf(got).Elem()
			for i := range a.NumField() {
				name := a.Type().Field(i).Name
				if name == "File" || name == "Remarks" || name == "Malformed" || name == "Humanoid" {
					continue
				}
				compare(t, name, a.Field(i), b.Field(i))
			}
		})
	}
}

// compare walks two values and names the first place where they differ.
func compare(t *testing.T, path string, a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Slice:
		if a.Len() != b.Len() {
			t.Errorf("%s: %d items, read %d", path, a.Len(), b.Len())
			return false
		}
		for i := range a.Len() {
			if !compare(t, path+"[]", a.Index(i), b.Index(i)) {
				return false
			}
		}
	case reflect.Struct:
		for i := range a.NumField() {
			compare(t, path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i))
		}
	default:
		if !reflect.DeepEqual(a.Interface(), b.Interface()) {
			t.Errorf("%s: %v, read %v", path, a.Interface(), b.Interface())
			return false
		}
	}
	return true
}

// TestContainer: header, chunk lengths and padding (glTF 2.0, GLB File Format).
func TestContainer(t *testing.T) {
	data := lamplighter.GLB(lamplighter.Options{Vertices: 4_000})
	word := func(i int) int { return int(binary.LittleEndian.Uint32(data[i:])) }
	if string(data[:4]) != "glTF" || word(4) != 2 || word(8) != len(data) {
		t.Fatalf("header % x for %d bytes", data[:12], len(data))
	}
	json := word(12)
	if string(data[16:20]) != "JSON" || json%4 != 0 {
		t.Errorf("first chunk % x", data[12:20])
	}
	bin := 20 + json
	if string(data[bin+4:bin+8]) != "BIN\x00" || word(bin)%4 != 0 || bin+8+word(bin) != len(data) {
		t.Errorf("second chunk % x of %d", data[bin:bin+8], len(data))
	}
}

func TestCloneSharesNothing(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4_000})
	before := lamplighter.Write(r)
	for _, f := range lamplighter.Faults() {
		if _, p := f.On(r); p.Measure == "" {
			t.Errorf("%s %q says no measure", f.ID, f.Name)
		}
		if !slices.Equal(before, lamplighter.Write(r)) {
			t.Fatalf("%s %q reached through the copy", f.ID, f.Name)
		}
	}
}

// TestFaultsInFiles: a rig with any fault can be written and read again (the reader
// may find it malformed; it must not refuse what is only faulty).
func TestFaultsInFiles(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4_000})
	for _, f := range lamplighter.Faults() {
		t.Run(f.ID+" "+f.Name, func(t *testing.T) {
			c, _ := f.On(r)
			got := read(t, c)
			if len(got.Nodes) != len(c.Nodes) || len(got.Surfaces) != len(c.Surfaces) {
				t.Errorf("%d nodes, %d surfaces came back of %d, %d", len(got.Nodes), len(got.Surfaces), len(c.Nodes), len(c.Surfaces))
			}
			if !maps.Equal(got.Humanoid.Bones, c.Humanoid.Bones) {
				t.Errorf("declared bones %v came back of %v", got.Humanoid.Bones, c.Humanoid.Bones)
			}
		})
	}
}

// TestPackedOpensAsPlanted: what is stored in 16-bit whole numbers is read back in its
// place, and is said to be stored so.
func TestPackedOpensAsPlanted(t *testing.T) {
	want := lamplighter.Build(lamplighter.Options{})
	lamplighter.Pack(0.006)(want)
	got := read(t, want)
	if p := got.Meshes[0].Primitives[0]; p.PositionType != 5122 || !p.PositionNormalized {
		t.Errorf("positions are read as %d, normalized %v", p.PositionType, p.PositionNormalized)
	}
	for i, v := range want.Meshes[0].Positions {
		if d := got.Meshes[0].Positions[i] - v; d > 1e-6 || d < -1e-6 {
			t.Fatalf("number %d is read as %g, planted %g", i, got.Meshes[0].Positions[i], v)
		}
	}
}
