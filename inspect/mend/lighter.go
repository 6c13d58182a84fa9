package mend

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/simplify"
	"rigloupe/inspect/space"
)

var makeLighter = Mend{
	ID:     "lighter",
	Title:  "Fewer triangles",
	Stage:  Thin,
	Beside: []string{"intake/heavy"},
	Does: "A level of detail: triangles go where they are missed least, at rest and in the bend set. Vertices are left out and none is moved, so that pictures, weights and morph targets stay theirs; " +
		"borders stay as they are, seams stay whole. How far the surface comes off where it was is measured in bent poses, not at rest alone.",
	Source: "Garland & Heckbert 1997 and 1998: quadric error, here over the place at rest and in poses and over the picture's coordinates; link condition: Dey et al. 1999",
	Parameters: []Parameter{
		{Name: "share", Title: "Share left", Kind: Number, Unit: say.Share, Default: 0.5, Least: 0.01, Most: 0.99, Says: "How many of the triangles are left."},
		{Name: "within", Title: "Within", Kind: Number, Unit: say.Metre, Least: 0, Most: 10, Says: "No vertex goes that would leave its neighbourhood off by more than this on the mean, however many triangles are left; left out: five thousandths of the height."},
		{Name: "surfaces", Title: "Surfaces", Kind: List, Default: []string{}, Says: "By name, #3 is the third; none: all."},
		{Name: "picture", Title: "Keep the picture", Kind: Number, Unit: say.Factor, Default: 1.0, Least: 0, Most: 100, Says: "How much a stretched picture counts beside the shape; 0: not at all."},
	},
	Apply: func(w *Work) error {
		l := &lighter{w: w}
		surfaces, err := l.chosen()
		if err != nil {
			return err
		}
		l.poses()
		before, after := 0, 0
		for _, i := range surfaces {
			a, b, err := l.reduce(i)
			if err != nil {
				return err
			}
			before, after = before+a, after+b
		}
		if after == before {
			return w.Refuse("No triangle can go: all vertices lie on borders or where seams meet, what is left would fold over, or be too far off.")
		}
		share, _ := w.Values.Number("share")
		w.Measure(check.Also("triangles before", float64(before), say.Triangles))
		w.Measure(check.Also("triangles left", float64(after), say.Triangles))
		if float64(after) > 1.05*share*float64(before) {
			w.Leave("%s of the triangles are left, not %s: the others lie on borders or where seams meet, would fold over, or would take the surface farther off than “%s” allows.", say.Quantity(float64(after)/float64(before), say.Share), say.Quantity(share, say.Share), "within")
		}
		w.Later(l.prove)
		return nil
	},
}

const (
	lightWithin  = 0.005     // heights (common practice, no source)
	lightPoses   = 6         // beside rest, whose places count as dimensions
	lightMemory  = 900_000   // vertices × poses: under 1 GB of quadrics
	lightWork    = 1_500_000 // places looked for, at most, by the proof
	lightMoments = 12        // of which poses it looks at at least
	lightLooks   = 200       // boxes and triangles looked at for a place, on the mean at most: a figure takes 46 to 101, one whose triangles lie in a heap all of them
)

type lighter struct {
	w     *Work
	posed *Posed
	bent  [][]Moment
	parts []lightPart
}

// lightPart is one surface with what went of it.
type lightPart struct {
	surface int
	gone    []uint32 // vertices that went
	left    []uint32 // 3·T: triangles that stay
}

