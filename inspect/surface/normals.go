package surface

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// normalFacts are what the stored normals of a mesh are like. Nothing is moved
// here, so nothing of it changes with the node.
type normalFacts struct {
	missing   int          // used vertices of primitives without normals
	offUnit   []rig.Vertex // used, length off 1 by more than offUnit
	triangles int          // with area, of primitives with normals
	opposed   []uint32     // those whose three normals together point away from the front
}

// offUnit is how far from 1 the length of a normal may be.
const offUnit = 1e-3

func lookAtNormals(m *sheetMesh, watch *geom.Watch) (n normalFacts) {
	d := m.data
	for i := range d.Primitives {
		p := &d.Primitives[i]
		last := min(p.First+p.Count, len(m.of))
		if !p.HasNormals || d.Normals == nil {
			for v := p.First; v < last; v++ {
				if m.used[v] {
					n.missing++
				}
			}
			continue
		}
		for v := p.First; v < last; v++ {
			if !m.used[v] {
				continue
			}
			x, y, z := float64(d.Normals[3*v]), float64(d.Normals[3*v+1]), float64(d.Normals[3*v+2])
			if l := math.Sqrt(x*x + y*y + z*z); !(math.Abs(l-1) <= offUnit) {
				n.offUnit = append(n.offUnit, rig.Vertex(v))
			}
		}
		for t := p.FirstTri; t < p.FirstTri+p.TriCount && 3*t+2 < len(d.Triangles); t++ {
			if t%geom.Stride == 0 && !watch.Spend(15*geom.Stride) {
				return n
			}
			c := d.Triangles[3*t : 3*t+3]
			a := space.At(d.Positions, c[0])
			front := space.At(d.Positions, c[1]).Sub(a).Cross(space.At(d.Positions, c[2]).Sub(a))
			if !(front.Dot(front) > 0) {
				continue
			}
			n.triangles++
			sum := 0.0
			for _, v := range c {
				sum += front.Dot(space.At(d.Normals, v))
			}
			if sum < 0 {
				n.opposed = append(n.opposed, uint32(t))
			}
		}
	}
	return n
}
