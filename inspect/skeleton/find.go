package skeleton

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// point fills in where the joints of a place stand.
func (f *Facts) point(w *check.Where) {
	var places []float32
	for _, n := range w.Joints {
		if j := f.at(n); j != nil && j.Placed {
			places = append(places, float32(j.Position[0]), float32(j.Position[1]), float32(j.Position[2]))
		}
	}
	if centre, radius, ok := geom.Ball(places); ok {
		w.Point, w.Extent = &centre, max(radius, 0.02*f.Diagonal)
	}
}

// on makes a place of joints.
func (f *Facts) on(joints ...rig.Node) check.Where {
	w := check.Nowhere()
	w.Joints = joints
	f.point(&w)
	return w
}
