package inspect

import (
	"slices"
	"testing"

	"github.com/go-gl/mathgl/mgl32"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// A jump that is a key off its curve says so and asks for nothing of its own; a jump
// elsewhere stands by itself.
func TestJumpOfAStrayKeyFollowsFromIt(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 2000})
	lamplighter.Jump(100)(r)
	seen := false
	for _, f := range examined(t, r).Findings() {
		if f.ID == "motion/jump" {
			seen = true
			if f.Cause == nil || f.Cause.ID != "motion/stray-key" || f.Remedy != "" {
				t.Errorf("%+v", f)
			}
		}
	}
	if !seen {
		t.Error("no jump")
	}
}

// So does a loop that one key at its end leaves open.
func TestGapOfAStrayEndFollowsFromIt(t *testing.T) {
	for _, last := range []bool{false, true} {
		r := lamplighter.Clone(lamplighter.Build(lamplighter.Options{Sway: true, Vertices: 2000}))
		for i := range r.Clips[1].Channels {
			ch := &r.Clips[1].Channels[i]
			if ch.Node != lamplighter.Node("head") || ch.Path != rig.Rotation {
				continue
			}
			ch.Values = slices.Clone(ch.Values)
			v := ch.Values[:4]
			if last {
				v = ch.Values[len(ch.Values)-4:]
			}
			turned := mgl32.Quat{W: v[3], V: mgl32.Vec3{v[0], v[1], v[2]}}.Mul(mgl32.QuatRotate(mgl32.DegToRad(32), mgl32.Vec3{1, 0, 0}))
			v[0], v[1], v[2], v[3] = turned.V[0], turned.V[1], turned.V[2], turned.W
		}
		found := map[string]bool{}
		for _, f := range examined(t, r).Findings() {
			found[f.ID] = true
			if f.ID == "motion/loop-jump" && (f.Cause == nil || f.Cause.ID != "motion/stray-key") {
				t.Errorf("last %t: the gap stands by itself", last)
			}
		}
		if !found["motion/loop-jump"] || !found["motion/stray-key"] {
			t.Errorf("last %t: %v", last, found)
		}
	}
}
