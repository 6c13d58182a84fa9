package mend

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/inspect/weld"
)

var weldPlaces = Mend{
	ID:      "weld",
	Title:   "Weld",
	Stage:   Weld,
	Answers: []string{"surface/near-coincident", "surface/doubled-vertices", "surface/unused-vertices", "surface/slivers", "surface/boundary-edges", "surface/shells", "surface/ready-to-bind"},
	Does: "Borders that run along each other and miss become one line, and vertices a rounding apart one place. " +
		"Splits of normals and of the picture stay; weights on the two sides become the same. Triangles that lose their area are dropped.",
	Source: "common practice, no source; twins of half-edges run opposite ways; sets by complete linkage (Sørensen 1948)",
	Parameters: []Parameter{
		{Name: "distance", Title: "Distance", Kind: Number, Unit: say.Metre, Least: 0, Most: 1e6, Says: "Places within it become one. Without it the widest gap of the seams is taken."},
		{Name: "average", Title: "Average weights", Kind: Truth, Default: false, Says: "Places whose weights differ by more than 0.1 in sum are joined, too, and get the mean."},
		{Name: "copies", Title: "Copies", Kind: Truth, Default: true, Says: "Vertices equal in every attribute are stored once."},
		{Name: "unused", Title: "Unused vertices", Kind: Truth, Default: false, Says: "Vertices that no triangle uses are left out."},
		{Name: "surfaces", Title: "Surfaces", Kind: List, Says: "Names of the surfaces to weld."},
	},
	Suggest: func(f *Findings) []Values {
		unused := len(f.Of("surface/unused-vertices")) > 0
		near := f.Of("surface/near-coincident")
		seams := slices.ContainsFunc(near, func(x Found) bool { _, only := x.Measures["held apart"]; return !only || len(x.Measures) > 1 })
		thin := slices.ContainsFunc(f.Of("surface/slivers"), func(x Found) bool { _, is := x.Measures["zero-area"]; return is })
		if !seams && !unused && !thin && len(f.Of("surface/doubled-vertices")) == 0 {
			return nil
		}
		v := Values{"unused": unused}
		if !seams {
			v["distance"] = 0.0
		}
		return []Values{v}
	},
	Apply: applyWeld,
}

// apartWeights is how far weights may differ in sum and be averaged without being asked.
const apartWeights = 0.1

func applyWeld(w *Work) error {
	r := w.Rig
	if len(r.Surfaces) == 0 || !slices.ContainsFunc(r.Meshes, func(m rig.MeshData) bool { return len(m.Triangles) > 0 }) {
		return w.Refuse("The file holds no triangles: there is nothing to weld.")
	}
	chosen := w.Values.List("surfaces")
	for _, name := range chosen {
		if SurfaceNamed(r, name) < 0 {
			return w.Refuse("There is no surface %q.", name)
		}
	}
	x := &welding{w: w, is: copyMeshes(r), drop: make([][]bool, len(r.Meshes))}
	done := map[rig.Mesh]bool{}
	for i, s := range r.Surfaces {
		if done[s.Mesh] || len(chosen) > 0 && !slices.Contains(chosen, surfaceName(r, i)) {
			continue
		}
		done[s.Mesh] = true
		x.surface(i)
	}
	if err := w.Write(x.is, nil); err != nil {
		return err
	}
	for m := range r.Meshes {
		if x.drop[m] != nil {
			from, err := x.compact(m)
			if err != nil {
				return err
			}
			w.Renumbered(rig.Mesh(m), slices.Concat(from...))
		}
	}
	if x.sum.Seams+x.sum.Places > 0 {
		// A patch that an open seam cut in two was counted in two halves.
		w.Uncovers("binding/stray-island")
	}
	x.report()
	return nil
}

// copyMeshes is a rig whose meshes may be written to.
func copyMeshes(r *rig.Rig) *rig.Rig {
	c := *r
	c.Meshes = slices.Clone(r.Meshes)
	return &c
}

// welding is the mend at work.
type welding struct {
	w       *Work
	is      *rig.Rig
	drop    [][]bool              // by mesh: triangles that lost their area; nil: not welded
	corners map[rig.Mesh][]uint32 // by mesh: triangles with other vertices of the same; nil: as they are
	of      map[rig.Mesh][]bool   // by mesh: the vertices that may be copies; nil: as the values say

	sum             weld.Joined // over all surfaces
	plain           bool        // some surface has seams, and no distance tells them from detail
	dropped, merged int
	unused          int
	averaged        int
}

