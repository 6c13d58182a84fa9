package skeleton

import (
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// emptiedOnto hands all that joints hold to another joint, a pair after the other.
func emptiedOnto(t *testing.T, r *rig.Rig, pairs ...rig.Node) *rig.Rig {
	t.Helper()
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i] < 0 || pairs[i+1] < 0 {
			t.Fatalf("no joints %v", pairs[i:i+2])
		}
		for _, s := range r.Surfaces {
			if s.Skin < 0 {
				continue
			}
			m, joints := &r.Meshes[s.Mesh], r.Skins[s.Skin].Joints
			from, to := slices.Index(joints, pairs[i]), slices.Index(joints, pairs[i+1])
			for v := range m.Vertices() {
				js, ws := m.Joints[m.K*v:m.K*(v+1)], m.Weights[m.K*v:m.K*(v+1)]
				into := -1
				for k := range js {
					if ws[k] == 0 || int(js[k]) != from && int(js[k]) != to {
						continue
					}
					if js[k] = uint16(to); into >= 0 {
						ws[into], ws[k], js[k] = ws[into]+ws[k], 0, 0
					} else {
						into = k
					}
				}
			}
		}
	}
	return r
}

// turning adds a clip that turns a joint away and back.
func turning(r *rig.Rig, n rig.Node, degrees float64) *rig.Rig {
	q := space.XYZW(space.Mul(space.FromXYZW(r.Nodes[n].R), space.About(space.Vec{1, 0, 0}, degrees*math.Pi/180)))
	w := r.Nodes[n].R
	v := func(q [4]float64) []float32 {
		return []float32{float32(q[0]), float32(q[1]), float32(q[2]), float32(q[3])}
	}
	r.Clips = []rig.ClipData{{Name: "nod", Seconds: 1, Channels: []rig.Channel{{Node: n, Path: rig.Rotation, Width: 4,
		Times: []float32{0, .5, 1}, Values: slices.Concat(v(w), v(q), v(w))}}}}
	return r
}

