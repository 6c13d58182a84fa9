package exam

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Of what no joint moves: what stands apart along the ground by this share of the highest, and is that much as high at
// least, may be a figure of its own (common practice, no source): a dog beside a lamp post. More than mostStanding of them
// are a crowd or a scene, and are not looked at, which Unsought says.
const (
	gapShare     = 0.02
	standsAsHigh = 0.25
	mostStanding = 64
)

// Of a piece that is told as a whole to be nothing, the surfaces, then the shells, with most triangles are looked at one by
// one: a person who holds a spear, a dog on a lead, who stands on a plinth. A mesh of fewer triangles is no body. A look
// takes up to a third of a second; where more are needed in all, nothing is told of any.
const (
	mostTold    = 4
	leastOfBody = 100
	mostLooks   = 48
)

// stood is a piece of the surface that hangs together, and where it stands.
type stood struct {
	box       geom.Box
	surface   int
	shell     int32
	triangles int
}

// standing are the figures of a file without joints: what of the surface alone tells what it is. nil where fewer than two
// are told: a single one is the body, and all else gear; see Body.
func (e *Exam) standing() (all []Figure, group grouping) {
	t := e.told()
	if len(t.figures) < 2 {
		return nil, grouping{}
	}
	return t.figures, grouping{all: t.all}
}

// told is what of a file's surface alone tells what it is, and all pieces.
type told struct {
	figures []Figure
	all     []piece
	parts   int // so many stand apart, that are high enough
	looks   int // at shapes
}

// tooMany tells that nothing was told for being too much.
func (t *told) tooMany() bool { return t.parts > mostStanding || t.looks > mostLooks }

// told parts what is shown by gaps along the ground and looks at each part, first at what it is made of, then as a whole.
func (e *Exam) told() *told {
	if e.standingTold != nil {
		return e.standingTold
	}
	t := &told{}
	e.standingTold = t
	shown := e.Shown()
	if e.inner > 0 || slices.ContainsFunc(shown, func(s int) bool { return e.Rig.Surfaces[s].Skin >= 0 }) {
		return t
	}
	shells, of := e.shellsShown()
	high := 0.
	for i := range shells {
		high = max(high, shells[i].box.Size()[1])
	}
	parts := apartAlong(shells, gapShare*high, 0)
	var tall [][]stood
	for _, part := range parts {
		if boxOfAll(part).Size()[1] >= standsAsHigh*high {
			tall = append(tall, part)
		} else {
			t.all = append(t.all, piecesOf(part, of)...)
		}
	}
	if t.parts = len(tall); t.parts > mostStanding {
		t.all = nil
		return t
	}
	for _, part := range tall {
		figures, rest := e.tellWithin(part, of)
		if len(figures) == 0 && len(parts) > 1 && trianglesOf(part) >= leastOfBody { // one part alone is all that is shown, which others look at
			if f := e.tellOne(part, of); f != nil {
				figures, rest = []Figure{*f}, nil
			}
		}
		for i := range figures {
			t.figures, t.all = append(t.figures, figures[i]), append(t.all, figures[i].pieces()...)
		}
		t.all = append(t.all, piecesOf(rest, of)...)
		if t.tooMany() {
			t.figures, t.all = nil, nil
			return t
		}
	}
	return t
}

func trianglesOf(part []stood) (n int) {
	for i := range part {
		n += part[i].triangles
	}
	return n
}

// tellOne is a figure of these shells, nil where the surface does not tell one.
func (e *Exam) tellOne(part []stood, of map[int][]int32) *Figure {
	if e.standingTold.looks++; e.standingTold.looks > mostLooks {
		return nil
	}
	f := Figure{Top: rig.None, Like: -1}
	f.take(piecesOf(part, of))
	f.Exam = e.partly(&f)
	if shape := f.Exam.FromSurface(); shape == nil || shape.Kind == anatomy.NoKind {
		return nil
	}
	return &f
}

