package match

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// fingered gives both hands five digits of three joints, with some of the hand's
// surface. Nodes that were there keep their numbers.
func fingered(t testing.TB, r *rig.Rig) *rig.Rig {
	for i, side := range []string{"L", "R"} {
		out := 1 - 2*float64(i)
		hand := named(t, r, "hand_"+side)
		at := slices.Index(r.Skins[0].Joints, hand)
		var mine []*uint16
		for i := range r.Meshes {
			m := &r.Meshes[i]
			for k, j := range m.Joints {
				if int(j) == at && m.Weights[k] > 0 {
					mine = append(mine, &m.Joints[k])
				}
			}
		}
		for d, digit := range []string{"thumb", "index", "middle", "ring", "little"} {
			parent, step := hand, [3]float64{out * 0.08, 0, 0.03 - 0.02*float64(d)}
			if digit == "thumb" {
				step = [3]float64{out * 0.02, 0, 0.04}
			}
			for k := range 3 {
				n := rig.Node(len(r.Nodes))
				r.Nodes = append(r.Nodes, rig.NodeData{Name: fmt.Sprintf("%s_%d_%s", digit, k+1, side), Parent: parent, Mesh: rig.None, Skin: rig.None,
					TRS: rig.TRS{T: step, R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}})
				r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
				r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
				*mine[3*d+k] = uint16(len(r.Skins[0].Joints))
				r.Skins[0].Joints, r.Skins[0].Bind = append(r.Skins[0].Joints, n), append(r.Skins[0].Bind, rig.Identity)
				parent, step = n, [3]float64{out * 0.025, 0, step[2] / 8}
			}
		}
	}
	r.SetOrder()
	return settle(r, r.RestWorld())
}

// A hand with fingers against one without, and against another with fingers.
func TestFingers(t *testing.T) {
	plain := sample(lamplighter.Options{})
	body := bodyJoints(plain)
	for _, bare := range rounds.Rows([]bool{true, false}, 2) {
		with, without := fingered(t, sample(lamplighter.Options{})), sample(lamplighter.Options{Pose: lamplighter.A})
		other := fingered(t, sample(lamplighter.Options{}))
		names := fingered(t, sample(lamplighter.Options{}))
		if bare {
			nameless(with)
			nameless(without)
			nameless(other)
		} else {
			for i := range other.Nodes {
				other.Nodes[i].Name = "hero:" + strings.ToUpper(other.Nodes[i].Name)
			}
		}
		for _, row := range []struct {
			name string
			s, t *rig.Rig
		}{{"to a hand without fingers", with, without}, {"from a hand without fingers", without, with}, {"fingers to fingers", with, other}} {
			m := Find(row.s, row.t)
			for _, n := range body {
				if p, ok := m.Of(n); !ok || p.Source != n || p.Beside >= 0 {
					t.Errorf("%s, nameless %v: %s is moved by %+v", row.name, bare, plain.Nodes[n].Name, p)
				}
			}
			fingers := 0
			for _, p := range m.Pairs {
				a, b := int(p.Source), int(p.Target)
				if a >= len(plain.Nodes) || b >= len(plain.Nodes) {
					fingers++
					if names.Nodes[a].Name != names.Nodes[b].Name {
						t.Errorf("%s, nameless %v: %s moves %s (%.2f, %s)", row.name, bare, names.Nodes[a].Name, names.Nodes[b].Name, p.Confidence, p.Evidence)
					}
				}
			}
			want := 0
			if row.name == "fingers to fingers" {
				want = 30
			}
			if fingers != want {
				t.Errorf("%s, nameless %v: %d pairs of fingers, want %d", row.name, bare, fingers, want)
			}
		}
	}
}

