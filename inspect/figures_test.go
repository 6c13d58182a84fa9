package inspect

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/bvh"
	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

func lookedAt(t *testing.T, r *rig.Rig) *Result {
	t.Helper()
	res, err := Examine(context.Background(), r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// under hangs everything below one root: a plain node, or a joint of every skin.
func under(r *rig.Rig, joint bool) *rig.Rig {
	root := rig.Node(len(r.Nodes))
	n := rig.NodeData{Name: "root", Parent: rig.None, Matrix: rig.Identity, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}}
	for i := range r.Nodes {
		if r.Nodes[i].Parent < 0 {
			r.Nodes[i].Parent = root
			n.Children = append(n.Children, rig.Node(i))
		}
	}
	r.Nodes = append(r.Nodes, n)
	r.Scenes = []rig.Scene{{Roots: []rig.Node{root}}}
	for i := range r.Skins {
		if joint {
			r.Skins[i].Joints, r.Skins[i].Bind = append(r.Skins[i].Joints, root), append(r.Skins[i].Bind, rig.Identity)
		}
	}
	r.SetOrder()
	return r
}

// oneSkin gives two figures one skin over the joints of both.
func oneSkin(r *rig.Rig) *rig.Rig {
	first := uint16(len(r.Skins[0].Joints))
	r.Skins[0].Joints = append(r.Skins[0].Joints, r.Skins[1].Joints...)
	r.Skins[0].Bind = append(r.Skins[0].Bind, r.Skins[1].Bind...)
	for i := range r.Surfaces {
		if s := &r.Surfaces[i]; s.Skin == 1 {
			s.Skin, r.Nodes[s.Node].Skin = 0, 0
			m := &r.Meshes[s.Mesh]
			for k := range m.Joints {
				m.Joints[k] += first
			}
		}
	}
	r.Skins = r.Skins[:1]
	return r
}

// oneMesh puts the surfaces of figures on one skin into one surface: bodies in one mesh,
// as one primitive or two.
func oneMesh(r *rig.Rig, primitives int) *rig.Rig {
	a, b := &r.Meshes[0], r.Meshes[1]
	base := uint32(a.Vertices())
	for _, t := range b.Triangles {
		a.Triangles = append(a.Triangles, t+base)
	}
	second := b.Primitives[0]
	second.First, second.FirstTri = int(base), a.Primitives[0].TriCount
	a.Positions, a.Normals, a.UV = append(a.Positions, b.Positions...), append(a.Normals, b.Normals...), append(a.UV, b.UV...)
	a.Joints, a.Weights = append(a.Joints, b.Joints...), append(a.Weights, b.Weights...)
	p := &a.Primitives[0]
	if primitives == 2 {
		a.Primitives = append(a.Primitives, second)
	} else {
		p.Count, p.TriCount = p.Count+second.Count, p.TriCount+second.TriCount
		for k := range 3 {
			p.Min[k], p.Max[k] = min(p.Min[k], second.Min[k]), max(p.Max[k], second.Max[k])
			p.TrueMin[k], p.TrueMax[k] = min(p.TrueMin[k], second.TrueMin[k]), max(p.TrueMax[k], second.TrueMax[k])
		}
	}
	gone := r.Surfaces[1].Node
	r.Nodes[gone].Mesh, r.Nodes[gone].Skin = rig.None, rig.None
	r.Surfaces, r.Meshes = r.Surfaces[:1], r.Meshes[:1]
	return r
}

// embracing stands two people one behind the other, nearer than a third of their height.
func embracing(z float64) *rig.Rig {
	a, b := menagerie.Person(menagerie.Options{}), menagerie.Person(menagerie.Options{At: [3]float64{0, 0, z}})
	return menagerie.Merge(a, b)
}

// Sound figures side by side: it is said, and none has a flaw.
func TestSeveralFigures(t *testing.T) {
	at := func(x float64) menagerie.Options { return menagerie.Options{At: [3]float64{x, 0, 0}} }
	geared := menagerie.Options{Gear: true, At: [3]float64{-1.2, 0, 0}}
	for i, row := range []struct {
		name    string
		r       *rig.Rig
		figures int
		kinds   []string
	}{
		{"two people", menagerie.Two(menagerie.Options{}), 2, []string{"person", "person"}},
		{"two people below one node", under(menagerie.Two(menagerie.Options{}), false), 2, []string{"person", "person"}},
		{"two people below one joint", under(menagerie.Two(menagerie.Options{}), true), 2, []string{"person", "person"}},
		{"two people on one skin", oneSkin(menagerie.Two(menagerie.Options{})), 2, []string{"person", "person"}},
		{"two people, bones numbered", menagerie.Two(menagerie.Options{Names: menagerie.Numbered}), 2, []string{"person", "person"}},
		{"a person with gear and an ox", menagerie.Merge(menagerie.Person(geared), menagerie.Ox(at(1.2))), 2, []string{"person", "four-legged"}},
		{"a person, a bird and a spider", menagerie.Merge(menagerie.Person(at(-1.5)), menagerie.Bird(at(.5)), menagerie.Spider(at(2))), 3, []string{"person", "winged", "many-legged"}},
		{"two people in one mesh", oneMesh(oneSkin(menagerie.Two(menagerie.Options{})), 1), 2, []string{"person", "person"}},
		{"two people in one mesh, bones numbered", oneMesh(oneSkin(menagerie.Two(menagerie.Options{Names: menagerie.Numbered})), 2), 2, []string{"person", "person"}},
		{"two people in one mesh below one joint", under(oneMesh(oneSkin(menagerie.Two(menagerie.Options{})), 1), true), 2, []string{"person", "person"}},
		{"a person and an ox in one mesh", oneMesh(oneSkin(menagerie.Merge(menagerie.Person(at(-1.2)), menagerie.Ox(at(1.2)))), 1), 2, []string{"person", "four-legged"}},
		{"a horse and its rider", menagerie.Merge(menagerie.Horse(menagerie.Options{}), menagerie.Person(menagerie.Options{At: [3]float64{0, .9, 0}})), 2, []string{"four-legged", "person"}},
		{"two people, one behind the other", embracing(.3), 2, []string{"person", "person"}},
		{"two people, one behind the other, in one mesh", oneMesh(oneSkin(embracing(.4)), 1), 2, []string{"person", "person"}},
		{"a horse and the rider that hangs on its back", hung(mounted(menagerie.Named), 1), 2, []string{"four-legged", "person"}},
		{"the same, bones numbered", hung(mounted(menagerie.Numbered), 1), 2, []string{"four-legged", "person"}},
		{"the same, nameless", hung(mounted(menagerie.Nameless), 1), 2, []string{"four-legged", "person"}},
		{"the same in one skin and one mesh", hung(oneMesh(oneSkin(mounted(menagerie.Named)), 1), 2), 2, []string{"four-legged", "person"}},
		{"one person on another's shoulders, hung there", hung(menagerie.Merge(menagerie.Person(menagerie.Options{}), menagerie.Person(menagerie.Options{At: [3]float64{0, .6, -.1}})), 2), 2, []string{"person", "person"}},
		{"two horses, each with the rider that hangs on its back", twoRiders(menagerie.Options{}), 4, []string{"four-legged", "person", "four-legged", "person"}},
		{"the same, bones numbered", twoRiders(menagerie.Options{Names: menagerie.Numbered}), 4, []string{"four-legged", "person", "four-legged", "person"}},
		{"a horse with its rider, and a person beside", menagerie.Merge(hung(mounted(menagerie.Named), 1), menagerie.Person(at(3))), 3, []string{"four-legged", "person", "person"}},
		{"two of rigid parts", menagerie.Merge(menagerie.Parts(at(-1.2)), menagerie.Parts(at(1.2))), 2, []string{"person", "person"}},
	} {
		if !rounds.Run(i, 9) {
			continue
		}
		t.Run(row.name, func(t *testing.T) {
			res := lookedAt(t, row.r)
			figures := res.Exam.Figures()
			var kinds []string
			for _, f := range figures {
				if f.Exam != nil {
					kinds = append(kinds, f.Exam.Roles().Kind.String())
				}
			}
			if len(figures) != row.figures || !slices.Equal(kinds, row.kinds) {
				t.Fatalf("%d figures, %q", len(figures), kinds)
			}
			if first := res.Findings()[0]; first.ID != "intake/several-figures" || first.Grade != check.Note {
				t.Errorf("first said: %s %s", first.Grade, first.ID)
			}
			for _, f := range res.Findings() {
				if f.Grade > check.Note {
					t.Errorf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures)
				}
			}
		})
	}
}

