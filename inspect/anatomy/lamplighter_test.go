package anatomy

import (
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
)

// Every joint of the sample, in every naming and pose: role, side and partner, all
// roles with full confidence.
func TestLamplighter(t *testing.T) {
	roles := map[string]string{"hips": "hips", "spine": "spine", "chest": "chest", "neck": "neck", "head": "head", "yoke": "",
		"shoulder_L": "leftShoulder", "upperArm_L": "leftUpperArm", "lowerArm_L": "leftLowerArm", "hand_L": "leftHand",
		"upperLeg_L": "leftUpperLeg", "lowerLeg_L": "leftLowerLeg", "foot_L": "leftFoot", "toes_L": "leftToes",
		"chain_L_1": "", "chain_L_2": "", "chain_L_3": "", "chain_L_4": "", "chain_L_5": "", "chain_L_6": ""}
	for _, pose := range []lamplighter.Pose{lamplighter.T, lamplighter.A} {
		for _, names := range []lamplighter.Naming{lamplighter.Plain, lamplighter.Snake, lamplighter.Prefix} {
			o := lamplighter.Options{Pose: pose, Names: names, Vertices: 4000}
			t.Run(o.FileName(), func(t *testing.T) {
				r := lamplighter.Build(o)
				f := find(r)
				for plain, role := range roles {
					n := lamplighter.Node(plain)
					if n < 0 {
						t.Fatalf("no joint %q", plain)
					}
					expect(t, r, f, n, role)
					if other := strings.Replace(plain, "_L", "_R", 1); other != plain {
						m := lamplighter.Node(other)
						expect(t, r, f, m, mirrored(role))
						if f.Of[n].Partner != m || f.Of[n].Side != Left || f.Of[m].Side != Right {
							t.Errorf("%q: partner %d side %q, want %d", r.Nodes[n].Name, f.Of[n].Partner, f.Of[n].Side, m)
						}
					} else if f.Of[n].Side != Centre || f.Of[n].Partner != rig.None {
						t.Errorf("%q: side %q partner %d", r.Nodes[n].Name, f.Of[n].Side, f.Of[n].Partner)
					}
				}
				if dir, ok := f.Facing(); !ok || dir[2] < .9999 || !f.IsFigure() {
					t.Errorf("faces %v %v, figure %v", dir, ok, f.IsFigure())
				}
				sound(t, r, f)
			})
		}
	}
}

func expect(t *testing.T, r *rig.Rig, f *Roles, n rig.Node, role string) {
	t.Helper()
	p := f.Of[n]
	if p.Role != role || role != "" && p.Confidence != AllThree {
		t.Errorf("%q: role %q %.2f, want %q (%s)", r.Nodes[n].Name, p.Role, p.Confidence, role, p.Evidence)
	}
}

// Without any name the body is still found, with what a name would add missing.
func TestNameless(t *testing.T) {
	r := lamplighter.Build(lamplighter.Options{Vertices: 4000})
	named := find(r)
	for i := range r.Nodes {
		r.Nodes[i].Name = ""
	}
	f := find(r)
	for role, n := range named.Bone {
		if f.Node(role) != n || f.Of[n].Confidence > Unnamed {
			t.Errorf("%s: node %d %.2f, want %d", role, f.Node(role), f.Of[n].Confidence, n)
		}
	}
	for i := range named.Of {
		if f.Of[i].Partner != named.Of[i].Partner || f.Of[i].Side != named.Of[i].Side {
			t.Errorf("node %d: side %q partner %d, want %q %d", i, f.Of[i].Side, f.Of[i].Partner, named.Of[i].Side, named.Of[i].Partner)
		}
	}
	sound(t, r, f)
}
