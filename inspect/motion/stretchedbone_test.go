package motion

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// slideJoint keys a joint out of its place by some metres and back.
func slideJoint(r *rig.Rig, n rig.Node, by [3]float64) {
	c, at := &r.Clips[len(r.Clips)-1], r.Nodes[n].T
	ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3, Times: []float32{0, float32(c.Seconds / 2), float32(c.Seconds)}}
	for _, k := range []float64{0, 1, 0} {
		ch.Values = append(ch.Values, float32(at[0]+k*by[0]), float32(at[1]+k*by[1]), float32(at[2]+k*by[2]))
	}
	c.Channels = append(c.Channels, ch)
}

// addJoint hangs a joint on another and gives it some vertices of the surface.
func addJoint(r *rig.Rig, name string, up rig.Node, at [3]float64) rig.Node {
	n := rig.Node(len(r.Nodes))
	t := rig.TRS{T: at, R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: up, TRS: t, Matrix: t.Affine(), Mesh: rig.None, Skin: rig.None})
	r.Nodes[up].Children = append(r.Nodes[up].Children, n)
	r.SetOrder()
	s := &r.Skins[0]
	world := r.RestWorld()
	back, _ := world[n].Inverse()
	s.Joints, s.Bind = append(s.Joints, n), append(s.Bind, back)
	m := &r.Meshes[0]
	for v := 0; v < m.Vertices(); v += 97 { // a little of its own, so that it bends something
		m.Joints[m.K*v], m.Weights[m.K*v] = uint16(len(s.Joints)-1), 1
		for k := 1; k < m.K; k++ {
			m.Weights[m.K*v+k] = 0
		}
	}
	return n
}

// A socket that slides is no bone that grows; a bone that grows is told, wherever its
// joint hangs, at its place and size.
func TestSocketsAndBones(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Sway: true, Vertices: 4000})
	node := lamplighter.Node
	grow := func(joint string, share float64) func(*rig.Rig) rig.Node {
		return func(r *rig.Rig) rig.Node {
			n := node(joint)
			at := r.Nodes[n].T
			slideJoint(r, n, [3]float64{share * at[0], share * at[1], share * at[2]})
			return n
		}
	}
	by := func(joint string, d [3]float64) func(*rig.Rig) rig.Node {
		return func(r *rig.Rig) rig.Node { slideJoint(r, node(joint), d); return rig.None }
	}
	for _, row := range []struct {
		name  string
		plant func(*rig.Rig) rig.Node // the joint that must be named, None: silent
		size  float64
		limb  bool
	}{
		{"a shrug on the collarbone", by("shoulder_L", [3]float64{0, .06, 0}), 0, false},
		{"a shrug on the upper arm", by("upperArm_R", [3]float64{0, .06, 0}), 0, false},
		{"hips that bob", by("hips", [3]float64{0, .1, 0}), 0, false},
		{"a hip joint", by("upperLeg_L", [3]float64{.05, 0, 0}), 0, false},
		{"a jaw", func(r *rig.Rig) rig.Node {
			slideJoint(r, addJoint(r, "jaw", node("head"), [3]float64{0, .02, .05}), [3]float64{0, -.03, 0})
			return rig.None
		}, 0, false},
		{"eyes", func(r *rig.Rig) rig.Node {
			for _, e := range []string{"eye_L", "eye_R"} {
				slideJoint(r, addJoint(r, e, node("head"), [3]float64{0, .08, .08}), [3]float64{0, 0, .03})
			}
			return rig.None
		}, 0, false},
		{"a prop in the hand", func(r *rig.Rig) rig.Node {
			slideJoint(r, addJoint(r, "prop", node("hand_R"), [3]float64{0, -.05, 0}), [3]float64{.3, 0, 0})
			return rig.None
		}, 0, false},
		{"what a prop is drawn by", func(r *rig.Rig) rig.Node {
			slideJoint(r, addJoint(r, "draw", addJoint(r, "prop", node("hand_R"), [3]float64{0, -.05, 0}), [3]float64{0, -.1, 0}), [3]float64{.3, 0, 0})
			return rig.None
		}, 0, false},
		{"a helper on the spine", func(r *rig.Rig) rig.Node {
			slideJoint(r, addJoint(r, "belly helper", node("spine"), [3]float64{0, .02, .05}), [3]float64{0, 0, .04})
			return rig.None
		}, 0, false},
		{"a forearm", grow("lowerArm_L", .3), .3, true},
		{"a hand off its forearm", grow("hand_R", .25), .25, true},
		{"a shank", grow("lowerLeg_R", .4), .4, true},
		{"a foot", grow("foot_L", .5), .5, true},
		{"a forearm, a little", grow("lowerArm_L", .05), .05, false},
		{"a neck", grow("neck", .6), .6, false},
		{"a link of a chain", grow("chain_L_4", .5), .5, false},
		{"a forearm that shrinks", grow("lowerArm_L", -.3), .3, true},
		{"a foot keyed on the scene, its shank not", loosened("foot_L", false), .3, true},
		{"a foot keyed on the scene that goes with its shank", loosened("foot_L", true), 0, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := lamplighter.Clone(base)
			n := row.plant(r)
			got := filed(t, r, "motion/stretched-bone")
			if row.size == 0 {
				for _, f := range got {
					t.Errorf("%s: %s %v", f.Title, f.Subject, f.Measures)
				}
				return
			}
			if len(got) != 1 || math.Abs(got[0].Measures[0].Value-row.size) > 0.01*row.size || got[0].Where.Joints[0] != n || (got[0].Title == "Limb changes its length") != row.limb {
				t.Errorf("%+v, want %g at node %d", got, row.size, n)
			}
		})
	}
}

