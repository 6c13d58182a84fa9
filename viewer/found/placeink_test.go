package found

import (
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
)

// broughtAndInked: the first finding of a check is brought to the front and inked: the picture with
// it is another one than that without, by day at the page's own size. The page itself goes
// this way in site/e2e for a few of them.
func broughtAndInked(t *testing.T, res *inspect.Result, id string) {
	t.Helper()
	prepared, err := scene.Prepare(t.Context(), res.Exam.Rig, nil)
	if err != nil {
		t.Fatal(err)
	}
	for n, f := range res.Findings() {
		if f.ID != id {
			continue
		}
		places := Places(res, &f)
		if len(places) == 0 {
			t.Fatal("the finding has no place to show")
		}
		s := scene.New(res.Exam.Rig, prepared, Fields(res))
		st := scene.State{Width: 640, Height: 480, Bones: true, Joint: rig.None, Clip: rig.None, Lens: scene.Plain}
		st.Camera = s.View(&st, camera.ThreeQuarter)
		whole := st.Camera
		for i, place := range places[:min(len(places), 12)] {
			inSight(t, s, &st, whole, s.ViewOf(&st, place), place, i)
		}
		st.Camera = s.ViewOf(&st, places[0])
		pixels := func(o *scene.Overlay) []uint32 {
			s.SetOverlay(o)
			p := s.Draw(&st)
			return append([]uint32(nil), p.Pix[:p.W*p.H]...)
		}
		without, with := pixels(nil), pixels(Overlay(res, n+1))
		inked := 0
		for i, c := range without {
			if with[i] != c {
				inked++
			}
		}
		if inked < 12 { // one hollow mark has more
			t.Errorf("%d pixels are inked where the camera goes", inked)
		}
		if again := pixels(nil); !same(again, without) {
			t.Error("ink stays when it is taken away")
		}
		return
	}
}

func same(a, b []uint32) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

// inSight fails where a view of a place has not the place in its picture, or has so little
// with it that nobody knows where it is: three tenths of the figure at least, and never
// less of the figure than the whole view has.
func inSight(t *testing.T, s *scene.Scene, st *scene.State, whole, c camera.Camera, place scene.Place, i int) {
	t.Helper()
	at := place.Point
	if place.Node >= 0 {
		at = c.Target // a joint: the camera turns round it
	}
	if at == (c.Target.Mul(0)) {
		at = c.Target
	}
	x, y, _, ok := c.Pixel(at)
	if !ok || x < 0 || y < 0 || x > float64(st.Width) || y > float64(st.Height) {
		t.Errorf("place %d lies at %.0f, %.0f of a picture of %d × %d", i, x, y, st.Width, st.Height)
	}
	box := s.Box()
	size := box.Size()
	across := float64(max(st.Width, st.Height)) / c.Scale // metres across the longer side
	if least := .3 * max(size[0], size[1], size[2]); across < least {
		t.Errorf("place %d: the picture shows %.3f m of a figure of %.3f m", i, across, max(size[0], size[1], size[2]))
	}
	if c.Scale < .8*whole.Scale || c.Scale > 2.21*whole.Scale {
		t.Errorf("place %d: %.0f pixels a metre, the whole figure %.0f", i, c.Scale, whole.Scale)
	}
}