// A mirrored copy without names: what stands on the left moves what stands on the
// left, and that is the other node.
func TestMirroredWithoutNames(t *testing.T) {
	rounds.Dear(t)
	names := sample(lamplighter.Options{})
	s := nameless(sample(lamplighter.Options{}))
	c := nameless(moved(sample(lamplighter.Options{}), func(_ rig.Node, p space.Vec) space.Vec { return space.Vec{-p[0], p[1], p[2]} }))
	m := Find(s, c)
	swap := strings.NewReplacer("_L", "_R", "_R", "_L")
	for _, n := range bodyJoints(names) {
		want := named(t, names, swap.Replace(names.Nodes[n].Name))
		if p, ok := m.Of(n); !ok || p.Source != want {
			t.Errorf("%s is moved by %+v, want node %d", names.Nodes[n].Name, p, want)
		}
	}
	if m.Mirrored {
		t.Error("a figure with both sides is no mirror image of another")
	}
}

// Every joint stands in the table or in a list with its reason; none stands twice.
func TestAllListed(t *testing.T) {
	for _, row := range tables {
		m := Find(open2(t, row.source), open2(t, row.target))
		for _, side := range []struct {
			what string
			s    *Skeleton
			left []Left
			in   func(p Pair, n rig.Node) bool
		}{
			{"source", m.S, m.Source, func(p Pair, n rig.Node) bool { return p.Source == n || p.Beside == n }},
			{"target", m.T, m.Target, func(p Pair, n rig.Node) bool { return p.Target == n }},
		} {
			for _, n := range side.s.Joints {
				paired := slices.ContainsFunc(m.Pairs, func(p Pair) bool { return side.in(p, n) })
				count := 0
				for _, l := range side.left {
					if l.Node == n {
						count++
						if l.Why == "" {
							t.Errorf("%s %s: no reason", side.what, side.s.Name(n))
						}
					}
				}
				if paired && count != 0 || !paired && count != 1 {
					t.Errorf("%s → %s: %s joint %q is paired %v and listed %d times", row.source, row.target, side.what, side.s.Name(n), paired, count)
				}
			}
		}
		for _, p := range m.Pairs {
			if !(p.Confidence > 0 && p.Confidence <= 1) || p.Evidence == "" {
				t.Errorf("pair %+v", p)
			}
		}
	}
}

// Generations are never crossed: of two pairs, what stands above in the one stands
// not below in the other.
func TestNoGenerationsCrossed(t *testing.T) {
	for _, row := range tables {
		for _, bare := range []bool{false, true} {
			s, d := open2(t, row.source), open2(t, row.target)
			if bare {
				nameless(s)
				nameless(d)
			}
			m := Find(s, d)
			for _, p := range m.Pairs {
				for _, q := range m.Pairs {
					if m.S.Above(p.Source, q.Source) && m.T.Above(q.Target, p.Target) {
						t.Errorf("%s → %s: %d moves %d and %d moves %d", row.source, row.target, p.Source, p.Target, q.Source, q.Target)
					}
				}
			}
		}
	}
}

// A pin inside a trunk that is shared out: the joints below it take nothing from
// beyond its partner, those above nothing from before it.
func TestPinnedTrunk(t *testing.T) {
	s, d := real(t, "01_01.bvh"), real(t, "Knight.glb")
	lower, chest, spine := named(t, s, "LowerBack"), named(t, d, "chest"), named(t, d, "spine")
	m := Find(s, d, pin(lower, chest))
	if p, _ := m.Of(chest); p.Source != lower || !p.Pinned || p.Beside >= 0 {
		t.Errorf("chest is moved by %+v", p)
	}
	if p, ok := m.Of(spine); !ok || p.Source != lower && p.Source != named(t, s, "Hips") || p.Beside >= 0 && p.Beside != lower && p.Beside != named(t, s, "Hips") {
		t.Errorf("spine is moved by %+v (%v)", p, ok)
	}
	// One source joint for two targets.
	m = Find(s, d, pin(lower, chest), pin(lower, spine))
	for _, n := range []rig.Node{chest, spine} {
		if p, _ := m.Of(n); p.Source != lower || !p.Pinned {
			t.Errorf("node %d is moved by %+v", n, p)
		}
	}
	if len(m.Remarks) != 0 {
		t.Errorf("remarks %q", m.Remarks)
	}
}

