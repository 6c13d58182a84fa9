package found

import (
	"context"
	"slices"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/viewer/scene"
	"rigloupe/wasm/flat"
)

func examined(t *testing.T, id string) *inspect.Result {
	t.Helper()
	r := checktest.Built(lamplighter.Options{Vertices: 4000})
	if id != "" {
		i := slices.IndexFunc(lamplighter.Faults(), func(f lamplighter.Fault) bool { return f.ID == id })
		if i < 0 {
			t.Skip("no planted fault " + id)
		}
		r, _ = lamplighter.Faults()[i].On(r)
	}
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestLenses: what is said to be ready can be made, fits the figure and crosses;
// what is not says why, in the list and when it is asked for.
func TestLenses(t *testing.T) {
	for _, id := range []string{"", "surface/lopsided", "binding/sum-off", "binding/rigid", "binding/split-seam"} {
		res := examined(t, id)
		for _, l := range Lenses(res) {
			f, err := Field(res, l.Name, Params{Joint: rig.None, Move: scene.Move{Joint: named(t, res.Exam.Rig, "lowerArm_L"), Axis: "flexion", Degrees: 60}})
			if l.Ready != (err == nil) || l.Ready != (l.Why == "") {
				t.Errorf("%s: %s: ready %v, why %q, error %v", id, l.Name, l.Ready, l.Why, err)
				continue
			}
			if err != nil {
				continue
			}
			if f.Name != l.Name || f.Caption == "" || f.Title == "" || l.About == "" {
				t.Errorf("%s: %+v", id, l)
			}
			some := 0
			for s, flags := range f.Triangles {
				some += len(flags)
				if flags != nil && 3*len(flags) != len(res.Exam.Rig.Meshes[res.Exam.Rig.Surfaces[s].Mesh].Triangles) {
					t.Errorf("%s: %s: surface %d holds %d flags", id, l.Name, s, len(flags))
				}
			}
			for s, values := range f.Values {
				if values != nil && len(values) != res.Exam.Rig.Meshes[res.Exam.Rig.Surfaces[s].Mesh].Vertices() {
					t.Errorf("%s: %s: surface %d holds %d values", id, l.Name, s, len(values))
				}
				for _, v := range values {
					if v == v {
						some++
					}
				}
			}
			if some == 0 && l.Name != "rigid-parts" {
				t.Errorf("%s: %s shows nothing", id, l.Name)
			}
			data, err := flat.Pack(f)
			if err != nil {
				t.Fatal(err)
			}
			if err := flat.Unpack(data, &scene.Field{}); err != nil {
				t.Error(err)
			}
		}
	}
	if _, err := Field(examined(t, ""), "rainbow", Params{}); err == nil {
		t.Error("a lens that nobody knows is shown")
	}
}

// TestFieldsAreTheFindings: the values of a lens are those of the finding.
func TestFieldsAreTheFindings(t *testing.T) {
	for _, c := range []struct {
		id, lens string
		at       func(float32) bool
	}{
		{"binding/sum-off", "weight-sum", func(v float32) bool { return v > 0 }},
		{"surface/lopsided", "mirror-pairs", func(v float32) bool { return v == 2 }},
		{"binding/split-seam", "seam-gap", func(v float32) bool { return v > 0 }},
	} {
		res := examined(t, c.id)
		f, err := Field(res, c.lens, Params{})
		if err != nil {
			t.Errorf("%s: %v", c.lens, err)
			continue
		}
		for _, finding := range res.Findings() {
			if finding.ID != c.id {
				continue
			}
			for _, s := range finding.Where.Spots {
				for _, v := range s.Vertices {
					if !c.at(f.Values[s.Surface][v]) {
						t.Errorf("%s: vertex %d of the finding has %v", c.lens, v, f.Values[s.Surface][v])
						break
					}
				}
			}
		}
	}
}

// TestOverlays: every finding of every planted fault that names vertices or joints
// is inked with anchors that exist, worst places first.
func TestOverlays(t *testing.T) {
	for _, id := range rounds.Rows([]string{"surface/lopsided", "surface/boundary-edges", "surface/branching-edges", "surface/mixed-winding", "surface/near-coincident", "binding/sum-off", "binding/unbound", "binding/rough", "binding/idle-joint", "binding/split-seam"}, 3) {
		t.Run(id, func(t *testing.T) {
			res := examined(t, id)
			seen := false
			for n, f := range res.Findings() {
				o := Overlay(res, n+1)
				if has := len(f.Where.Spots)+len(f.Where.Joints) > 0; has != (o != nil) && f.ID != "surface/lopsided" {
					t.Errorf("finding %d (%s): places %v, overlay %v", n+1, f.ID, has, o != nil)
				}
				if o == nil || f.ID != id {
					continue
				}
				seen = true
				if o.Number != n+1 || o.Grade != uint8(f.Grade) {
					t.Errorf("number %d, grade %d", o.Number, o.Grade)
				}
				each := func(a scene.Anchor) {
					if a.Surface >= 0 && int(a.Vertex) >= res.Exam.Rig.Meshes[res.Exam.Rig.Surfaces[a.Surface].Mesh].Vertices() {
						t.Errorf("vertex %d of surface %d", a.Vertex, a.Surface)
					}
				}
				for _, l := range o.Lines {
					for _, a := range l.Path {
						each(a)
					}
				}
				for _, s := range o.Spots {
					for _, a := range s.Place {
						each(a)
					}
				}
				if len(f.Where.Spots) > 0 {
					p := Places(res, &f)
					if len(p) == 0 || p[0].Vertices[0] != f.Where.Spots[0].Vertices[0] {
						t.Errorf("%d places, the first not the worst", len(p))
					}
				}
			}
			if !seen {
				t.Error("the planted fault is not inked")
			}
		})
	}
	res := examined(t, "")
	for _, n := range []int{-1, 0, 9999} {
		if Overlay(res, n) != nil {
			t.Errorf("finding %d is inked", n)
		}
	}
}

func TestChains(t *testing.T) {
	type e = [][2]rig.Vertex
	for _, c := range []struct {
		name  string
		edges e
		room  int
		want  [][]rig.Vertex
	}{
		{"none", nil, 9, nil},
		{"loop", e{{1, 2}, {3, 2}, {3, 1}}, 9, [][]rig.Vertex{{1, 2, 3, 1}}},
		{"run", e{{2, 3}, {1, 2}, {3, 4}}, 9, [][]rig.Vertex{{1, 2, 3, 4}}},
		{"fork", e{{0, 1}, {0, 2}, {0, 3}}, 9, [][]rig.Vertex{{0, 1}, {0, 2}, {0, 3}}},
		{"two loops at a vertex", e{{0, 1}, {1, 2}, {2, 0}, {0, 3}, {3, 4}, {4, 0}}, 9, [][]rig.Vertex{{0, 1, 2, 0}, {0, 3, 4, 0}}},
		{"cut", e{{0, 1}, {1, 2}, {2, 3}}, 2, [][]rig.Vertex{{0, 1, 2}}},
		{"to itself", e{{5, 5}}, 9, [][]rig.Vertex{{5, 5}}},
	} {
		got := chains(c.edges, c.room)
		if !slices.EqualFunc(got, c.want, slices.Equal[[]rig.Vertex]) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestPatches(t *testing.T) {
	at := []float32{0, 0, 0, 1, 0, 0, .04, 0, 0, 1.02, 0, 0, float32(nan), 0, 0, 5, 5, 5}
	got := patches(at, []rig.Vertex{1, 0, 2, 3, 4, 5, 99}, .05)
	want := [][]rig.Vertex{{1, 3}, {0, 2}, {5}}
	if !slices.EqualFunc(got, want, slices.Equal[[]rig.Vertex]) {
		t.Errorf("%v, want %v", got, want)
	}
}