// surface welds one.
func (x *welding) surface(i int) {
	w := x.w
	mesh := w.Rig.Surfaces[i].Mesh
	m := &w.Rig.Meshes[mesh]
	places, used := w.Exam.Weld(mesh), w.Exam.Used(mesh)
	world := w.Exam.WholePositions(i)
	points := make([]float32, 3*places.Groups())
	for k := range points {
		points[k] = float32(math.NaN())
	}
	members := make([][]uint32, 0)
	for v, g := range places.Of {
		if used[v] && points[3*g] != points[3*g] {
			copy(points[3*g:3*g+3], world[3*v:3*v+3])
		}
	}
	triangles := make([]uint32, len(m.Triangles))
	for k, v := range m.Triangles {
		triangles[k] = places.Of[v]
	}
	shape := weld.Shape{Points: points, Triangles: triangles, Diagonal: w.Exam.Size(), Watch: w.Exam.Watch()}
	if m.K > 0 && !w.Values.Is("average") {
		first := places.First
		shape.Apart = func(a, b uint32) bool { return differ(m, first[a], first[b]) > apartWeights }
	}
	distance, given := w.Values.Number("distance")
	joined := weld.Joined{To: nil}
	if !given || distance > 0 {
		joined = weld.Weld(shape, distance)
	}
	x.drop[mesh] = make([]bool, len(m.Triangles)/3)
	to := func(g uint32) uint32 {
		if joined.To == nil {
			return g
		}
		return joined.To[g]
	}
	for t := range x.drop[mesh] {
		a, b, c := to(triangles[3*t]), to(triangles[3*t+1]), to(triangles[3*t+2])
		x.drop[mesh][t] = a == b || b == c || c == a
	}
	for _, p := range m.Primitives {
		part := x.drop[mesh][p.FirstTri : p.FirstTri+p.TriCount]
		if !slices.Contains(part, false) {
			clear(part) // glTF knows no primitive without a triangle
		}
		for _, gone := range part {
			if gone {
				x.dropped++
			}
		}
	}
	x.add(&joined, given)
	if joined.Places == 0 {
		return
	}
	// Vertices of every set of several places.
	at := map[uint32]int{}
	for g, root := range joined.To {
		if root != uint32(g) {
			if _, known := at[root]; !known {
				at[root] = len(members)
				members = append(members, nil)
			}
		}
	}
	for v, g := range places.Of {
		if k, known := at[joined.To[g]]; known && used[v] {
			members[k] = append(members[k], uint32(v))
		}
	}
	x.unite(mesh, members)
}

// differ is how far the weights of two vertices differ, in sum.
func differ(m *rig.MeshData, a, b uint32) (sum float64) {
	row := func(v uint32, f func(j uint16, w float64)) {
		for k := range m.K {
			if w := m.Weights[m.K*int(v)+k]; w != 0 && w-w == 0 {
				f(m.Joints[m.K*int(v)+k], float64(w))
			}
		}
	}
	var joints [64]uint16
	var by [64]float64
	n := 0
	put := func(j uint16, w float64) {
		for k := range n {
			if joints[k] == j {
				by[k] += w
				return
			}
		}
		if n < len(joints) {
			joints[n], by[n] = j, w
			n++
		}
	}
	row(a, put)
	row(b, func(j uint16, w float64) { put(j, -w) })
	for k := range n {
		sum += math.Abs(by[k])
	}
	return sum
}

// unite gives the vertices of each set one place, one shift in every morph target and,
// where they differ, one set of weights.
func (x *welding) unite(mesh rig.Mesh, sets [][]uint32) {
	was, is := &x.w.Rig.Meshes[mesh], &x.is.Meshes[mesh]
	is.Positions = slices.Clone(was.Positions)
	is.Targets = slices.Clone(was.Targets)
	for t := range is.Targets {
		is.Targets[t].Positions = slices.Clone(is.Targets[t].Positions)
	}
	if was.K > 0 {
		is.Joints, is.Weights = slices.Clone(was.Joints), slices.Clone(was.Weights)
	}
	whole := make([]bool, was.Vertices()) // stored in integers: a mean would not fit
	jointed := make([]bool, was.Vertices())
	for _, p := range was.Primitives {
		for v := p.First; v < p.First+p.Count; v++ {
			whole[v], jointed[v] = p.PositionType != 5126, p.Sets > 0
		}
	}
	mean := func(list []float32, set []uint32) {
		if list == nil {
			return
		}
		var sum space.Vec
		for _, v := range set {
			sum = sum.Add(space.At(list, int(v)))
		}
		sum = sum.Mul(1 / float64(len(set)))
		to := [3]float32{float32(sum[0]), float32(sum[1]), float32(sum[2])}
		if whole[set[0]] {
			to = [3]float32(list[3*set[0] : 3*set[0]+3])
		}
		for _, v := range set {
			copy(list[3*v:3*v+3], to[:])
		}
	}
	for _, set := range sets {
		mean(is.Positions, set)
		for t := range is.Targets {
			mean(is.Targets[t].Positions, set)
		}
		if was.K == 0 {
			continue
		}
		odd := false
		for _, v := range set[1:] {
			odd = odd || jointed[v] && jointed[set[0]] && differ(was, set[0], v) > 0
		}
		if odd {
			x.averaged += len(set)
			meanWeights(was, is, set, jointed)
		}
	}
}