func (l *lighter) chosen() (out []int, err error) {
	w := l.w
	for _, name := range w.Values.List("surfaces") {
		i := SurfaceNamed(w.Rig, name)
		if i < 0 {
			return nil, w.Refuse("There is no surface %q.", name)
		}
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	had := map[rig.Mesh]bool{}
	if len(out) == 0 {
		for _, i := range w.Exam.Shown() {
			if s := w.Rig.Surfaces[i]; !had[s.Mesh] && len(w.Rig.Meshes[s.Mesh].Triangles) > 0 {
				had[s.Mesh] = true
				out = append(out, i)
			}
		}
	}
	for _, i := range out {
		s := w.Rig.Surfaces[i]
		if packedMesh(w.Doc, int(s.Mesh), len(w.Rig.Meshes[s.Mesh].Primitives)) {
			return nil, w.Refuse("The vertices of %s are packed: unpack the file first.", w.Exam.SurfaceName(i))
		}
	}
	if len(out) == 0 {
		return nil, w.Refuse("The file holds no triangle.")
	}
	return out, nil
}

// poses are those whose places count: in each all joints are turned at once, as far as the bend
// set turns them about one of its axes to one end, so that few poses bend everything.
func (l *lighter) poses() {
	l.posed = NewPosed(l.w.Rig)
	depth := l.w.Rig.Depths()
	group := map[string]int{}
	for _, m := range Bends(l.w.Rig, l.w.Exam.Roles(), l.w.Exam.RestWorld()) {
		key := fmt.Sprint(m.Turn.Axis, m.Degrees > 0)
		g, had := group[key]
		if !had {
			g = len(l.bent)
			group[key], l.bent = g, append(l.bent, nil)
		}
		l.bent[g] = append(l.bent[g], m)
	}
	slices.SortStableFunc(l.bent, func(a, b []Moment) int { return len(b) - len(a) })
	l.bent = l.bent[:min(len(l.bent), lightPoses)]
	for _, g := range l.bent { // the deepest first: then each turns about where it is at rest
		slices.SortStableFunc(g, func(a, b Moment) int { return int(depth[b.Turn.Joint] - depth[a.Turn.Joint]) })
	}
}

// bend turns all joints of a group.
func (l *lighter) bend(g []Moment) {
	p := l.posed.Pose
	p.Rest()
	for i := range g {
		t := g[i].Turn.Rotation(p.World[g[i].Turn.Joint].Origin(), g[i].Degrees)
		p.Turn(g[i].Turn.Joint, &t)
	}
}

// reduce takes triangles out of one surface.
func (l *lighter) reduce(i int) (before, after int, err error) {
	w := l.w
	mesh := w.Rig.Surfaces[i].Mesh
	m := &w.Rig.Meshes[mesh]
	n := m.Vertices()
	uv := 0.0
	if k, _ := w.Values.Number("picture"); k > 0 && m.UV != nil {
		uv = k * l.perPicture(i)
	}
	bent := l.bent[:min(len(l.bent), max(2, lightMemory/n))] // each takes room
	d := 3 + 3*len(bent)
	if uv > 0 {
		d += 2
	}
	x := simplify.Mesh{Triangles: m.Triangles, D: d, At: make([]float64, d*n), Locked: l.locked(mesh), Place: w.Exam.Weld(mesh).Of}
	fill := func(first int, list []float32, k float64) {
		for v := range n {
			for c := range 3 {
				if p := float64(list[3*v+c]); p-p == 0 {
					x.At[d*v+first+c] = k * p
				} else {
					x.Locked[v] = true
				}
			}
		}
	}
	fill(0, w.Exam.WholePositions(i), 1)
	for k := range bent {
		l.bend(bent[k])
		fill(3+3*k, l.posed.Positions(i), 1)
	}
	for v := 0; uv > 0 && v < n; v++ {
		x.At[d*v+d-2], x.At[d*v+d-1] = uv*float64(m.UV[2*v]), uv*float64(m.UV[2*v+1])
	}
	x.Opposite = l.opposite(i)
	within, given := w.Values.Number("within")
	if !given {
		within = lightWithin * w.Exam.WholeHeight()
	}
	x.Within = within
	share, _ := w.Values.Number("share")
	before = len(m.Triangles) / 3
	r, err := x.Reduce(int(math.Ceil(share*float64(before))), w.Context.Err)
	if err != nil {
		return 0, 0, err
	}
	out := &welding{w: w, is: w.Rig, drop: make([][]bool, len(w.Rig.Meshes)), corners: map[rig.Mesh][]uint32{mesh: r.Triangles}}
	out.drop[mesh] = r.Gone
	if r.Left == before {
		return before, before, nil
	}
	from, err := out.compact(int(mesh))
	if err != nil {
		return 0, 0, err
	}
	w.Renumbered(mesh, slices.Concat(from...))
	p := lightPart{surface: i}
	for v := range n {
		if r.To[v] != uint32(v) {
			p.gone = append(p.gone, uint32(v))
		}
	}
	for t, gone := range r.Gone {
		if !gone {
			p.left = append(p.left, r.Triangles[3*t:3*t+3]...)
		}
	}
	l.parts = append(l.parts, p)
	return before, r.Left, nil
}

// perPicture is how many metres of a surface the picture's width covers, on the mean.
func (l *lighter) perPicture(i int) float64 {
	m := &l.w.Rig.Meshes[l.w.Rig.Surfaces[i].Mesh]
	at := l.w.Exam.WholePositions(i)
	area, flat := 0.0, 0.0
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		a, b, c := m.Triangles[t], m.Triangles[t+1], m.Triangles[t+2]
		n := space.At(at, b).Sub(space.At(at, a)).Cross(space.At(at, c).Sub(space.At(at, a))).Len()
		u := func(v, k uint32) float64 { return float64(m.UV[2*v+k]) }
		f := math.Abs((u(b, 0)-u(a, 0))*(u(c, 1)-u(a, 1)) - (u(c, 0)-u(a, 0))*(u(b, 1)-u(a, 1)))
		if n-n == 0 && f-f == 0 {
			area, flat = area+n, flat+f
		}
	}
	if !(flat > 0) {
		return 0
	}
	return math.Sqrt(area / flat)
}

