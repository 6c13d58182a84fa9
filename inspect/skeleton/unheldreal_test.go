package skeleton

import (
	"slices"
	"testing"

	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/menagerie"
	"rigloupe/inspect/rig"
)

// emptied gives all that a joint holds to the joint above it and answers both.
func emptied(t *testing.T, r *rig.Rig, name string) rig.Node {
	t.Helper()
	n := rig.Node(slices.IndexFunc(r.Nodes, func(d rig.NodeData) bool { return d.Name == name }))
	if n < 0 {
		t.Fatal("no joint " + name)
	}
	is, up := r.Joints(), r.Nodes[n].Parent
	for up >= 0 && !is[up] {
		up = r.Nodes[up].Parent
	}
	for _, s := range r.Surfaces {
		if s.Skin < 0 {
			continue
		}
		joints := r.Skins[s.Skin].Joints
		from, to := slices.Index(joints, n), slices.Index(joints, up)
		m := &r.Meshes[s.Mesh]
		for k := range m.Joints {
			if m.Weights[k] > 0 && int(m.Joints[k]) == from && to >= 0 {
				m.Joints[k] = uint16(to)
			}
		}
	}
	return n
}

// A real figure that wears a shield, a helmet and a cape loses what one joint holds: that
// joint alone is told. Joints with and without a role, with and without a partner.
func TestEmptiedJointOfAKnight(t *testing.T) {
	for _, name := range []string{"hand.l", "hand.r", "wrist.l", "wrist.r", "lowerarm.l", "lowerarm.r", "upperarm.l", "upperarm.r", "foot.l", "foot.r", "lowerleg.l", "upperleg.r", "head", "chest"} {
		r := checktest.Named(t, "Knight.glb")
		n := emptied(t, r, name)
		if f := measured(t, r); !slices.Equal(f.Unheld, []rig.Node{n}) {
			t.Errorf("%s holds nothing, and told is %s", name, f.names(f.Unheld))
		}
	}
}

// A hand that is a hook without a skin, over which the sleeve reaches a little, is no
// fault; where the sleeve is the whole hand, it is.
func TestHookInPlaceOfAHand(t *testing.T) {
	for _, row := range []struct {
		left int // vertices of the left hand that stay, held by the forearm
		want bool
	}{{0, false}, {12, false}, {1000, true}} {
		r := menagerie.Person(menagerie.Options{Gear: true}) // a shield hangs on the left hand
		n := emptied(t, r, "hand_l")
		m, joints := &r.Meshes[0], r.Skins[0].Joints
		at := r.RestWorld()[n].Origin()[0]
		forearm := slices.Index(joints, r.Nodes[n].Parent)
		keep, kept := map[uint32]bool{}, 0
		for v := range m.Vertices() {
			if float64(m.Positions[3*v]) < at {
				continue
			}
			w := float32(0)
			for k := m.K * v; k < m.K*(v+1); k++ {
				if int(m.Joints[k]) == forearm {
					w += m.Weights[k]
				}
			}
			if w < .5 {
				t.Fatalf("vertex %d beyond the wrist is held by %g", v, w)
			}
			if kept < row.left {
				keep[uint32(v)] = true
				kept++
			} else { // cut off: drawn back to the wrist
				m.Positions[3*v] = float32(at) - .001
			}
		}
		m.Remeasure()
		if f := measured(t, r); slices.Contains(f.Unheld, n) != row.want {
			t.Errorf("%d vertices beyond the wrist: told %v, want %v", kept, f.names(f.Unheld), row.want)
		}
	}
}

// A forearm and a joint that holds nothing have each other's bind matrix: exchanged, as
// two that hold something are; a matrix that stands nowhere else is a joint bound elsewhere.
func TestExchangedWithAnIdleJoint(t *testing.T) {
	r := checktest.Named(t, "Knight.glb")
	j := r.Skins[0].Joints
	place := func(name string) int {
		return slices.IndexFunc(j, func(n rig.Node) bool { return r.Nodes[n].Name == name })
	}
	for _, pair := range [][2]string{{"lowerarm.l", "handslot.l"}, {"chest", "kneeIK.r"}, {"handIK.l", "head"}} {
		a, b := place(pair[0]), place(pair[1])
		bind := r.Skins[0].Bind
		was := slices.Clone(bind)
		bind[a], bind[b] = bind[b], bind[a]
		found := bindFindings(t, r)
		if len(found) != 1 || found[0].Title != "Bind matrices exchanged" || len(found[0].Where.Joints) != 2 {
			t.Errorf("%v: %+v", pair, found)
		}
		copy(bind, was)
		bind[a] = was[b] // copied, not exchanged
		for _, f := range bindFindings(t, r) {
			if f.Title == "Bind matrices exchanged" {
				t.Errorf("%v: one has the other's, and it is told they were exchanged", pair)
			}
		}
		copy(bind, was)
	}
}

// A skeleton of ten joints, so many of which stand where the first one's do, to a thousandth
// of the diagonal: eight of ten make it a copy, seven do not, nor do five of five.
func TestCopiedSkeleton(t *testing.T) {
	for _, row := range []struct {
		joints, off, want int
		by                float64 // metres, of a person with a diagonal of 2.5
	}{{10, 0, 10, 0}, {10, 2, 8, .1}, {10, 3, 0, .1}, {10, 3, 10, .002}, {5, 0, 0, 0}, {6, 0, 6, 0}} {
		r := menagerie.Merge(menagerie.Person(menagerie.Options{Still: true}), menagerie.Person(menagerie.Options{Still: true}))
		half := rig.Node(len(r.Nodes) / 2)
		is, n := r.Joints(), 0
		f := &Facts{Diagonal: 2.5}
		top := map[rig.Node]rig.Node{}
		w := r.RestWorld()
		for i := range r.Nodes {
			if !is[i] {
				continue
			}
			node, root := rig.Node(i), rig.Node(0)
			at := w[i].Origin()
			if node >= half {
				if root = half; n >= row.joints {
					continue
				}
				at = w[node-half].Origin()
				if n < row.off {
					at[1] += row.by
				}
				n++
			}
			top[node] = root
			f.Joints = append(f.Joints, Joint{Place: Place{Node: node, Position: at}, Placed: true})
		}
		if got := f.copied(half, 0, top); got != row.want {
			t.Errorf("%+v: %d", row, got)
		}
	}
}
