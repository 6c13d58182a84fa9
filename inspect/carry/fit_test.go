package carry

import (
	"context"
	"strings"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// What has too little in common, stands on other legs or has no hips to go by is
// refused, with what to set by hand.
func TestRefuses(t *testing.T) {
	hips := lamplighter.Node("hips")
	for _, row := range []struct {
		name string
		m    func(t *testing.T) *match.Match
		want []string
	}{
		{"a capture on a fox", func(t *testing.T) *match.Match { return match.Find(real(t, "01_01.bvh"), real(t, "Fox.glb")) }, []string{"a four-legged figure", "a person", "by hand"}},
		{"a fox on a knight", func(t *testing.T) *match.Match { return match.Find(real(t, "Fox.glb"), real(t, "Knight.glb")) }, []string{"a four-legged figure", "a person", "by hand"}},
		{"a capture on a hand", func(t *testing.T) *match.Match { return match.Find(real(t, "01_01.bvh"), real(t, "hand_left.glb")) }, []string{"too little in common", "by hand"}},
		{"a person on an ox", person(func() *rig.Rig { return menagerie.Ox(menagerie.Options{}) }), []string{"a person", "a four-legged figure", "by hand"}},
		{"a person on a bird", person(func() *rig.Rig { return menagerie.Bird(menagerie.Options{}) }), []string{"a person", "a winged figure", "by hand"}},
		{"a person on a spider", person(func() *rig.Rig { return menagerie.Spider(menagerie.Options{}) }), []string{"a person", "a many-legged figure", "by hand"}},
		{"a person on a snake", person(func() *rig.Rig { return menagerie.Snake(menagerie.Options{}) }), []string{"a person", "a chain of joints", "by hand"}},
		{"a person on a cart", person(func() *rig.Rig { return menagerie.Cart(menagerie.Options{}) }), []string{"a person", "of no kind", "by hand"}},
		{"a cart on a person", func(*testing.T) *match.Match {
			return match.Find(menagerie.Cart(menagerie.Options{}), menagerie.Person(menagerie.Options{}))
		}, []string{"a person", "of no kind", "by hand"}},
		{"the source's hips set apart", func(*testing.T) *match.Match {
			return match.Find(sample(lamplighter.Options{}), sample(lamplighter.Options{}), match.Pin{Source: hips, Target: rig.None})
		}, []string{"hips", "no partner", "by hand"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Carry(context.Background(), row.m(t), 0, Options{})
			if err == nil {
				t.Fatal("it is carried")
			}
			for _, w := range row.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%q does not say %q", err, w)
				}
			}
		})
	}
}

// person matches the sample's clips with a figure of another kind.
func person(target func() *rig.Rig) func(*testing.T) *match.Match {
	return func(*testing.T) *match.Match { return match.Find(sample(lamplighter.Options{Sway: true}), target()) }
}