// opposite are the mirror images of a surface's vertices, −1 where there is none.
func (l *lighter) opposite(i int) []int32 {
	m := l.w.Exam.Mirror()
	if m.PlaneDoubt() != "" || m.Point[i] == nil {
		return nil
	}
	out := make([]int32, len(m.Point[i]))
	for v, p := range m.Point[i] {
		out[v] = -1
		if p < 0 || m.Partner[p] < 0 {
			continue
		}
		if q := m.Partner[p]; m.Partner[q] == p && int(m.Surface[q]) == i {
			out[v] = int32(m.Vertex[q])
		}
	}
	return out
}

// locked are the vertices that stay: those on borders, and where more than two triangles meet at
// an edge.
func (l *lighter) locked(mesh rig.Mesh) []bool {
	m := &l.w.Rig.Meshes[mesh]
	weld := l.w.Exam.Weld(mesh)
	type edge [2]uint32
	count := map[edge]int{}
	for t := 0; t+2 < len(m.Triangles); t += 3 {
		for k := range 3 {
			a, b := weld.Of[m.Triangles[t+k]], weld.Of[m.Triangles[t+(k+1)%3]]
			count[edge{min(a, b), max(a, b)}]++
		}
	}
	open := make([]bool, weld.Groups())
	for e, n := range count {
		if n != 2 {
			open[e[0]], open[e[1]] = true, true
		}
	}
	out := make([]bool, m.Vertices())
	for v, g := range weld.Of {
		out[v] = open[g]
	}
	return out
}

// prove poses the figure through the bend set and its clips and finds how far what went is off
// what is left.
func (l *lighter) prove() error {
	w := l.w
	moments := append(Moments(w.Rig), Bends(w.Rig, w.Exam.Roles(), w.Exam.RestWorld())...)
	gone := 0
	for _, p := range l.parts {
		gone += len(p.gone)
	}
	most := max(lightMoments, lightWork/max(1, gone))
	all := len(moments)
	if len(moments) > most {
		var some []Moment
		for k := range most {
			some = append(some, moments[k*all/most])
		}
		moments = some
	}
	rest, worst, sum, n := 0.0, 0.0, 0.0, 0
	at, work, looked := "", lightLooks*gone*len(moments), 0
	for k := range moments {
		if work < 0 {
			break
		}
		looked++
		if err := w.Context.Err(); err != nil {
			return err
		}
		moments[k].Set(l.posed.Pose)
		for _, p := range l.parts {
			list := l.posed.Positions(p.surface)
			left := geom.NewTriangles(list, p.left)
			for _, v := range p.gone {
				q := space.At(list, v)
				hit, ok := left.ClosestWithin(q, math.Inf(1), &work)
				if !ok || !space.Finite(q) {
					continue
				}
				if k == 0 {
					rest = max(rest, hit.Distance)
				}
				sum, n = sum+hit.Distance, n+1
				if hit.Distance > worst {
					worst, at = hit.Distance, l.called(&moments[k])
				}
			}
		}
	}
	w.Measure(check.Also("farthest off at rest", rest, say.Metre))
	w.Measure(check.Also("farthest off in any pose", worst, say.Metre))
	w.Measure(check.Also("off on the mean", sum/max(1, float64(n)), say.Metre))
	w.Say("Measured at every vertex that went, in %s of the bend set and the clips; farthest off %s.", say.Count(len(moments), "pose", "poses"), at)
	if looked < len(moments) {
		w.Say("Only the first %d were looked at: triangles lie in a heap there, and each vertex is near all of them.", looked)
	}
	if len(moments) < all {
		w.Say("Of %d poses these were looked at, evenly.", all)
	}
	return nil
}

// called is a moment in words.
func (l *lighter) called(m *Moment) string {
	switch {
	case m.Turn != nil:
		return "where " + l.w.Exam.NodeName(m.Turn.Joint) + " is turned by " + say.Quantity(math.Abs(m.Degrees), say.Degree)
	case m.Clip >= 0:
		return "in clip " + l.w.clipName(m.Clip) + " at " + say.Quantity(m.Seconds, say.Second)
	}
	return "at rest"
}