// loosened takes a joint off its limb and keys it where it stands, so that it goes with
// the limb, or is off it in the middle by three tenths of the bone.
func loosened(joint string, together bool) func(*rig.Rig) rig.Node {
	return func(r *rig.Rig) rig.Node {
		n := lamplighter.Node(joint)
		up := r.Nodes[n].Parent
		world := r.RestWorld()
		bone := world[n].Origin().Sub(world[up].Origin())
		r.Nodes[up].Children = slices.DeleteFunc(r.Nodes[up].Children, func(c rig.Node) bool { return c == n })
		r.Nodes[n].TRS = world[n].Decompose()
		r.Nodes[n].Matrix, r.Nodes[n].Parent = r.Nodes[n].TRS.Affine(), rig.None
		r.SetOrder()
		r.Clips = r.Clips[len(r.Clips)-1:] // in the others the foot would stay behind
		c := &r.Clips[0]
		p := deform.NewPlayer(r, nil)
		p.Start(c)
		ch := rig.Channel{Node: n, Path: rig.Translation, Width: 3}
		const keys = 24
		for k := range keys + 1 {
			at := c.Seconds * float64(k) / keys
			p.At(at)
			place := p.World[up].Point([3]float64(bone))
			if !together && k == keys/2 {
				place = p.World[up].Point([3]float64(bone.Mul(1.3)))
			}
			ch.Times = append(ch.Times, float32(at))
			ch.Values = append(ch.Values, float32(place[0]), float32(place[1]), float32(place[2]))
		}
		c.Channels = append(c.Channels, ch)
		if together {
			return rig.None
		}
		return n
	}
}

// People of other shapes: a shrug is none, a forearm is one.
func TestSocketsOfOtherPeople(t *testing.T) {
	for name, build := range map[string]func(menagerie.Options) *rig.Rig{"person": menagerie.Person, "three heads": menagerie.ThreeHeads} {
		for _, names := range []menagerie.Naming{menagerie.Named, menagerie.Numbered} {
			r := build(menagerie.Options{Names: names})
			roles := exam.New(r).Roles()
			shrug := lamplighter.Clone(r)
			slideJoint(shrug, roles.Node("leftShoulder"), [3]float64{0, .03, 0})
			slideJoint(shrug, roles.Node("leftUpperArm"), [3]float64{0, .02, 0})
			if got := filed(t, shrug, "motion/stretched-bone"); len(got) > 0 {
				t.Errorf("%s %d: %s %v", name, names, got[0].Subject, got[0].Measures)
			}
			n := roles.Node("rightLowerArm")
			at := r.Nodes[n].T
			slideJoint(r, n, [3]float64{.3 * at[0], .3 * at[1], .3 * at[2]})
			if got := filed(t, r, "motion/stretched-bone"); len(got) != 1 || got[0].Grade != check.Note || got[0].Where.Joints[0] != n {
				t.Errorf("%s %d: %+v", name, names, got)
			}
		}
	}
}

