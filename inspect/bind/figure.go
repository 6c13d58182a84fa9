package bind

import (
	"slices"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Figure is a surface and a skeleton, looked at once and bound as often as wished.
type Figure struct {
	Points    []float32 // 3·P places
	Triangles []uint32  // 3·T of places
	Joints    Joints
	Bones     []Bone
	Shells    []Shell
	Of        []int32 // place → shell; −1: no triangle uses it

	edges   *geom.Edges
	surface *geom.Triangles
	normal  []float32 // 3·P, of unit length or zero
	grid    *geom.Laplacian
	winding *geom.Windings
	watch   *geom.Watch
	size    float64 // diagonal of the box of all places
}

// Shell is a piece that hangs together.
type Shell struct {
	Places    []uint32
	Triangles []uint32 // their numbers
	Area      float64
	Box       geom.Box
}

// New looks at a figure. watch ends the work; ask its Err afterwards.
func New(points []float32, triangles []uint32, joints Joints, watch *geom.Watch) *Figure {
	f := &Figure{Points: points, Triangles: triangles, Joints: joints, watch: watch}
	f.size = geom.BoxOf(points).Diagonal()
	f.edges = geom.FindEdges(triangles, len(points)/3, watch)
	f.surface = geom.NewTriangles(points, triangles)
	f.shells()
	f.normals()
	f.winding = geom.NewWindings(points, triangles, watch)
	f.Bones = joints.Bones(f.surface, f.winding.At)
	f.grid = geom.NewLaplacian(points, triangles, f.edges, watch)
	return f
}

func (f *Figure) shells() {
	found := geom.FindShells(f.Points, f.Triangles, f.edges, f.watch)
	f.Of = make([]int32, len(f.Points)/3)
	for p := range f.Of {
		f.Of[p] = -1
	}
	f.Shells = make([]Shell, len(found.List))
	for i := range f.Shells {
		x := &found.List[i]
		f.Shells[i] = Shell{Places: make([]uint32, 0, x.Places), Triangles: make([]uint32, 0, x.Triangles), Area: x.Area, Box: x.Box}
	}
	for t, i := range found.Of {
		if i < 0 {
			continue
		}
		x := &f.Shells[i]
		x.Triangles = append(x.Triangles, uint32(t))
		for _, v := range f.Triangles[3*t : 3*t+3] {
			if f.Of[v] < 0 && space.Finite(space.At(f.Points, v)) {
				f.Of[v] = i
				x.Places = append(x.Places, v)
			}
		}
	}
	for i := range f.Shells {
		slices.Sort(f.Shells[i].Places)
	}
}

// normals are sums over triangles, larger ones counting more.
func (f *Figure) normals() {
	sum := make([]float32, len(f.Points))
	for t := 0; t+2 < len(f.Triangles); t += 3 {
		c := f.Triangles[t : t+3]
		a := space.At(f.Points, c[0])
		n := space.At(f.Points, c[1]).Sub(a).Cross(space.At(f.Points, c[2]).Sub(a))
		for _, v := range c {
			for k := range 3 {
				sum[3*v+uint32(k)] += float32(n[k])
			}
		}
	}
	for p := 0; p < len(sum); p += 3 {
		n := space.Direction(space.Vec{float64(sum[p]), float64(sum[p+1]), float64(sum[p+2])})
		for k := range 3 {
			sum[p+k] = float32(n[k])
		}
	}
	f.normal = sum
}
