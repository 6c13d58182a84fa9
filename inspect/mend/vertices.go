package mend

import (
	"fmt"
	"math"
	"strconv"

	"rigloupe/inspect/rig"
)

// VertexName names a vertex by content and not by its place in a list, so that a plan
// survives a new export: the surface, where it is stored, and which of those stored there.
type VertexName struct {
	Surface string     // name of the node, "#3" for the third surface where it has none
	Place   [3]float32 // as stored, in the mesh's own space
	Ordinal int        // from 0, in stored order, among the vertices of equal place
}

// String is the name in one word: surface@x,y,z, and !n for all but the first there.
func (n VertexName) String() string {
	f := func(x float32) string { return strconv.FormatFloat(float64(x), 'g', -1, 32) }
	s := fmt.Sprintf("%s@%s,%s,%s", n.Surface, f(n.Place[0]), f(n.Place[1]), f(n.Place[2]))
	if n.Ordinal > 0 {
		s += "!" + strconv.Itoa(n.Ordinal)
	}
	return s
}

// surfaceName is the name of a surface's node, made different where several have one name.
func surfaceName(r *rig.Rig, surface int) string {
	name := r.Nodes[r.Surfaces[surface].Node].Name
	if name == "" {
		return fmt.Sprintf("#%d", surface+1)
	}
	before := 0
	for i := range surface {
		if r.Nodes[r.Surfaces[i].Node].Name == name {
			before++
		}
	}
	if before > 0 {
		return fmt.Sprintf("%s#%d", name, before+1)
	}
	return name
}

// SurfaceNamed answers the surface of a name that surfaceName makes; −1.
func SurfaceNamed(r *rig.Rig, name string) int {
	for i := range r.Surfaces {
		if surfaceName(r, i) == name {
			return i
		}
	}
	return -1
}

// NameVertex names a vertex.
func NameVertex(r *rig.Rig, surface int, v rig.Vertex) VertexName {
	p := r.Meshes[r.Surfaces[surface].Mesh].Positions
	n := VertexName{Surface: surfaceName(r, surface), Place: [3]float32(p[3*v : 3*v+3])}
	for o := range int(v) {
		if equalPlace(p[3*o:3*o+3], n.Place) {
			n.Ordinal++
		}
	}
	return n
}

func equalPlace(p []float32, q [3]float32) bool {
	for k := range 3 {
		if math.Float32bits(p[k]+0) != math.Float32bits(q[k]+0) {
			return false
		}
	}
	return true
}
