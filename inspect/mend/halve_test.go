package mend

import (
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// borders counts open and branching edges of a mesh, places welded.
func borders(m *rig.MeshData) (open, branching int) {
	w := geom.Weld(m.Positions, nil)
	tri := make([]uint32, len(m.Triangles))
	for i, v := range m.Triangles {
		tri[i] = w.Of[v]
	}
	for _, n := range geom.FindEdges(tri, w.Groups(), nil).Count {
		switch {
		case n == 1:
			open++
		case n > 2:
			branching++
		}
	}
	return open, branching
}

// A 40 mm patch on the left of the sample: halved from the right, the file that is written
// holds the true figure, and lopsided clears. No finding suggests it of a bound figure.
func TestHalveClearsPatch(t *testing.T) {
	r := sample()
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		if p := space.At(m.Positions, v); p.Sub(space.Vec{0.15, 1.25, 0.12}).Len() < 0.07 {
			m.Positions[3*v+2] += 0.04
		}
	}
	m.Remeasure()
	s := ofRig(t, r)
	x := try(t, s, "even", Values{"form": "halve", "from": "right"})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	truth := sample()
	tree := geom.NewTree(truth.Meshes[0].Positions)
	o := &x.After.Rig.Meshes[0]
	for v := range o.Vertices() {
		p := space.At(o.Positions, v)
		if _, d := tree.Nearest(float32(p[0]), float32(p[1]), float32(p[2]), 1); math.Sqrt(float64(d)) > 1e-6 {
			t.Fatalf("vertex %d is %g m from the true figure", v, math.Sqrt(float64(d)))
		}
	}
	receipt := prove(t, x)
	if !receipt.Kept || receipt.after("surface/lopsided") != 0 {
		t.Errorf("%s; planted %v", receipt.Sentence(), receipt.Planted)
	}
	res, _ := s.Examine(t.Context(), nil)
	for _, v := range makeEven.Suggest(Look(res)) {
		if v["form"] == "halve" {
			t.Error("a bound figure is to be halved without being asked")
		}
	}
}

// Without skin and joints a lopsided figure may be halved: the last thing suggested.
func TestHalveSuggestedUnbound(t *testing.T) {
	r := sample()
	lamplighter.PullLantern(0.3)(r)
	r.Skins, r.Clips = nil, nil
	r.Surfaces[0].Skin = rig.None
	r.Nodes[r.Surfaces[0].Node].Skin = rig.None
	m := &r.Meshes[0]
	m.K, m.Joints, m.Weights = 0, nil, nil
	for i := range m.Primitives {
		m.Primitives[i].Sets, m.Primitives[i].JointSets, m.Primitives[i].WeightSets = 0, 0, 0
	}
	s := ofRig(t, r)
	res, _ := s.Examine(t.Context(), nil)
	last := ""
	for _, v := range makeEven.Suggest(Look(res)) {
		last = v["form"].(string)
	}
	if last != "halve" {
		t.Errorf("last suggested: %q", last)
	}
}

// Real figures halved: what is written is its own mirror image, no border or branching
// edge more than in the half that stayed twice, weights sum to one, textures' coordinates
// and tangents for every vertex.
func TestHalveOfTheCorpus(t *testing.T) {
	for _, name := range []string{"cesium_man.gltf", "Knight.glb", "Fox.glb", "robot.glb"} {
		for _, from := range []string{"left", "right"} {
			t.Run(name+" "+from, func(t *testing.T) {
				s := corpusState(t, name)
				x := try(t, s, "even", Values{"form": "halve", "from": from})
				if x.After == nil {
					t.Log("refused: ", x.Refused())
					return
				}
				e := exam.New(s.Rig)
				plane := e.Mirror().Plane
				after := exam.New(x.After.Rig)
				var all []float32
				for _, i := range e.Body() {
					all = append(all, after.WholePositions(i)...)
				}
				tree := geom.NewTree(all)
				odd, n := 0, 0
				for i := range x.After.Rig.Surfaces {
					if !e.IsBody(i) {
						continue
					}
					was, is := &s.Rig.Meshes[s.Rig.Surfaces[i].Mesh], &x.After.Rig.Meshes[x.After.Rig.Surfaces[i].Mesh]
					rest := after.WholePositions(i)
					for v := range len(rest) / 3 {
						n++
						p := plane.Reflect(space.At(rest, v))
						if _, d := tree.Nearest(float32(p[0]), float32(p[1]), float32(p[2]), 10); math.Sqrt(float64(d)) > 1e-5*e.Diagonal() {
							odd++
						}
					}
					o1, b1 := borders(was)
					o2, b2 := borders(is)
					if b2 > 2*b1 {
						t.Errorf("surface %d: %d branching edges, %d before", i, b2, b1)
					}
					if o1 == 0 && o2 > 0 {
						t.Errorf("surface %d: %d open edges, none before", i, o2)
					}
					if a, b := offOne(was), offOne(is); b > a+1e-6 {
						t.Errorf("surface %d: weights sum to %g off one, %g before", i, b, a)
					}
				}
				r := prove(t, x)
				t.Logf("%d of %d vertices have no image; kept %v: %s; cleared %v shrunk %v planted %v; left %v", odd, n, r.Kept, r.Why, r.Cleared, r.Shrunk, r.Planted, r.Refused)
			})
		}
	}
}

// offOne is how far the sums of a mesh's weights are from one at most.
func offOne(m *rig.MeshData) (off float64) {
	for v := range m.Vertices() {
		if m.K == 0 {
			break
		}
		sum := 0.0
		for _, w := range m.Weights[m.K*v : m.K*v+m.K] {
			sum += float64(w)
		}
		off = max(off, math.Abs(sum-1))
	}
	return off
}