// What limbs of both sides hang on must hold surface where a joint above it does: a flaw
// where a clip turns it by more than 5°, else a note. Toes and fingers count where others
// hold; the end of a tail where the tail goes on.
func TestUnheldEnds(t *testing.T) {
	person := func() *rig.Rig { return menagerie.Person(menagerie.Options{}) }
	figures := map[string]func() *rig.Rig{
		"person": person, "three heads": func() *rig.Rig { return menagerie.ThreeHeads(menagerie.Options{}) },
		"ox": func() *rig.Rig { return menagerie.Ox(menagerie.Options{}) }, "horse": func() *rig.Rig { return menagerie.Horse(menagerie.Options{}) },
		"dog": func() *rig.Rig { return menagerie.Dog(menagerie.Options{}) }, "bird": func() *rig.Rig { return menagerie.Bird(menagerie.Options{}) },
		"spider": func() *rig.Rig { return menagerie.Spider(menagerie.Options{}) }, "snake": func() *rig.Rig { return menagerie.Snake(menagerie.Options{}) },
		"hand": func() *rig.Rig { return menagerie.Hand(menagerie.Options{}) }, "tailed": func() *rig.Rig { return menagerie.Tailed(menagerie.Options{}) },
		"angel": func() *rig.Rig { return menagerie.Angel(menagerie.Options{}) },
	}
	for name, build := range figures {
		if f := measured(t, build()); len(f.Unheld)+len(f.UnheldStill) > 0 {
			t.Errorf("%s: blamed for %s and %s", name, f.names(f.Unheld), f.names(f.UnheldStill))
		}
	}
	told := func(name string, r *rig.Rig, flaws, notes []rig.Node) {
		t.Helper()
		f := measured(t, r)
		if !slices.Equal(f.Unheld, flaws) || !slices.Equal(f.UnheldStill, notes) {
			t.Errorf("%s: flaws %v, notes %v; want %v and %v", name, f.Unheld, f.UnheldStill, flaws, notes)
		}
	}
	none := []rig.Node{}

	roles := measured(t, person()).roles
	chest, spine := roles.Node("chest"), roles.Node("spine")
	told("a person's chest", emptiedOnto(t, person(), chest, spine), []rig.Node{chest}, none)
	ox := measured(t, figures["ox"]())
	croup := slices.IndexFunc(ox.Joints, func(j Joint) bool {
		return ox.bearsPair(j.Node) && j.Node != ox.roles.Node("hips") && ox.jointParent(j.Node) >= 0
	})
	if croup < 0 {
		t.Fatal("an ox whose forelegs hang on the hips")
	}
	bears := ox.Joints[croup].Node
	onto := ox.jointParent(bears)
	bare := func() *rig.Rig {
		r := emptiedOnto(t, figures["ox"](), bears, onto)
		r.Clips = nil
		return r
	}
	told("what an ox's forelegs hang on, no clip", bare(), none, []rig.Node{bears})
	told("turned by 4°", turning(bare(), bears, 4), none, []rig.Node{bears})
	told("turned by 6°", turning(bare(), bears, 6), []rig.Node{bears}, none)
	if l, r := roles.Node("leftToes"), roles.Node("rightToes"); l >= 0 && r >= 0 {
		foot, other := roles.Node("leftFoot"), roles.Node("rightFoot")
		told("toes of one side", emptiedOnto(t, person(), l, foot), []rig.Node{l}, none)
		told("toes of both", emptiedOnto(t, person(), l, foot, r, other), none, none)
	}

	ends := map[string][2]rig.Node{}
	hand := measured(t, figures["hand"]())
	for role, n := range hand.roles.Bone {
		if strings.HasSuffix(role, "Distal") {
			ends[role] = [2]rig.Node{n, hand.jointParent(n)}
		}
	}
	if len(ends) < 4 {
		t.Fatalf("a hand with %d ends of fingers", len(ends))
	}
	var all []rig.Node
	for _, p := range ends {
		all = append(all, p[0], p[1])
	}
	told("one finger's end", emptiedOnto(t, figures["hand"](), all[0], all[1]), []rig.Node{all[0]}, none)
	told("all fingers' ends", emptiedOnto(t, figures["hand"](), all...), none, none)

	f := measured(t, figures["snake"]())
	end := rig.Node(rig.None)
	for i := range f.Joints {
		if j := &f.Joints[i]; j.mainChild < 0 && f.jointParent(j.Node) >= 0 && j.Influence > 0 && (end < 0 || f.levels(j.Node, 0) > f.levels(end, 0)) {
			end = j.Node
		}
	}
	told("the end of a snake", emptiedOnto(t, figures["snake"](), end, f.jointParent(end)), none, []rig.Node{end})
}

// The same on real figures: the knight's clips turn his chest, the robot's never turn the
// joint that his arms hang on, which holds nothing in the file as it is.
func TestUnheldChestOfRealFigures(t *testing.T) {
	for name, want := range map[string]bool{"Knight.glb": true, "cesium_man.gltf": true, "Fox.glb": true} {
		r := checktest.Named(t, name)
		f := measured(t, r)
		chest := f.roles.Node("chest")
		got := measured(t, emptiedOnto(t, r, chest, f.jointParent(chest)))
		if slices.Contains(got.Unheld, chest) != want {
			t.Errorf("%s: emptied chest %d: flaws %v, notes %v", name, chest, got.Unheld, got.UnheldStill)
		}
	}
	// A shield without a skin on the hand is not instead of the hand.
	r := checktest.Named(t, "Knight.glb")
	f := measured(t, r)
	hand, palm := rig.Node(rig.None), rig.Node(rig.None)
	for n, d := range r.Nodes {
		switch d.Name {
		case "hand.l":
			palm = rig.Node(n)
		case "lowerarm.l":
			hand = rig.Node(n)
		}
	}
	if got := measured(t, emptiedOnto(t, r, palm, hand, f.roles.Node("leftHand"), hand)); !slices.Contains(got.Unheld, f.roles.Node("leftHand")) {
		t.Errorf("Knight: emptied hand: flaws %v", got.Unheld)
	}
	f = measured(t, checktest.Named(t, "robot.glb"))
	if chest := f.roles.Node("chest"); len(f.Unheld) > 0 || !slices.Equal(f.UnheldStill, []rig.Node{chest}) {
		t.Errorf("robot: flaws %v, notes %v, want a note at %d", f.Unheld, f.UnheldStill, chest)
	}
}
