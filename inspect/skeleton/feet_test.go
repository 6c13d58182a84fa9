package skeleton

import (
	"math"
	"testing"

	"rigloupe/inspect/rig"
)

// person is a skeleton of a body without a surface: where joints stand, by role. The
// right side is the mirror image unless given.
func person(places map[string]vec) *rig.Rig {
	order := []struct{ role, name, parent string }{
		{"hips", "hips", ""}, {"spine", "spine", "hips"}, {"chest", "chest", "spine"}, {"neck", "neck", "chest"}, {"head", "head", "neck"},
	}
	for _, s := range []string{"left", "right"} {
		for _, b := range [][2]string{{"UpperLeg", "hips"}, {"LowerLeg", "UpperLeg"}, {"Foot", "LowerLeg"}, {"Toes", "Foot"}, {"UpperArm", "chest"}, {"LowerArm", "UpperArm"}, {"Hand", "LowerArm"}} {
			parent := b[1]
			if parent != "hips" && parent != "chest" {
				parent = s + parent
			}
			order = append(order, struct{ role, name, parent string }{s + b[0], s + "_" + b[0], parent})
		}
	}
	at := map[string]vec{ // H = 1.75 m by Drillis and Contini 1966, facing +Z, T-pose
		"hips": {0, .95, 0}, "spine": {0, 1.05, 0}, "chest": {0, 1.2, 0}, "neck": {0, 1.48, 0}, "head": {0, 1.56, 0},
		"leftUpperLeg": {.09, .9275, 0}, "leftLowerLeg": {.09, .49875, .005}, "leftFoot": {.09, .06825, -.02}, "leftToes": {.09, .01, .12},
		"leftUpperArm": {.2, 1.4315, 0}, "leftLowerArm": {.5255, 1.4315, 0}, "leftHand": {.781, 1.4315, 0},
	}
	for role, p := range places {
		at[role] = p
	}
	for role, p := range at {
		if len(role) > 4 && role[:4] == "left" {
			if _, given := at["right"+role[4:]]; !given {
				at["right"+role[4:]] = vec{-p[0], p[1], p[2]}
			}
		}
	}
	r := &rig.Rig{Shown: rig.None}
	node := map[string]rig.Node{}
	for _, o := range order {
		n := rig.Node(len(r.Nodes))
		p, up := rig.Node(rig.None), vec{}
		if o.parent != "" {
			p, up = node[o.parent], at[o.parent]
			r.Nodes[p].Children = append(r.Nodes[p].Children, n)
		}
		t := rig.TRS{T: [3]float64(at[o.role].Sub(up)), R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: o.name, Parent: p, Mesh: rig.None, Skin: rig.None, TRS: t, Matrix: t.Affine()})
		node[o.role] = n
	}
	r.SetOrder()
	s := rig.SkinData{Skeleton: rig.None}
	for n, w := range r.RestWorld() {
		inv, _ := w.Inverse()
		s.Joints, s.Bind = append(s.Joints, rig.Node(n)), append(s.Bind, inv)
	}
	r.Skins = []rig.SkinData{s}
	return r
}

func limb(f *Facts, bone string) *Limb {
	for i := range f.Limbs {
		if f.Limbs[i].Bone == bone {
			return &f.Limbs[i]
		}
	}
	return nil
}

// Feet worked by hand: (.1,.07,−.02)→(.13,.02,.12) yaws 12.095° outward on the left;
// right (−.1,.07,−.02)→(−.06,.02,.12) 15.945° inward.
func TestFeetWorked(t *testing.T) {
	f := measured(t, person(map[string]vec{
		"leftUpperLeg": {.1, .93, 0}, "rightUpperLeg": {-.1, .93, 0}, "leftLowerLeg": {.1, .5, .02}, "rightLowerLeg": {-.1, .5, .02},
		"leftFoot": {.1, .07, -.02}, "leftToes": {.13, .02, .12}, "rightFoot": {-.1, .07, -.02}, "rightToes": {-.06, .02, .12}}))
	l, r := limb(f, "leftFoot"), limb(f, "rightFoot")
	if l == nil || r == nil {
		t.Fatalf("feet not measured: %+v", f.Limbs)
	}
	if math.Abs(*l.Yaw-12.095) > 6e-4 || math.Abs(*r.Yaw+15.945) > 6e-4 {
		t.Errorf("yaw %.3f and %.3f, want 12.095 and −15.945", *l.Yaw, *r.Yaw)
	}
}

// A knee 3° to the back is named, one 1° to the back is not, nor one to the front or
// side.
func TestBackwardKnee(t *testing.T) {
	hip, ankle := vec{.09, .9275, 0}, vec{.09, .06825, 0}
	mid := hip.Add(ankle).Mul(.5)
	half := hip.Sub(ankle).Len() / 2
	for _, row := range []struct {
		name    string
		degrees float64
		dir     vec
		want    bool
	}{{"3° back", 3, vec{0, 0, -1}, true}, {"1.9° back", 1.9, vec{0, 0, -1}, false}, {"2.1° back", 2.1, vec{0, 0, -1}, true}, {"15° front", 15, vec{0, 0, 1}, false}, {"10° sideways", 10, vec{1, 0, 0}, false}} {
		knee := mid.Add(row.dir.Mul(half * math.Tan(row.degrees/2*math.Pi/180)))
		f := measured(t, person(map[string]vec{"leftUpperLeg": hip, "leftFoot": ankle, "leftLowerLeg": knee}))
		if got := *limb(f, "leftLeg").Bend; math.Abs(got-row.degrees) > 1e-6 {
			t.Errorf("%s: bent by %v°", row.name, got)
		}
		found, _ := Station.Judge(f, nil)
		named := false
		for _, x := range found {
			if x.ID == "skeleton/rest-pose" {
				named = true
				if math.Abs(x.Measures[0].Value-row.degrees) > 1e-6 || len(x.Where.Joints) != 2 {
					t.Errorf("%s: %v at %v", row.name, x.Measures, x.Where.Joints)
				}
			}
		}
		if named != row.want {
			t.Errorf("%s: named %v, want %v", row.name, named, row.want)
		}
	}
}

// Segments of a person by the handbook are off by nothing to speak of.
func TestPersonHasHandbookProportions(t *testing.T) {
	f := measured(t, person(nil))
	if len(f.Proportions) < 12 || !f.Figure || len(f.Missing) != 0 {
		t.Fatalf("%d segments, missing %v", len(f.Proportions), f.Missing)
	}
	for _, s := range f.Proportions {
		if s.Source == handbook && math.Abs(s.Off) > 0.15 {
			t.Errorf("%s: %.3f of stature %.3f m, off by %.0f %%", s.Name, s.Share, f.Stature.Metres, 100*s.Off)
		}
	}
}
