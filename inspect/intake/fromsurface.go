package intake

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/space"
)

// FromSurface is what the surface alone tells of a model that no joint moves. On real
// figures, their skins dropped: knight, robot, walking man and fox are told as their
// skeletons tell them, as they stand, turned about the vertical by 37° and 200° and
// (people) on back and face: arms within 9° (of joint to joint), front within 14°, height
// within 1 %, or left open near a limit. Hands, a bird, a spider, a snake, a cart, two
// people: not sure. null is
// what is not sure.
type FromSurface struct {
	Kind      *string     `json:"kind"` // "person", "four-legged"
	Certainty float64     `json:"certainty"`
	Height    *float64    `json:"height"`       // metres, from the feet to the top of the head
	Lies      *float64    `json:"lies_degrees"` // between that way and +Y
	Facing    *space.Vec  `json:"facing"`       // unit
	ArmPose   SurfaceArms `json:"arm_pose"`
	Says      string      `json:"says"`
}

// SurfaceArms are degrees of the upper arms below level, and their class as Skeleton
// has it.
type SurfaceArms struct {
	Class *string  `json:"class"` // T, A, hanging, between
	Left  *float64 `json:"left_degrees"`
	Right *float64 `json:"right_degrees"`
}

// fromSurface looks at what is not bound and has no figure among its nodes.
func (f *Facts) fromSurface(e *exam.Exam) {
	if f.Vertices == 0 || e.Bound() || e.Roles().IsFigure() || e.Roles().Kind != anatomy.NoKind {
		return
	}
	s := e.FromSurface()
	out := &FromSurface{Says: "What this is cannot be told from the surface alone: it has no mirror plane."}
	f.FromSurface = out
	if s == nil {
		return
	}
	out.Says = s.Says
	if s.Kind == anatomy.NoKind {
		return
	}
	kind := s.Kind.String()
	out.Kind, out.Certainty, out.Height, out.Lies, out.Facing = &kind, s.Certainty, &s.Height, &s.Lies, s.Facing
	if s.Kind != anatomy.Person || s.Arms[0] == nil {
		return
	}
	out.ArmPose.Class = armClass((*s.Arms[0] + *s.Arms[1]) / 2)
	if s.Facing == nil {
		return
	}
	// The plane's normal points to the left, or to the right.
	left := space.Vec(s.Up).Cross(space.Vec(*s.Facing))
	out.ArmPose.Left, out.ArmPose.Right = s.Arms[0], s.Arms[1]
	if left.Dot(space.Vec(e.Mirror().Normal)) < 0 {
		out.ArmPose.Left, out.ArmPose.Right = s.Arms[1], s.Arms[0]
	}
}

// How far below level the classes of arm pose part (as in Skeleton), and how near to
// such a line the surface leaves it open: its angles are right to about 5°.
const (
	levelArm, flattestA, steepestA = 10.0, 20.0, 65.0
	openArm                        = 3.0
)

func armClass(below float64) *string {
	class := "hanging"
	switch {
	case below <= levelArm:
		class = "T"
	case below < flattestA:
		class = "between"
	case below <= steepestA:
		class = "A"
	}
	for _, line := range []float64{levelArm, flattestA, steepestA} {
		if math.Abs(below-line) < openArm {
			return nil
		}
	}
	return &class
}
