package skeleton

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// ArmPose is how the arms are held at rest.
type ArmPose struct {
	Class *string  `json:"class"`         // T, A, hanging, between; nil: no arms, or raised ones
	Left  *float64 `json:"left_degrees"`  // of the upper arm below horizontal; negative: raised
	Right *float64 `json:"right_degrees"` // likewise
	Says  string   `json:"says"`          // in words, with what it means for motion; "" without arms
}

// Limb is one arm or leg at rest.
type Limb struct {
	Bone    string     `json:"bone"` // leftArm, leftLeg, leftFoot, leftHand and so on
	Bend    *float64   `json:"bend_degrees,omitempty"`
	Forward *float64   `json:"knee_forward_m,omitempty"` // of the line from hip to ankle, + in front
	Back    *float64   `json:"knee_back_degrees,omitempty"`
	Yaw     *float64   `json:"yaw_degrees,omitempty"` // of a foot, + outward
	Palm    *space.Vec `json:"palm,omitempty"`        // unit, out of the palm
}

// The classes of arm pose: degrees below horizontal (common practice; the T-pose of
// VRM 1.0 is level).
const (
	levelArm   = 10.0
	steepestA  = 65.0
	flattestA  = 20.0
	kneeBehind = 2.0 // degrees behind the line from hip to ankle
)

// measurePose works out arms, elbows, knees, feet and palms.
func (f *Facts) measurePose(context.Context) error {
	f.Limbs = []Limb{}
	_, up, front, framed := f.roles.Frame()
	if !framed {
		up = space.Vec{0, 1, 0}
	}
	if f.middle.known && f.middle.sidesOK {
		f.Lean = math.Asin(max(-1, min(1, f.middle.left.Dot(up)))) * 180 / math.Pi
	}
	var angles []float64
	for _, side := range []string{"left", "right"} {
		s, e, w := f.rolePlace(side+"UpperArm"), f.rolePlace(side+"LowerArm"), f.rolePlace(side+"Hand")
		if s != nil && e != nil {
			if below, ok := ArmBelow(*s, *e, up); ok {
				angles = append(angles, below)
				if side == "left" {
					f.ArmPose.Left = number(below)
				} else {
					f.ArmPose.Right = number(below)
				}
			}
			if w != nil {
				f.Limbs = append(f.Limbs, Limb{Bone: side + "Arm", Bend: number(bend(*s, *e, *w))})
			}
		}
		f.leg(side, front, framed)
		f.palm(side)
	}
	f.ArmPose.Class = armClass(angles)
	f.ArmPose.Says = f.saysArms()
	return nil
}

// rolePlace is where the joint of a role stands, nil when there is none.
func (f *Facts) rolePlace(role string) *space.Vec {
	j := f.at(f.roles.Node(role))
	if j == nil || !j.Placed {
		return nil
	}
	p := space.Vec(j.Position)
	return &p
}

// ArmBelow is the angle of the upper arm below horizontal: atan2(−u·up, |u level|).
func ArmBelow(shoulder, elbow, up space.Vec) (degrees float64, ok bool) {
	u := elbow.Sub(shoulder)
	if u.Len() < 1e-9 {
		return 0, false
	}
	rise := u.Dot(up)
	return math.Atan2(-rise, u.Sub(up.Mul(rise)).Len()) * 180 / math.Pi, true
}

// bend is the angle between two bones, 0 when they are in line.
func bend(a, b, c space.Vec) float64 { return mgl64.RadToDeg(space.Angle(b.Sub(a), c.Sub(b))) }

// armClass takes the mean of both arms.
func armClass(angles []float64) *string {
	if len(angles) == 0 {
		return nil
	}
	sum := 0.0
	for _, a := range angles {
		sum += a / float64(len(angles))
	}
	switch {
	case sum < -levelArm:
		return nil
	case sum <= levelArm:
		return word("T")
	case sum < flattestA:
		return word("between")
	case sum <= steepestA:
		return word("A")
	}
	return word("hanging")
}

