package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// The left elbow along its bone, in shares of the forearm (0.269 m).
func TestUnevenPairs(t *testing.T) {
	elbow := int(lamplighter.Node("lowerArm_L"))
	w := lamp().RestWorld()
	forearm := w[elbow].Origin().Sub(w[elbow+1].Origin()).Len()
	by := func(share float64) func(*rig.Rig) { return of(lamplighter.MoveJoint(elbow, share*forearm)) }
	both := []string{"lowerArm_L", "lowerArm_R"}
	bothSides(t, "skeleton/uneven-pair", lamp, []side{
		{name: "alike"},
		{name: "0.9 %", plant: by(0.009)},
		{name: "1.1 %", plant: by(0.011), grade: check.Note, measure: "difference", value: 0.011, near: 1e-4, joints: both},
		{name: "4.9 %", plant: by(0.049), grade: check.Note, measure: "difference", value: 0.049, near: 1e-4, joints: both},
		{name: "5.1 %", plant: by(0.051), grade: check.Flaw, measure: "difference", value: 0.051, near: 1e-4, joints: both},
		{name: "a posed arm is no uneven one", plant: turnJoint(20, "upperArm_L")},
	})
}
