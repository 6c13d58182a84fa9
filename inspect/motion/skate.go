package motion

import (
	"rigloupe/inspect/gait"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Foot is how one foot slides while it stands (package gait).
type Foot struct {
	Node  rig.Node `json:"node"`
	Share float64  `json:"share"`             // of the clip's time that it stands
	Speed float64  `json:"metres_per_second"` // mean, level, while it stands
	Slide float64  `json:"slide_m"`           // way slid near the ground, weighted by nearness

	gait gait.Foot
}

var up = space.Vec{0, 1, 0}

// track is where one point is, a frame each.
type track struct {
	node rig.Node
	path []space.Vec
}

// readFoot measures one leg: its points are the foot and its toes.
func (f *figure) readFoot(times []float64, leg []track) (foot Foot, ok bool) {
	foot.Node = leg[0].node
	var points [][]space.Vec
	for i := range leg {
		points = append(points, leg[i].path)
	}
	if !(f.height > 0) {
		return foot, false
	}
	size := gait.Size(f.height, f.leg)
	if foot.gait, ok = gait.Read(times, points, up, size); !ok {
		return foot, false
	}
	last := len(leg) - 1
	foot.Share, foot.Speed = foot.gait.Share, foot.gait.Speed
	foot.Slide = gait.Slide(points[last], up, foot.gait.Ground[last], gait.Fade*size)
	foot.gait.Steps = nil // a clip of an hour holds many
	return foot, true
}

// sameFloor tells that a clip walks in place, and how fast.
func sameFloor(feet []Foot, height float64) (speed float64, ok bool) {
	var list []gait.Foot
	for i := range feet {
		list = append(list, feet[i].gait)
	}
	return gait.InPlace(list, skateShare*height)
}
