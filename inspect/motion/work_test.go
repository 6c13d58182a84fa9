package motion

import (
	"context"
	"math"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// strung is a chain of so many joints, a helper node before each, every joint with weight.
// In its clip helpers slide and turn, and joints turn, one of forty with a key that strays.
func strung(joints int) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: "strung.glb", Kind: "glb"}, Shown: 0, Scenes: []rig.Scene{{Roots: []rig.Node{0}}}}
	node := func(t [3]float64) rig.Node {
		d := rig.NodeData{Parent: rig.Node(len(r.Nodes) - 1), Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: t, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		if d.Parent >= 0 {
			r.Nodes[d.Parent].Children = []rig.Node{rig.Node(len(r.Nodes))}
		}
		r.Nodes = append(r.Nodes, d)
		return rig.Node(len(r.Nodes) - 1)
	}
	const keys = 30
	times := make([]float32, keys)
	for k := range times {
		times[k] = float32(k) / 30
	}
	turns := func(n rig.Node, side, off float64) rig.Channel {
		c := rig.Channel{Node: n, Path: rig.Rotation, Times: times, Width: 4}
		for k := range times {
			a := .02 * side * math.Sin(float64(k)/9)
			if k == 12 {
				a += off
			}
			c.Values = append(c.Values, float32(math.Sin(a)), 0, 0, float32(math.Cos(a)))
		}
		return c
	}
	m, s, clip := rig.MeshData{K: 1}, rig.SkinData{Skeleton: rig.None}, rig.ClipData{Name: "c", Seconds: float64(times[keys-1])}
	for i := range joints {
		helper := node([3]float64{0, .01, 0})
		j := node([3]float64{.02 * float64(i%3-1), .01, 0})
		s.Joints = append(s.Joints, j)
		for k := range 3 {
			m.Positions = append(m.Positions, float32(k%2)*.1, float32(i)*.02, float32(k/2)*.1)
			m.Joints, m.Weights, m.Triangles = append(m.Joints, uint16(i)), append(m.Weights, 1), append(m.Triangles, uint32(3*i+k))
		}
		slide := rig.Channel{Node: helper, Path: rig.Translation, Times: times, Width: 3}
		for k := range times {
			slide.Values = append(slide.Values, 0, .01+.004*float32(math.Sin(float64(k))), 0)
		}
		stray := 0.0 // one within the nodes that are looked at above a key
		if i%40 == 0 {
			stray = .3
		}
		clip.Channels = append(clip.Channels, slide, turns(helper, 1, 0), turns(j, -1, stray))
	}
	m.Primitives = []rig.PrimitiveData{{Count: len(m.Positions) / 3, TriCount: joints, Mode: 4, Sets: 1, JointSets: 1, WeightSets: 1, JointType: 5123, WeightType: 5126, PositionType: 5126}}
	r.Meshes, r.Skins, r.Clips = []rig.MeshData{m}, []rig.SkinData{s}, []rig.ClipData{clip}
	n := node([3]float64{})
	r.Nodes[n-1].Children, r.Nodes[n].Parent = nil, rig.None
	r.Nodes[n].Mesh, r.Nodes[n].Skin = 0, 0
	r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	r.Surfaces = []rig.Surface{{Node: n, Mesh: 0, Skin: 0}}
	r.SetOrder()
	world := r.RestWorld()
	for _, j := range s.Joints {
		inv, _ := world[j].Inverse()
		r.Skins[0].Bind = append(r.Skins[0].Bind, inv)
	}
	r.Skins[0].HasBind = true
	return r
}

// What a bone or a stray key costs goes by what stands around it, not by the figure: a pose
// of all nodes for each was the square of a chain's length.
func TestWorkGoesByTheKeys(t *testing.T) {
	worked := func(joints int) (bones, strays, asked int, c Clip) {
		r := strung(joints)
		m := newMeter(exam.New(r))
		m.isPart = make([]bool, 1)
		if len(m.bones) != joints-1 {
			t.Fatalf("%d bones of %d joints", len(m.bones), joints)
		}
		clip := &r.Clips[0]
		m.readClip(0)
		m.locals.Start(clip)
		m.readStretched(&c, clip, m.keys)
		bones = m.locals.Worked
		m.readStray(&c, clip, m.keys)
		if err := m.clip(context.Background(), &Clip{}, 0); err != nil {
			t.Fatal(err)
		}
		return bones, m.locals.Worked - bones, m.asked, c
	}
	b1, s1, a1, c1 := worked(300)
	b2, s2, a2, c2 := worked(600)
	t.Logf("matrices: bones %d, %d; strays %d, %d; channels asked %d, %d", b1, b2, s1, s2, a1, a2)
	if len(c1.Stretched) < 290 || c1.Stray < 7 || len(c2.Stretched) < 590 || c2.Stray < 15 {
		t.Fatalf("stretched %d, %d; strays %d, %d: the fixture plants nothing", len(c1.Stretched), len(c2.Stretched), c1.Stray, c2.Stray)
	}
	for name, two := range map[string][2]int{"bones": {b1, b2}, "strays": {s1, s2}} {
		if float64(two[1]) > 2.3*float64(two[0]) {
			t.Errorf("%s: %d matrices for 300 joints, %d for twice as many", name, two[0], two[1])
		}
	}
	// 30 keys a joint for a bone of two nodes, both ends; some seven moments for a stray key.
	if b2 > 600*30*4 || s2 > 15*20*64 {
		t.Errorf("bones %d, strays %d matrices for 600 joints", b2, s2)
	}
}

// Where nothing else strays and thousands of keys have been asked about, none strays alone.
func TestAloneEnds(t *testing.T) {
	r := strung(50)
	m := newMeter(exam.New(r))
	m.readClip(0)
	var c Clip
	m.locals.Start(&r.Clips[0])
	m.readStray(&c, &r.Clips[0], m.keys)
	k := &m.keys[2] // the first joint's turns
	calls := 0
	for m.othersKeep(&r.Clips[0], m.keys, k, .1, .1, 20) {
		if calls++; calls > 10_000 {
			t.Fatal("asked without end")
		}
	}
	if calls < 450 || calls > 550 {
		t.Errorf("%d keys stray alone in a clip before none does, want some 500", calls)
	}
}
