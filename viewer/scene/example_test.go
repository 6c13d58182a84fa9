package scene_test

import (
	"context"
	"fmt"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/scene"
)

// A picture of the sample figure from its left, by night.
func Example() {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	p, err := scene.Prepare(context.Background(), r, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	s := scene.New(r, p, nil)
	st := scene.State{Width: 320, Height: 200, Night: true, Lens: scene.Plain, Joint: rig.None, Clip: rig.None, Bones: true}
	st.Camera = s.View(&st, camera.Left)
	pic := s.Draw(&st)
	fmt.Println(pic.W, pic.H, len(pic.Pix), pic.Changed, s.Draw(&st).Changed)
	// Output: 320 200 64000 true false
}
