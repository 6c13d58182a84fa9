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

// readFeet measures the legs of a figure, each by its foot and its toes, and the ground
// under them: nil where it is level. hips: no place where they are not known.
func (f *figure) readFeet(times []float64, legs [][]track, hips []space.Vec) (feet []Foot, ground []float64) {
	var ways [][][]space.Vec
	for _, leg := range legs {
		var points [][]space.Vec
		for i := range leg {
			points = append(points, leg[i].path)
		}
		ways = append(ways, points)
	}
	size := gait.Size(f.height, f.leg)
	read, ok := gait.Legs(times, ways, hips, up, size)
	if !ok || !(f.height > 0) {
		return nil, nil
	}
	ground = gait.Levels(read)
	for i, leg := range legs {
		foot := Foot{Node: leg[0].node, Share: read[i].Share, Speed: read[i].Speed, gait: read[i]}
		last := len(leg) - 1
		foot.Slide = gait.Slide(gait.Levelled(ways[i][last], up, read[i].Lift), up, read[i].Ground[last], gait.Fade*size)
		foot.gait.Steps, foot.gait.Lift = nil, nil // a clip of an hour holds many
		feet = append(feet, foot)
	}
	return feet, ground
}

// sameFloor tells that a clip walks in place, and how fast.
func sameFloor(feet []Foot, height float64) (speed float64, ok bool) {
	var list []gait.Foot
	for i := range feet {
		list = append(list, feet[i].gait)
	}
	return gait.InPlace(list, skateShare*height)
}
