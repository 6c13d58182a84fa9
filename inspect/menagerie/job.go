package menagerie

import (
	"math"
	"math/rand/v2"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A whole job: three sculpts of a night watchman to choose from, none with a skeleton; a
// visitor whose coat he is to wear; and a lantern on a chain. All invented.

// sculpted is a grown person whose arms hang away from the body by half a right angle.
var sculpted = func() plan {
	p := grown
	p.name = "watchman"
	p.bones = nil
	const down = 50 * math.Pi / 180 // of the arms, from level
	shoulder := space.Vec{.18, 1.42, 0}
	turn := func(v space.Vec) space.Vec {
		d := v.Sub(shoulder)
		return shoulder.Add(space.Vec{math.Cos(down)*d[0] + math.Sin(down)*d[1], math.Cos(down)*d[1] - math.Sin(down)*d[0], d[2]})
	}
	for _, b := range grown.bones {
		switch b.name {
		case "upper arm", "lower arm", "hand":
			b.at, b.to = turn(b.at), turn(b.to)
		}
		p.bones = append(p.bones, b)
	}
	return p
}()

// Sculpt is the watchman's surface alone, arms half way down, without a fault.
func Sculpt() *rig.Rig { return sculpted.build(Options{Unbound: true}) }

// SculptOf is the sculpt with a vertex each so many metres: .025 gives 4,400, .003 300,000.
func SculptOf(cell float64) *rig.Rig {
	p := sculpted
	p.cell = cell
	return p.make(Options{Unbound: true})
}

// Large is the sculpt with numbers a hundred times too large.
func Large() *rig.Rig { return Enlarged(Sculpt()) }

// Enlarged is a figure of one surface with numbers a hundred times too large.
func Enlarged(r *rig.Rig) *rig.Rig {
	m := &r.Meshes[0]
	for i := range m.Positions {
		m.Positions[i] *= 100
	}
	m.Remeasure()
	return r
}

// Lopsided is the sculpt with a dent of 40 mm in its left side, at the ribs.
func Lopsided() *rig.Rig { return Dented(Sculpt()) }

// Dented is a sculpt with that dent.
func Dented(r *rig.Rig) *rig.Rig {
	m := &r.Meshes[0]
	at := space.Vec{.15, 1.25, .05}
	for v := range m.Vertices() {
		p := space.At(m.Positions, v)
		if d := p.Sub(at).Len(); d < .12 {
			m.Positions[3*v] -= float32(.04 * math.Pow(math.Cos(d/.12*math.Pi/2), 2))
		}
	}
	m.Remeasure()
	return r
}

// Shaken is the sculpt cut along seams, as an unwrapped picture cuts it: at the waist, the
// neck, shoulders and down the middle; each piece's edge is shaken by 0.1 mm at most.
func Shaken() *rig.Rig { return Cut(Sculpt()) }

// Cut is a sculpt cut like that.
func Cut(r *rig.Rig) *rig.Rig {
	m := &r.Meshes[0]
	piece := func(t int) int {
		c := space.At(m.Positions, m.Triangles[t]).Add(space.At(m.Positions, m.Triangles[t+1])).Add(space.At(m.Positions, m.Triangles[t+2])).Mul(1. / 3)
		k := 0
		for i, cut := range []bool{c[1] > 1.03, c[1] > 1.5, math.Abs(c[0]) > .2 && c[1] > .6, c[0] > 0} {
			if cut {
				k |= 1 << i
			}
		}
		return k
	}
	type corner struct {
		v     uint32
		piece int
	}
	random := rand.New(rand.NewPCG(12, 12))
	had, to := map[uint32]bool{}, map[corner]uint32{}
	out := rig.MeshData{Name: m.Name, Primitives: m.Primitives}
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		k := piece(t)
		for _, v := range m.Triangles[t : t+3] {
			n, known := to[corner{v, k}]
			if !known {
				n = uint32(len(out.Positions) / 3)
				to[corner{v, k}] = n
				p := space.At(m.Positions, v)
				if had[v] { // the second of a split corner misses the first
					p = p.Add(space.Vec{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}.Normalize().Mul(1e-4 * random.Float64()))
				}
				had[v] = true
				out.Positions = append(out.Positions, float32(p[0]), float32(p[1]), float32(p[2]))
				out.Normals = append(out.Normals, m.Normals[3*v:3*v+3]...)
			}
			out.Triangles = append(out.Triangles, n)
		}
	}
	out.Primitives[0].Count, out.Primitives[0].TriCount = len(out.Positions)/3, len(out.Triangles)/3
	out.Remeasure()
	r.Meshes[0] = out
	return r
}

