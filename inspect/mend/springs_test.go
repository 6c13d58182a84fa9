package mend

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
)

// Still chains get springs: the finding becomes a note that a player will move them, no clip and
// no buffer view is touched, and what was written comes back through the reader, number by
// number, with a node behind the last joint of each (VRMC_springBone 1.0: the last is a tail
// alone).
func TestSpringsRoundTrip(t *testing.T) {
	r, _ := planted("motion/still-chain")[0].On(sample())
	s := ofRig(t, r)
	x := try(t, s, "springs", Values{"settle": 1.0})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	receipt := prove(t, x)
	if !receipt.Kept || len(receipt.Planted) > 0 || !slices.Contains(receipt.Shrunk, "motion/still-chain") ||
		len(receipt.Bytes.Rewritten) > 0 || receipt.Bytes.Added > 0 || receipt.Moved.Max > 0 {
		t.Errorf("%s %+v", receipt.Sentence(), receipt.Bytes)
	}
	if g := gradeOf(t, x.After, "motion/still-chain"); g != check.Note {
		t.Errorf("still-chain is %v", g)
	}
	res, _ := x.After.Examine(t.Context(), nil)
	said := false
	for _, f := range res.Findings() {
		said = said || f.ID == "motion/still-chain" && f.Title == "Chain left to springs" && strings.Contains(f.Why, "a player that simulates those will move them")
	}
	if !said {
		t.Error("nobody says that a player will move them")
	}
	is := x.After.Rig
	if len(is.Springs) != 2 || len(is.Nodes) != len(r.Nodes)+2 {
		t.Fatalf("%d springs, %d nodes", len(is.Springs), len(is.Nodes))
	}
	var file struct {
		ExtensionsUsed []string
		Extensions     struct {
			VRMC_springBone struct {
				SpecVersion string
				Springs     []struct {
					Joints []struct {
						Node                                          int
						HitRadius, Stiffness, GravityPower, DragForce float64
					}
				}
			}
		}
	}
	if err := json.Unmarshal(x.After.Doc.Root.Bytes(), &file); err != nil {
		t.Fatal(err)
	}
	ext := file.Extensions.VRMC_springBone
	if !slices.Contains(file.ExtensionsUsed, "VRMC_springBone") || ext.SpecVersion != "1.0" {
		t.Errorf("%v %q", file.ExtensionsUsed, ext.SpecVersion)
	}
	for i, spring := range is.Springs {
		if len(spring.Joints) != 7 || len(spring.Colliders) == 0 {
			t.Fatalf("spring %d: %d joints, %d colliders", i, len(spring.Joints), len(spring.Colliders))
		}
		for k, j := range spring.Joints {
			want := ext.Springs[i].Joints[k]
			if int(j.Node) != want.Node || j.Ends != (k == 6) {
				t.Errorf("spring %d, joint %d: %+v", i, k, j)
			}
			if k == 6 {
				continue
			}
			if j.Radius != want.HitRadius || j.Stiffness != want.Stiffness || j.GravityPower != want.GravityPower || j.Drag != want.DragForce ||
				!(j.GravityPower > 0) || !(j.Drag > 0 && j.Drag < 1) || j.GravityDir != [3]float64{0, -1, 0} {
				t.Errorf("spring %d, joint %d: %+v, in the file %+v", i, k, j, want)
			}
			if next := spring.Joints[k+1].Node; is.Nodes[next].Parent != j.Node {
				t.Errorf("joint %d hangs on %d", next, is.Nodes[next].Parent)
			}
		}
	}
	for _, c := range is.Colliders {
		if !(c.Radius > 0) || strings.HasPrefix(is.Nodes[c.Node].Name, "chain") {
			t.Errorf("collider %+v", c)
		}
	}
	// Once more they have springs already; and following them is still offered by name.
	again := try(t, x.After, "springs", Values{"chains": []string{"chain_L_1"}})
	if again.After != nil || !strings.Contains(again.Refused(), "has springs already") {
		t.Errorf("%q", again.Refused())
	}
	if y := try(t, x.After, "follow", Values{"chains": []string{"chain_L_1"}}); y.After == nil {
		t.Error(y.Refused())
	}
	t.Log(receipt.Sentence(), receipt.Says, receipt.Measures)
}

// A player that steps as the reference does swings the chains no more than two and a half times
// as wide as they follow, its start from a standstill included.
func TestSpringsAreCalm(t *testing.T) {
	r, _ := planted("motion/still-chain")[0].On(coarse())
	x := try(t, ofRig(t, r), "springs", nil)
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	by := map[string]float64{}
	for _, m := range x.work.measures {
		by[m.Name] = m.Value
	}
	a, b := by["widest swing of a link when it follows"], by["widest swing of a link by the reference step"]
	if !(a > 1) || !(b > 1) || b > 2.5*a {
		t.Errorf("follows %.3g°, by springs %.3g°", a, b)
	}
	t.Logf("follows %.3g°, by springs %.3g°: %v", a, b, x.work.says)
}

