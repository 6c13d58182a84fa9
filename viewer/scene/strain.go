package scene

import (
	"math"
	"slices"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// strain measures what the shown pose does to the triangles of a figure, for the
// lenses Stretch and TurnedOver. Only the shown frame is ever worked out.
type strain struct {
	sheet  []deform.Strain // by drawn triangle
	shaped []bool          // it has an area to measure on
	normal []float32       // 3·T, of the rest triangle, twice its area long
	area   []float32       // T
	turn   []float32       // 4·V, see deform.Deformer.Turns

	stretch []float32 // V: mean over its triangles by rest area, NaN: none; 1 as at rest
	sum     []float32 // V
	flags   []uint16  // T: 1 turned over, 0 not: places in Scene.flagMaterials
}

// strains is what measures a method of a figure. Rest is that of the method: where
// weights are not whole the two have it in different places.
func (f *figure) strains(m deform.Method) *strain {
	if f.strain[m] == nil {
		f.strain[m] = newStrain(f, m)
	}
	return f.strain[m]
}

func newStrain(f *figure, m deform.Method) *strain {
	p := f.prepared
	v, t := len(p.Source), len(p.Tri)/3
	s := &strain{
		sheet: make([]deform.Strain, t), shaped: make([]bool, t), normal: make([]float32, 3*t), area: make([]float32, t),
		turn: make([]float32, 4*v), stretch: make([]float32, v), sum: make([]float32, v), flags: make([]uint16, t),
	}
	rest, pose := make([]float32, 3*v), deform.NewPose(f.rig)
	for part, d := range f.deformers {
		d.Apply(pose, m, rest[3*p.First[part]:3*p.end(part)], nil, nil, nil)
	}
	for i := range t {
		a, b, c := space.Double(space.At32(rest, p.Tri[3*i])), space.Double(space.At32(rest, p.Tri[3*i+1])), space.Double(space.At32(rest, p.Tri[3*i+2]))
		s.sheet[i], s.shaped[i] = deform.NewStrain([3]space.Vec{a, b, c})
		n := b.Sub(a).Cross(c.Sub(a))
		if l := n.Len(); s.shaped[i] && !math.IsInf(l, 0) {
			s.normal[3*i], s.normal[3*i+1], s.normal[3*i+2] = float32(n[0]/l), float32(n[1]/l), float32(n[2]/l)
			s.area[i] = float32(l)
		}
	}
	return s
}

// measure fills stretch, or flags, for the pose that f.pos is in.
//
// A triangle is turned over when it faces against the way in which its corners turn:
// against its normal at rest, turned by the blend of their joints' turns. In a move of
// one joint that is what the station Bends counts.
func (s *strain) measure(f *figure, lens Lens) {
	tri, pos := f.prepared.Tri, f.pos
	if lens == TurnedOver {
		p := f.prepared
		for part, d := range f.deformers {
			d.Turns(f.pose, f.bends.rest, s.turn[4*p.First[part]:4*p.end(part)])
		}
		for i := range s.flags {
			s.flags[i] = 0
			if s.shaped[i] && s.over(pos, tri[3*i:3*i+3:3*i+3], i) {
				s.flags[i] = 1
			}
		}
		return
	}
	clear(s.stretch)
	clear(s.sum)
	for i, ok := range s.shaped {
		if !ok {
			continue
		}
		w := tri[3*i : 3*i+3 : 3*i+3]
		most, least := s.squares(pos, w, i)
		k := math.Sqrt(most)
		if l := math.Sqrt(least); l*k < 1 { // pressed more than drawn out
			k = l
		}
		a := s.area[i]
		for _, v := range w {
			s.stretch[v] += a * float32(k)
			s.sum[v] += a
		}
	}
	for v, a := range s.sum {
		s.stretch[v] /= a // 0/0: none
	}
}

// squares are the squared principal stretches of triangle i, the larger first.
func (s *strain) squares(pos []float32, w []uint32, i int) (most, least float64) {
	a, b, c := pos[3*w[0]:3*w[0]+3:3*w[0]+3], pos[3*w[1]:3*w[1]+3:3*w[1]+3], pos[3*w[2]:3*w[2]+3:3*w[2]+3]
	x, y, z := float64(a[0]), float64(a[1]), float64(a[2])
	return s.sheet[i].Squares(float64(b[0])-x, float64(b[1])-y, float64(b[2])-z, float64(c[0])-x, float64(c[1])-y, float64(c[2])-z)
}

// over tells whether triangle i is turned over.
func (s *strain) over(pos []float32, w []uint32, i int) bool {
	var q [4]float32
	first := s.turn[4*w[0] : 4*w[0]+4 : 4*w[0]+4]
	for _, v := range w {
		t := s.turn[4*v : 4*v+4 : 4*v+4]
		k := float32(1)
		if t[0]*first[0]+t[1]*first[1]+t[2]*first[2]+t[3]*first[3] < 0 {
			k = -1
		}
		q[0], q[1], q[2], q[3] = q[0]+k*t[0], q[1]+k*t[1], q[2]+k*t[2], q[3]+k*t[3]
	}
	n := s.normal[3*i : 3*i+3 : 3*i+3]
	d, e := 2*(q[0]*n[0]+q[1]*n[1]+q[2]*n[2]), q[3]*q[3]-q[0]*q[0]-q[1]*q[1]-q[2]*q[2]
	k := 2 * q[3]
	// The rest normal turned by a quaternion of any length: only the sign counts.
	m := space.Vec32{
		e*n[0] + d*q[0] + k*(q[1]*n[2]-q[2]*n[1]),
		e*n[1] + d*q[1] + k*(q[2]*n[0]-q[0]*n[2]),
		e*n[2] + d*q[2] + k*(q[0]*n[1]-q[1]*n[0]),
	}
	a := space.At32(pos, w[0])
	return space.At32(pos, w[1]).Sub(a).Cross(space.At32(pos, w[2]).Sub(a)).Dot(m) < 0
}

// Strained is what a pose does to the triangles that it reaches.
type Strained struct {
	Triangles int     // that the move reaches and that have an area; of a clip all that have one
	P99, Max  float64 // of the larger principal stretch; P99 by nearest rank
	Turned    int     // turned over
}

// Strained measures the pose of a state, in full detail whatever is drawn.
func (s *Scene) Strained(st *State) Strained {
	f := s.fig
	f.move(st, false)
	g := f.strains(st.Method)
	kept := slices.Clone(g.flags) // those of the picture
	g.measure(f, TurnedOver)
	reach := f.reach(&st.Move)
	out := Strained{P99: 1, Max: 1}
	list := make([]float64, 0, len(g.shaped))
	for i, ok := range g.shaped {
		w := f.prepared.Tri[3*i : 3*i+3]
		if reach != nil && !reach[w[0]] && !reach[w[1]] && !reach[w[2]] {
			continue
		}
		if !ok {
			continue
		}
		out.Triangles++
		most, _ := g.squares(f.pos, w, i)
		list = append(list, most)
		out.Turned += int(g.flags[i])
	}
	copy(g.flags, kept)
	if n := len(list); n > 0 {
		slices.Sort(list)
		out.P99, out.Max = math.Sqrt(list[(99*n+99)/100-1]), math.Sqrt(list[n-1])
	}
	return out
}

// reach marks the drawn vertices that the turned joint, or one below it, has any
// weight on; nil: no move is shown, all count.
func (f *figure) reach(m *Move) []bool {
	if _, ok := f.bends.Turn(*m); !ok {
		return nil
	}
	below := make([]bool, len(f.rig.Nodes))
	for _, n := range f.rig.Order {
		p := f.rig.Nodes[n].Parent
		below[n] = n == m.Joint || p >= 0 && below[p]
	}
	out := make([]bool, len(f.prepared.Source))
	f.eachWeight(func(v int, n rig.Node, _ float32) {
		if below[n] {
			out[v] = true
		}
	})
	return out
}

// strained fills in the lenses that show the pose, after it was moved.
func (l *values) strained(f *figure, st *State) {
	lens := st.Lens
	if !lens.live() {
		return
	}
	g := f.strains(st.Method)
	g.measure(f, lens)
	if lens == TurnedOver {
		l.material = g.flags
		l.open = append(l.open[:0], make([]bool, len(g.flags))...)
		for t, k := range g.flags { // a triangle that is turned over shows its back
			l.open[t] = k == 1 || f.static.Open != nil && f.static.Open[t]
		}
		return
	}
	l.value = append(l.value[:0], g.stretch...)
	for i, v := range l.value {
		l.value[i] = twice(v)
	}
}

// twice takes a stretch to the two-sided scale: −1 half as long as at rest or less, 0
// as at rest, 1 twice as long or more; equal factors lie equally far apart.
func twice(v float32) float32 {
	return float32(max(-1, min(1, math.Log2(float64(v))))) // NaN stays
}