// leg fills in knee and foot of one side.
func (f *Facts) leg(side string, front space.Vec, framed bool) {
	h, k, a := f.rolePlace(side+"UpperLeg"), f.rolePlace(side+"LowerLeg"), f.rolePlace(side+"Foot")
	if h != nil && k != nil && a != nil {
		l := Limb{Bone: side + "Leg", Bend: number(bend(*h, *k, *a))}
		if framed {
			way := a.Sub(*h)
			off := k.Sub(h.Add(*a).Mul(0.5))
			l.Forward = number(off.Dot(front))
			if axis := space.Direction(way); axis.Len() > 0 {
				// How far behind the straight line: the bend's share in that direction.
				off = k.Sub(*h)
				off = off.Sub(axis.Mul(off.Dot(axis)))
				if behind := -off.Dot(front); behind > 0 && *l.Bend > 0 {
					l.Back = number(*l.Bend * behind / math.Max(off.Len(), 1e-12))
				}
			}
		}
		f.Limbs = append(f.Limbs, l)
	}
	t := f.rolePlace(side + "Toes")
	if a == nil || t == nil || !framed {
		return
	}
	d := t.Sub(*a)
	left, _, _, _ := f.roles.Frame()
	out := left
	if side == "right" {
		out = left.Mul(-1)
	}
	if math.Hypot(d.Dot(out), d.Dot(front)) > 1e-9 {
		f.Limbs = append(f.Limbs, Limb{Bone: side + "Foot", Yaw: number(math.Atan2(d.Dot(out), d.Dot(front)) * 180 / math.Pi)})
	}
}

// palm is the normal out of the palm, where index and little finger are known.
func (f *Facts) palm(side string) {
	w, i, l := f.rolePlace(side+"Hand"), f.rolePlace(side+"IndexProximal"), f.rolePlace(side+"LittleProximal")
	if w == nil || i == nil || l == nil {
		return
	}
	if n := palmNormal(side == "left", *w, *i, *l); n.Len() > 0 {
		p := space.Vec(n)
		f.Limbs = append(f.Limbs, Limb{Bone: side + "Hand", Palm: &p})
	}
}

// palmNormal: on the left (little − wrist) × (index − wrist), on the right the other
// way round.
func palmNormal(left bool, wrist, index, little space.Vec) space.Vec {
	a, b := little.Sub(wrist), index.Sub(wrist)
	if !left {
		a, b = b, a
	}
	return space.Direction(a.Cross(b))
}

// saysArms tells the pose in words, and what it means for motion made for another.
func (f *Facts) saysArms() string {
	var sides []string
	raised := false
	for _, s := range []struct {
		name  string
		angle *float64
	}{{"left", f.ArmPose.Left}, {"right", f.ArmPose.Right}} {
		if s.angle == nil {
			continue
		}
		where := "below"
		if *s.angle < 0 {
			where = "above"
		}
		raised = raised || *s.angle < -levelArm
		sides = append(sides, fmt.Sprintf("%s %s", s.name, level(*s.angle, where)))
	}
	if len(sides) == 0 {
		return ""
	}
	told := strings.Join(sides, ", ")
	if len(sides) == 2 && strings.TrimPrefix(sides[0], "left ") == strings.TrimPrefix(sides[1], "right ") {
		told = "both " + strings.TrimPrefix(sides[0], "left ")
	}
	text := "Arms: " + told + ". "
	mean := 0.0
	for _, a := range []*float64{f.ArmPose.Left, f.ArmPose.Right} {
		if a != nil {
			mean += *a / float64(len(sides))
		}
	}
	switch c := f.ArmPose.Class; {
	case c == nil && raised:
		return text + "They are raised: no class has a name for that."
	case c == nil:
		return text + "The sides differ too much for one class."
	case *c == "T":
		return text + fmt.Sprintf("A T-pose. Motion that stores turns from an A-pose 45° below level, put on as it is, holds these arms %s too high.", whole(45-mean))
	case *c == "A":
		return text + fmt.Sprintf("An A-pose. Motion that stores turns from a T-pose, put on as it is, holds these arms %s too low.", whole(mean))
	case *c == "hanging":
		return text + fmt.Sprintf("They hang. Motion that stores turns from a T-pose, put on as it is, holds these arms %s too low.", whole(mean))
	}
	return text + fmt.Sprintf("Between T and A: motion made for a T-pose holds these arms %s too low, motion made for an A-pose %s too high.", whole(mean), whole(45-mean))
}

// whole is an angle in whole degrees, as words.
func whole(degrees float64) string { return say.Quantity(math.Round(degrees), say.Degree) }
