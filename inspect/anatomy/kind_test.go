package anatomy

import (
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

var kinds = []struct {
	name  string
	build func(menagerie.Options) *rig.Rig
	names []menagerie.Naming
	want  Kind
}{
	{"person", menagerie.Person, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless}, Person},
	{"three heads high", menagerie.ThreeHeads, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless}, Person},
	{"ox", menagerie.Ox, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless, menagerie.Front, menagerie.Joined, menagerie.Biped, menagerie.Counted}, FourLegged},
	{"horse", menagerie.Horse, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless, menagerie.Front, menagerie.Joined, menagerie.Biped, menagerie.Counted}, FourLegged},
	{"dog", menagerie.Dog, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless, menagerie.Front, menagerie.Joined, menagerie.Biped, menagerie.Counted}, FourLegged},
	{"bird", menagerie.Bird, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless}, Winged},
	{"spider", menagerie.Spider, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless, menagerie.Counted}, ManyLegged},
	{"snake", menagerie.Snake, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless}, Chain},
	{"hand", menagerie.Hand, []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless}, HandAlone},
	{"cart", menagerie.Cart, []menagerie.Naming{menagerie.Named}, NoKind},
}

func TestKinds(t *testing.T) {
	for _, row := range rounds.Rows(kinds, 3) {
		for _, n := range row.names {
			r := row.build(menagerie.Options{Names: n})
			f := Find(r, r.RestWorld())
			if f.Kind != row.want {
				t.Errorf("%s, naming %d: %s, %s", row.name, n, f.Kind, f.KindEvidence)
			}
			if (f.Kind == NoKind) != (f.Certainty == 0) || f.KindEvidence == "" || strings.Contains(f.KindEvidence, "%!") {
				t.Errorf("%s, naming %d: certainty %v, %q", row.name, n, f.Certainty, f.KindEvidence)
			}
			if (n == menagerie.Numbered || n == menagerie.Nameless) && f.Certainty > .85 && row.want != ManyLegged {
				t.Errorf("%s without names: certainty %v", row.name, f.Certainty)
			}
			t.Logf("%s, naming %d: %s %.2f, %s", row.name, n, f.Kind, f.Certainty, f.KindEvidence)
			if row.want == Person || row.want == HandAlone {
				continue
			}
			for _, bone := range []string{"leftUpperLeg", "leftFoot", "leftUpperArm", "leftHand"} {
				if f.Node(bone) >= 0 {
					t.Errorf("%s, naming %d: has a %s", row.name, n, bone)
				}
			}
		}
	}
}

func TestKindsOfRealFigures(t *testing.T) {
	for _, row := range []struct {
		file string
		want Kind
	}{
		{"Knight.glb", Person}, {"robot.glb", Person}, {"cesium_man.gltf", Person}, {"Fox.glb", FourLegged},
		{"hand_left.glb", HandAlone}, {"hand_right.glb", HandAlone}, {"SimpleSkin.gltf", NoKind}, {"quad_skin.glb", NoKind},
		{"MorphStressTest.gltf", NoKind}, {"rigged_simple.gltf", NoKind},
	} {
		t.Run(row.file, func(t *testing.T) {
			r := model(t, row.file)
			f := Find(r, r.RestWorld())
			if f.Kind != row.want {
				t.Errorf("%s, %s", f.Kind, f.KindEvidence)
			}
			t.Log(f.Kind, f.Certainty, f.KindEvidence)
		})
	}
}