// What is one figure stays one: with gear, of several skins, a rider, a pair of hands.
func TestOneFigure(t *testing.T) {
	for name, r := range map[string]*rig.Rig{
		"person with gear":                      menagerie.Person(menagerie.Options{Gear: true}),
		"rigid parts with a sword":              menagerie.Parts(menagerie.Options{Gear: true}),
		"ox":                                    menagerie.Ox(menagerie.Options{}),
		"a body and its clothes, two skeletons": menagerie.Merge(menagerie.Person(menagerie.Options{}), menagerie.Person(menagerie.Options{})),
		"a person and a cart":                   menagerie.Merge(menagerie.Person(menagerie.Options{At: [3]float64{-1, 0, 0}}), menagerie.Cart(menagerie.Options{At: [3]float64{1.5, 0, 0}, Still: true})),
		"a person and a rope":                   menagerie.Merge(menagerie.Person(menagerie.Options{At: [3]float64{-1, 0, 0}}), menagerie.Snake(menagerie.Options{At: [3]float64{1.5, 0, 0}})),
	} {
		if f := exam.New(r).Figures(); f != nil {
			t.Errorf("%s: %d figures", name, len(f))
		}
	}
}

// A fault in the second of two figures is found there, said of it, and at its place in
// the file's own numbers.
func TestFaultInTheSecondFigure(t *testing.T) {
	plant := func(plant func(r *rig.Rig, first rig.Node, mesh *rig.MeshData)) *Result {
		r := menagerie.Two(menagerie.Options{})
		first := rig.Node(len(r.Nodes) / 2)
		plant(r, first, &r.Meshes[1])
		return lookedAt(t, r)
	}
	joint := func(r *rig.Rig, from rig.Node, name string) rig.Node {
		for n := from; int(n) < len(r.Nodes); n++ {
			if r.Nodes[n].Name == name {
				return n
			}
		}
		t.Fatal("no joint " + name)
		return rig.None
	}
	for _, row := range []struct {
		id    string
		plant func(r *rig.Rig, first rig.Node, mesh *rig.MeshData)
	}{
		{"binding/cross-body", func(r *rig.Rig, first rig.Node, m *rig.MeshData) {
			// The left hand's corner on the right upper leg.
			from, to := joint(r, first, "hand_l")-first, joint(r, first, "upper_leg_r")-first
			for v, n := 0, 0; v < m.Vertices() && n < 12; v++ {
				if m.Joints[4*v] == uint16(from) && m.Weights[4*v] == 1 {
					m.Joints[4*v+1], m.Weights[4*v], m.Weights[4*v+1] = uint16(to), .7, .3
					n++
				}
			}
		}},
		{"skeleton/side-label", func(r *rig.Rig, first rig.Node, m *rig.MeshData) {
			a, b := joint(r, first, "lower_arm_l"), joint(r, first, "lower_arm_r")
			r.Nodes[a].Name, r.Nodes[b].Name = r.Nodes[b].Name, r.Nodes[a].Name
		}},
		{"surface/lopsided", func(r *rig.Rig, first rig.Node, m *rig.MeshData) {
			for v := range m.Vertices() { // the left foot is drawn out forwards
				if m.Positions[3*v] > -.95 && m.Positions[3*v+1] < .2 {
					m.Positions[3*v+2] += .1
				}
			}
		}},
	} {
		res := plant(row.plant)
		found := false
		for _, f := range res.Findings() {
			if f.ID != row.id || f.Grade < check.Flaw {
				continue
			}
			found = true
			if f.Figure != res.Exam.Figures()[1].Name || !strings.HasPrefix(f.Subject, f.Figure) {
				t.Errorf("%s: said of %q: %s", row.id, f.Figure, f.Subject)
			}
			for _, s := range f.Where.Spots {
				if s.Surface != 1 {
					t.Errorf("%s: on surface %d", row.id, s.Surface)
				}
			}
			for _, n := range f.Where.Joints {
				if int(n) < len(res.Exam.Rig.Nodes)/2 {
					t.Errorf("%s: at joint %d of the first figure", row.id, n)
				}
			}
		}
		if !found {
			t.Errorf("%s: not found in the second figure", row.id)
		}
	}
}