// Visitor is another person, a tenth less high, arms level, who wears a coat: an open surface
// 15 mm over trunk, shoulders and arms down to the elbow, with the weights of what it covers.
func Visitor() *rig.Rig {
	p := grown
	p.name = "visitor"
	p.bones = nil
	for _, b := range grown.bones {
		b.at, b.to, b.r, b.s = b.at.Mul(.9), b.to.Mul(.9), .9*b.r, .9*b.s
		p.bones = append(p.bones, b)
	}
	r := p.build(Options{})
	body := &r.Meshes[0]
	coat := rig.MeshData{Name: "coat", K: body.K, Primitives: []rig.PrimitiveData{body.Primitives[0]}}
	to := map[uint32]uint32{}
	for t := 0; t+2 < len(body.Triangles); t += 3 {
		in := true
		for _, v := range body.Triangles[t : t+3] {
			q := space.At(body.Positions, v)
			in = in && q[1] > .8 && q[1] < 1.33 && math.Abs(q[0]) < .38
		}
		for _, v := range body.Triangles[t : t+3] {
			if !in {
				break
			}
			n, known := to[v]
			if !known {
				n = uint32(len(coat.Positions) / 3)
				to[v] = n
				q := space.At(body.Positions, v).Add(space.At(body.Normals, v).Mul(.015))
				coat.Positions = append(coat.Positions, float32(q[0]), float32(q[1]), float32(q[2]))
				coat.Normals = append(coat.Normals, body.Normals[3*v:3*v+3]...)
				coat.Joints = append(coat.Joints, body.Joints[body.K*int(v):body.K*int(v+1)]...)
				coat.Weights = append(coat.Weights, body.Weights[body.K*int(v):body.K*int(v+1)]...)
			}
			coat.Triangles = append(coat.Triangles, n)
		}
	}
	coat.Primitives[0].Count, coat.Primitives[0].TriCount = len(coat.Positions)/3, len(coat.Triangles)/3
	coat.Primitives[0].Array += 1000
	coat.Remeasure()
	n := hang(r, rig.None, "coat", space.Vec{}, coat)
	r.Nodes[n].Skin = 0
	r.Surfaces[len(r.Surfaces)-1].Skin = 0
	finish(r)
	return r
}

// Lantern is a lantern on a chain of five links, each held by a joint of its own, as it would
// hang from a hand at that place.
func Lantern(at space.Vec) *rig.Rig {
	const links = 5
	r := &rig.Rig{File: rig.File{Name: "lantern.glb", Kind: "glb", Version: "2.0", Generator: "rigloupe menagerie"}}
	var bones []placed
	for k := range links + 1 {
		b := placed{bone: bone{name: "chain", at: space.Vec{0, -.06 * float64(k), 0}, r: .008, s: .008}, name: called("chain", 0, k, Numbered), up: k - 1, mirror: k}
		b.name = "chain " + string(rune('1'+k))
		if k == links {
			b.name = "lantern"
		}
		bones = append(bones, b)
	}
	skeleton(r, bones, at)
	var whole rig.MeshData
	for k := range links + 1 {
		top := at.Add(bones[k].at)
		m := stiffly(box("link", top.Add(space.Vec{0, -.03, 0}), space.Vec{.006, .025, .006}), k)
		if k == links {
			m = stiffly(box("lantern", top.Add(space.Vec{0, -.07, 0}), space.Vec{.04, .065, .04}), k)
		}
		whole = joined(whole, m)
	}
	whole.Name = "lantern"
	n := hang(r, rig.None, "lantern on a chain", space.Vec{}, whole)
	r.Nodes[n].Skin = 0
	r.Surfaces[0].Skin = 0
	finish(r)
	return r
}

// joined is two meshes as one primitive.
func joined(a, b rig.MeshData) rig.MeshData {
	if len(a.Positions) == 0 {
		return b
	}
	first := uint32(len(a.Positions) / 3)
	a.Positions, a.Normals = append(a.Positions, b.Positions...), append(a.Normals, b.Normals...)
	a.Joints, a.Weights = append(a.Joints, b.Joints...), append(a.Weights, b.Weights...)
	for _, v := range b.Triangles {
		a.Triangles = append(a.Triangles, first+v)
	}
	a.Primitives[0].Count, a.Primitives[0].TriCount = len(a.Positions)/3, len(a.Triangles)/3
	a.Remeasure()
	return a
}

// Capture is a stroll as a recorder of motion would write it: the walk of the built-in
// figure, which goes in place.
func Capture() *rig.Rig { return lamplighter.Build(lamplighter.Options{Vertices: 6000, Sway: true}) }

// Carrying is a grown person with the lantern on its chain in the left hand, as a part that
// came from another file: a skin of its own whose joints hang on the hand.
func Carrying(o Options) *rig.Rig {
	r := Merge(Person(o), Lantern(space.Vec{.8, 1.37, 0}))
	hand, top := rig.Node(rig.None), rig.Node(rig.None)
	for n := range r.Nodes {
		switch r.Nodes[n].Name {
		case "hand_l":
			hand = rig.Node(n)
		case "chain 1":
			top = rig.Node(n)
		}
	}
	at := r.RestWorld()[hand].Origin()
	for k := range 3 {
		r.Nodes[top].T[k] -= at[k]
	}
	r.Nodes[top].Matrix = r.Nodes[top].Affine()
	r.Nodes[top].Parent = hand
	r.Nodes[hand].Children = append(r.Nodes[hand].Children, top)
	finish(r)
	return r
}
