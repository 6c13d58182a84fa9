package skeleton

import (
	"fmt"
	"strings"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// reframe turns the own axes of joints of the sample about their Z, and binds them so.
func reframe(degrees float64, names ...string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		w, to, s := r.RestWorld(), map[rig.Node]rig.Affine{}, spin(space.Vec{0, 0, 1}, degrees)
		for _, name := range names {
			n := lamplighter.Node(name)
			to[n] = w[n].Mul(&s)
		}
		lamplighter.Rebind(r, to)
	}
}

// Pairs of the body on both sides of what counts as one frame; bones off the axis that
// most lie along, 3 and 4 of 16, at 44° and 46°.
func TestAxesOfTheBody(t *testing.T) {
	both := []string{"lowerArm_L", "lowerArm_R"}
	trunk := []string{"hips", "spine", "chest", "neck"}
	bothSides(t, "skeleton/axes", lamp, []side{
		{name: "as they are"},
		{name: "forearm rolled 19°", plant: of(lamplighter.Roll(19))},
		{name: "forearm rolled 21°", plant: of(lamplighter.Roll(21)), grade: check.Flaw, title: "Axes differ between sides", measure: "pairs", value: 1. / 8, near: 1e-9, joints: both},
		{name: "3 of 16 bones off", plant: reframe(90, trunk[:3]...)},
		{name: "4 of 16 bones off", plant: reframe(90, trunk...), grade: check.Note, title: "Bones along different axes", measure: "joints off", value: 4. / 16, near: 1e-9, joints: trunk},
		{name: "4 of 16 bones 44° off", plant: reframe(44, trunk...)},
		{name: "4 of 16 bones 46° off", plant: reframe(46, trunk...), grade: check.Note, measure: "joints off", value: 4. / 16, near: 1e-9, joints: trunk},
		{name: "all axes the world's", plant: of(lamplighter.Straighten), grade: check.Note, title: "Axes along the world", measure: "joints off", value: 12. / 16, near: 1e-9},
	})
}

// What is said of the pairs adds up: those off, of all that were looked at.
func TestAxesSaid(t *testing.T) {
	for _, row := range []struct {
		name   string
		frames []string
		want   string
	}{
		{"alike either way counts as looked at", []string{"both", "both", "mirrored", "neither"}, "of 4 pairs, 1 neither mirrored nor copied"},
		{"two rules", []string{"mirrored", "mirrored", "copied", "both"}, "of 4 pairs, 1 copied and not mirrored"},
		{"two rules, the other way", []string{"copied", "mirrored", "copied"}, "of 3 pairs, 1 mirrored and not copied"},
		{"all three", []string{"copied", "mirrored", "mirrored", "neither", "neither"}, "of 5 pairs, 2 neither mirrored nor copied, 1 copied and not mirrored"},
	} {
		r := lamp()
		f := measured(t, r)
		k := 0
		for i := range f.Pairs {
			p := &f.Pairs[i]
			if !p.Known || p.Frames == "" || !anatomy.IsBodyRole(f.roleOf(p.Left)) {
				continue
			}
			if p.Frames = ""; k < len(row.frames) {
				p.Frames = row.frames[k]
			}
			k++
		}
		found, _ := Station.Judge(f, check.Overrides{})
		said := ""
		for i := range found {
			if found[i].ID == "skeleton/axes" && found[i].Title == "Axes differ between sides" {
				said = found[i].Subject
			}
		}
		if !strings.HasSuffix(said, ": "+row.want) {
			t.Errorf("%s: %q, want %q", row.name, said, row.want)
		}
	}
}

// rolled turns the own axes of a joint of a person about its bone, which lies along X.
func rolled(name string, degrees float64) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i := range r.Nodes {
			if r.Nodes[i].Name != name {
				continue
			}
			s := spin(space.Vec{1, 0, 0}, degrees)
			w := r.RestWorld()
			now := w[i].Mul(&s)
			back, _ := s.Inverse()
			local(r, rig.Node(i), r.Nodes[i].Matrix.Mul(&s))
			for _, c := range r.Nodes[i].Children {
				local(r, c, back.Mul(&r.Nodes[c].Matrix))
			}
			r.Skins[0].Bind[i], _ = now.Inverse()
			return
		}
	}
}

// A finger that follows no rule is a note where a forearm is a flaw.
func TestAxesOfFingers(t *testing.T) {
	index := "left_Index_Proximal"
	bothSides(t, "skeleton/axes", func() *rig.Rig { return person(flat()) }, []side{
		{name: "as they are", grade: check.Note, title: "Axes along the world"},
		{name: "index rolled 19°", plant: rolled(index, 19), grade: check.Note, title: "Bones along different axes"},
		{name: "index rolled 21°", plant: rolled(index, 21), grade: check.Note, title: "Axes differ between sides", measure: "pairs", value: 1. / 15, near: 1. / 400, joints: []string{index, "right_Index_Proximal"}},
	})
}

