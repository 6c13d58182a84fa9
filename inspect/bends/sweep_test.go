package bends

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// strung is a tube along a row of joints: a chain, or all below the first. hold says which
// joints a ring hangs on, and how.
func strung(joints int, chain bool, hold func(ring, side int) (j [2]int, w [2]float32)) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: "strung.glb", Kind: "glb"}, Shown: 0}
	s := rig.SkinData{HasBind: true, Skeleton: rig.None}
	for k := range joints {
		d := rig.NodeData{Name: fmt.Sprint("j", k), Parent: rig.None, Mesh: rig.None, Skin: rig.None, Matrix: rig.Identity, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}}
		if k > 0 {
			up := 0
			d.Matrix[7] = float64(k) * .1
			if chain {
				up, d.Matrix[7] = k-1, .1
			}
			d.Parent, d.TRS.T = rig.Node(up), [3]float64{1: d.Matrix[7]}
			r.Nodes[up].Children = append(r.Nodes[up].Children, rig.Node(k))
		}
		r.Nodes = append(r.Nodes, d)
		bind := rig.Identity
		bind[7] = -.1 * float64(k)
		s.Joints, s.Bind = append(s.Joints, rig.Node(k)), append(s.Bind, bind)
	}
	r.Skins = []rig.SkinData{s}
	m := rig.MeshData{Name: "tube", K: 2}
	const sides = 6
	for i := range joints {
		for k := range sides {
			a := 2 * math.Pi * float64(k) / sides
			m.Positions = append(m.Positions, float32(.05*math.Cos(a)), float32(.1*float64(i)), float32(.05*math.Sin(a)))
			j, w := hold(i, k)
			m.Joints, m.Weights = append(m.Joints, uint16(j[0]), uint16(j[1])), append(m.Weights, w[0], w[1])
			if i+1 < joints {
				a, b := uint32(i*sides+k), uint32(i*sides+(k+1)%sides)
				m.Triangles = append(m.Triangles, a, a+sides, b, b, a+sides, b+sides)
			}
		}
	}
	m.Primitives = []rig.PrimitiveData{{Count: len(m.Positions) / 3, TriCount: len(m.Triangles) / 3, Material: rig.None, Mode: 4, PositionType: 5126, Sets: 1, JointSets: 1, WeightSets: 1, JointType: 5123, WeightType: 5126}}
	r.Meshes = []rig.MeshData{m}
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "tube", Parent: rig.None, Mesh: 0, Skin: 0, Matrix: rig.Identity, TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
	r.Surfaces = []rig.Surface{{Node: rig.Node(joints), Mesh: 0, Skin: 0}}
	r.Scenes = []rig.Scene{{Roots: []rig.Node{0, rig.Node(joints)}}}
	r.SetOrder()
	return r
}

// halves hangs a ring on its joint and the one before, half and half.
func halves(ring, _ int) ([2]int, [2]float32) {
	return [2]int{ring, max(0, ring-1)}, [2]float32{.5, .5}
}

// A chain of twice as many joints takes twice the steps: what follows as one piece is not
// handled again at every joint above. Before, it took four times the steps.
func TestStepsGrowWithTheChain(t *testing.T) {
	for _, chain := range []bool{true, false} {
		var steps [2]int
		for i, n := range []int{500, 1000} {
			b := newBody(exam.New(strung(n, chain, halves)))
			s, bones := b.newSweep(), newSkeleton(b)
			var z *zone
			for j := rig.Node(n - 1); j >= 0; j-- {
				z = b.zoneOf(j, s.to(b.enter[j]), s, z)
				z.findBleed(bones, bones.reach(j), 90, 1e-3)
				steps[i] += len(z.vertices) + len(z.tri)
			}
			steps[i] += s.work
		}
		one, two := steps[0], steps[1]
		t.Logf("chain %t: %d steps for 500 joints, %d for 1,000", chain, one, two)
		if float64(two) > 2.1*float64(one) {
			t.Errorf("chain %t: %.2f times the steps for twice the joints", chain, float64(two)/float64(one))
		}
	}
}

// Every vertex hangs on joints anywhere along the chain: all would have to be bent at every
// joint. Some are, the others are told, and no check that found nothing is called clear.
func TestWhatCannotBeBentInTimeIsTold(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	const joints, most = 300, 3e6
	r := strung(joints, true, func(int, int) ([2]int, [2]float32) {
		return [2]int{rnd.IntN(joints), rnd.IntN(joints)}, [2]float32{.5, .5}
	})
	f, err := measure(context.Background(), exam.New(r), most, mostBent)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.LeftOut) == 0 || len(f.LeftOut)+f.Bent != joints || f.Bent == 0 {
		t.Fatalf("%d of %d joints bent, %d left out", f.Bent, joints, len(f.LeftOut))
	}
	_, outcomes := Station.Judge(f, nil)
	for _, o := range outcomes {
		if o.State == check.Clear || o.State == check.NotLookedAt && !strings.Contains(o.Reason, "not bent") {
			t.Errorf("%s: %v %q", o.ID, o.State, o.Reason)
		}
	}
	if f, _ := measure(context.Background(), exam.New(strung(joints, true, halves)), most, mostBent); len(f.LeftOut) > 0 {
		t.Errorf("%d joints of a sound chain left out", len(f.LeftOut))
	}
}

