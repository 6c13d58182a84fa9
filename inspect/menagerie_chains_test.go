package inspect

import (
	"math"
	"slices"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
)

// Faults of what has no limbs of a body: a snake, a hand alone, a cart. Each is found at
// the joint or node it was planted at, with the size it was planted with, and nothing
// else becomes a flaw.
func TestFaultsOfChainsHandsAndCarts(t *testing.T) {
	for _, p := range rounds.Rows([]struct {
		name, id string
		grade    check.Grade
		also     []string // flaws that the same fault makes
		size     float64  // first measure; NaN: not looked at
		slack    float64
		build    func() (*rig.Rig, rig.Node) // with the node it is about
	}{
		{"snake: 10 vertices of the middle bound to nothing", "binding/unbound", check.Flaw, nil, 10, 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Snake(menagerie.Options{})
			return r, 6 * rig.Node(unbind(r, 6, 10)/10)
		}},
		{"snake: a patch of the neck on the tail", "binding/stray-island", check.Flaw, nil, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Snake(menagerie.Options{})
			lend(r, 1, 11, .3, 12)
			return r, 11
		}},
		{"snake: bind matrices of two joints exchanged", "skeleton/bind-mixed", check.Flaw, []string{"binding/", "surface/", "bends/", "motion/"}, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Snake(menagerie.Options{})
			b := r.Skins[0].Bind
			b[3], b[8] = b[8], b[3]
			return r, 8
		}},
		{"snake: one key of a joint turned by 50°", "motion/stray-key", check.Note, nil, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Snake(menagerie.Options{})
			turnKey(r, 5, 12, 50)
			return r, 5
		}},
		{"snake: weights of the head add up to 0.8", "binding/sum-off", check.Flaw, nil, .2, 1e-3, func() (*rig.Rig, rig.Node) {
			r := menagerie.Snake(menagerie.Options{})
			shorten(r, 0, .8)
			return r, 0
		}},
		{"hand: a patch of the index finger on the little one", "binding/stray-island", check.Flaw, []string{"bends/"}, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Hand(menagerie.Options{})
			from, to := called(r, "index_3_left"), called(r, "little_3_left")
			lend(r, from, to, .3, 12)
			return r, to
		}},
		{"hand: 10 vertices of a finger bound to nothing", "binding/unbound", check.Flaw, nil, 10, 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Hand(menagerie.Options{})
			n := called(r, "ring_2_left")
			unbind(r, n, 10)
			return r, n
		}},
		{"hand: a finger's second bone hangs on nothing", "skeleton/loose-chain", check.Flaw, []string{"bends/"}, 1, 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Hand(menagerie.Options{})
			n := called(r, "middle_2_left")
			hangOn(r, n, rig.None)
			return r, n
		}},
		{"hand: two fingers' bind matrices exchanged", "skeleton/bind-mixed", check.Flaw, []string{"binding/", "surface/", "bends/", "motion/"}, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Hand(menagerie.Options{})
			a, c := called(r, "index_2_left"), called(r, "ring_2_left")
			b := r.Skins[0].Bind
			b[a], b[c] = b[c], b[a]
			return r, a
		}},
		{"cart: one triangle of the box missing", "surface/boundary-edges", check.Note, nil, 1, 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Cart(menagerie.Options{})
			r.Meshes[0].Triangles = r.Meshes[0].Triangles[3:]
			r.Meshes[0].Primitives[0].TriCount--
			return r, 0
		}},
		{"cart: a wheel inside out", "surface/inside-out", check.Flaw, nil, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Cart(menagerie.Options{})
			n := called(r, "wheel_back_r")
			m := &r.Meshes[r.Nodes[n].Mesh]
			for i := 0; i < len(m.Triangles); i += 3 {
				m.Triangles[i], m.Triangles[i+1] = m.Triangles[i+1], m.Triangles[i]
			}
			for i := range m.Normals {
				m.Normals[i] = -m.Normals[i]
			}
			return r, n
		}},
		{"cart: a hundred times as large by its node", "intake/unapplied-scale", check.Note, nil, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Cart(menagerie.Options{})
			n := &r.Nodes[0]
			n.S = [3]float64{100, 100, 100}
			n.Matrix = n.TRS.Affine()
			return r, 0
		}},
		{"cart: a wheel's turn has one key out of line", "motion/stray-key", check.Note, nil, math.NaN(), 0, func() (*rig.Rig, rig.Node) {
			r := menagerie.Cart(menagerie.Options{})
			n := called(r, "wheel_front_l")
			slow(r, 31)
			turnKey(r, n, 15, 40)
			return r, n
		}},
		{"cart: a roll that leaves the body 40° off", "motion/loop-jump", check.Note, nil, 40, .5, func() (*rig.Rig, rig.Node) {
			r := menagerie.Cart(menagerie.Options{})
			n := called(r, "wheel_front_r")
			slow(r, 31)
			r.Clips[0].Name = "roll loop"
			for i := range r.Clips[0].Channels {
				c := &r.Clips[0].Channels[i]
				for k := range c.Times {
					far := 360.0
					if c.Node == n {
						far = 320
					}
					half := far * math.Pi / 360 * float64(k) / 30
					copy(c.Values[4*k:], []float32{float32(math.Sin(half)), 0, 0, float32(math.Cos(half))})
				}
			}
			return r, n
		}},
	}, 3) {
		t.Run(p.name, func(t *testing.T) {
			r, node := p.build()
			res := lookedAt(t, r)
			found := false
			for _, f := range res.Findings() {
				if f.ID == p.id && f.Grade >= p.grade {
					at := slices.Contains(f.Where.Joints, node) || slices.Contains(f.Where.Nodes, node) || near(res, &f, node)
					for _, s := range f.Where.Spots {
						at = at || res.Exam.Rig.Surfaces[s.Surface].Node == node
					}
					if !at {
						t.Logf("%s at joints %v, nodes %v", f.ID, f.Where.Joints, f.Where.Nodes)
						continue
					}
					found = true
					if v := f.Measures[0].Value; !math.IsNaN(p.size) && math.Abs(v-p.size) > p.slack {
						t.Errorf("%s: %s %g, want %g", f.ID, f.Measures[0].Name, v, p.size)
					}
				} else if f.Grade > check.Note && !slices.ContainsFunc(p.also, func(a string) bool { return len(f.ID) > len(a) && f.ID[:len(a)] == a }) {
					t.Errorf("%s %s: %s, %s %+v", f.Grade, f.ID, f.Title, f.Subject, f.Measures[0])
				}
			}
			if !found {
				t.Errorf("%s at node %d is not found", p.id, node)
				for _, f := range res.Findings() {
					t.Logf("%s %s: %s %+v", f.Grade, f.ID, f.Subject, f.Measures[0])
				}
			}
		})
	}
}