// Springs that are there stay, and new ones stand behind them; a level chain as drawn has
// stiffness and no gravity. A VRM of version 0 is refused.
func TestSpringsBesideOthers(t *testing.T) {
	r, _ := planted("motion/still-chain")[0].On(coarse())
	old := `{"specVersion":"1.0","colliders":[{"node":3,"shape":{"sphere":{"offset":[0,0.1,0],"radius":0.2}}}],"colliderGroups":[{"colliders":[0]}],` +
		`"springs":[{"name":"old","joints":[{"node":5,"stiffness":0.25},{"node":6}],"colliderGroups":[0]}],"extras":{"odd":1}}`
	s := edited(t, r, func(d *original.Document) {
		d.Root.Set("extensions", original.Object("VRMC_springBone", original.Parse([]byte(old))))
		d.Root.Set("extensionsUsed", original.List(original.Text("VRMC_springBone")))
	})
	if len(s.Rig.Springs) != 1 || s.Rig.Springs[0].Joints[0].Stiffness != .25 || s.Rig.Springs[0].Joints[0].Drag != .5 || len(s.Rig.Colliders) != 1 || s.Rig.Colliders[0].Offset != s.Rig.Colliders[0].Tail {
		t.Fatalf("%+v %+v", s.Rig.Springs, s.Rig.Colliders)
	}
	x := try(t, s, "springs", Values{"sag": 10.0, "chains": []string{"chain_L_1"}})
	if x.After == nil {
		t.Fatal(x.Refused())
	}
	is := x.After.Rig
	if len(is.Springs) != 2 || is.Springs[0].Name != "old" || len(is.Springs[0].Colliders) != 1 || is.Springs[0].Colliders[0] != 0 || !bytes.Contains(x.After.Doc.Root.Bytes(), []byte(`"extras":{"odd":1}`)) {
		t.Errorf("%+v", is.Springs)
	}
	if j := is.Springs[1].Joints[0]; j.GravityPower != 0 || !(j.Stiffness > 0) {
		t.Errorf("%+v", j)
	}
	if n := strings.Count(string(x.After.Doc.Root.Bytes()), `"VRMC_springBone"`); n != 2 {
		t.Errorf("the extension is named %d times", n)
	}
	zero := edited(t, r, func(d *original.Document) {
		d.Root.Set("extensions", original.Parse([]byte(`{"VRM":{"secondaryAnimation":{"boneGroups":[{"comment":"tail","bones":[5]}]}}}`)))
	})
	if len(zero.Rig.Springs) != 1 || len(zero.Rig.Springs[0].Joints) < 2 || !zero.Rig.Sprung()[5] {
		t.Fatalf("%+v", zero.Rig.Springs)
	}
	if x := try(t, zero, "springs", nil); x.After != nil || !strings.Contains(x.Refused(), "VRM of version 0") {
		t.Errorf("%q", x.Refused())
	}
}

// Springs that are broken are read around: nodes that are not there, no shape, no joints, a text
// where a list should be.
func TestBrokenSprings(t *testing.T) {
	r := coarse()
	for text, malformed := range map[string]bool{
		`{"springs":[{"joints":[{"node":9999},{"node":-4},{"node":3}]}]}`: true,
		`{"springs":"no"}`: true,
		`{"springs":[{}],"colliders":[{"node":1}],"colliderGroups":[{"colliders":[7,-1]}]}`:         false,
		`{"springs":[{"joints":[{"node":3}],"colliderGroups":[4,-1,0],"center":999}]}`:              true,
		`{"colliders":[{"node":1,"shape":{"capsule":{"offset":[1],"radius":1,"tail":[0,0,0,0]}}}]}`: false,
	} {
		s := edited(t, r, func(d *original.Document) {
			d.Root.Set("extensions", original.Object("VRMC_springBone", original.Parse([]byte(text))))
		})
		again, err := gltfio.Read([]gltfio.File{{Name: "f.glb", Data: s.Bytes}}, gltfio.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := slices.ContainsFunc(again.Malformed, func(m rig.Malformed) bool { return strings.Contains(m.Place, "springBone") }); got != malformed {
			t.Errorf("%s: %+v", text, again.Malformed)
		}
		if len(again.Sprung()) != len(again.Nodes) {
			t.Error("not every node is told of")
		}
		if _, err := s.Examine(t.Context(), nil); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// The limit of a chain that is left to springs, from both sides, is that of the check; a chain
// of which one joint has no spring is still a flaw.
func TestHalfSprung(t *testing.T) {
	r, _ := planted("motion/still-chain")[0].On(coarse())
	for n, want := range map[int]check.Grade{6: check.Note, 5: check.Flaw} {
		s := lamplighter.Clone(r)
		for _, side := range []string{"L", "R"} {
			one := rig.Spring{Center: rig.None}
			for k := 1; k <= n; k++ {
				one.Joints = append(one.Joints, rig.SpringJoint{Node: lamplighter.Node("chain_" + side + "_" + string(rune('0'+k)))})
			}
			s.Springs = append(s.Springs, one)
		}
		st := ofRig(t, s)
		st.Rig.Springs = s.Springs
		if g := gradeOf(t, st, "motion/still-chain"); g != want {
			t.Errorf("%d of 6 joints with springs: %v, want %v", n, g, want)
		}
	}
}