// tellWithin looks at the largest surfaces of a part, then at the largest shells. A figure takes along what it wears; see
// worn.
func (e *Exam) tellWithin(part []stood, of map[int][]int32) (all []Figure, rest []stood) {
	bySurface := func(s stood) [2]int32 { return [2]int32{int32(s.surface), 0} }
	byShell := func(s stood) [2]int32 { return [2]int32{int32(s.surface), s.shell} }
	for _, by := range []func(stood) [2]int32{bySurface, byShell} {
		units, order := map[[2]int32]*unit{}, [][2]int32{}
		for _, s := range part {
			k := by(s)
			if units[k] == nil {
				units[k] = &unit{box: geom.EmptyBox()}
				order = append(order, k)
			}
			u := units[k]
			u.shells, u.triangles, u.box = append(u.shells, s), u.triangles+s.triangles, u.box.Union(s.box)
		}
		if len(order) < 2 {
			continue
		}
		slices.SortStableFunc(order, func(a, b [2]int32) int { return cmp.Compare(units[b].triangles, units[a].triangles) })
		for _, k := range order[:min(len(order), mostTold)] {
			u := units[k]
			if u == nil || u.triangles < leastOfBody { // nil: another has taken it along
				continue
			}
			alone := e.tellOne(u.shells, of)
			if alone == nil {
				continue
			}
			m := alone.Exam.Mirror()
			plane := geom.Plane{Normal: m.Normal, Offset: m.Offset}
			own, takes := slices.Clone(u.shells), [][2]int32{k}
			delete(units, k)
			for _, o := range order {
				if x := units[o]; x != nil && worn(u, x, units, plane) {
					own, takes = append(own, x.shells...), append(takes, o)
				}
			}
			for _, o := range takes {
				delete(units, o)
			}
			if len(own) > len(u.shells) {
				with := Figure{Top: rig.None, Like: -1}
				with.take(piecesOf(own, of))
				with.Exam = e.partly(&with)
				alone = &with
			}
			all = append(all, *alone)
		}
		if len(all) > 0 {
			for _, k := range order {
				if u := units[k]; u != nil {
					rest = append(rest, u.shells...)
				}
			}
			return all, rest
		}
	}
	return nil, part
}

// unit is a surface, or one of its shells, beside others.
type unit struct {
	shells    []stood
	triangles int
	box       geom.Box
}

// Of the body's height: what is worn reaches no farther out of its box, lies no more beside its middle plane, or has an
// image as near to its own on the other side (common practice, no source).
const (
	wornReach  = 0.25
	wornBeside = 0.02
	underFoot  = 0.1 // what ends as low is stood on
)

// worn tells what belongs to a body: what stands even over its plane, alone or with another, and does not reach far out of
// its box, eyes, hair, a coat, wings. A spear, a shield and a plinth do not.
func worn(body, x *unit, all map[[2]int32]*unit, plane geom.Plane) bool {
	high := body.box.Size()[1]
	if !holdsBox(body.box, x.box, wornReach*high) || x.box.Max[1] < body.box.Min[1]+underFoot*high {
		return false
	}
	middle := x.box.Center()
	image := plane.Reflect(middle)
	near := func(p space.Vec) bool { return p.Sub(image).Len() < 2*wornBeside*high }
	if near(middle) {
		return true
	}
	for _, o := range all {
		if o != x && near(o.box.Center()) {
			return true
		}
	}
	return false
}

// Unsought says what was not looked at for being too much, "" where nothing was left out.
func (e *Exam) Unsought() string {
	e.Figures()
	if e.inner > 0 {
		return ""
	}
	e.Body()
	var said []string
	if t := e.standingTold; t != nil && t.tooMany() {
		said = append(said, fmt.Sprintf("%d pieces without joints stand apart; which of them are figures is looked at where that takes no more than %d looks", t.parts, mostLooks))
	}
	if e.unlike {
		said = append(said, fmt.Sprintf("of skeletons that differ %d at most are looked at for figures", mostUnlike))
	}
	if e.moreRiders {
		said = append(said, fmt.Sprintf("in a figure %d joints at most are looked at for a rider that hangs there", mostRiders))
	}
	return strings.Join(said, "; ")
}

func holdsBox(outer, inner geom.Box, air float64) bool {
	for k := range 3 {
		if inner.Min[k] < outer.Min[k]-air || inner.Max[k] > outer.Max[k]+air {
			return false
		}
	}
	return true
}

func boxOfAll(list []stood) geom.Box {
	b := geom.EmptyBox()
	for i := range list {
		b = b.Union(list[i].box)
	}
	return b
}

// shellsShown are the shells of all that is shown, and the shell of every vertex of each surface.
func (e *Exam) shellsShown() (shells []stood, of map[int][]int32) {
	of = map[int][]int32{}
	for _, s := range e.Shown() {
		mesh := e.Rig.Surfaces[s].Mesh
		list, n := e.ShellsOf(mesh)
		of[s] = list
		first := len(shells)
		for k := range n {
			shells = append(shells, stood{geom.EmptyBox(), s, int32(k), 0})
		}
		rest := e.RestPositions(s)
		for v, k := range list {
			if at := space.At(rest, v); space.Finite(at) {
				shells[first+int(k)].box.Add(at)
			}
		}
		for t, list := 0, e.Rig.Meshes[mesh].Triangles; t+2 < len(list); t += 3 {
			shells[first+int(of[s][list[t]])].triangles++
		}
	}
	return slices.DeleteFunc(shells, func(s stood) bool { return s.box.IsEmpty() }), of
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