// A table with shares, palms and fingers comes back whole: all its pairs stand, and
// the second saving equals the third.
func TestWholeTable(t *testing.T) {
	s, d := real(t, "01_01.bvh"), real(t, "robot.glb")
	first := Find(s, d)
	for name, write := range map[string]func(*Match, *bytes.Buffer) error{
		"JSON": func(m *Match, b *bytes.Buffer) error { return m.WriteJSON(b) },
		"CSV":  func(m *Match, b *bytes.Buffer) error { return m.WriteCSV(b) },
	} {
		var a, b, c bytes.Buffer
		save := func(m *Match, to *bytes.Buffer) []Pin {
			if err := write(m, to); err != nil {
				t.Fatal(err)
			}
			pins, err := ReadPins(to.Bytes(), s, d)
			if err != nil {
				t.Fatal(err)
			}
			return pins
		}
		again := Find(s, d, save(first, &a)...)
		last := Find(s, d, save(again, &b)...)
		save(last, &c)
		if !bytes.Equal(b.Bytes(), c.Bytes()) || len(again.Remarks) > 0 {
			t.Errorf("%s: the second saving differs from the third; remarks %q", name, again.Remarks)
		}
		if len(again.Pairs) != len(first.Pairs) {
			t.Errorf("%s: %d pairs of %d came back", name, len(again.Pairs), len(first.Pairs))
		}
		for _, p := range first.Pairs {
			q, _ := again.Of(p.Target)
			if q.Source != p.Source || q.Beside != p.Beside || q.Share-p.Share > 1e-4 || p.Share-q.Share > 1e-4 || !q.Pinned {
				t.Errorf("%s: %+v came back as %+v", name, p, q)
			}
		}
	}
}

// Few joints, several roots, four legs: clear words and no crash.
func TestOddSkeletons(t *testing.T) {
	text := func(tree string) *rig.Rig {
		r, err := bvh.Read("odd.bvh", []byte("HIERARCHY "+tree))
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	d := sample(lamplighter.Options{})
	two := text("ROOT Hips { OFFSET 0 0 0 CHANNELS 3 Xrotation Yrotation Zrotation JOINT Spine { OFFSET 0 .5 0 CHANNELS 3 Xrotation Yrotation Zrotation End Site { OFFSET 0 .3 0 } } } MOTION Frames: 1 Frame Time: .1 0 0 0 0 0 0")
	m := Find(two, d)
	for source, target := range map[string]string{"Hips": "hips", "Spine": "spine"} {
		if p, ok := m.From(named(t, two, source)); !ok || p.Target != named(t, d, target) {
			t.Errorf("two joints: %s moves %+v", source, p)
		}
	}
	roots := text("ROOT A { OFFSET 0 1 0 CHANNELS 1 Xrotation JOINT B { OFFSET 0 1 0 CHANNELS 1 Xrotation End Site { OFFSET 0 1 0 } } } ROOT C { OFFSET 1 0 0 CHANNELS 1 Yrotation } MOTION Frames: 1 Frame Time: .1 5 6 7")
	m = Find(roots, roots)
	for _, n := range m.S.Joints {
		if p, ok := m.Of(n); ok && p.Source != n {
			t.Errorf("several roots: node %d is moved by %d", n, p.Source)
		}
	}
	if _, ok := m.Of(named(t, roots, "C")); !ok {
		t.Error("several roots: the second one has no pair with itself")
	}
	fox := real(t, "Fox.glb")
	m = Find(fox, d)
	if !strings.Contains(strings.Join(m.Remarks, "\n"), `"Fox.glb" is a four-legged figure`) {
		t.Errorf("four legs: remarks %q", m.Remarks)
	}
}

// A capture with thumbs onto the sample: what hangs on a hand moves nothing that
// hangs on the yoke, and the chains stay without a pair.
func TestThumbIsNoChain(t *testing.T) {
	s, d := real(t, "01_01.bvh"), sample(lamplighter.Options{})
	m := Find(s, d)
	for _, p := range m.Pairs {
		if strings.HasPrefix(m.T.Name(p.Target), "chain_") || m.T.Name(p.Target) == "yoke" {
			t.Errorf("%s moves %s (%.2f, %s)", m.S.Name(p.Source), m.T.Name(p.Target), p.Confidence, p.Evidence)
		}
	}
	if len(m.Pairs) != 21 {
		t.Errorf("%d pairs, want the 21 of the body", len(m.Pairs))
	}
}
