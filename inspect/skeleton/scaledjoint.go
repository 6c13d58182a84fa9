package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// scaled is a joint whose own transform is more than a turn and a move.
type scaled struct {
	node   rig.Node
	scale  space.Vec
	off    float64 // largest distance of a factor from 1
	flat   bool    // zero, or no inverse
	matrix bool    // the file gives a matrix
}

var scaledJoint = check.Check[Facts]{
	ID:      "skeleton/scaled-joint",
	Title:   "Scale on a joint",
	Measure: "largest difference of a joint's own scale from 1 at rest; joints given as a matrix",
	Limits: []check.Limit{
		{Name: "scale", Unit: say.Share, Value: 1e-3, Grade: check.Flaw},
		{Name: "flat", Value: 0, Grade: check.Stop, Below: true, Reached: true},
		{Name: "matrices", Unit: say.Joints, Value: 0, Grade: check.Note},
	},
	Why: "All that hangs on the joint is scaled along, and so are lengths and speeds in every clip. " +
		"Programs that carry motion over, and many players, take bones to be of scale 1.",
	Remedy: "Apply the scale to the skeleton, so that the joints carry places and turns alone, and bind again.\n" +
		"Clips that move the joints below must be scaled by the same factor.",
	Source: "glTF 2.0, Transformations; VRM 1.0, humanoid (positive, uniform scales); the limit is common practice",
	Needs:  needsJoints,
	Judge: func(f *Facts, d *check.Docket) {
		scale, flat, matrices := d.Limit("scale"), d.Limit("flat"), d.Limit("matrices")
		var off, dead, given []rig.Node
		worst, least := 0.0, math.Inf(1)
		var at *scaled
		for i := range f.scaled {
			s := &f.scaled[i]
			if s.matrix {
				given = append(given, s.node)
			}
			switch {
			case s.flat:
				dead = append(dead, s.node)
				least = min(least, zeroNaN(math.Abs(s.scale[0]*s.scale[1]*s.scale[2])))
			case s.off > scale.Value:
				off = append(off, s.node)
				if s.off > worst {
					worst, at = s.off, s
				}
			}
		}
		if len(dead) > 0 {
			found := d.Found(flat, "product of scales", least, f.on(dead...))
			found.Title, found.Subject = "A joint without size", f.names(dead)
			found.Why = "At scale zero, or with a matrix that has no inverse, the surface that follows is pressed flat, and nothing below has a place of its own."
			found.Remedy = "Give the joint scale 1 in the rest pose. To hide a part, leave its surface out of the scene."
		}
		if at != nil {
			found := d.Found(scale, "scale off by", worst, f.on(off...))
			found.Subject = f.names(off)
			found.Measures = append(found.Measures, check.Also("x", at.scale[0], say.Factor), check.Also("y", at.scale[1], say.Factor), check.Also("z", at.scale[2], say.Factor), check.Also("joints", float64(len(off)), say.Joints))
		}
		if n := float64(len(given)); n > matrices.Value {
			found := d.Found(matrices, "joints given as a matrix", n, f.on(given...))
			found.Title, found.Subject = "Joints given as matrices", f.names(given)
			found.Why = "A joint with a matrix cannot be moved by a clip (glTF 2.0, Transformations), and its scale must be worked out."
			found.Remedy = "Write translation, rotation and scale for each joint in place of the matrix."
		}
	},
}

// measureScales looks at the joints' own transforms.
func (f *Facts) measureScales(context.Context) error {
	f.measureZero()
	for i := range f.Joints {
		n := f.Joints[i].Node
		data := &f.e.Rig.Nodes[n]
		s := scaled{node: n, scale: data.S, matrix: data.HasMatrix}
		if data.HasMatrix {
			s.scale = data.Matrix.Scales()
			if data.Matrix.Det() < 0 {
				s.scale[0] = -s.scale[0]
			}
		}
		s.flat = !(flatness(&data.Matrix) >= flattest)
		for c := range 3 {
			if v := s.scale[c]; v-v != 0 {
				s.scale[c], s.flat = 0, true
			}
			s.off = max(s.off, math.Abs(s.scale[c]-1))
		}
		if s.matrix || s.flat || s.off > 0 {
			f.scaled = append(f.scaled, s)
		}
	}
	return nil
}
