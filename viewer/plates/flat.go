package plates

import (
	"math"

	"rigloupe/inspect"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

// Two draws the whole figure at rest from before and from its left, at one scale and one
// height, level, and answers the eyes of both.
func (p *Plates) Two(r *inspect.Result, front space.Vec, on Paper) (pics [2]paper.Picture, eyes [2]camera.Camera, err error) {
	l, err := p.of(r)
	if err != nil {
		return pics, eyes, err
	}
	l.scene.SetOverlay(nil)
	l.scene.SetField(nil)
	st := bare()
	st.Width, st.Height, st.Night = on.Width, on.Height, on.Night
	yaw := math.Atan2(front[0], front[2])
	for i := range eyes {
		eyes[i] = l.scene.Whole(&st, yaw+float64(i)*math.Pi/2, 0)
	}
	scale := min(eyes[0].Scale, eyes[1].Scale)
	for i := range eyes {
		eyes[i].Scale = scale
		eyes[i].Target[1] = eyes[0].Target[1]
		st.Camera = eyes[i]
		if pics[i], err = l.picture(&st, paper.Text{}, "The figure"); err != nil {
			return pics, eyes, err
		}
	}
	return pics, eyes, nil
}
