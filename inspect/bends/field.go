package bends

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// Field is what one move does, place by place: for lenses. By surface, one a vertex of
// its mesh; nil: no skin there. NaN: the move does not reach the vertex.
type Field struct {
	Stretch [][]float32 // mean over its triangles, by rest area, of the principal stretch farther from 1: above 1 drawn out, below 1 pressed
	Turned  [][]float32 // 1: a triangle there is turned over, 0: none
	Bleed   [][]float32 // shift in metres of vertices drawn along beyond the limb; 0: the others that move
	Move    Move
}

// Field works one move out again, at any angle. false: there is no such turn.
func (f *Facts) Field(joint rig.Node, axis string, degrees float64, method deform.Method) (*Field, bool) {
	t, ok := f.turnOf(joint, axis)
	if !ok {
		return nil, false
	}
	return f.field(t, degrees, method), true
}

// MoveAt measures one move at any angle, as those at the ends of the range were. false:
// there is no such turn.
func (f *Facts) MoveAt(joint rig.Node, axis string, degrees float64) (*Move, bool) {
	t, ok := f.turnOf(joint, axis)
	if !ok {
		return nil, false
	}
	m, _, _ := f.move(t, degrees)
	return &m, true
}

func (f *Facts) turnOf(joint rig.Node, axis string) (anatomy.Turn, bool) {
	for _, t := range f.Turns {
		if f.e != nil && t.Joint == joint && t.Axis == axis {
			return anatomy.Turn{Joint: joint, Axis: axis, Dir: t.Dir, Min: t.Min, Max: t.Max}, true
		}
	}
	return anatomy.Turn{}, false
}

// move measures a turn at an angle; z is its zone, bleed what is drawn along in it.
func (f *Facts) move(turn anatomy.Turn, degrees float64) (m Move, z *zone, bleed []drawn) {
	z = f.whole().newZone(turn.Joint)
	limit := farther * f.Diagonal
	bleed = z.findBleed(f.bones, f.bones.reach(turn.Joint), math.Abs(degrees), limit)
	z.findRings(f.bones)
	m = Move{Joint: turn.Joint, Axis: turn.Axis, Degrees: degrees, turn: turn, zoneAt: z.group()}
	z.measure(&m, f.bones, bleed, limit)
	m.Severity, m.uncapped = f.severity(&m)
	return m, z, bleed
}

func (f *Facts) field(turn anatomy.Turn, degrees float64, method deform.Method) *Field {
	b := f.whole()
	m, z, bleed := f.move(turn, degrees)
	limit := farther * f.Diagonal
	out := &Field{Move: m}

	t := z.turn(turn.Dir, degrees)
	z.carry(t, method)
	sum, area := make([]float64, len(b.place)), make([]float64, len(b.place))
	for i, tri := range z.tri {
		if !b.shaped[method][tri] {
			continue
		}
		a, k, c := 3*z.corners[3*i], 3*z.corners[3*i+1], 3*z.corners[3*i+2]
		p := z.pos
		most, least := b.strain[method][tri].Squares(p[k]-p[a], p[k+1]-p[a+1], p[k+2]-p[a+2], p[c]-p[a], p[c+1]-p[a+1], p[c+2]-p[a+2])
		v := math.Sqrt(most)
		if l := math.Sqrt(least); l*v < 1 { // pressed more than drawn out
			v = l
		}
		x, y, w := z.normal[method][3*i], z.normal[method][3*i+1], z.normal[method][3*i+2]
		size := math.Sqrt(x*x + y*y + w*w)
		for _, v3 := range b.tri[3*tri : 3*tri+3] {
			sum[v3], area[v3] = sum[v3]+size*v, area[v3]+size
		}
	}
	out.Stretch, out.Turned, out.Bleed = f.blank(), f.blank(), f.blank()
	put := func(field [][]float32, v uint32, value float64) {
		s, w := b.surface(v)
		field[s][w] = float32(value)
	}
	for _, v := range z.moves() {
		put(out.Stretch, v, 1)
		put(out.Turned, v, 0)
		put(out.Bleed, v, 0)
	}
	for v, a := range area {
		if a > 0 {
			put(out.Stretch, uint32(v), sum[v]/a)
		}
	}
	for _, tri := range z.strained(t).turned {
		for _, v := range b.tri[3*tri : 3*tri+3] {
			put(out.Turned, v, 1)
		}
	}
	for _, d := range bleed {
		if far := t.point(d.turn).Sub(d.turn).Len(); far > limit {
			put(out.Bleed, d.v, far)
		}
	}
	return out
}

// blank is a field without values.
func (f *Facts) blank() [][]float32 {
	b := f.whole()
	out := make([][]float32, len(b.r.Surfaces))
	for i, s := range b.surfaces {
		list := make([]float32, b.first[i+1]-b.first[i])
		for k := range list {
			list[k] = float32(math.NaN())
		}
		out[s] = list
	}
	return out
}

// drawOut fills in where hits are: the corners of the triangles that are stretched by so
// much or more when the joint has turned so far, which the gauge tells. One sweep for all.
func (f *Facts) drawOut(g *gauge, list []hit) {
	b := f.whole()
	if b == nil { // of saved facts no place is known
		return
	}
	var at []int
	for i := range list {
		at = append(at, i)
	}
	slices.SortFunc(at, func(i, k int) int { return cmp.Compare(b.enter[list[k].move.Joint], b.enter[list[i].move.Joint]) })
	s := b.newSweep()
	var z *zone
	for _, i := range at {
		m := list[i].move
		degrees, least := g.drawn(m)
		z = b.zoneOf(m.Joint, s.to(b.enter[m.Joint]), s, z)
		z.carry(z.turn(m.turn.Dir, degrees), deform.Linear)
		list[i].at = z.drawnOut(least)
	}
}

// drawnOut names the corners of the triangles that z.pos has stretched by least or more.
func (z *zone) drawnOut(least float64) *group {
	b := z.b
	least *= least * (1 - 1e-12)
	var list []uint32
	for i, tri := range z.tri {
		if !b.shaped[deform.Linear][tri] {
			continue
		}
		a, k, c := 3*z.corners[3*i], 3*z.corners[3*i+1], 3*z.corners[3*i+2]
		p := z.pos
		most, _ := b.strain[deform.Linear][tri].Squares(p[k]-p[a], p[k+1]-p[a+1], p[k+2]-p[a+2], p[c]-p[a], p[c+1]-p[a+1], p[c+2]-p[a+2])
		if most >= least {
			list = append(list, tri)
		}
	}
	return b.spots(b.cornersOf(list))
}

// cornersOf lists the corners of triangles.
func (b *body) cornersOf(triangles []uint32) (out []uint32) {
	for _, t := range triangles {
		out = append(out, b.tri[3*t], b.tri[3*t+1], b.tri[3*t+2])
	}
	return out
}