// Of a tree of more joints than are bent those that were bent are judged, the others told; up to
// the ceiling, ten thousand, all are bent.
func TestMostJoints(t *testing.T) {
	const joints = 300
	e := exam.New(strung(joints, true, halves))
	for most, left := range map[int]int{joints: 0, joints - 1: 1, 10: joints - 10} {
		f, err := measure(t.Context(), e, mostWork, most)
		if err != nil {
			t.Fatal(err)
		}
		if len(f.LeftOut) != left || f.Bent != joints-left {
			t.Errorf("%d at most: %d bent, %d left out", most, f.Bent, len(f.LeftOut))
		}
	}
	f := &Facts{Bent: 10_000, LeftOut: []rig.Node{1, 2}}
	_, outcomes := Station.Judge(f, nil)
	for _, o := range outcomes {
		if o.State != check.NotLookedAt || !strings.Contains(o.Reason, "more joints than are bent: 2 joints of 10002 not bent") {
			t.Errorf("%s: %v %q", o.ID, o.State, o.Reason)
		}
	}
}

// The ceiling stands where its comment says: a figure of 60 joints and a million vertices
// takes three tenths of it, so one of 10,000 a hundredth of that. Set on this figure.
func TestRoomUnderTheCeiling(t *testing.T) {
	e := exam.New(many(10_000))
	for _, c := range []struct {
		share float64
		whole bool
	}{{1. / 300, true}, {1. / 400, false}} {
		f, err := measure(t.Context(), e, int(c.share*mostWork), mostBent)
		if err != nil {
			t.Fatal(err)
		}
		if whole := len(f.LeftOut) == 0; whole != c.whole {
			t.Errorf("%.5f of the ceiling: %d joints left out", c.share, len(f.LeftOut))
		}
	}
}

// What the sweep hands on is what looking at every vertex and triangle gives: at each
// joint of the sample, whole and with weights thrown about and not whole.
func TestSweepAgainstLookingAtAll(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for _, odd := range []float64{0, .02, .3} {
		r := checktest.Built(lamplighter.Options{Vertices: 1500})
		for i := range r.Meshes {
			m := &r.Meshes[i]
			for v := range m.Vertices() {
				if m.K > 1 && rnd.Float64() < odd {
					at := v * m.K
					m.Joints[at] = uint16(rnd.IntN(len(r.Skins[0].Joints)))
					if rnd.IntN(3) == 0 {
						m.Weights[at] *= .7
					}
				}
			}
		}
		b := newBody(exam.New(r))
		up := b.newSweep()
		joints := slices.Clone(r.Skins[0].Joints)
		slices.SortFunc(joints, func(i, k rig.Node) int { return int(b.enter[k] - b.enter[i]) })
		for _, j := range joints {
			o := up.to(b.enter[j])
			z := b.zoneOf(j, o, up, nil)
			mixed, regioned := 0, 0
			state := make([]int, len(b.place)) // 0 still, 1 mixed, 2 whole
			for v := range state {
				in, all := 0.0, true
				touched := false
				for k := b.start[v]; k < b.start[v+1]; k++ {
					if h := b.holder[k]; h >= b.enter[j] && h < b.leave[j] {
						in, touched = in+b.weight[k], true
					} else {
						all = false
					}
				}
				switch {
				case touched && all && math.Abs(in-1) < 1e-6:
					state[v] = 2
				case touched:
					state[v] = 1
				}
				if got := [3]int32{still, 0, whole}; state[v] != 1 && z.state(uint32(v)) != got[state[v]] || state[v] == 1 && z.state(uint32(v)) < 0 {
					t.Fatalf("joint %d, vertex %d: %d, not %d", j, v, z.state(uint32(v)), state[v])
				}
				if state[v] == 1 {
					mixed++
				}
			}
			between := map[uint32]bool{}
			for tri := range b.index {
				s := [3]int{state[b.tri[3*tri]], state[b.tri[3*tri+1]], state[b.tri[3*tri+2]]}
				if s != [3]int{} {
					if b.shaped[0][tri] {
						regioned++
					}
					if s != [3]int{2, 2, 2} {
						between[uint32(tri)] = true
					}
				}
			}
			if z.mixed != mixed || o.regioned[0] != regioned || len(z.tri) != len(between) {
				t.Fatalf("joint %d: %d, %d and %d, not %d, %d and %d", j, z.mixed, o.regioned[0], len(z.tri), mixed, regioned, len(between))
			}
			for _, tri := range z.tri {
				if !between[tri] {
					t.Fatalf("joint %d: triangle %d does not lie between", j, tri)
				}
			}
		}
	}
}
