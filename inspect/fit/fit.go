// Package fit proposes a skeleton for a figure that has none, from its surface alone and
// from points that a person sets. It takes slices and answers joints with a certainty
// each; it knows no documents and no words.
//
//	fit.go     what is asked and answered; one road for each kind of figure
//	frame.go   the figure in its own frame: left, up, front; the solid it is measured on
//	levels.go  level sections of that solid
//	legs.go    where the legs part, their middles from floor to fork, feet
//	arms.go    arms from the fingertips to the trunk
//	trunk.go   neck and head, hips to chest
//	person.go  the joints of a person out of these, and out of a person's points
//	hands.go   fingers, where five tips are found
//	beast.go   four legs; chain.go: one line of joints
//
// Sources: ends of limbs by the longest ways through the body (extremal points by geodesic
// distance); segment lengths as shares of stature of Drillis and Contini 1966 as printed in
// Winter 2009; where joints of the trunk stand is a convention of the trade: common
// practice, no source. The shares and angles that tell a limb from a tip, a fork from a hem
// and the like were set while looking at the figures that the tests measure the answers on
// (a knight, a robot, a walking man, the sample, a fox; an ox, a horse, a dog), so these do
// not prove them.
package fit

import (
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// Body is a surface in the world, metres, and how it stands.
type Body struct {
	Points    []float32 // 3·V
	Triangles []uint32  // 3·T
	Plane     geom.Plane
	Up        space.Vec // unit, along the plane
	Front     space.Vec // unit, along the plane and across Up
	FrontSure bool      // false: Front may as well be its opposite; feet decide where they can
}

// Joint is one of a proposal, parents first.
type Joint struct {
	Name   string // of a person: the bone's name in VRM 1.0
	Parent int    // place in the list, −1: the root
	At     space.Vec
	Sure   float64 // 0…1; 1: a person set it
}

// Mark is a place that a person sets, on the left or on the right: the other side mirrors
// it.
type Mark string

const (
	Chin     Mark = "chin"
	Groin    Mark = "groin"
	Shoulder Mark = "shoulder"
	Elbow    Mark = "elbow"
	Wrist    Mark = "wrist"
	Knee     Mark = "knee"
	Ankle    Mark = "ankle"
	Toe      Mark = "toe"
)

// Marks are all eight, from head to foot.
func Marks() []Mark { return []Mark{Chin, Shoulder, Elbow, Wrist, Groin, Knee, Ankle, Toe} }

// Options of a person's skeleton.
type Options struct {
	Marks   map[Mark]space.Vec // world, metres
	AtFork  bool               // hips at the height where the legs part, else at the belt
	Fingers bool               // where they are found
}

// Reason is why nothing is proposed.
type Reason uint8

const (
	NoShape    Reason = iota + 1 // nothing that has an inside
	NoLegs                       // no two legs side by side on the floor
	HiddenFork                   // a coat, a cape or a skirt hides where the legs part
	NoArms                       // no two arms that stand clear of the trunk
	NoNeck                       // nothing on top that could be a head
	FourLegs                     // it goes on four legs
	NotFour                      // it does not go on four legs
	OddMark                      // a point lies where it cannot
	Ended                        // by the watch
)

// Refusal is the error of all that is asked of this package.
type Refusal struct {
	Why  Reason
	Mark Mark // of OddMark

	Fork float64 // of HiddenFork: its height as a share of the shoulders'
}

func (r *Refusal) Error() string {
	return [...]string{"", "no shape", "no legs", "hidden fork", "no arms", "no neck", "four legs", "not four legs", "odd mark", "ended"}[r.Why]
}
