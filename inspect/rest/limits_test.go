package rest

import (
	"math"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A matrix is a turn, and two are one, to a hundred thousandth of the largest number.
func TestAlikeLimits(t *testing.T) {
	for _, c := range []struct {
		off  float64
		same bool
	}{{4e-6, true}, {2e-5, false}} {
		a, b := rig.Identity, rig.Identity
		b[1] += c.off
		if alike(&a, &b) != c.same {
			t.Errorf("%g off: alike %v", c.off, !c.same)
		}
		if isTurn(&b) != c.same {
			t.Errorf("sheared by %g: a turn %v", c.off, !c.same)
		}
	}
}

// Of twenty joints the topmost has the say where a tenth stands with it; else most have.
func TestTopmostJoint(t *testing.T) {
	for _, c := range []struct {
		with int // joints bound as the topmost is, itself among them
		top  bool
	}{{1, false}, {2, true}} {
		r := &rig.Rig{Skins: []rig.SkinData{{HasBind: true}}}
		for k := range 20 {
			one := rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}
			r.Nodes = append(r.Nodes, rig.NodeData{Parent: rig.Node(k - 1), TRS: one, Matrix: rig.Identity, Mesh: rig.None, Skin: rig.None})
			if k > 0 {
				r.Nodes[k-1].Children = []rig.Node{rig.Node(k)}
			}
			b := rig.Identity
			if k >= c.with {
				b[3] = -1
			}
			r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, rig.Node(k)), append(r.Skins[0].Bind, b)
		}
		r.SetOrder()
		g, ok := common(r, r.RestWorld(), 0)
		if !ok || (g[3] == 0) != c.top {
			t.Errorf("%d of 20 as the topmost: %v, want its word %v", c.with, g[3], c.top)
		}
	}
}

// Moments: the first and the last key of each clip among them; of very many clips three each.
func TestMomentsOfManyClips(t *testing.T) {
	r := &rig.Rig{}
	for range 200 {
		r.Clips = append(r.Clips, rig.ClipData{Start: 0.5, Seconds: 2.5, Channels: make([]rig.Channel, 1)})
	}
	for each, want := range map[int]int{24: 3, 1: 3} {
		list := Moments(r, each, 240)
		if len(list) != 200*want {
			t.Errorf("%d moments of 200 clips", len(list))
		}
		if list[0].Seconds != 0.5 || list[1].Seconds != 1.5 || list[2].Seconds != 2.5 {
			t.Errorf("%v", list[:3])
		}
	}
	r.Clips = r.Clips[:2]
	if list := Moments(r, 24, 240); len(list) != 48 || list[23].Seconds != 2.5 {
		t.Errorf("%d moments of 2 clips, the last of the first at %v", len(list), list[23].Seconds)
	}
}

// A figure beside itself: every vertex is a tenth of a metre off at every moment, and over
// the limit once.
func TestPriceOfAShift(t *testing.T) {
	was := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	is := lamplighter.Clone(was)
	for i := range is.Nodes {
		if is.Nodes[i].Parent < 0 && is.Nodes[i].Mesh < 0 {
			is.Nodes[i].T[0] += 0.1
			is.Nodes[i].Matrix = is.Nodes[i].TRS.Affine()
		}
	}
	prices := Audit(was, is, []At{{rig.None, 0}, {rig.None, 0}, {rig.None, 0}}, 0.05)
	n := was.Meshes[0].Vertices()
	if len(prices) != 1 || prices[0].Over != n || math.Abs(prices[0].Mean-0.1) > 1e-6 || math.Abs(prices[0].Worst-0.1) > 1e-6 {
		t.Errorf("%+v for %d vertices", prices, n)
	}
}

// No vertex is fitted to more than 240 moments, evenly chosen, the first and the last among
// them; the old rest pose comes before.
func TestFitsToSoMany(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	j := &binder{old: r, rest: r.RestWorld()}
	for k := range 500 {
		j.moments = append(j.moments, At{0, float64(k) / 500})
	}
	if j.sample(); len(j.worlds) != 241 {
		t.Errorf("%d poses, want the rest and 240", len(j.worlds))
	}
}

// A hundredth of weight places a vertex; under it a division would throw it away.
func TestLeastWeight(t *testing.T) {
	kept := func(weight float32) int {
		r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
		m := &r.Meshes[0]
		clear(m.Weights[:m.K])
		m.Weights[0] = weight
		p := Of(r)
		if err := p.Arms(anatomy.Find(r, r.RestWorld()), 45, false); err != nil {
			t.Fatal(err)
		}
		b, err := Bound(r, p, ByLinear, nil)
		if err != nil {
			t.Fatal(err)
		}
		return b.Kept
	}
	if enough, less, least := kept(1), kept(0.02), kept(0.005); less != enough || least != enough+1 {
		t.Errorf("%d vertices stay; %d with one at 0.02, %d with one at 0.005", enough, less, least)
	}
}
