package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// The sample in both poses and all names is clear of everything; its copies, scaled,
// turned, shifted and leaning, of all above a note, and of all but the note that says
// so.
func TestCleanSample(t *testing.T) {
	for i, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for k, names := range []lamplighter.Naming{lamplighter.Plain, lamplighter.Snake, lamplighter.Prefix} {
			if !rounds.Run(3*i+k, 2) {
				continue
			}
			o := lamplighter.Options{Pose: pose, Names: names}
			t.Run(o.FileName(), func(t *testing.T) {
				for _, f := range checktest.Silent(t, &Station, checktest.Built(o), 0) {
					t.Log(f.Subject)
				}
				for name, plant := range map[string]func(*rig.Rig) lamplighter.Planted{
					"scaled by 0.01":      lamplighter.Enlarge(0.01),
					"scaled by 2.54":      lamplighter.Enlarge(2.54),
					"shifted":             lamplighter.Shift(3, -1, 2),
					"far away":            lamplighter.Shift(400, 0, 0),
					"turned":              lamplighter.RootTurn(130, 0),
					"leaning":             lamplighter.RootTurn(0, 12),
					"leaning and turned":  lamplighter.RootTurn(40, 12),
					"root scaled by 0.01": lamplighter.RootScale(0.01, 0.01, 0.01, false),
					"stored small":        lamplighter.StoreSmall(0.01),
					"with declared bones": func(r *rig.Rig) lamplighter.Planted { lamplighter.DeclareBones(r); return lamplighter.Planted{} },
				} {
					r := checktest.Built(o)
					plant(r)
					for _, f := range checktest.Silent(t, &Station, r, check.Note) {
						if f.ID != "skeleton/bind-odd" || f.Title != "Bound in another place" {
							t.Errorf("%s: %s %s %q %v", name, f.Grade, f.ID, f.Subject, f.Measures)
						}
					}
				}
			})
		}
	}
}

// The figures of a copy follow it: lengths with the scale, angles and shares stay.
func TestScaledAndTurnedFacts(t *testing.T) {
	base := measured(t, checktest.Built(lamplighter.Options{Pose: lamplighter.A}))
	r := checktest.Built(lamplighter.Options{Pose: lamplighter.A})
	lamplighter.Enlarge(2.54)(r)
	big := measured(t, r)
	for i := range base.Joints {
		a, b := &base.Joints[i], &big.Joints[i]
		if (a.Length == nil) != (b.Length == nil) || a.Length != nil && math.Abs(*a.Length*2.54-*b.Length) > 1e-6 {
			t.Errorf("%s: length %v, scaled %v", a.Name, a.Length, b.Length)
		}
		if (a.OffCentre == nil) != (b.OffCentre == nil) || a.OffCentre != nil && math.Abs(*a.OffCentre-*b.OffCentre) > 1e-3 {
			t.Errorf("%s: off centre %v, scaled %v", a.Name, a.OffCentre, b.OffCentre)
		}
		if (a.Axis == nil) != (b.Axis == nil) || a.Axis != nil && *a.Axis != *b.Axis {
			t.Errorf("%s: axis differs", a.Name)
		}
	}
	if *base.ArmPose.Class != "A" || math.Abs(*base.ArmPose.Left-45) > 1e-4 || math.Abs(*big.ArmPose.Right-45) > 1e-4 {
		t.Errorf("arms %s %v, want A 45", *base.ArmPose.Class, *base.ArmPose.Left)
	}
	r = checktest.Built(lamplighter.Options{})
	lamplighter.RootTurn(90, 0)(r)
	if f := measured(t, r); math.Abs(f.CommonBind[0].Turn-90) > 1e-4 || f.CommonBind[0].Off != 0 || math.Abs(f.CommonBind[0].Scale-1) > 1e-6 {
		t.Errorf("common part %+v, want a turn of 90°", f.CommonBind[0])
	}
}

// Without names the sample is what it is with them, and only that is said.
func TestNamelessSample(t *testing.T) {
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		r := checktest.Built(lamplighter.Options{Pose: pose})
		named := measured(t, r)
		for i := range r.Nodes {
			r.Nodes[i].Name = ""
		}
		f := measured(t, r)
		same, body := 0, 0
		for i := range named.Joints {
			if w := named.Joints[i].Role; w != nil {
				body++
				if got := f.Joints[i].Role; got != nil && *got == *w {
					same++
				}
			}
		}
		if body != 21 || 10*same < 9*body {
			t.Errorf("%d of %d roles found without names, want 90 %%", same, body)
		}
		found, _ := Station.Judge(f, nil)
		if len(found) != 1 || found[0].ID != "skeleton/name-clash" || found[0].Grade != check.Note {
			t.Errorf("found %+v, want the names alone", found)
		}
	}
}
