package skeleton

import (
	"path/filepath"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// bindFindings are those about bind matrices, common parts aside.
func bindFindings(t *testing.T, r *rig.Rig) (list []check.Finding) {
	t.Helper()
	r.SetOrder()
	found, _ := Station.Judge(measured(t, r), nil)
	for _, f := range found {
		if (f.ID == bindLost.ID || f.ID == bindMixedUp.ID || f.ID == bindOdd.ID) && f.Title != "Bound in another place" {
			list = append(list, f)
		}
	}
	return list
}

// carriers are the places in a skin of the joints that dominate at least so many
// vertices.
func carriers(r *rig.Rig, skin rig.Skin, least int) (list []int) {
	count := make([]int, len(r.Skins[skin].Joints))
	for _, s := range r.Surfaces {
		if s.Skin != skin {
			continue
		}
		m := &r.Meshes[s.Mesh]
		for v := range m.Vertices() {
			heavy := v * m.K
			for i := heavy; i < (v+1)*m.K; i++ {
				if m.Weights[i] > m.Weights[heavy] {
					heavy = i
				}
			}
			count[m.Joints[heavy]]++
		}
	}
	for k, n := range count {
		if n >= least {
			list = append(list, k)
		}
	}
	return list
}

// bindFaults are what can be done to a list of matrices; each answers the joints it
// spoils.
var bindFaults = []struct {
	name, id, what string
	plant          func(r *rig.Rig) []rig.Node
}{

	{"missing", "skeleton/bind-lost", bindMissing, func(r *rig.Rig) []rig.Node { return lamplighter.LoseBinds(false)(r).Nodes }},
	{"identity", "skeleton/bind-lost", bindIdentity, func(r *rig.Rig) []rig.Node { return lamplighter.LoseBinds(true)(r).Nodes }},
	{"two exchanged", "skeleton/bind-mixed", bindExchanged, func(r *rig.Rig) []rig.Node {
		c := carriers(r, 0, 10)
		return lamplighter.ExchangeBinds(c[len(c)/3], c[2*len(c)/3])(r).Nodes
	}},
	{"two pairs exchanged", "skeleton/bind-mixed", bindExchanged, func(r *rig.Rig) []rig.Node {
		c := carriers(r, 0, 10)
		a := lamplighter.ExchangeBinds(c[0], c[len(c)-1])(r).Nodes
		return append(a, lamplighter.ExchangeBinds(c[1], c[len(c)-2])(r).Nodes...)
	}},
	{"one place on", "skeleton/bind-mixed", bindShifted, func(r *rig.Rig) []rig.Node { return lamplighter.ShiftBinds(1)(r).Nodes }},
	{"two places back", "skeleton/bind-mixed", bindShifted, func(r *rig.Rig) []rig.Node { return lamplighter.ShiftBinds(-2)(r).Nodes }},
	{"the first doubled, the last lost", "skeleton/bind-mixed", bindShifted, func(r *rig.Rig) []rig.Node {
		b := r.Skins[0].Bind
		copy(b[1:], slices.Clone(b[:len(b)-1]))
		return r.Skins[0].Joints[1:]
	}},
	{"back to front", "skeleton/bind-mixed", "", func(r *rig.Rig) []rig.Node {
		slices.Reverse(r.Skins[0].Bind)
		return nil
	}},
	{"three in a ring", "skeleton/bind-mixed", bindMixed, func(r *rig.Rig) []rig.Node {
		c, s := carriers(r, 0, 10), &r.Skins[0]
		i, j, k := c[0], c[len(c)/2], c[len(c)-1]
		s.Bind[i], s.Bind[j], s.Bind[k] = s.Bind[j], s.Bind[k], s.Bind[i]
		return []rig.Node{s.Joints[i], s.Joints[j], s.Joints[k]}
	}},
	{"never inverted", "skeleton/bind-mixed", bindForward, func(r *rig.Rig) []rig.Node {
		for k := range r.Skins[0].Bind {
			r.Skins[0].Bind[k], _ = r.Skins[0].Bind[k].Inverse()
		}
		return r.Skins[0].Joints
	}},
}

// checkBindFaults plants each fault in a figure: told once, by its own name, at its
// joints that carry anything, and by no other finding about matrices.
func checkBindFaults(t *testing.T, open func() *rig.Rig) {
	for _, b := range bindFaults {
		t.Run(b.name, func(t *testing.T) {
			r := open()
			spoilt := b.plant(r)
			found := bindFindings(t, r)
			facts := measured(t, r)
			wrong := facts.BindWrong
			if len(found) == 0 || len(wrong) == 0 {
				t.Fatalf("not found: %v", wrong)
			}
			for _, f := range found {
				if f.ID != b.id || f.Grade < check.Flaw {
					t.Errorf("%s %s %q %q", f.Grade, f.ID, f.Title, f.Subject)
				}
			}
			w := wrong[0]
			if b.what != "" && w.What != b.what {
				t.Errorf("%s, want %s: %q", w.What, b.what, found[0].Subject)
			}
			for _, n := range spoilt {
				if f := facts.at(n); f.Influence > 0 && !slices.Contains(w.Joints, n) && (len(wrong) < 2 || !slices.Contains(wrong[1].Joints, n)) {
					t.Errorf("joint %s is not named", f.Name)
				}
			}
			if spoilt != nil && len(w.Joints) > len(spoilt) {
				t.Errorf("%d joints named, %d spoilt", len(w.Joints), len(spoilt))
			}
		})
	}
}

func TestBindFaultsInTheSample(t *testing.T) { checkBindFaults(t, lamp) }

func TestBindFaultsInThreeHeads(t *testing.T) {
	checkBindFaults(t, func() *rig.Rig { return menagerie.ThreeHeads(menagerie.Options{}) })
}

func TestBindFaultsInRealFigures(t *testing.T) {
	checktest.Models(t)
	for _, name := range []string{"Knight.glb", "robot.glb", "Fox.glb", "hand_left.glb", "hand_right.glb", "cesium_man.gltf"} {
		t.Run(name, func(t *testing.T) {
			if found := bindFindings(t, checktest.Open(t, filepath.Join(checktest.Corpus, "models", name))); len(found) > 0 {
				t.Errorf("clean, but %v", found)
			}
			checkBindFaults(t, func() *rig.Rig { return checktest.Open(t, filepath.Join(checktest.Corpus, "models", name)) })
		})
	}
}

// A figure that rests posed: no order makes all agree, and the places tell.
func TestBindFaultsInAPosedFigure(t *testing.T) {
	posed := func() *rig.Rig {
		r := lamp()
		turnJoint(25, "chain_L_1", "shoulder_L", "shoulder_R", "chain_R_1", "upperLeg_L", "upperLeg_R", "spine", "lowerArm_L", "lowerArm_R")(r)
		return r
	}
	if found := bindFindings(t, posed()); len(found) != 1 || found[0].Title != "Opens already posed" || found[0].Grade != check.Note {
		t.Errorf("posed alone: %v", found)
	}
	for _, row := range []struct {
		name, what string
		plant      func(*rig.Rig) lamplighter.Planted
	}{
		{"foot and hand exchanged", bindExchanged, lamplighter.ExchangeBinds(int(lamplighter.Node("foot_L")), int(lamplighter.Node("hand_R")))},
		{"three places on", bindShifted, lamplighter.ShiftBinds(1)},
		{"lost", bindIdentity, lamplighter.LoseBinds(true)},
	} {
		r := posed()
		row.plant(r)
		if w := measured(t, r).BindWrong; len(w) != 1 || w[0].What != row.what {
			t.Errorf("%s: %+v, want %s", row.name, w, row.what)
		}
	}
}
