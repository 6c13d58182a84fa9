package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Scaled is a joint whose own transform is more than a turn and a move.
type Scaled struct {
	Node   rig.Node  `json:"node"`
	Scale  space.Vec `json:"scale"`
	Off    float64   `json:"off"`    // largest distance of a factor from 1
	Flat   bool      `json:"flat"`   // zero, or no inverse
	Matrix bool      `json:"matrix"` // the file gives a matrix
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
		var at *Scaled
		for i := range f.Scaled {
			s := &f.Scaled[i]
			if s.Matrix {
				given = append(given, s.Node)
			}
			switch {
			case s.Flat:
				dead = append(dead, s.Node)
				least = min(least, zeroNaN(math.Abs(s.Scale[0]*s.Scale[1]*s.Scale[2])))
			case s.Off > scale.Value:
				off = append(off, s.Node)
				if s.Off > worst {
					worst, at = s.Off, s
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
			found.Measures = append(found.Measures, check.Also("x", at.Scale[0], say.Factor), check.Also("y", at.Scale[1], say.Factor), check.Also("z", at.Scale[2], say.Factor), check.Also("joints", float64(len(off)), say.Joints))
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
		s := Scaled{Node: n, Scale: data.S, Matrix: data.HasMatrix}
		if data.HasMatrix {
			s.Scale = data.Matrix.Scales()
			if data.Matrix.Det() < 0 {
				s.Scale[0] = -s.Scale[0]
			}
		}
		s.Flat = !(flatness(&data.Matrix) >= flattest)
		for c := range 3 {
			if v := s.Scale[c]; v-v != 0 {
				s.Scale[c], s.Flat = 0, true
			}
			s.Off = max(s.Off, math.Abs(s.Scale[c]-1))
		}
		if s.Matrix || s.Flat || s.Off > 0 {
			f.Scaled = append(f.Scaled, s)
		}
	}
	return nil
}