// hand is a skeleton named as WebXR names it, −Z of every joint along its bone, the
// index's middle joint tilted.
func hand(tilt float64) *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	add := func(name string, parent rig.Node, at space.Vec, m rig.Affine) rig.Node {
		n := rig.Node(len(r.Nodes))
		m[3], m[7], m[11] = at[0], at[1], at[2]
		if parent >= 0 {
			back, _ := r.RestWorld()[parent].Inverse()
			m = back.Mul(&m)
			r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
		}
		r.Nodes = append(r.Nodes, rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, Matrix: m, TRS: m.Decompose()})
		r.SetOrder()
		return n
	}
	wrist := add("wrist", rig.None, space.Vec{}, rig.Identity)
	for i, finger := range webXRFingers {
		up := wrist
		for k, joint := range webXRJoints {
			if finger == "thumb" && joint == "phalanx-intermediate" {
				continue
			}
			m := rig.Identity
			if finger == "index-finger" && joint == "phalanx-intermediate" {
				m = spin(space.Vec{1, 0, 0}, tilt)
			}
			up = add(fmt.Sprintf("%s-%s", finger, joint), up, space.Vec{.02 * float64(i-2), 0, -.03 * float64(k+1)}, m)
		}
	}
	s := rig.SkinData{Skeleton: rig.None}
	for n, w := range r.RestWorld() {
		inv, _ := w.Inverse()
		s.Joints, s.Bind = append(s.Joints, rig.Node(n)), append(s.Bind, inv)
	}
	r.Skins = []rig.SkinData{s}
	return r
}

func TestWebXRHand(t *testing.T) {
	title := "Hand axes off bones"
	for _, row := range []struct {
		tilt float64
		want bool
	}{{0, false}, {19.9, false}, {20.1, true}, {180, true}} {
		f := measured(t, hand(row.tilt))
		if !f.Axes.Hand || len(f.Axes.HandOff) != 19 {
			t.Fatalf("%v°: a hand %v with %d bones, want 19", row.tilt, f.Axes.Hand, len(f.Axes.HandOff))
		}
		found, _ := Station.Judge(f, nil)
		var at *check.Finding
		for i := range found {
			if found[i].Title == title {
				at = &found[i]
			}
		}
		if (at != nil) != row.want {
			t.Errorf("%v°: found %v, want %v", row.tilt, at != nil, row.want)
			continue
		}
		if at == nil {
			continue
		}
		if m := at.Measures[0]; at.Grade != check.Flaw || m.Value-row.tilt > 1e-6 || row.tilt-m.Value > 1e-6 || len(at.Where.Joints) != 1 || at.Where.Joints[0] != nodeOf(t, hand(0), "index-finger-phalanx-intermediate") {
			t.Errorf("%v°: %s %v at %v", row.tilt, at.Grade, m, at.Where.Joints)
		}
	}
}

// VRM 0.x has no rotation on bones at rest.
func TestOldRestRotations(t *testing.T) {
	declared := func(version string, degrees float64) func(*rig.Rig) {
		return func(r *rig.Rig) {
			declare(r, version)
			s := spin(space.Vec{0, 1, 0}, degrees)
			n := r.Humanoid.Bones["head"]
			local(r, n, r.Nodes[n].Matrix.Mul(&s))
			w := r.RestWorld()
			r.Skins[0].Bind[n], _ = w[n].Inverse()
		}
	}
	bothSides(t, "skeleton/axes", func() *rig.Rig { return person(nil) }, []side{
		{name: "0.49°", plant: declared("0", 0.49), grade: check.Note},
		{name: "0.51°", plant: declared("0", 0.51), grade: check.Flaw, title: "Rest rotation in VRM", measure: "rest rotation", value: 0.51, near: 1e-6, joints: []string{"head"}},
		{name: "30° in VRM 1.0", plant: declared("1", 30), grade: check.Note},
	})
}

// declare writes the map of bones of a person.
func declare(r *rig.Rig, version string) {
	r.Humanoid = rig.Humanoid{Version: version, Bones: map[string]rig.Node{}}
	for i := range r.Nodes {
		role := ""
		for k, c := range r.Nodes[i].Name {
			if c != '_' {
				role += r.Nodes[i].Name[k : k+1]
			}
		}
		r.Humanoid.Bones[role] = rig.Node(i)
	}
}