// A pair set by hand that would let a limb drive what carries both sides is left out, and the
// report says so: it is what a person asked for.
func TestLimbOntoBothSides(t *testing.T) {
	for _, on := range []string{"chest", "hips"} {
		target := sample(lamplighter.Options{Pose: lamplighter.A})
		m := match.Find(sample(lamplighter.Options{Sway: true}), target, match.Pin{Source: lamplighter.Node("upperArm_L"), Target: lamplighter.Node(on)})
		rep, err := carried(t, m, 0, Options{}).Inspect(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		told := 0
		for _, row := range rep.Rows {
			if strings.Contains(row.Text, "\"upperArm_L\" belongs to one side and \""+on+"\" carries both") && row.Grade == "note" {
				told++
			}
		}
		if told != 1 {
			t.Errorf("on the %s: told %d times: %v", on, told, rep.Remarks)
		}
	}
}

// Where no limb stands in both, none is said to point as the source's does.
func TestNoLimbCompared(t *testing.T) {
	one := func() *rig.Rig { return skeleton("a.glb", bonePart{name: "a", parent: -1}) }
	s, target := posed(one(), map[int]quat{0: degrees(axisX, 20)}, nil), one()
	rep, err := carried(t, paired(s, target), 0, Options{}).Inspect(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(rep.Limbs) > 0 || !strings.HasPrefix(rep.Said, "No limb stands in both") {
		t.Errorf("%d limbs: %q", len(rep.Limbs), rep.Said)
	}
}

// A limb whose top has no partner stays as it is, and so do hips that a person has set
// to have none: nothing is torn off, and it is said.
func TestCarriesWhatIsSure(t *testing.T) {
	for _, row := range []struct {
		apart string
		stays []string
		moves []string
	}{
		{"upperLeg_L", []string{"upperLeg_L", "lowerLeg_L", "foot_L", "toes_L"}, []string{"upperLeg_R", "upperArm_L", "hips"}},
		{"upperArm_R", []string{"upperArm_R", "lowerArm_R", "hand_R"}, []string{"upperLeg_R", "upperArm_L", "hips"}},
		{"hips", []string{"hips"}, []string{"upperLeg_R", "upperArm_L"}},
	} {
		t.Run(row.apart, func(t *testing.T) {
			s, target := sample(lamplighter.Options{Sway: true}), sample(lamplighter.Options{Pose: lamplighter.A})
			m := match.Find(s, target, match.Pin{Source: rig.None, Target: lamplighter.Node(row.apart)})
			r := carried(t, m, 0, Options{})
			has := map[rig.Node]bool{}
			for _, c := range r.Clip.Channels {
				has[c.Node] = true
				if name := target.Nodes[c.Node].Name; c.Path == rig.Translation && name != "hips" {
					t.Errorf("%s leaves its place", name)
				}
			}
			for _, name := range row.stays {
				if has[lamplighter.Node(name)] {
					t.Errorf("%s moves", name)
				}
			}
			for _, name := range row.moves {
				if !has[lamplighter.Node(name)] {
					t.Errorf("%s stays", name)
				}
			}
			if said := strings.Join(r.Remarks, "; "); !strings.Contains(said, "has no partner") && !strings.Contains(said, "hips do not move") {
				t.Errorf("nothing is said of it: %s", said)
			}
		})
	}
}

// No limb moves what carries the other side too, whatever names say or do not say.
func TestLimbMovesNoTrunk(t *testing.T) {
	var figures []*rig.Rig
	for _, n := range []menagerie.Naming{menagerie.Named, menagerie.Numbered, menagerie.Nameless} {
		figures = append(figures, menagerie.Person(menagerie.Options{Names: n}), menagerie.ThreeHeads(menagerie.Options{Names: n}))
	}
	figures = append(figures, sample(lamplighter.Options{}))
	for _, name := range []string{"01_01.bvh", "Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb", "hand_left.glb"} {
		if data := corpus(name); data != nil {
			figures = append(figures, data)
		}
	}
	sides := func(k *match.Skeleton, n rig.Node) (left, right bool) {
		for _, role := range []string{"UpperLeg", "UpperArm", "LowerLeg", "LowerArm", "Foot", "Hand"} {
			if l := k.Bone("left" + role); l >= 0 && (l == n || k.Above(n, l)) {
				left = true
			}
			if r := k.Bone("right" + role); r >= 0 && (r == n || k.Above(n, r)) {
				right = true
			}
		}
		return left, right
	}
	for _, a := range figures {
		for _, b := range figures {
			for _, without := range []string{"", "hips", "spine"} {
				var pins []match.Pin
				if k := match.NewSkeleton(a); without != "" && k.Bone(without) >= 0 {
					pins = append(pins, match.Pin{Source: k.Bone(without), Target: rig.None})
				}
				m := match.Find(a, b, pins...)
				for _, p := range m.Pairs {
					sl, sr := sides(m.S, p.Source)
					tl, tr := sides(m.T, p.Target)
					if sl != sr && tl && tr {
						t.Errorf("%s → %s without %q: %q moves %q, which carries both sides", a.File.Name, b.File.Name, without, m.S.Name(p.Source), m.T.Name(p.Target))
					}
				}
			}
		}
	}
	// By hand neither.
	s, target := sample(lamplighter.Options{}), sample(lamplighter.Options{})
	m := match.Find(s, target, match.Pin{Source: lamplighter.Node("upperLeg_L"), Target: lamplighter.Node("hips")})
	if p, ok := m.Of(lamplighter.Node("hips")); !ok || p.Source != lamplighter.Node("hips") || len(m.Remarks) == 0 {
		t.Errorf("a thigh pinned to the hips: %+v, said %v", p, m.Remarks)
	}
}
