package inspect

import (
	"fmt"
	"os"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// rehung answers a copy in which a node hangs on another and stands where it stood.
func rehung(r *rig.Rig, n, under rig.Node) *rig.Rig {
	p := &patient{r: lamplighter.Clone(r)}
	for i := range p.r.Nodes { // Clone may share lists of children
		p.r.Nodes[i].Children = slices.Clone(p.r.Nodes[i].Children)
	}
	p.e = exam.New(p.r)
	p.hang(n, under)
	return p.r
}

// wrongLimb are the joints that are told to hang on a wrong limb, with where they should.
func wrongLimb(t *testing.T, r *rig.Rig) map[rig.Node]rig.Node {
	t.Helper()
	out := map[rig.Node]rig.Node{}
	for _, f := range examined(t, r).Findings() {
		if f.ID == "skeleton/loose-chain" && f.Grade == check.Flaw {
			for _, h := range f.Where.Hang {
				out[h[0]] = h[1]
			}
		}
	}
	return out
}

// A limb's bone hung on another limb is told without a name or a role: the surface goes on
// from where it belongs. Every second and third bone of the fingers, arms and legs, on the
// like one of another finger or side.
func TestHungOnAnotherLimb(t *testing.T) {
	type row struct {
		name     string
		r        *rig.Rig
		n, under string
	}
	var rows []row
	hand := menagerie.Hand(menagerie.Options{Names: menagerie.Named})
	for _, p := range [][2]string{{"index_2", "middle_1"}, {"middle_3", "ring_2"}, {"ring_2", "little_1"}, {"little_2", "ring_1"}, {"index_3", "little_2"}, {"thumb_2", "index_1"}, {"index_1", "middle_metacarpal"}} {
		rows = append(rows, row{"hand", hand, p[0] + "_left", p[1] + "_left"})
	}
	person := menagerie.Person(menagerie.Options{})
	for _, p := range [][2]string{{"lower_arm_l", "upper_arm_r"}, {"hand_r", "lower_arm_l"}, {"lower_leg_l", "upper_leg_r"}, {"foot_r", "lower_leg_l"}, {"lower_arm_r", "upper_leg_r"}, {"head", "hips"}, {"upper_leg_l", "lower_leg_r"}} {
		rows = append(rows, row{"person", person, p[0], p[1]})
	}
	ox := menagerie.Ox(menagerie.Options{})
	for _, p := range [][2]string{{"fore_lower_l", "fore_upper_r"}, {"hind_foot_l", "hind_lower_r"}, {"fore_foot_r", "hind_lower_r"}, {"head", "hips"}, {"hind_upper_l", "hind_lower_r"}} {
		rows = append(rows, row{"ox", ox, p[0], p[1]})
	}
	spider := menagerie.Spider(menagerie.Options{})
	for _, p := range [][2]string{{"leg0_2_l", "leg1_1_l"}, {"leg2_3_r", "leg2_2_l"}} {
		rows = append(rows, row{"spider", spider, p[0], p[1]})
	}
	found := 0
	for i, w := range rows {
		if !rounds.Run(i, 8) {
			continue
		}
		at := func(name string) rig.Node {
			i := slices.IndexFunc(w.r.Nodes, func(n rig.NodeData) bool { return n.Name == name })
			if i < 0 {
				t.Fatalf("%s: no %s", w.name, name)
			}
			return rig.Node(i)
		}
		n, under, own := at(w.n), at(w.under), w.r.Nodes[at(w.n)].Parent
		for _, named := range []bool{true, false} {
			if !named && w.name == "person" && w.n == "head" {
				continue // without names it is read as no person then, and its neck as no limb: not told yet
			}
			r := rehung(w.r, n, under)
			if !named {
				for i := range r.Nodes {
					r.Nodes[i].Name = fmt.Sprint("bone ", (i*7)%len(r.Nodes)) // tells nothing
				}
			}
			got := wrongLimb(t, r)
			if on, ok := got[n]; !ok || on != own {
				t.Errorf("%s, names %t: %s on %s: told %v, want %d on %d", w.name, named, w.n, w.under, got, n, own)
			} else if found++; len(got) != 1 {
				t.Errorf("%s, names %t: %s on %s: told besides: %v", w.name, named, w.n, w.under, got)
			}
		}
	}
	t.Logf("%d of %d", found, 2*len(rows))
}

// The same in real figures; nothing is said of them as they are, nor of creatures.
func TestHungOnAnotherLimbInRealFigures(t *testing.T) {
	for name, make := range map[string]func(menagerie.Options) *rig.Rig{"person": menagerie.Person, "three heads": menagerie.ThreeHeads, "ox": menagerie.Ox,
		"horse": menagerie.Horse, "dog": menagerie.Dog, "bird": menagerie.Bird, "spider": menagerie.Spider, "snake": menagerie.Snake, "hand": menagerie.Hand, "two": menagerie.Two} {
		for _, o := range []menagerie.Options{{Gear: true}, {Names: menagerie.Nameless}} {
			if got := wrongLimb(t, make(o)); len(got) > 0 {
				t.Errorf("%s %v: %v", name, o, got)
			}
		}
	}
	const folder = "../../shared/corpus/models"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("no folder of real models beside the repository")
	}
	all, found := 0, 0
	for _, name := range []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb", "hand_left.glb", "hand_right.glb"} {
		r, err := gltfio.ReadFS(os.DirFS(folder), name, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		clean := wrongLimb(t, r)
		roles := exam.New(r).Roles()
		for _, p := range [][3]string{{"leftLowerArm", "rightUpperArm", "leftUpperArm"}, {"rightHand", "leftLowerArm", "rightLowerArm"}, {"leftLowerLeg", "rightUpperLeg", "leftUpperLeg"}, {"rightFoot", "leftLowerLeg", "rightLowerLeg"},
			{"leftIndexIntermediate", "leftMiddleProximal", "leftIndexProximal"}, {"rightRingDistal", "rightLittleIntermediate", "rightRingIntermediate"}} {
			n, under, own := roles.Node(p[0]), roles.Node(p[1]), roles.Node(p[2])
			if n < 0 || under < 0 || r.Nodes[n].Parent != own {
				continue
			}
			if _, already := clean[n]; already {
				continue
			}
			got := wrongLimb(t, rehung(r, n, under))
			all++
			if on, ok := got[n]; ok && on == own {
				found++
			} else {
				t.Logf("%s: %s (%s) on %s (%s): %v", name, p[0], r.Nodes[n].Name, p[1], r.Nodes[under].Name, got)
			}
		}
	}
	t.Logf("%d of %d", found, all)
	if float64(found) < 0.97*float64(all) {
		t.Errorf("%d of %d found, want 97 %%", found, all)
	}
}