// Instances of one figure are examined once, and a crowd takes no longer for it.
func TestCrowdOfFigures(t *testing.T) {
	one := menagerie.Person(menagerie.Options{Still: true})
	r := menagerie.Merge(one)
	for i := range 300 {
		shift := rig.Node(len(r.Nodes))
		for n := range one.Nodes {
			c := one.Nodes[n]
			c.Children = slices.Clone(c.Children)
			for k := range c.Children {
				c.Children[k] += shift
			}
			if c.Parent >= 0 {
				c.Parent += shift
			} else if c.Mesh < 0 {
				c.T[0] += 2 * float64(i+1)
				c.Matrix[3] += 2 * float64(i+1)
			}
			if c.Skin >= 0 {
				c.Skin = rig.Skin(len(r.Skins))
				r.Surfaces = append(r.Surfaces, rig.Surface{Node: rig.Node(n) + shift, Mesh: 0, Skin: c.Skin})
			}
			r.Nodes = append(r.Nodes, c)
		}
		s := one.Skins[0]
		s.Joints = slices.Clone(s.Joints)
		for k := range s.Joints {
			s.Joints[k] += shift
		}
		r.Skins = append(r.Skins, s)
	}
	r.Scenes = nil
	r.Shown = rig.None
	r.SetOrder()
	figures := exam.New(r).Figures()
	examined := 0
	for i := range figures {
		if figures[i].Exam != nil {
			examined++
		}
	}
	if len(figures) != 301 || examined != 1 {
		t.Errorf("%d figures, %d examined", len(figures), examined)
	}
}

