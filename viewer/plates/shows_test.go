package plates

import (
	"slices"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/scene"
)

// TestTells, both sides of both limits: half a hundredth of a height of 2 m is 10 mm; half
// as much again as 20 mm is 30.
func TestTells(t *testing.T) {
	for _, row := range []struct {
		shift, atRest, height float64
		want                  bool
	}{
		{.0101, 0, 2, true}, {.0099, 0, 2, false}, {.0301, .02, 2, true}, {.0299, .02, 2, false}, {0, 0, 0, false},
	} {
		if got := tells(row.shift, row.atRest, row.height); got != row.want {
			t.Errorf("%+v: %v", row, got)
		}
	}
}

// TestMoments: the poses that are tried, by hand.
func TestMoments(t *testing.T) {
	if got, want := moments(1, 3), [5]float64{1, 1.5, 2, 2.5, 3}; got != want {
		t.Errorf("%v, want %v", got, want)
	}
	for _, row := range []struct {
		turn anatomy.Turn
		want [2]float64
	}{{anatomy.Turn{Min: -130, Max: 40}, [2]float64{-90, 40}}, {anatomy.Turn{Min: -10, Max: 145}, [2]float64{-10, 90}}} {
		if got := ends(row.turn); got != row.want {
			t.Errorf("%v, want %v", got, row.want)
		}
	}
}

// TestMoved: a figure of a box 3 by 4 by 12, diagonal 13 m, moved by 25 and by 27 cm; a
// fiftieth of 13 m is 26.
func TestMoved(t *testing.T) {
	at := func(x float64) geom.Box {
		return geom.Box{Min: [3]float64{x, 0, 0}, Max: [3]float64{x + 3, 4, 12}}
	}
	if moved(at(0), at(.25)) || !moved(at(0), at(.27)) || !moved(at(0), at(-.27)) {
		t.Error("the limit is elsewhere")
	}
	larger := at(0)
	larger.Max[1] = 4.3
	if !moved(at(0), larger) || !moved(larger, at(0)) || moved(geom.EmptyBox(), at(0)) {
		t.Error("another size is not seen, or nothing is taken for one")
	}
}

func named(names ...string) *rig.Rig {
	r := &rig.Rig{}
	for i, n := range names {
		r.Nodes = append(r.Nodes, rig.NodeData{Name: n, Parent: rig.Node(i - 1)})
	}
	return r
}

// TestJoined: a node is found again by its number and name, by its name where numbers moved,
// by its number where names alone changed, else not.
func TestJoined(t *testing.T) {
	a := named("root", "hip", "", "knee", "hip")
	for _, row := range []struct {
		what string
		b    *rig.Rig
		n    rig.Node
		want rig.Node
	}{
		{"same", a, 4, 4}, {"moved up", named("root", "", "knee"), 3, 2}, {"renamed", named("root", "Hip", "", "Knee", "Hip.001"), 3, 3},
		{"gone", named("root", "foot"), 3, rig.None}, {"nameless, others gone", named("root"), 2, rig.None}, {"none", a, rig.None, rig.None},
		{"another stands there", named("root", "x", "y", "z", "knee"), 3, 4}, {"nameless, renamed", named("root", "", "x", "y", "z"), 2, 2},
	} {
		if got := joined(a, row.b, row.n); got != row.want {
			t.Errorf("%s: %d, want %d", row.what, got, row.want)
		}
	}
}

// TestHolders: of a vertex, the joints that hold it before and after, the heaviest first, six
// at most; of a joint, those above it before and after, the nearest first.
func TestHolders(t *testing.T) {
	chain := func(weights ...float32) *rig.Rig {
		r := named("a", "b", "c", "d", "e", "f", "g", "h")
		m := rig.MeshData{Positions: make([]float32, 3), K: len(weights), Weights: weights}
		s := rig.SkinData{}
		for i := range weights {
			m.Joints = append(m.Joints, uint16(i))
			s.Joints = append(s.Joints, rig.Node(i))
		}
		r.Meshes, r.Skins = []rig.MeshData{m}, []rig.SkinData{s}
		r.Surfaces = []rig.Surface{{Skin: 0}}
		return r
	}
	place := &scene.Place{Vertices: []rig.Vertex{0}, Node: rig.None}
	if got, want := holders(chain(.2, 0, .8), chain(0, .7, .3), place, rig.None), []rig.Node{2, 1, 0}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	eight := chain(.1, .1, .1, .1, .1, .1, .2, .2)
	if got, want := holders(eight, eight, place, rig.None), []rig.Node{6, 7, 0, 1, 2, 3}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	a, b := named("a", "b", "c", "d", "e", "f"), named("a", "b", "c", "d", "e", "f")
	b.Nodes[5].Parent = 0
	if got, want := holders(a, b, &scene.Place{Surface: -1, Node: 5}, 5), []rig.Node{0, 4, 3, 2}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
