package skeleton

import (
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

func TestScaledJoints(t *testing.T) {
	head := int(lamplighter.Node("head"))
	by := func(k float64) func(*rig.Rig) { return of(lamplighter.ScaleJoint(head, k)) }
	name := []string{"head"}
	bothSides(t, "skeleton/scaled-joint", lamp, []side{
		{name: "0.09 % larger", plant: by(1.0009)},
		{name: "0.11 % larger", plant: by(1.0011), grade: check.Flaw, measure: "scale off by", value: 0.0011, near: 1e-9, joints: name},
		{name: "0.11 % smaller", plant: by(0.9989), grade: check.Flaw, measure: "scale off by", value: 0.0011, near: 1e-9, joints: name},
		{name: "mirrored", plant: by(-1), grade: check.Flaw, measure: "scale off by", value: 2, joints: name},
		{name: "nothing", plant: by(0), grade: check.Stop, measure: "product of scales", value: 0, joints: name},
		{name: "as a matrix", plant: of(lamplighter.GiveMatrix(head)), grade: check.Note, title: "Joints given as matrices", measure: "joints given as a matrix", value: 1, joints: name},
		{name: "as a matrix, one may be", plant: of(lamplighter.GiveMatrix(head)), limits: map[string]float64{"matrices": 1}},
	})
}