// called is the node of that name.
func called(r *rig.Rig, name string) rig.Node {
	return rig.Node(slices.IndexFunc(r.Nodes, func(n rig.NodeData) bool { return n.Name == name }))
}

// unbind takes all weight from so many vertices that a joint alone holds; it answers how
// many.
func unbind(r *rig.Rig, joint rig.Node, most int) (n int) {
	m := &r.Meshes[0]
	for v := 0; v < m.Vertices() && n < most; v++ {
		if int(m.Joints[4*v]) == int(joint) && m.Weights[4*v] > .6 {
			copy(m.Weights[4*v:4*v+4], []float32{0, 0, 0, 0})
			n++
		}
	}
	return n
}

// lend gives a share of so many vertices of one joint to another.
func lend(r *rig.Rig, from, to rig.Node, share float32, most int) {
	m := &r.Meshes[0]
	for v, n := 0, 0; v < m.Vertices() && n < most; v++ {
		if int(m.Joints[4*v]) != int(from) || m.Weights[4*v] < .6 {
			continue
		}
		for k := 1; k < 4; k++ {
			if m.Weights[4*v+k] == 0 {
				m.Weights[4*v] -= share
				m.Joints[4*v+k], m.Weights[4*v+k] = uint16(to), share
				n++
				break
			}
		}
	}
}

// shorten makes the weights that a joint leads sum to less than 1.
func shorten(r *rig.Rig, joint rig.Node, to float32) {
	m := &r.Meshes[0]
	for v := range m.Vertices() {
		if int(m.Joints[4*v]) == int(joint) && m.Weights[4*v] > .6 {
			for k := range 4 {
				m.Weights[4*v+k] *= to
			}
		}
	}
}

// hangOn gives a joint another parent or none, its place kept; binds stay as they are.
func hangOn(r *rig.Rig, n, up rig.Node) {
	world := r.RestWorld()
	old := &r.Nodes[r.Nodes[n].Parent]
	old.Children = slices.DeleteFunc(old.Children, func(c rig.Node) bool { return c == n })
	d := &r.Nodes[n]
	d.Parent = up
	a, b := world[n].Origin(), [3]float64{}
	if up >= 0 {
		r.Nodes[up].Children = append(r.Nodes[up].Children, n)
		b = world[up].Origin()
	} else {
		r.Scenes[0].Roots = append(r.Scenes[0].Roots, n)
	}
	for k := range 3 {
		d.T[k] = a[k] - b[k]
	}
	d.Matrix = d.TRS.Affine()
	r.SetOrder()
}

// turnKey turns one key of a joint about x by so many degrees.
func turnKey(r *rig.Rig, n rig.Node, key int, degrees float64) {
	for i := range r.Clips[0].Channels {
		c := &r.Clips[0].Channels[i]
		if c.Node != n || c.Path != rig.Rotation {
			continue
		}
		v := c.Values[4*key : 4*key+4]
		half := math.Atan2(float64(v[0]), float64(v[3])) + degrees*math.Pi/360
		v[0], v[3] = float32(math.Sin(half)), float32(math.Cos(half))
	}
}

// slow spreads the cart's roll over so many keys in a second.
func slow(r *rig.Rig, keys int) {
	for i := range r.Clips[0].Channels {
		c := &r.Clips[0].Channels[i]
		c.Times, c.Values = nil, nil
		for k := range keys {
			half := math.Pi * float64(k) / float64(keys-1)
			c.Times = append(c.Times, float32(k)/float32(keys-1))
			c.Values = append(c.Values, float32(math.Sin(half)), 0, 0, float32(math.Cos(half)))
		}
	}
}
