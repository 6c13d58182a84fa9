package mend

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rest"
	"rigloupe/inspect/rig"
)

// Moment is one pose: of a clip, of the bend set, or rest (both none).
type Moment struct {
	Clip    rig.Clip // None
	Seconds float64
	Turn    *anatomy.Turn // nil
	Degrees float64
}

// MomentsOfClip is how many moments of each clip a proof looks at.
const MomentsOfClip = 24

// Moments are MomentsOfClip of every clip (rest.Moments); rest first.
func Moments(r *rig.Rig) []Moment {
	out := []Moment{{Clip: rig.None}}
	for _, at := range rest.Moments(r, MomentsOfClip, MomentsOfClip*len(r.Clips)) {
		out = append(out, Moment{Clip: at.Clip, Seconds: at.Seconds})
	}
	return out
}

// Bends are the ends of the range of every move of the bend set.
func Bends(r *rig.Rig, roles *anatomy.Roles, restWorld []rig.Affine) (out []Moment) {
	turns := roles.BendSet(r, restWorld, anatomy.SkinJoints(r))
	for i := range turns {
		for _, d := range turns[i].Ends() {
			out = append(out, Moment{Clip: rig.None, Turn: &turns[i], Degrees: d})
		}
	}
	return out
}

// Set brings a pose to the moment.
func (m *Moment) Set(p *deform.Pose) {
	switch {
	case m.Turn != nil:
		p.Rest()
		t := m.Turn.Rotation(p.World[m.Turn.Joint].Origin(), m.Degrees)
		p.Turn(m.Turn.Joint, &t)
	case m.Clip >= 0:
		p.Sample(m.Clip, m.Seconds)
	default:
		p.Rest()
	}
}

// Posed carries surfaces to moments, again and again: memory is kept.
type Posed struct {
	Rig  *rig.Rig
	Pose *deform.Pose

	deformers []*deform.Deformer
	out       [][]float32
}

// NewPosed stands a rig at rest.
func NewPosed(r *rig.Rig) *Posed {
	p := &Posed{Rig: r, Pose: deform.NewPose(r)}
	for i, s := range r.Surfaces {
		p.deformers = append(p.deformers, deform.NewDeformer(r, i))
		p.out = append(p.out, make([]float32, len(r.Meshes[s.Mesh].Positions)))
	}
	return p
}

// Positions answers the vertices of a surface (3·V, world, metres) in the pose at hand;
// linear blend. Valid until asked for that surface again.
func (p *Posed) Positions(surface int) []float32 {
	p.deformers[surface].Apply(p.Pose, deform.Linear, p.out[surface], nil, nil, nil)
	return p.out[surface]
}

// Gap is the largest distance of two figures over some moments, and where.
type Gap struct {
	Max     float64 // metres
	Mean    float64 // over all vertices and moments
	Surface int
	Vertex  rig.Vertex
	Moment  Moment
}

// Compare poses two figures with the same surfaces and vertices and measures how far each
// vertex of b is from f of that of a; f nil: of a itself. Moments are named in a; clips
// must have the same places.
func Compare(a, b *rig.Rig, moments []Moment, f func(p [3]float64) [3]float64) (g Gap) {
	pa, pb := NewPosed(a), NewPosed(b)
	sum, n := 0.0, 0
	for _, m := range moments {
		m.Set(pa.Pose)
		m.Set(pb.Pose)
		for s := range a.Surfaces {
			x, y := pa.Positions(s), pb.Positions(s)
			if len(x) != len(y) {
				continue
			}
			for v := range len(x) / 3 {
				p := [3]float64{float64(x[3*v]), float64(x[3*v+1]), float64(x[3*v+2])}
				if f != nil {
					p = f(p)
				}
				d := 0.0
				for k := range 3 {
					e := float64(y[3*v+k]) - p[k]
					d += e * e
				}
				d = math.Sqrt(d)
				sum, n = sum+d, n+1
				if d > g.Max || math.IsNaN(d) {
					g.Max, g.Surface, g.Vertex, g.Moment = d, s, rig.Vertex(v), m
				}
			}
		}
	}
	if n > 0 {
		g.Mean = sum / float64(n)
	}
	return g
}
