package mend

import (
	"context"
	"errors"
	"strconv"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/fit"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/space"
)

// FitBoard is what a person sees who sets the points of a fit: where the eight stand now, how
// sure each is, the joints that follow, and the body that they lie in.
type FitBoard struct {
	Spots   []FitSpot  `json:"spots"`   // all eight of a person, from head to foot; none of other kinds
	Joints  []FitJoint `json:"joints"`  // that follow, parents first; none where it is refused
	Refused string     `json:"refused"` // why nothing is proposed, in words; "": something is
	Plane   [4]float64 `json:"plane"`   // unit normal and offset: what the other side mirrors at
	Front   space.Vec  `json:"front"`   // unit, world

	body *fit.Body
}

// FitSpot is one of the eight points, on the figure's left.
type FitSpot struct {
	Name string     `json:"name"`
	At   *space.Vec `json:"at"` // world, metres; null: it is not known
	Sure float64    `json:"sure"`
	Set  bool       `json:"set"`  // by the person
	Text string     `json:"text"` // At as a value of the mend's points
}

// FitJoint is one joint of the proposal.
type FitJoint struct {
	Name   string    `json:"name"`
	Parent int       `json:"parent"` // place in the list, −1: the root
	At     space.Vec `json:"at"`
	Sure   float64   `json:"sure"`
}

// FitBoard lays the points out for a figure without joints; values are those of the mend.
func (s *State) FitBoard(ctx context.Context, v Values) (*FitBoard, error) {
	v, err := fitSkeleton.Complete(v)
	if err != nil {
		return nil, err
	}
	w := &Work{Context: ctx, Doc: s.Doc, Rig: s.Rig, Values: v, before: s, Exam: s.looked()}
	out := &FitBoard{Spots: []FitSpot{}, Joints: []FitJoint{}}
	refused := func(err error) (*FitBoard, error) {
		why, is := Refused(err)
		if !is {
			return nil, err
		}
		out.Refused = why
		return out, nil
	}
	points, triangles, err := bodyOf(w)
	if err != nil {
		return refused(err)
	}
	b, shape, err := standing(w, points, triangles)
	if _, is := Refused(err); is && v.Text("kind") == "chain" { // a chain needs no sides
		b, err = &fit.Body{Front: space.Vec{0, 0, 1}, Plane: geom.Plane{Normal: space.Vec{1, 0, 0}}}, nil
	}
	if err != nil {
		return refused(err)
	}
	marks, err := marksOf(w)
	if err != nil {
		return refused(err)
	}
	out.body, out.Front = b, b.Front
	out.Plane = [4]float64{b.Plane.Normal[0], b.Plane.Normal[1], b.Plane.Normal[2], b.Plane.Offset}
	if kind := v.Text("kind"); kind == "chain" || kind == "four-legged" || kind == "as found" && len(marks) == 0 && shape == anatomy.FourLegged {
		list, err := proposed(w)
		return out, out.follow(ctx, list, err)
	}
	watch := &geom.Watch{Look: func() error { return ctx.Err() }}
	o := fit.Options{Marks: marks, AtFork: v.Text("hips") == "at the fork", Fingers: v.Is("fingers")}
	at, sure, err := fit.Spots(b, o, watch)
	var list []fit.Joint
	if err == nil {
		list, err = fit.Person(b, o, watch)
	}
	var r *fit.Refusal
	if errors.As(err, &r) && r.Why == fit.FourLegs && v.Text("kind") == "as found" {
		list, err := proposed(w)
		return out, out.follow(ctx, list, err)
	}
	if err := out.follow(ctx, list, err); err != nil {
		return nil, err
	}
	for _, k := range fit.Marks() {
		spot := FitSpot{Name: string(k), Sure: sure[k]}
		p, known := at[k]
		if q, is := marks[k]; is {
			p, known, spot.Set, spot.Sure = q, true, true, 1
		}
		if known {
			spot.At, spot.Text = &p, PointText(p)
		}
		out.Spots = append(out.Spots, spot)
	}
	return out, nil
}

// follow takes the joints that were proposed, or why none are.
func (b *FitBoard) follow(ctx context.Context, list []fit.Joint, err error) error {
	if e := ctx.Err(); e != nil {
		return e
	}
	var r *fit.Refusal
	if errors.As(err, &r) {
		b.Refused = whyNot(r)
	} else if why, is := Refused(err); is {
		b.Refused = why
	} else if err != nil {
		return err
	}
	for _, j := range list {
		b.Joints = append(b.Joints, FitJoint{j.Name, j.Parent, j.At, j.Sure})
	}
	return nil
}

// PointText is a place as a value of the mend's points, five figures each: "x y z".
func PointText(p space.Vec) string {
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', 5, 64) }
	return number(p[0]) + " " + number(p[1]) + " " + number(p[2])
}

// Settle answers where a point goes that a person put on a line of sight, from a place along
// a unit direction: half way through the body there, nearest to where it was; chin and groin
// on the plane between the sides. false: the line misses the body.
func (b *FitBoard) Settle(name string, from, along, was space.Vec) (space.Vec, bool) {
	if b.body == nil {
		return was, false
	}
	at, ok := fit.Middle(b.body.Points, b.body.Triangles, from, along, was)
	return b.middled(name, at), ok
}

// Beside answers where a point goes that is seen from the side: on the line of sight, as deep
// there as it was, along the axis that the eye looks in.
func (b *FitBoard) Beside(name string, from, along, axis, was space.Vec) space.Vec {
	if b.body == nil || along.Dot(axis) == 0 {
		return was
	}
	return b.middled(name, from.Add(along.Mul(was.Sub(from).Dot(axis)/along.Dot(axis))))
}

func (b *FitBoard) middled(name string, at space.Vec) space.Vec {
	if m := fit.Mark(name); m == fit.Chin || m == fit.Groin {
		n := b.body.Plane.Normal
		at = at.Sub(n.Mul(at.Dot(n) - b.body.Plane.Offset))
	}
	return at
}
