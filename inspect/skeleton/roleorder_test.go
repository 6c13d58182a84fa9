package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// What the standard says MUST be so of declared bones.
func TestDeclaredBones(t *testing.T) {
	with := func(version string, change func(*rig.Rig)) func(*rig.Rig) {
		return func(r *rig.Rig) {
			declare(r, version)
			if change != nil {
				change(r)
			}
		}
	}
	scale := func(name string, x, y, z float64) func(*rig.Rig) {
		return with("1", func(r *rig.Rig) {
			n, m := r.Humanoid.Bones[name], scaledBy(x, y, z)
			local(r, n, r.Nodes[n].Matrix.Mul(&m))
		})
	}
	const breach = "Declared bones break standard"
	bothSides(t, "skeleton/role-order", func() *rig.Rig { return person(flat()) }, []side{
		{name: "nothing declared"},
		{name: "all as it must be", plant: with("1", nil)},
		{name: "between two bones a joint of no role", plant: with("1", func(r *rig.Rig) { delete(r.Humanoid.Bones, "leftToes"); delete(r.Humanoid.Bones, "chest") })},
		{name: "a required bone missing", plant: with("1", func(r *rig.Rig) { delete(r.Humanoid.Bones, "spine") }), grade: check.Flaw, title: breach, measure: "breaches", value: 1},
		{name: "no neck in 1.0", plant: with("1", func(r *rig.Rig) { delete(r.Humanoid.Bones, "neck") })},
		{name: "no neck in 0.x", plant: with("0", func(r *rig.Rig) { delete(r.Humanoid.Bones, "neck") }), grade: check.Flaw, title: breach, measure: "breaches", value: 1},
		{name: "one node for two bones", plant: with("1", func(r *rig.Rig) { r.Humanoid.Bones["leftHand"] = r.Humanoid.Bones["leftLowerArm"] }), grade: check.Flaw, title: breach, joints: []string{"left_LowerArm"}},
		{name: "sides exchanged at the hands", plant: with("1", func(r *rig.Rig) {
			b := r.Humanoid.Bones
			b["leftHand"], b["rightHand"] = b["rightHand"], b["leftHand"]
		}), grade: check.Flaw, title: breach, joints: []string{"left_Hand", "right_Hand"}},
		{name: "scales 0.09 % uneven", plant: scale("head", 1.0009, 1, 1)},
		{name: "scales 0.11 % uneven", plant: scale("head", 1.0011, 1, 1), grade: check.Flaw, title: breach, measure: "breaches", value: 1, joints: []string{"head"}},
		{name: "a negative scale", plant: scale("head", -1, -1, -1), grade: check.Flaw, title: breach, measure: "breaches", value: 1, joints: []string{"head"}},
		{name: "scale zero", plant: scale("head", 0, 0, 0), grade: check.Stop, title: "Declared bone without size", measure: "bones", value: 1, joints: []string{"head"}},
	})
}

// about turns the places of a left hand about a line through one of them.
func about(hand map[string]space.Vec, through, axis space.Vec, degrees float64, roles ...string) map[string]space.Vec {
	s := spin(axis, degrees)
	for _, role := range roles {
		hand[role] = through.Add(s.Point(hand[role].Sub(through)))
	}
	return hand
}

