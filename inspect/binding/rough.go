package binding

import (
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// roughJump is the default limit of a jump, roughFloor what is too small to be
// looked at edge by edge.
const (
	roughJump  = 0.35
	roughFloor = 0.05
	roughSpeck = 0.75 // off its neighbours' mean: a place that stands out from all around
)

// Rough is one edge across which the weights jump.
type Rough struct {
	Surface int
	A, B    rig.Vertex
	Jump    float64
}

// findRough measures how the weights of one surface jump. At each place the smooth
// prediction is the mean of its neighbours' weights, nearer ones counting more (one
// over the edge's length: the scale-dependent umbrella of Desbrun et al. 1999, value
// from memory). δ is how far a place is off its own prediction; the jump across an
// edge is ½ Σ |δ_b − δ_a|: what the difference across it has beyond the smooth one.
// 0 on an even ramp, near 1 where a place stands out from all around it. Stiff parts
// are left out.
func (f *Facts) findRough(e *exam.Exam, surface int, k *Skin, g *graph) {
	mesh := e.Rig.Surfaces[surface].Mesh
	m, weld := &e.Rig.Meshes[mesh], e.Weld(mesh)
	if m.K == 0 {
		return
	}
	n := weld.Groups()
	p := pull{m: m, weld: weld, g: g, diff: make([]float32, len(k.Joints)), share: make([]float32, n)}
	off := make([]float32, n)
	stiff := f.RigidJoint[surface]
	for place := range uint32(n) {
		if place&1023 == 0 && !f.watch.Spend(1024*m.K) {
			return
		}
		if g.start[place] == g.start[place+1] || stiff[weld.First[place]] >= 0 {
			continue
		}
		sum := float32(0)
		for i := g.start[place]; i < g.start[place+1]; i++ {
			sum += 1 / g.length[i]
		}
		if !(sum > 0) || sum > math.MaxFloat32 {
			continue // a neighbour in the same place at rest, or none to speak of
		}
		p.share[place] = 1 / sum
		p.add(place, 1)
		off[place] = p.take()
	}
	lone := p.lone()
	jump := make([]float32, n)
	asked := func(a, b uint32) bool {
		// The edge between two stiff regions is meant to be hard, unless one end is a
		// speck in the other.
		return p.share[a] != 0 && p.share[b] != 0 && off[a]+off[b] > roughFloor && !(lone[a] >= 0 && lone[b] >= 0 && max(off[a], off[b]) < roughSpeck)
	}
	hubs := p.byHubs(asked)
	for a := range uint32(n) {
		if a&1023 == 0 && !f.watch.Spend(4*1024*m.K) {
			return
		}
		for i := g.start[a]; i < g.start[a+1]; i++ {
			b := g.to[i]
			if b < a || !asked(a, b) {
				continue
			}
			d, far := hubs[i]
			if !far {
				p.add(b, 1)
				p.add(a, -1)
				d = p.take()
			}
			jump[a], jump[b] = max(jump[a], d), max(jump[b], d)
			if d > roughFloor*2 && d <= math.MaxFloat32 {
				f.Roughs = append(f.Roughs, Rough{surface, rig.Vertex(weld.First[a]), rig.Vertex(weld.First[b]), float64(d)})
			}
		}
	}
	f.puts += p.puts
	field := make([]float32, len(weld.Of))
	for v, place := range weld.Of {
		field[v] = jump[place]
	}
	f.Roughness[surface] = field
}

// tallyJumps counts the rough edges and their vertices by how far the weights jump there.
func (f *Facts) tallyJumps() {
	for from := 0; from < len(f.Roughs); {
		s := f.Roughs[from].Surface
		at, largest := &f.Surfaces[s], map[rig.Vertex]float64{}
		for ; from < len(f.Roughs) && f.Roughs[from].Surface == s; from++ {
			r := &f.Roughs[from]
			at.JumpEdges.Add(check.StepOf(r.Jump, weightPer, 1))
			largest[r.A], largest[r.B] = max(largest[r.A], r.Jump), max(largest[r.B], r.Jump)
			f.Jump = max(f.Jump, r.Jump)
			if r.Jump > roughJump {
				f.RoughEdges++
			}
		}
		for _, jump := range largest {
			at.Jumping.Add(check.StepOf(jump, weightPer, 1))
		}
	}
}

var rough = check.Check[Facts]{
	ID:      "binding/rough",
	Title:   "Weights that jump",
	Measure: "edges across which the weights jump by more than the limit beyond what the vertices around predict (1: all of the weight changes)",
	Limits: []check.Limit{
		{Name: "edges", Unit: say.Edges, Value: 0, Grade: check.Note},
		{Name: "jump", Value: roughJump, Grade: check.Note, Per: weightPer, Least: 2 * roughFloor},
	},
	Why: "Where neighbours follow different joints without a passage between them, the surface folds sharply there when the joint turns. " +
		"On a hard edge of armour that is meant; in the middle of skin or cloth it is a speck to smooth.",
	Remedy: "Look at the named edges with the joint bent to the end of its range.\n" +
		"Smooth the weights there: give each vertex the mean of its neighbours, two or three times, and make them whole.",
	Source: "Desbrun et al. 1999 (scale-dependent umbrella), value from memory; the limit is common practice, no source",
	Lens:   "roughness",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		edges, jump := d.Limit("edges"), d.Limit("jump")
		var g Group
		count := 0
		for i := range f.Surfaces {
			s := &f.Surfaces[i]
			count += s.JumpEdges.Over(jump.Step())
			g.tell(i, s.Jumping.Over(jump.Step()))
		}
		if !(float64(count) > edges.Value) {
			return
		}
		seen := map[[2]int32]bool{}
		for i := range f.Roughs {
			r := &f.Roughs[i]
			if !(r.Jump > jump.Value) {
				continue
			}
			for _, v := range [2]rig.Vertex{r.A, r.B} {
				if key := [2]int32{int32(r.Surface), int32(v)}; !seen[key] {
					seen[key] = true
					g.put(r.Surface, v)
				}
			}
			s := &g.Spots[len(g.Spots)-1]
			s.Edges = append(s.Edges, [2]rig.Vertex{r.A, r.B})
		}
		g.enclose(f)
		found := d.Found(edges, "edges", float64(count), g.where(rig.None))
		found.Subject = f.subject(&g)
		found.Measures = append(found.Measures, check.Held(jump, "largest jump", f.Jump))
	},
}
