package plates

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect"
	"rigloupe/inspect/geom"
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
	var points []float32
	for _, s := range r.Exam.Shown() {
		points = append(points, r.Exam.WholePositions(s)...)
	}
	box := geom.BoxOf(points)
	w := camera.Window{Width: on.Width, Height: on.Height}
	for i := range eyes {
		c := camera.Aim(mgl64.Vec3(box.Center()), box.Diagonal()/2, w)
		c.Yaw = yaw + float64(i)*math.Pi/2
		eyes[i] = camera.Fit(c, w, points)
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