// Hands and feet against the T-pose of VRM 1.0, both sides alike, on both sides of each
// limit.
func TestTPose(t *testing.T) {
	wrist := space.Vec{.781, 1.4315, 0}
	all := func() (out []string) {
		for role := range flat() {
			out = append(out, role)
		}
		return out
	}()
	palm := func(degrees float64) map[string]space.Vec {
		return about(flat(), wrist, space.Vec{1, 0, 0}, degrees, all...)
	}
	finger := func(degrees float64) map[string]space.Vec {
		h := flat()
		return about(h, h["leftRingProximal"], space.Vec{0, 1, 0}, degrees, "leftRingIntermediate", "leftRingDistal")
	}
	thumb := func(degrees float64) map[string]space.Vec {
		h := flat()
		return about(h, h["leftThumbProximal"], space.Vec{1, 0, -1}, degrees, "leftThumbDistal")
	}
	ahead := func(degrees float64) map[string]space.Vec { // level, past the front towards the other hand
		h := flat()
		return about(h, h["leftThumbProximal"], space.Vec{0, 1, 0}, degrees, "leftThumbDistal")
	}
	foot := func(degrees float64) map[string]space.Vec {
		h := flat()
		s, c := math.Sincos(degrees * math.Pi / 180)
		h["leftFoot"], h["leftToes"] = space.Vec{.09, .06825, -.02}, space.Vec{.09 + .14*s, .01, -.02 + .14*c}
		return h
	}
	arms := func(hand map[string]space.Vec, below float64) map[string]space.Vec {
		s := space.Vec{.2, 1.4315, 0}
		hand["leftLowerArm"], hand["leftHand"] = space.Vec{.5255, 1.4315, 0}, wrist
		return about(hand, s, space.Vec{0, 0, 1}, -below, append([]string{"leftLowerArm", "leftHand"}, all...)...)
	}
	for _, row := range []struct {
		name    string
		places  map[string]space.Vec
		measure string // "": clear
		value   float64
		joints  []string
	}{
		{"flat hands", flat(), "", 0, nil},
		{"palms 14.9° round", palm(14.9), "", 0, nil},
		{"palms 15.1° round", palm(15.1), "palm", 15.1, []string{"left_Hand", "right_Hand"}},
		{"palms 15.1° the other way", palm(-15.1), "palm", 15.1, []string{"left_Hand"}},
		{"a finger 14.9° aside", finger(14.9), "", 0, nil},
		{"a finger 15.1° aside", finger(15.1), "finger", 15.1, []string{"left_Ring_Proximal", "right_Ring_Proximal"}},
		{"thumbs 19.9° up", thumb(-19.9), "", 0, nil},
		{"thumbs 20.1° up", thumb(-20.1), "thumb", 20.1, []string{"left_Thumb_Proximal", "right_Thumb_Proximal"}},
		{"thumbs 20.1° down", thumb(20.1), "thumb", 20.1, []string{"left_Thumb_Proximal"}},
		{"thumbs 45° forward", ahead(-45), "", 0, nil},
		{"thumbs 66° forward of level", ahead(-66), "thumb", 21, []string{"left_Thumb_Proximal"}},
		{"feet 14.9° out", foot(14.9), "", 0, nil},
		{"feet 15.1° out", foot(15.1), "foot", 15.1, []string{"left_Foot", "right_Foot"}},
		{"feet 15.1° in", foot(-15.1), "foot", 15.1, []string{"left_Foot"}},
		{"hanging hands are another pose", arms(palm(40), 80), "", 0, nil},
	} {
		want := check.Grade(0)
		title := ""
		if row.measure != "" {
			want, title = check.Note, "Off the standard's T-pose"
		}
		bothSides(t, "skeleton/role-order", func() *rig.Rig { r := person(row.places); declare(r, "1"); return r }, []side{
			{name: row.name, grade: want, title: title, measure: row.measure, value: row.value, near: 1e-4, joints: row.joints},
		})
	}
}

// Soles at y = 0, in shares of the height.
func TestSoles(t *testing.T) {
	f := measured(t, lamp())
	low := f.floor(space.Vec{0, 1, 0})
	at := func(share float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			lamplighter.DeclareBones(r)
			lamplighter.Shift(0, share*f.Height-low, 0)(r)
		}
	}
	bothSides(t, "skeleton/role-order", lamp, []side{
		{name: "on the ground", plant: at(0)},
		{name: "0.99 % above", plant: at(0.0099)},
		{name: "1.01 % above", plant: at(0.0101), grade: check.Note, title: "Off the standard's T-pose", measure: "sole", value: 0.0101, near: 1e-6, joints: []string{"hips"}},
		{name: "1.01 % below", plant: at(-0.0101), grade: check.Note, measure: "sole", value: 0.0101, near: 1e-6},
	})
}
