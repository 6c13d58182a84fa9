package lesson

import (
	"math"

	"rigloupe/inspect/bends"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/space"
)

// measure is one number that lessons can show; of answers it, or why there is none.
type measure struct {
	name, title string
	unit        say.Unit
	of          func(*view) (float64, string)
}

// Measures names all numbers that a lesson can ask for.
func Measures() (names []string) {
	for i := range measures {
		names = append(names, measures[i].name)
	}
	return names
}

func measureOf(name string) *measure {
	for i := range measures {
		if measures[i].name == name {
			return &measures[i]
		}
	}
	return nil
}

// Table of all numbers. Lengths are metres, world.
var measures = []measure{
	{"joint-turned", "the joint has turned by", say.Degree, func(v *view) (float64, string) {
		if v.joint < 0 {
			return 0, noJoint
		}
		rest := v.e.RestWorld()
		return apart(&rest[v.joint], &v.pose.World[v.joint]), ""
	}},
	{"matrix-rest", "at rest its matrix turns the vertex by", say.Degree, restMatrix(func(v *view, t *deform.Term) float64 {
		return apart(&rig.Identity, &t.Matrix)
	})},
	{"rest-off", "at rest it shifts the vertex by", say.Metre, restMatrix(func(v *view, t *deform.Term) float64 {
		return t.Alone.Sub(v.sum.Position).Len()
	})},
	{"moved", "the vertex has moved", say.Metre, ofSum(func(v *view) float64 { return v.sum.Stored.Sub(v.sum.Rest).Len() })},
	{"to-joint-rest", "vertex to joint, at rest", say.Metre, ofSum(func(v *view) float64 { return v.sum.Rest.Sub(v.at()).Len() })},
	{"to-joint-now", "vertex to joint, turned", say.Metre, ofSum(func(v *view) float64 { return v.sum.Stored.Sub(v.at()).Len() })},

	{"influences", "joints that hold the vertex", say.Joints, ofSum(func(v *view) float64 { return float64(len(v.sum.Terms)) })},
	{"weight-sum", "sum of its weights", say.Unit{}, ofSum(func(v *view) float64 { return v.sum.WeightSum })},
	{"largest-error", "largest error of a sum on the figure", say.Unit{}, func(v *view) (float64, string) {
		if v.binding == nil || len(v.binding.Skins) == 0 {
			return 0, noSkin
		}
		most := 0.0
		for i := range v.binding.Skins {
			most = max(most, v.binding.Skins[i].LargestSumError)
		}
		return most, ""
	}},
	// Σ weight·place with a tenth of each weight gone is nine tenths of the sum.
	{"tenth-less", "with a tenth gone it would shift by", say.Metre, ofSum(func(v *view) float64 { return v.sum.Stored.Len() / 10 })},

	{"axis-rest", "vertex to axis, at rest", say.Metre, ofSum(func(v *view) float64 { return v.fromAxis(v.sum.Rest.Sub(v.at())) })},
	{"axis-linear", "vertex to axis, linear", say.Metre, ofSum(func(v *view) float64 { return v.fromAxis(v.sum.Stored.Sub(v.at())) })},
	{"axis-dual", "vertex to axis, dual quaternion", say.Metre, ofSum(func(v *view) float64 { return v.fromAxis(v.sum.Dual.Place.Sub(v.at())) })},
	{"volume-linear", "volume left around the bend, linear", say.Share, ofMove(func(m *bends.Move) *float64 { return m.Volume })},
	{"volume-dual", "volume left, dual quaternion", say.Share, ofMove(func(m *bends.Move) *float64 { return m.VolumeDual })},
	{"width-linear", "width left, linear", say.Share, ofMove(func(m *bends.Move) *float64 { return m.Radius })},
	{"width-dual", "width left, dual quaternion", say.Share, ofMove(func(m *bends.Move) *float64 { return m.RadiusDual })},

	{"sides-compared", "vertices with one opposite", say.Vertices, ofSides(func(v *view) float64 { return float64(v.binding.MirrorMismatch.Compared) })},
	{"sides-over", "of them differ by more than 0.1", say.Vertices, ofSides(func(v *view) float64 { return float64(v.binding.MirrorMismatch.Over) })},
	{"sides-most", "largest difference of weights", say.Unit{}, ofSides(func(v *view) float64 { return v.binding.MirrorMismatch.Largest })},
	{"vertex-differs", "this vertex differs by", say.Unit{}, func(v *view) (float64, string) {
		if v.on < 0 || v.binding == nil || v.binding.WeightMismatch == nil || v.binding.WeightMismatch[v.on] == nil {
			return 0, "its weights are compared with none"
		}
		x := float64(v.binding.WeightMismatch[v.on][v.vertex])
		if x != x {
			return 0, "no vertex stands opposite"
		}
		return x, ""
	}},

	{"arm-rest", "upper arm below level, at rest", say.Degree, func(v *view) (float64, string) { return v.arm(v.e.RestWorld()) }},
	{"arm-now", "upper arm below level, now", say.Degree, func(v *view) (float64, string) { return v.arm(v.pose.World) }},
	{"arm-from-t", "a clip made for a T-pose is off by", say.Degree, func(v *view) (float64, string) {
		a, why := v.arm(v.e.RestWorld())
		return math.Abs(a), why
	}},
	{"arm-from-a", "one made for an A-pose of 45°", say.Degree, func(v *view) (float64, string) {
		a, why := v.arm(v.e.RestWorld())
		return math.Abs(a - poseA), why
	}},

	{"chain-links", "links of the chain", say.Joints, ofChain(func(v *view) float64 { return float64(len(v.chain)) })},
	{"chain-channels", "channels of theirs in this clip", say.Channels, ofChain(func(v *view) float64 {
		n := 0
		for _, c := range v.e.Rig.Clips[v.clip].Channels {
			for _, j := range v.chain {
				if c.Node == j {
					n++
				}
			}
		}
		return float64(n)
	})},
	{"holder-moved", "the holder has moved from rest", say.Metre, ofChain(func(v *view) float64 {
		p, rest := v.e.Rig.Nodes[v.chain[0]].Parent, v.e.RestWorld()
		if p < 0 {
			p = v.chain[0]
		}
		return v.pose.World[p].Origin().Sub(rest[p].Origin()).Len()
	})},
	{"links-turned", "the links have turned, the most", say.Degree, ofChain(func(v *view) float64 {
		most := 0.0
		for _, j := range v.chain {
			most = max(most, apart(&v.e.Rig.Nodes[j].Matrix, &v.pose.Local[j]))
		}
		return most
	})},

	{"open-edges", "edges that are open now", say.Edges, ofSurface(func(v *view) float64 { return float64(v.surface.Boundary) })},
	{"places-now", "places now", say.Places, ofSurface(func(v *view) float64 { return float64(v.surface.Welded) })},
	{"places-left", "places left", say.Places, ofSurface(func(v *view) float64 { return float64(v.surface.Steps[v.step].Distinct) })},
	{"edges-lost", "edges lost", say.Edges, ofSurface(func(v *view) float64 { return float64(v.surface.Steps[v.step].Edges) })},
	{"triangles-lost", "triangles lost", say.Triangles, ofSurface(func(v *view) float64 { return float64(v.surface.Steps[v.step].Triangles) })},
	{"weld-shift", "a vertex moves, at most", say.Metre, ofSurface(func(v *view) float64 { return v.surface.Steps[v.step].Shift })},
}