// Of animals the limbs are bones from their second joint on, and slide where they hang.
func TestLimbsOfAnimals(t *testing.T) {
	for i, row := range []struct {
		name  string
		build func(menagerie.Options) *rig.Rig
		names menagerie.Naming
	}{
		{"horse", menagerie.Horse, menagerie.Named}, {"horse, numbered", menagerie.Horse, menagerie.Numbered}, {"ox", menagerie.Ox, menagerie.Front},
		{"dog", menagerie.Dog, menagerie.Named}, {"spider", menagerie.Spider, menagerie.Counted},
	} {
		if !rounds.Run(i, 4) {
			continue
		}
		base := row.build(menagerie.Options{Names: row.names})
		roles := exam.New(base).Roles()
		if got := filed(t, base, "motion/stretched-bone"); len(got) > 0 {
			t.Errorf("%s: as it is: %+v", row.name, got)
		}
		seen := 0
		for n := range base.Nodes {
			up := base.Nodes[n].Parent
			if up < 0 || !slices.ContainsFunc([]string{" limb", " leg"}, func(w string) bool { return strings.Contains(roles.Of[n].Limb, w) }) {
				continue
			}
			inner := roles.Of[up].Limb == roles.Of[n].Limb
			r := lamplighter.Clone(base)
			at := r.Nodes[n].T
			slideJoint(r, rig.Node(n), [3]float64{.3 * at[0], .3 * at[1], .3 * at[2]})
			got := filed(t, r, "motion/stretched-bone")
			if inner != (len(got) == 1) || inner && (got[0].Title != "Limb changes its length" || got[0].Where.Joints[0] != rig.Node(n)) {
				t.Errorf("%s: %s (%s) grows: %+v", row.name, base.Nodes[n].Name, roles.Of[n].Limb, got)
			}
			seen++
		}
		if seen < 8 {
			t.Errorf("%s: %d joints of limbs", row.name, seen)
		}
	}
}

// Of the knight, whose arms slide at the shoulder in ten clips, no limb grows; his
// ankles and the robot's, hung on controls, are measured from the knee.
func TestRealLimbs(t *testing.T) {
	checktest.Models(t)
	for _, name := range []string{"Knight.glb", "robot.glb", "Fox.glb", "cesium_man.gltf"} {
		e := exam.New(checktest.Open(t, checktest.Corpus+"/models/"+name))
		f, err := Measure(context.Background(), e)
		if err != nil {
			t.Fatal(err)
		}
		most := map[rig.Node]Stretched{}
		for i := range f.Clips {
			for _, s := range f.Clips[i].Stretched {
				if s.Ratio > most[s.Node].Ratio {
					most[s.Node] = s
				}
			}
		}
		for n, s := range most {
			t.Logf("%s: %s from %s: %s, %.3f", name, e.NodeName(n), e.NodeName(s.From), s.Bone, s.Ratio)
			if s.Bone == LimbBone && s.Ratio > 0.2 && name == "Knight.glb" {
				t.Errorf("%s: %s grows by %.2f", name, e.NodeName(n), s.Ratio)
			}
		}
	}
}

// Its limits from both sides.
func TestStretchedBoneLimits(t *testing.T) {
	bothSides(t, "motion/stretched-bone", []both{
		{"a bone that grows", lamplighter.Lengthen(0.0199), lamplighter.Lengthen(0.0201), 0, check.Note, "change", 0},
		{"a limb that grows", lamplighter.Lengthen(0.199), lamplighter.Lengthen(0.201), check.Note, check.Note, "change of a limb's bone", 0},
	})
}
