package intake

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

func document(t *testing.T, r *rig.Rig) []byte {
	t.Helper()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The keys that the facts document promises, and the same bytes each time.
func TestDocument(t *testing.T) {
	promised := []string{"vertices", "triangles", "surfaces", "primitives", "skins", "joints", "nodes", "clips", "materials", "images",
		"texture_bytes_decoded", "min", "max", "height", "diagonal", "root_scale", "root_turn_degrees", "unit_guess", "facing",
		"ground_offset", "compression", "morph_targets", "per_surface"}
	each := []string{"node", "stored_min", "stored_max", "grid_step_m", "hangs_on"}
	for _, build := range []func() *rig.Rig{skinnedPost, plainPost, hollow, nothing, sample(nil)} {
		a, b := document(t, build()), document(t, build())
		if !bytes.Equal(a, b) {
			t.Errorf("two runs differ:\n%s\n%s", a, b)
		}
		var doc map[string]json.RawMessage
		if err := json.Unmarshal(a, &doc); err != nil {
			t.Fatal(err)
		}
		for _, k := range promised {
			if _, ok := doc[k]; !ok {
				t.Errorf("no key %q", k)
			}
		}
		var surfaces []map[string]json.RawMessage
		if err := json.Unmarshal(doc["per_surface"], &surfaces); err != nil {
			t.Fatal(err)
		}
		for _, s := range surfaces {
			for _, k := range each {
				if _, ok := s[k]; !ok {
					t.Errorf("no key per_surface.%q", k)
				}
			}
		}
	}
	var f struct {
		Min, Facing *space.Vec
		UnitGuess   *string `json:"unit_guess"`
		Compression []string
	}
	if err := json.Unmarshal(document(t, nothing()), &f); err != nil || f.Min != nil || f.Facing != nil || f.UnitGuess != nil || f.Compression == nil {
		t.Errorf("an empty file: %+v, %v", f, err)
	}
}

func TestHangsOn(t *testing.T) {
	r := post(true)
	for _, parent := range []rig.Node{postTip, postTop} {
		n := rig.Node(len(r.Nodes))
		r.Nodes = append(r.Nodes, rig.NodeData{Parent: parent, TRS: unitTRS, Matrix: rig.Identity, Mesh: 0, Skin: rig.None})
		r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: 0, Skin: rig.None})
	}
	r.SetOrder()
	f, err := Measure(context.Background(), exam.New(r))
	if err != nil {
		t.Fatal(err)
	}
	if p := f.PerSurface; p[0].HangsOn != nil || p[1].HangsOn == nil || *p[1].HangsOn != postTip || p[2].HangsOn != nil {
		t.Errorf("hangs on %v %v %v, want none, %d, none", p[0].HangsOn, p[1].HangsOn, p[2].HangsOn, postTip)
	}
}

func TestCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Measure(ctx, exam.New(skinnedPost())); err != context.Canceled {
		t.Errorf("error %v", err)
	}
}

// Numbers that are none must not reach the document.
func TestNotNumbers(t *testing.T) {
	r := post(true)
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	m := &r.Meshes[0]
	m.Positions[4], m.Positions[9], m.Weights[8], m.Weights[12] = nan, inf, nan, inf
	m.Primitives[0].Max[0], m.Primitives[0].TrueMax[1] = math.NaN(), math.Inf(1)
	r.Nodes[postTip].Matrix[3] = math.Inf(1)
	r.Nodes[postTop].Matrix[0] = math.NaN()
	r.Clips = []rig.ClipData{{Seconds: 1, Channels: []rig.Channel{{Node: postTip, Path: rig.Rotation, Width: 4, Times: []float32{0, nan, 1}, Values: []float32{0, 0, 0, 0, nan, 0, 0, 1, 0, 0, inf, 1}}}}}
	target(nan, inf, 1)(r)
	checktest.Judge(t, &Station, r, nil)
	document(t, r)
}