// poseA is how far an A-pose holds the arms below level, degrees (common practice, no
// source).
const poseA = 45

const (
	noJoint  = "no joint is turned"
	noSkin   = "no skin"
	noVertex = "no vertex hangs on this joint"
)

// at is where the joint of the dial stands; a turn does not move it.
func (v *view) at() space.Vec { return v.pose.World[v.joint].Origin() }

// apart is the angle of the turn between two matrices, degrees.
func apart(a, b *rig.Affine) float64 {
	p, _, _ := deform.Apart(a)
	q, _, _ := deform.Apart(b)
	dot := 0.0
	for i := range p {
		dot += p[i] * q[i]
	}
	// By the sine of half the angle: near 0 the cosine loses half of the digits.
	half := math.Atan2(math.Sqrt(max(0, 1-dot*dot)), math.Abs(dot))
	return 2 * half * 180 / math.Pi
}

func ofSum(of func(*view) float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		if v.sum == nil {
			return 0, noVertex
		}
		return of(v), ""
	}
}

// restMatrix looks at the term of the dial's joint with all at rest.
func restMatrix(of func(*view, *deform.Term) float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		if v.sum == nil {
			return 0, noVertex
		}
		still, ok := deform.Sum(v.e.Rig, v.e.RestPose(), v.on, v.vertex, deform.Linear)
		for i := range still.Terms {
			if ok && still.Terms[i].Joint == v.joint {
				return of(v, &still.Terms[i]), ""
			}
		}
		return 0, noVertex
	}
}

// ofMove is what the bend around the joint keeps, at the angle of the dial.
func ofMove(of func(*bends.Move) *float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		if v.turn == nil {
			return 0, noJoint
		}
		if v.move == nil {
			v.move, _ = v.bends.MoveAt(v.turn.Joint, v.turn.Axis, v.degrees)
		}
		if v.move == nil || of(v.move) == nil {
			return 0, "no closed section"
		}
		return *of(v.move), ""
	}
}

func ofSides(of func(*view) float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		switch {
		case v.binding == nil || len(v.binding.Skins) == 0:
			return 0, noSkin
		case v.binding.NoMirror != "":
			return 0, v.binding.NoMirror
		case v.binding.MirrorMismatch == nil:
			return 0, "no vertex has a mirror partner"
		}
		return of(v), ""
	}
}

func ofSurface(of func(*view) float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		if v.surface == nil || v.step >= len(v.surface.Steps) {
			return 0, "no surface"
		}
		return of(v), ""
	}
}

func ofChain(of func(*view) float64) func(*view) (float64, string) {
	return func(v *view) (float64, string) {
		if len(v.chain) == 0 {
			return 0, "no chain"
		}
		return of(v), ""
	}
}

// arm is how far the upper arm of the dial hangs below level in a pose, degrees.
func (v *view) arm(world []rig.Affine) (float64, string) {
	roles := v.e.Roles()
	_, up, _, framed := roles.Frame()
	if !framed {
		up = space.Vec{0, 1, 0}
	}
	for _, side := range []string{"left", "right"} {
		s, w := roles.Node(side+"UpperArm"), roles.Node(side+"LowerArm")
		if s < 0 || w < 0 || v.joint >= 0 && s != v.joint && side == "left" {
			continue
		}
		if below, ok := skeleton.ArmBelow(world[s].Origin(), world[w].Origin(), up); ok {
			return below, ""
		}
	}
	return 0, "this figure has no arms"
}