// A prop beside two figures is looked at as well.
func TestPropBesideFigures(t *testing.T) {
	cart := menagerie.Cart(menagerie.Options{At: [3]float64{3, 0, 0}, Still: true})
	m := &cart.Meshes[0]
	m.Triangles = m.Triangles[3:] // a hole in its box
	m.Primitives[0].TriCount--
	res := lookedAt(t, menagerie.Merge(menagerie.Two(menagerie.Options{}), cart))
	for _, f := range res.Findings() {
		if f.ID == "surface/boundary-edges" && strings.Contains(f.Subject, "beside the figures") && res.Exam.Rig.Nodes[res.Exam.Rig.Surfaces[f.Where.Spots[0].Surface].Node].Name == "cart" {
			return
		}
	}
	t.Error("the hole in the cart is not found")
}

// twoCaptures is a BVH of two roots, both at the origin at rest as captures are, the
// second going beside the first. edit changes the tree of the second.
func twoCaptures(t *testing.T, edit func(tree string) string) *rig.Rig {
	t.Helper()
	data, err := bvh.Write(menagerie.Person(menagerie.Options{}), 0)
	if err != nil {
		t.Fatal(err)
	}
	tree, motion, _ := strings.Cut(string(data), "MOTION")
	root := tree[strings.Index(tree, "ROOT"):]
	lines := strings.Split(strings.TrimSpace(motion), "\n")
	for i := 2; i < len(lines); i++ {
		lines[i] = strings.TrimSpace(lines[i]) + " 2" + lines[i][strings.Index(lines[i], " "):]
	}
	r, err := bvh.Read("two.bvh", []byte(tree+edit(root)+"MOTION\n"+strings.Join(lines, "\n")+"\n"))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Two captures in one file are two figures, though both rest in one place, and a fault of
// the second is said of it.
func TestTwoCaptures(t *testing.T) {
	res := lookedAt(t, twoCaptures(t, func(tree string) string { return tree }))
	if n := len(res.Exam.Figures()); n != 2 {
		t.Fatalf("%d figures", n)
	}
	if first := res.Findings()[0]; first.ID != "intake/several-figures" {
		t.Errorf("first said: %s", first.ID)
	}
	for _, f := range res.Findings() {
		if f.Grade > check.Note && f.ID != "skeleton/duplicate-names" {
			t.Errorf("%s %s: %s, %s", f.Grade, f.ID, f.Title, f.Subject)
		}
	}
	res = lookedAt(t, twoCaptures(t, func(tree string) string { // its forearms change names
		return strings.NewReplacer("lower_arm_l", "lower_arm_r", "lower_arm_r", "lower_arm_l").Replace(tree)
	}))
	found := false
	for _, f := range res.Findings() {
		if f.ID == "skeleton/side-label" {
			found = true
			if f.Figure != res.Exam.Figures()[1].Name {
				t.Errorf("side-label is said of %q", f.Figure)
			}
		}
	}
	if !found {
		t.Error("the second capture's exchanged names are not found")
	}
}

// Faults in the second of two figures in one mesh are found there, at vertices in the
// file's own numbers.
func TestFaultInOneMesh(t *testing.T) {
	sound := func() (*rig.Rig, int) {
		r := menagerie.Two(menagerie.Options{})
		first := r.Meshes[0].Vertices()
		return oneMesh(oneSkin(r), 1), first
	}
	r, first := sound()
	m := &r.Meshes[0]
	for v := first; v < m.Vertices(); v++ { // the left foot is drawn out forwards
		if m.Positions[3*v] > -.95 && m.Positions[3*v+1] < .2 {
			m.Positions[3*v+2] += .1
		}
	}
	second := func(res *Result, id string) {
		t.Helper()
		found := false
		for _, f := range res.Findings() {
			if f.ID != id || f.Grade < check.Flaw {
				continue
			}
			found = true
			if id != "binding/stray-island" && f.Figure != res.Exam.Figures()[1].Name {
				t.Errorf("%s is said of %q", id, f.Figure)
			}
			for _, s := range f.Where.Spots {
				for _, v := range s.Vertices {
					if s.Surface != 0 || int(v) < first {
						t.Fatalf("%s: surface %d, vertex %d; the second begins at %d", id, s.Surface, v, first)
					}
				}
			}
		}
		if !found {
			t.Errorf("%s is not found", id)
		}
	}
	second(lookedAt(t, r), "surface/lopsided")

	// A dozen vertices of the second hang by a tenth on a joint of the first: still two.
	r, first = sound()
	m = &r.Meshes[0]
	for v, n := first, 0; v < m.Vertices() && n < 12; v++ {
		if m.Weights[4*v] == 1 {
			m.Joints[4*v+1], m.Weights[4*v], m.Weights[4*v+1] = 2, .9, .1
			n++
		}
	}
	res := lookedAt(t, r)
	if n := len(res.Exam.Figures()); n != 2 {
		t.Errorf("%d figures where a few weights reach from one to the other", n)
	}
	second(res, "binding/stray-island")
	for _, f := range res.Findings() {
		if f.Grade > check.Note && f.ID != "binding/stray-island" {
			t.Errorf("%s %s: %s, %s", f.Grade, f.ID, f.Title, f.Subject)
		}
	}

	// Hands that are joined into one shell make one figure of nobody knows what: no more
	// is asked than that it is examined.
	r, _ = sound()
	m = &r.Meshes[0]
	m.Triangles = append(m.Triangles, 0, 1, uint32(first))
	m.Primitives[0].TriCount++
	lookedAt(t, r)
}

// mounted is a horse and a person on its back, each by itself.
func mounted(names menagerie.Naming) *rig.Rig {
	return menagerie.Merge(menagerie.Horse(menagerie.Options{Names: names}), menagerie.Person(menagerie.Options{Names: names, At: [3]float64{0, .9, 0}}))
}

// hung hangs the second figure's topmost joint on a joint of the first, where it stands.
func hung(r *rig.Rig, up rig.Node) *rig.Rig {
	world := r.RestWorld()
	n := rig.Node(len(r.Nodes) - 1)
	for r.Nodes[n].Parent >= 0 || r.Nodes[n].Mesh >= 0 || len(r.Nodes[n].Children) == 0 {
		n--
	}
	r.Nodes[n].Parent = up
	r.Nodes[up].Children = append(r.Nodes[up].Children, n)
	for k := range 3 {
		r.Nodes[n].T[k] = world[n].Origin()[k] - world[up].Origin()[k]
	}
	r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
	s := &r.Scenes[0]
	s.Roots = slices.DeleteFunc(s.Roots, func(x rig.Node) bool { return x == n })
	r.SetOrder()
	return r
}

// A fault of a rider that hangs on the mount is found at the rider.
func TestFaultOfAHungRider(t *testing.T) {
	r := hung(mounted(menagerie.Named), 1)
	var arms []rig.Node
	for n := range r.Nodes {
		if strings.HasPrefix(r.Nodes[n].Name, "lower_arm_") {
			arms = append(arms, rig.Node(n))
		}
	}
	r.Nodes[arms[0]].Name, r.Nodes[arms[1]].Name = r.Nodes[arms[1]].Name, r.Nodes[arms[0]].Name
	res := lookedAt(t, r)
	found := false
	for _, f := range res.Findings() {
		if f.Grade > check.Note {
			found = found || f.ID == "skeleton/side-label" && strings.HasPrefix(f.Figure, "figure 2") && slices.Contains(f.Where.Joints, arms[0])
			if f.ID != "skeleton/side-label" && f.ID != "skeleton/loose-chain" { // a forearm so named hangs on the other arm
				t.Errorf("%s %s: %s", f.Grade, f.ID, f.Subject)
			}
		}
	}
	if !found {
		t.Error("the names of the rider's forearms are exchanged, and nothing says so")
	}
}

// glued joins the last figure's surface to the first's by one triangle.
func glued(r *rig.Rig, first int) *rig.Rig {
	m := &r.Meshes[0]
	m.Triangles = append(m.Triangles, 0, 1, uint32(first))
	m.Primitives[len(m.Primitives)-1].TriCount++
	return r
}

// Whole figures that share a shell are not told apart: that is said, no rule of one body
// is asked, and what holds for any surface still is. A body and its clothes are no two.
func TestFusedFigures(t *testing.T) {
	rounds.Dear(t)
	person := menagerie.Person(menagerie.Options{}).Meshes[0].Vertices()
	horse := menagerie.Horse(menagerie.Options{}).Meshes[0].Vertices()
	for _, row := range []struct {
		name  string
		r     *rig.Rig
		fused bool
	}{
		{"two people", glued(oneMesh(oneSkin(menagerie.Two(menagerie.Options{})), 1), person), true},
		{"two people below one joint", under(glued(oneMesh(oneSkin(menagerie.Two(menagerie.Options{})), 1), person), true), true},
		{"two people who embrace", glued(oneMesh(oneSkin(embracing(.4)), 1), person), true},
		{"two people, bones numbered", glued(oneMesh(oneSkin(menagerie.Two(menagerie.Options{Names: menagerie.Numbered})), 1), person), true},
		{"a horse and its rider", glued(oneMesh(oneSkin(mounted(menagerie.Named)), 1), horse), true},
		{"a body and its clothes", glued(oneMesh(oneSkin(menagerie.Merge(menagerie.Person(menagerie.Options{}), menagerie.Person(menagerie.Options{}))), 1), person), false},
	} {
		t.Run(row.name, func(t *testing.T) {
			res := lookedAt(t, row.r)
			told := false
			for _, f := range res.Findings() {
				told = told || f.ID == "intake/several-figures" && f.Measures[0].Value == 2
				if row.fused && f.Grade > check.Note && f.ID != "surface/branching-edges" { // the triangle that joins them
					t.Errorf("%s %s: %s", f.Grade, f.ID, f.Subject)
				}
			}
			if told != row.fused {
				t.Errorf("said that figures share a surface: %v", told)
			}
			for _, s := range res.Stations {
				for _, c := range s.Checks {
					if c.ID == "binding/mirror-mismatch" && (c.Reason == fusedWhy) != row.fused {
						t.Errorf("%s: %s %q", c.ID, c.State, c.Reason)
					}
					if c.ID == "binding/unbound" && c.State != check.Clear {
						t.Errorf("%s: %s", c.ID, c.State)
					}
				}
			}
		})
	}
	for _, id := range ofOneAlone {
		if !slices.ContainsFunc(Catalogue(), func(s check.Station) bool {
			return slices.ContainsFunc(s.Entries, func(e check.Entry) bool { return e.ID == id })
		}) {
			t.Errorf("%s is no check", id)
		}
	}
}

// A file of two skins and no surface is two figures, as two captures are.
func TestSkinsWithoutSurface(t *testing.T) {
	r := menagerie.Two(menagerie.Options{})
	for n := range r.Nodes {
		r.Nodes[n].Mesh, r.Nodes[n].Skin = rig.None, rig.None
	}
	r.Meshes, r.Surfaces = nil, nil
	res := lookedAt(t, r)
	if n := len(res.Exam.Figures()); n != 2 {
		t.Fatalf("%d figures", n)
	}
	if first := res.Findings()[0]; first.ID != "intake/several-figures" {
		t.Errorf("first said: %s", first.ID)
	}
	for _, f := range res.Findings() {
		if f.Grade > check.Note {
			t.Errorf("%s %s: %s", f.Grade, f.ID, f.Subject)
		}
	}
}

// On one spot: two of one kind, one half as large again, are two; a skeleton and its copy,
// one for the coat, are one figure of its own kind, and the copy is named as what it is,
// without advice to hang it anywhere; a cape with a skin of its own belongs to who wears it.
func TestOnOneSpot(t *testing.T) {
	rounds.Dear(t)
	larger := func(r *rig.Rig, k float64) *rig.Rig {
		scaleAll(r, k)
		return r
	}
	o := menagerie.Options{}
	real := func(name string) *rig.Rig { return checktest.Named(t, name) }
	for _, row := range []struct {
		name  string
		make  func() *rig.Rig
		kinds []anatomy.Kind
		copy  int // joints of the copy that stand where the first's do
	}{
		{"two oxen", func() *rig.Rig { return menagerie.Merge(menagerie.Ox(o), larger(menagerie.Ox(o), 1.5)) }, []anatomy.Kind{anatomy.FourLegged, anatomy.FourLegged}, 0},
		{"two spiders", func() *rig.Rig { return menagerie.Merge(menagerie.Spider(o), larger(menagerie.Spider(o), 2)) }, []anatomy.Kind{anatomy.ManyLegged, anatomy.ManyLegged}, 0},
		{"a bird in a bird", func() *rig.Rig { return menagerie.Merge(menagerie.Bird(o), larger(menagerie.Bird(o), 2)) }, []anatomy.Kind{anatomy.Winged, anatomy.Winged}, 0},
		{"a person in a person", func() *rig.Rig { return menagerie.Merge(menagerie.Person(o), larger(menagerie.Person(o), 2)) }, []anatomy.Kind{anatomy.Person, anatomy.Person}, 0},
		{"knight and robot", func() *rig.Rig { return menagerie.Merge(real("Knight.glb"), real("robot.glb")) }, []anatomy.Kind{anatomy.Person, anatomy.Person}, 0},
		{"robot and knight below one joint", func() *rig.Rig { return under(menagerie.Merge(real("robot.glb"), real("Knight.glb")), true) }, []anatomy.Kind{anatomy.Person, anatomy.Person}, 0},
		{"walking man and knight", func() *rig.Rig { return menagerie.Merge(real("cesium_man.gltf"), real("Knight.glb")) }, []anatomy.Kind{anatomy.Person, anatomy.Person}, 0},
		{"fox in fox", func() *rig.Rig { return menagerie.Merge(real("Fox.glb"), larger(real("Fox.glb"), 2)) }, []anatomy.Kind{anatomy.FourLegged, anatomy.FourLegged}, 0},
		{"an ox and its cover", func() *rig.Rig { return menagerie.Merge(menagerie.Ox(o), menagerie.Ox(o)) }, []anatomy.Kind{anatomy.FourLegged}, 30},
		{"a person and a coat", func() *rig.Rig { return menagerie.Merge(menagerie.Person(o), menagerie.Person(o)) }, []anatomy.Kind{anatomy.Person}, 21},
		{"a lantern on a chain of its own", func() *rig.Rig { return menagerie.Carrying(o) }, []anatomy.Kind{anatomy.Person}, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			res := lookedAt(t, row.make())
			if kinds := kindsOf(res); !slices.Equal(kinds, row.kinds) {
				t.Errorf("%v: %s", kinds, res.Verdict().Says)
			}
			told := 0
			for _, f := range res.Findings() {
				if f.Title != "Skeleton stands twice" {
					continue
				}
				told = int(f.Measures[1].Value)
				if f.Grade != check.Flaw || len(f.Where.Hang) > 0 || !strings.Contains(f.Remedy, "Do not hang") {
					t.Errorf("%s, %v, %q", f.Grade, f.Where.Hang, f.Remedy)
				}
			}
			if told != row.copy {
				t.Errorf("%d joints of a copy are told, want %d", told, row.copy)
			}
		})
	}
}

// Riders are sought however many figures a file holds, of each that is unlike the others and
// of each that repeats one.
func TestRidersOfMany(t *testing.T) {
	rounds.Dear(t)
	var all []*rig.Rig
	for i := range 14 {
		r := hung(mounted(menagerie.Named), 1)
		for n := range r.Nodes {
			r.Nodes[n].Name = fmt.Sprintf("no%d_%s", i, r.Nodes[n].Name)
		}
		for n := range r.Nodes {
			if r.Nodes[n].Parent < 0 && r.Nodes[n].Mesh < 0 {
				r.Nodes[n].T[0] += 4 * float64(i)
				r.Nodes[n].Matrix = r.Nodes[n].TRS.Affine()
			}
		}
		all = append(all, r)
	}
	e := exam.New(menagerie.Merge(all...))
	if n := len(e.Figures()); n != 28 || e.Unsought() != "" {
		t.Errorf("%d figures, want 28; %s", n, e.Unsought())
	}
}