// meanWeights gives all vertices of a set the mean of their weights, cut to as many
// influences as the smallest primitive holds and made whole.
func meanWeights(was, is *rig.MeshData, set []uint32, jointed []bool) {
	type share struct {
		joint uint16
		w     float64
	}
	var all []share
	room := was.K
	for _, v := range set {
		if !jointed[v] {
			continue
		}
		for _, p := range was.Primitives {
			if int(v) >= p.First && int(v) < p.First+p.Count {
				room = min(room, 4*p.Sets)
			}
		}
		for k := range was.K {
			w := was.Weights[was.K*int(v)+k]
			if !(w > 0) || w-w != 0 {
				continue
			}
			j := was.Joints[was.K*int(v)+k]
			i := slices.IndexFunc(all, func(s share) bool { return s.joint == j })
			if i < 0 {
				i, all = len(all), append(all, share{joint: j})
			}
			all[i].w += float64(w)
		}
	}
	slices.SortStableFunc(all, func(a, b share) int {
		switch {
		case a.w > b.w:
			return -1
		case a.w < b.w:
			return 1
		}
		return int(a.joint) - int(b.joint)
	})
	all = all[:min(len(all), room)]
	sum := 0.0
	for _, s := range all {
		sum += s.w
	}
	for _, v := range set {
		if !jointed[v] || sum == 0 {
			continue
		}
		for k := range was.K {
			is.Weights[was.K*int(v)+k], is.Joints[was.K*int(v)+k] = 0, 0
			if k < len(all) {
				is.Weights[was.K*int(v)+k], is.Joints[was.K*int(v)+k] = float32(all[k].w/sum), all[k].joint
			}
		}
	}
}

// add takes down what one surface gave.
func (x *welding) add(j *weld.Joined, given bool) {
	s := &x.sum
	s.Seams, s.Places, s.Held, s.Back, s.Ends, s.Wide = s.Seams+j.Seams, s.Places+j.Places, s.Held+j.Held, s.Back+j.Back, s.Ends+j.Ends, s.Wide+j.Wide
	s.Distance, s.Gap, s.GivenUp = max(s.Distance, j.Distance), max(s.Gap, j.Gap), s.GivenUp || j.GivenUp
	x.plain = x.plain || !given && j.Distance > 0 && !j.Plateau
}

func (x *welding) report() {
	w, s := x.w, &x.sum
	if s.Distance > 0 {
		w.Measure(check.Also("distance", s.Distance, say.Metre))
	}
	for _, m := range []struct {
		name string
		n    int
		unit say.Unit
	}{
		{"open edges joined", s.Seams, say.Edges}, {"places joined to others", s.Places, say.Places}, {"weights averaged", x.averaged, say.Vertices},
		{"triangles dropped", x.dropped, say.Triangles}, {"copies left out", x.merged, say.Vertices}, {"unused left out", x.unused, say.Vertices},
	} {
		if m.n > 0 {
			w.Measure(check.Also(m.name, float64(m.n), m.unit))
		}
	}
	if x.plain {
		w.Say("No distance tells seams from detail: only seams are joined.")
	}
	if s.GivenUp {
		w.Say("There are too many places within the distance to look at all of them: not all are joined.")
	}
	for _, l := range []struct {
		n    int
		what string
	}{{s.Held, "their weights differ: they belong to parts that move on their own"}, {s.Back, "they are the two walls of a thin part"}, {s.Ends, "an edge joins them"}} {
		if l.n > 0 {
			w.Leave("%s within the distance left as they are: %s.", say.Count(l.n, "pair", "pairs"), l.what)
		}
	}
}
