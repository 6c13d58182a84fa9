package desk

import (
	"bytes"
	"context"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/carry"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/rig"
)

// TestCarriedAsAMend: motion capture at hand is carried over as a step of a plan, and the
// file is byte for byte the one that carrying over writes by itself; so it stands on a slip,
// and what comes after it can move on it. A second file is told by its own bytes.
func TestCarriedAsAMend(t *testing.T) {
	file, err := Sample{Pose: "T", Vertices: 3000}.File()
	if err != nil {
		t.Fatal(err)
	}
	captured, err := bvh.Write(menagerie.Capture(), 0)
	if err != nil {
		t.Fatal(err)
	}
	other, err := Files(gltfio.File{Name: "stroll.bvh", Data: captured}).Second()
	if err != nil {
		t.Fatal(err)
	}
	told := other.Second()
	if len(told.Clips) != 1 || told.Clips[0].Seconds <= 0 || told.Name != "stroll.bvh" || len(told.Surfaces) != 0 {
		t.Fatalf("%+v", told)
	}
	d, err := Files(file).Original()
	if err != nil {
		t.Fatal(err)
	}
	start, err := mend.Open(d)
	if err != nil {
		t.Fatal(err)
	}
	start.Beside(other)
	m, err := mend.Named("carry")
	if err != nil {
		t.Fatal(err)
	}
	x, err := start.Try(context.Background(), m, mend.Values{"clips": []any{told.Clips[0].Named}})
	if err != nil || x.After == nil {
		t.Fatalf("%v %s", err, x.Refused())
	}
	source, err := bvh.Read("stroll.bvh", captured)
	if err != nil {
		t.Fatal(err)
	}
	target, err := Files(file).Open()
	if err != nil {
		t.Fatal(err)
	}
	done, _, err := carry.All(context.Background(), match.Find(source, target), []rig.Clip{0}, carry.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := Carried(Files(file), target, done, GLB)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want.Data, x.After.Bytes) {
		t.Errorf("the mend writes %d bytes, carrying over %d others", len(x.After.Bytes), len(want.Data))
	}
	if got := x.Values.Pairs("from"); got["name"] != "stroll.bvh" || len(got["sha256"]) != 64 {
		t.Errorf("the plan names %v", got)
	}
	// Refusals, each in words.
	for words, v := range map[string]mend.Values{
		`There is no clip "hop", of "stroll.bvh".`:                                                               {"clips": []any{"hop"}},
		`The second file, "b.glb", is not at hand: give it, too.`:                                                {"from": "b.glb"},
		`The pairs that are set cannot be used: The table's first line must name the columns source and target.`: {"pins": "a,b\n"},
	} {
		if y, err := start.Try(context.Background(), m, v); err != nil || y.Refused() != words {
			t.Errorf("%v: %v %q, want %q", v, err, y.Refused(), words)
		}
	}
}
