package even

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// SounderWeights tells which side's weights to copy, where they differ by side: of which
// the joints that hold a vertex are nearer to it, where one side's are nearer by half (a
// leak and a patch of a far joint stand out); else of which they change less from vertex to
// vertex (a step stands out). Mean where nothing tells. Common practice, no source.
func SounderWeights(e *exam.Exam, shape *Shape, p *Pairs) Giver {
	m := e.Mirror()
	opposite := e.Opposite()
	of := func(i int32) []share {
		surface := int(m.Surface[i])
		if e.Rig.Surfaces[surface].Skin < 0 {
			return nil
		}
		return gathered(held(e.Rig, surface, int32(m.Vertex[i])))
	}
	off := make([]bool, len(p.Of))
	for i, j := range p.Of {
		if j <= int32(i) {
			continue
		}
		across := of(j)
		for k := range across {
			across[k].node = opposite[across[k].node]
		}
		if apart(of(int32(i)), across) > sameWeights {
			off[i], off[j] = true, true
		}
	}
	to, behind := 0.0, 0.0
	bones := bonesOf(e)
	for i := range off {
		if !off[i] {
			continue
		}
		at := space.At(shape.Points, i)
		far := 0.0
		for _, s := range of(int32(i)) {
			far += s.weight * bones.distance(s.node, at)
		}
		if shape.Plane.Side(at) > 0 {
			to += far
		} else {
			behind += far
		}
	}
	switch {
	case to > nearerBy*behind:
		return Behind
	case behind > nearerBy*to:
		return To
	}
	to, behind = 0, 0
	edges := geom.FindEdges(shape.Triangles, len(p.Of), nil)
	for k := 0; k+1 < len(edges.Ends); k += 2 {
		a, b := int32(edges.Ends[k]), int32(edges.Ends[k+1])
		if !off[a] && !off[b] {
			continue
		}
		x := apart(of(a), of(b))
		switch side := shape.Plane.Side(space.At(shape.Points, int(a))) + shape.Plane.Side(space.At(shape.Points, int(b))); {
		case side > 0:
			to += x * x
		case side < 0:
			behind += x * x
		}
	}
	switch d := to - behind; {
	case math.Abs(d) <= 1e-3*math.Max(to, behind):
		return Mean
	case d < 0:
		return To
	}
	return Behind
}

// nearerBy is how many times as far the joints of one side must lie for the other's to be
// called right; a step instead of a blend makes less of a difference.
const nearerBy = 1.5

// bones are the joints at rest and where those below them begin, metres, world.
type bones struct {
	world []rig.Affine
	ends  map[rig.Node][]space.Vec
}

func bonesOf(e *exam.Exam) *bones {
	b := &bones{world: e.RestWorld(), ends: map[rig.Node][]space.Vec{}}
	joint := map[rig.Node]bool{}
	for s := range e.Rig.Skins {
		for _, n := range e.Rig.Skins[s].Joints {
			joint[n] = n >= 0
		}
	}
	for n := range e.Rig.Nodes {
		if p := e.Rig.Nodes[n].Parent; p >= 0 && joint[rig.Node(n)] && joint[p] {
			b.ends[p] = append(b.ends[p], b.world[n].Origin())
		}
	}
	return b
}

// distance from a point to the nearest bone of a joint.
func (b *bones) distance(n rig.Node, at space.Vec) float64 {
	from := b.world[n].Origin()
	d := at.Sub(from).Len()
	for _, end := range b.ends[n] {
		d = min(d, space.ToSegment(at, from, end))
	}
	return d
}
