package mend

import (
	"math"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// seam is how much faster or slower a joint turns where a clip begins again, radians a
// second, measured by playing a 240th of a second on both sides.
func seam(r *rig.Rig, n rig.Node, start, end float64) float64 {
	const step = 1. / 240
	pace := func(a, b float64) space.Vec {
		p, q := turnedAt(r, n, a), turnedAt(r, n, b)
		return space.Log(q.Mul(p.Conjugate())).Mul(1 / step)
	}
	return pace(start, start+step).Sub(pace(end-step, end)).Len()
}

// TestLoopRunsOn: an arm that begins slowly and ends fast, on lines and on splines, and one
// whose pose closes but whose pace does not: played again it runs on as fast, it never leaves
// its way by more than 5°, and the pose still closes.
func TestLoopRunsOn(t *testing.T) {
	arm := lamplighter.Node("upperArm_L")
	const start, end = .25, 2.5
	for _, i := range []rig.Interpolation{rig.Linear, rig.Cubic} {
		for _, closed := range []bool{false, true} {
			r := kinds(i)
			rest := space.FromXYZW(r.Nodes[arm].R)
			c := rig.Channel{Node: arm, Path: rig.Rotation, Interpolation: i, Width: 4}
			angle := func(s float64) (float64, float64) { // and its pace
				x := (s - start) / (end - start)
				if closed { // up slowly, down fast: it comes back with another pace
					return 1.2 * x * x * (1 - x), 1.2 * (2*x - 3*x*x) / (end - start)
				}
				return .9 * x * x, 1.8 * x / (end - start)
			}
			put := func(a, k float64) {
				q := space.XYZW(rest.Mul(space.About(space.Vec{.6, 0, .8}, a)))
				d := space.XYZW(rest.Mul(space.About(space.Vec{.6, 0, .8}, a+math.Pi))) // the derivative of a half angle is the turn a half turn on
				for j := range 4 {
					if k == 0 {
						c.Values = append(c.Values, float32(q[j]))
					} else {
						c.Values = append(c.Values, float32(d[j]*k/2))
					}
				}
			}
			for n := range 61 {
				s := start + (end-start)*float64(n)/60
				a, pace := angle(s)
				c.Times = append(c.Times, float32(s))
				if i == rig.Cubic {
					put(a, pace+1e-12)
				}
				put(a, 0)
				if i == rig.Cubic {
					put(a, pace+1e-12)
				}
			}
			r.Clips[0].Channels[1] = c
			s := ofRig(t, r)
			before := seam(s.Rig, arm, start, end)
			x := try(t, s, "loop", Values{"clips": []string{"go"}, "over": .6})
			if x.After == nil {
				t.Fatal(x.Refused())
			}
			if after := seam(x.After.Rig, arm, start, end); before < .5 || after > .05*before {
				t.Errorf("%v, closed %v: the pace jumps by %.3f rad/s, %.3f before", i, closed, after, before)
			}
			if open := space.Apart(turnedAt(x.After.Rig, arm, start), turnedAt(x.After.Rig, arm, end)); open > 1e-4 {
				t.Errorf("%v, closed %v: open by %g", i, closed, open)
			}
			for k := range 200 {
				at := start + (end-start)*float64(k)/200
				off := space.Apart(turnedAt(s.Rig, arm, at), turnedAt(x.After.Rig, arm, at))
				if closed && off > 5.2*math.Pi/180 || at < 1.89 && off > 1e-5 {
					t.Fatalf("%v, closed %v: at %.3f s it is %.2f° off its way", i, closed, at, off*180/math.Pi)
				}
			}
		}
	}
}