// Limbs in plain words, and who stands opposite whom, whatever the names say.
func TestLimbsOfTheMenagerie(t *testing.T) {
	for _, row := range kinds {
		if row.want == Person || row.want == HandAlone || row.want == NoKind || row.want == Chain {
			continue
		}
		for _, n := range row.names {
			r := row.build(menagerie.Options{Names: n})
			f := Find(r, r.RestWorld())
			count := map[string]int{}
			for i := range r.Skins[0].Joints {
				p := f.Of[i]
				if p.Limb != "" {
					count[p.Limb]++
				}
				x := f.positions[i][0]
				if x < -.001 || x > .001 {
					if p.Partner < 0 || f.positions[p.Partner][0]*x >= 0 {
						t.Errorf("%s, naming %d: joint %d %q, partner %d", row.name, n, i, r.Nodes[i].Name, p.Partner)
					}
					if (p.Side == Left) != (x > 0) || p.Side != Left && p.Side != Right {
						t.Errorf("%s, naming %d: joint %d %q at x %.2f is %s", row.name, n, i, r.Nodes[i].Name, x, p.Side)
					}
				}
			}
			want := map[Kind]map[string]int{
				FourLegged: {"left fore limb": 5, "right fore limb": 5, "left hind limb": 4, "right hind limb": 4, "tail": 3},
				Winged:     {"left wing": 3, "right wing": 3, "left leg": 3, "right leg": 3},
				ManyLegged: {"left leg 1": 3, "right leg 4": 3},
			}[row.want]
			for limb, joints := range want {
				if count[limb] != joints {
					t.Errorf("%s, naming %d: %d joints of the %s: %v", row.name, n, count[limb], limb, count)
				}
			}
		}
	}
}

// Names of a person on eight legs make no person; nor does a coat with hanging chains
// make more legs of one.
func TestNamesDoNotMakeAPerson(t *testing.T) {
	r := menagerie.Spider(menagerie.Options{Names: menagerie.Named})
	for i := range r.Nodes {
		n := &r.Nodes[i].Name
		for _, w := range [][2]string{{"body", "hips"}, {"abdomen", "spine"}, {"leg0_1", "upper_arm"}, {"leg0_2", "forearm"}, {"leg0_3", "hand"}, {"leg1_1", "thigh"}, {"leg1_2", "shin"}, {"leg1_3", "foot"}} {
			*n = strings.Replace(*n, w[0], w[1], 1)
		}
	}
	if f := Find(r, r.RestWorld()); f.Kind != ManyLegged || f.Node("leftHand") >= 0 {
		t.Errorf("a spider with names of a person: %s, %s", f.Kind, f.KindEvidence)
	}
	for _, o := range []lamplighter.Options{{}, {Pose: lamplighter.A}} {
		lamp := lamplighter.Build(o)
		if f := Find(lamp, lamp.RestWorld()); f.Kind != Person {
			t.Errorf("the lamplighter: %s, %s", f.Kind, f.KindEvidence)
		}
		for i := range lamp.Nodes {
			lamp.Nodes[i].Name = ""
		}
		if f := Find(lamp, lamp.RestWorld()); f.Kind != Person {
			t.Errorf("the lamplighter without names: %s, %s", f.Kind, f.KindEvidence)
		}
	}
}

// Kinds do not hang on which way a figure faces, where it stands or how large it is.
func TestKindsTurnedAndScaled(t *testing.T) {
	for _, row := range kinds {
		if row.want == NoKind {
			continue
		}
		for name, m := range map[string]rig.Affine{
			"faces +X":  {0, 0, 1, 5, 0, 1, 0, 0, -1, 0, 0, 7},
			"faces −Z":  {-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, -1, 0},
			"a hundred": {100, 0, 0, 0, 0, 100, 0, 0, 0, 0, 100, 0},
			"raised":    {.01, 0, 0, 0, 0, .01, 0, 9, 0, 0, .01, 0},
		} {
			for _, n := range row.names {
				r := row.build(menagerie.Options{Names: n})
				r.Nodes[0].Matrix = m.Mul(&r.Nodes[0].Matrix)
				if f := Find(r, r.RestWorld()); f.Kind != row.want {
					t.Errorf("%s, naming %d, %s: %s, %s", row.name, n, name, f.Kind, f.KindEvidence)
				}
			}
		}
	}
}
