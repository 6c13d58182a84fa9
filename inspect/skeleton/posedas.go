package skeleton

import (
	"math"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
)

// mostMoments of a clip are compared with the rest pose.
const mostMoments = 64

// posedAs looks for the clip and time whose pose the rest pose is: all joints of the
// skin stand within the limits of bind-odd, and the clip keys at least half of them.
// Only times of keys are tried, at most mostMoments a clip.
func (f *Facts) posedAs(b *skinBind) *PoseOf {
	g := f.e.Rig
	skin := &g.Skins[b.skin]
	rest := f.e.RestWorld()
	pose := deform.NewPose(g)
	keyed := make([]int, len(g.Nodes))
	for c := range g.Clips {
		clip := &g.Clips[c]
		count := 0
		var times []float32
		for i := range clip.Channels {
			ch := &clip.Channels[i]
			if ch.Node < 0 || ch.Path == rig.Weights {
				continue
			}
			if len(ch.Times) > len(times) {
				times = ch.Times
			}
			keyed[ch.Node] = c + 1
		}
		for _, n := range skin.Joints {
			if keyed[n] == c+1 {
				count++
			}
		}
		if 2*count < len(skin.Joints) || len(times) == 0 {
			continue
		}
		step := max(1, (len(times)+mostMoments-1)/mostMoments)
		for i := 0; i < len(times); i += step {
			t := float64(times[i])
			pose.Sample(rig.Clip(c), t)
			if f.samePose(skin, rest, pose.World) {
				return &PoseOf{rig.Clip(c), rig.Name(f.e.Rig.Clips[c].Name), t}
			}
		}
	}
	return nil
}

func (f *Facts) samePose(skin *rig.SkinData, rest, world []rig.Affine) bool {
	for _, n := range skin.Joints {
		if !(world[n].Origin().Sub(rest[n].Origin()).Len() <= driftShare*f.Diagonal) {
			return false
		}
		back, ok := rest[n].Inverse()
		if !ok {
			return false
		}
		m := world[n].Mul(&back)
		if d := mgl64.RadToDeg(m.Turned()); !(d <= driftDegrees) || math.Abs(factor(&m)-1) > 0.01 {
			return false
		}
	}
	return true
}
