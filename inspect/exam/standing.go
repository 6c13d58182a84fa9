package exam

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Of a file without joints: what stands apart along the ground by this share of the highest, and is half as high at
// least, may be a figure of its own (common practice, no source). More than mostStanding pieces are a scene or a crowd of
// scraps, and are not looked at.
const (
	gapShare     = 0.02
	standsAsHigh = 0.5
	mostStanding = 64
)

// stood is a piece of the surface that hangs together, and where it stands.
type stood struct {
	box     geom.Box
	surface int
	shell   int32
}

// standing are the figures of a file without joints: groups of shells that stand apart along the ground and whose surface
// alone tells what they are. nil where fewer than two are told.
func (e *Exam) standing() (all []Figure, group grouping) {
	var shells []stood
	of := map[int][]int32{}
	for _, s := range e.Shown() {
		list, n := e.ShellsOf(e.Rig.Surfaces[s].Mesh)
		of[s] = list
		first := len(shells)
		for k := range n {
			shells = append(shells, stood{geom.EmptyBox(), s, int32(k)})
		}
		rest := e.RestPositions(s)
		for v, k := range list {
			if at := space.At(rest, v); at[0]+at[1]+at[2]-(at[0]+at[1]+at[2]) == 0 {
				shells[first+int(k)].box.Add(at)
			}
		}
	}
	shells = slices.DeleteFunc(shells, func(s stood) bool { return s.box.IsEmpty() })
	high := 0.
	for i := range shells {
		high = max(high, shells[i].box.Size()[1])
	}
	parts := apartAlong(shells, gapShare*high, 0)
	if len(parts) < 2 || len(parts) > mostStanding {
		return nil, grouping{}
	}
	for _, part := range parts {
		box := geom.EmptyBox()
		for i := range part {
			box = box.Union(part[i].box)
		}
		f := Figure{Top: rig.None, Like: -1}
		f.take(piecesOf(part, of))
		group.all = append(group.all, f.pieces()...)
		if box.Size()[1] < standsAsHigh*high {
			continue
		}
		f.Exam = e.partly(&f)
		if shape := f.Exam.FromSurface(); shape != nil && shape.Kind != anatomy.NoKind {
			all = append(all, f)
		}
	}
	if len(all) < 2 {
		return nil, grouping{}
	}
	return all, group
}

// apartAlong parts what a gap parts, along x and z by turns, until nothing does; in rising order along the axis.
func apartAlong(list []stood, gap float64, axis int) [][]stood {
	for turn := range 2 {
		axis := (axis + 2*turn) % 4 // x is 0, z is 2
		list = slices.Clone(list)
		slices.SortStableFunc(list, func(a, b stood) int { return cmp.Compare(a.box.Min[axis], b.box.Min[axis]) })
		var parts [][]stood
		from, end := 0, math.Inf(-1)
		for i := range list {
			if i > from && list[i].box.Min[axis] > end+gap {
				parts = append(parts, list[from:i])
				from = i
			}
			end = max(end, list[i].box.Max[axis])
		}
		if len(parts) == 0 {
			continue
		}
		var out [][]stood
		for _, part := range append(parts, list[from:]) {
			out = append(out, apartAlong(part, gap, 2-axis)...)
		}
		return out
	}
	return [][]stood{list}
}

// piecesOf are whole surfaces where all their shells are here, else their vertices.
func piecesOf(part []stood, of map[int][]int32) (out []piece) {
	here := map[int]map[int32]bool{}
	var order []int
	for _, s := range part {
		if here[s.surface] == nil {
			here[s.surface] = map[int32]bool{}
			order = append(order, s.surface)
		}
		here[s.surface][s.shell] = true
	}
	slices.Sort(order)
	for _, s := range order {
		p := piece{surface: s}
		for v, k := range of[s] {
			if here[s][k] {
				p.vertices = append(p.vertices, rig.Vertex(v))
			}
		}
		if len(p.vertices) == len(of[s]) {
			p.vertices = nil
		}
		out = append(out, p)
	}
	return out
}
