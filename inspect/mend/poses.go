package mend

import (
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
