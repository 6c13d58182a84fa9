package gltfio

import (
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/ceiling"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// label is a list place with its name, for errors: `node 4 "Hips"`.
func label(kind string, i int, name string) string {
	if name == "" {
		return fmt.Sprintf("%s %d", kind, i)
	}
	return fmt.Sprintf("%s %d %s", kind, i, quote(name))
}

// nodes reads the tree and cuts it into what glTF wants: disjoint strict trees.
func (r *reader) nodes() error {
	g := r.rig
	g.Nodes = make([]rig.NodeData, len(r.doc.Nodes))
	for i, n := range r.doc.Nodes {
		d := &g.Nodes[i]
		d.Name, d.Parent, d.Mesh, d.Skin = n.Name, rig.None, rig.None, rig.None
		r.transform(i, d)
		if n.Mesh != nil {
			if m := *n.Mesh; m < 0 || m >= len(r.doc.Meshes) {
				r.bad(onNode(i), place("nodes", i, "mesh"), "mesh %d does not exist, there are %d; the node carries none", m, len(r.doc.Meshes))
			} else {
				d.Mesh = rig.Mesh(m)
			}
		}
		if n.Skin == nil {
			continue
		}
		switch s := *n.Skin; {
		case s < 0 || s >= len(r.doc.Skins):
			return r.refuse(label("node", i, n.Name), faultf("skin %d does not exist, there are %d", s, len(r.doc.Skins)))
		case n.Mesh == nil:
			r.bad(onNode(i), place("nodes", i, "skin"), "a skin on a node without a mesh; ignored")
		default:
			d.Skin = rig.Skin(s)
		}
	}
	r.family()
	return nil
}

// family links children and parents: the first parent in the file keeps a child.
func (r *reader) family() {
	g := r.rig
	for i, n := range r.doc.Nodes {
		kids := make([]rig.Node, 0, len(n.Children))
		for k, c := range n.Children {
			where := func() string { return place("nodes", i, "children", k) }
			switch {
			case c < 0 || c >= len(g.Nodes):
				r.bad(onNode(i), where(), "node %d does not exist, there are %d; left out", c, len(g.Nodes))
			case c == i:
				r.bad(onNode(i), where(), "the node is its own child; left out")
			case g.Nodes[c].Parent == rig.Node(i):
				r.bad(onNode(i), where(), "node %d is listed twice; kept once", c)
			case g.Nodes[c].Parent != rig.None:
				r.bad(onNode(i), where(), "node %d is already a child of node %d, which keeps it", c, g.Nodes[c].Parent)
			default:
				g.Nodes[c].Parent = rig.Node(i)
				kids = append(kids, rig.Node(c))
			}
		}
		if len(kids) > 0 {
			g.Nodes[i].Children = kids
		}
	}
	// Every node has one parent now, so what no root reaches stands in rings: one cut
	// each frees them all.
	for {
		lost := g.SetOrder()
		if len(lost) == 0 {
			return
		}
		seen := make([]int32, len(g.Nodes))
		for mark, n := range lost {
			m := n
			for seen[m] == 0 && g.Nodes[m].Parent != rig.None {
				seen[m] = int32(mark + 1)
				m = g.Nodes[m].Parent
			}
			if seen[m] != int32(mark+1) || g.Nodes[m].Parent == rig.None {
				continue
			}
			p := g.Nodes[m].Parent
			r.bad(onNode(int(m)), place("nodes", int(p), "children"), "node %d stands above its own parent; the ring is cut there and it becomes a root", m)
			g.Nodes[p].Children = slices.DeleteFunc(g.Nodes[p].Children, func(c rig.Node) bool { return c == m })
			g.Nodes[m].Parent = rig.None
		}
	}
}

// How far a rest rotation may be from unit length: three-digit numbers in the
// standard's own example are off by 2.3e-4 (glTF tutorial, SimpleSkin).
const unitTolerance = 1e-3

// transform reads a node's local matrix and its parts.
func (r *reader) transform(i int, d *rig.NodeData) {
	n, g := r.doc.Nodes[i], r.doc.given[i]
	number := func(member string, has int8, want int8, v []float64, otherwise []float64) bool {
		if has == 0 {
			return false
		}
		finite := true
		for _, f := range v {
			finite = finite && !math.IsInf(f, 0) && math.Abs(f) <= math.MaxFloat32
		}
		if has != want || !finite {
			what := fmt.Sprintf("%d numbers, %d are wanted", has, want)
			if has == want {
				what = "a number beyond single precision"
			}
			r.bad(onNode(i), place("nodes", i, member), "%s; read as if it were not given", what)
			copy(v, otherwise)
			return false
		}
		return true
	}
	d.TRS = rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}
	hasMatrix := number("matrix", g.matrix, 16, n.Matrix[:], []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1})
	number("translation", g.translation, 3, n.Translation[:], []float64{0, 0, 0})
	number("rotation", g.rotation, 4, n.Rotation[:], []float64{0, 0, 0, 1})
	number("scale", g.scale, 3, n.Scale[:], []float64{1, 1, 1})
	if hasMatrix {
		if g.translation+g.rotation+g.scale > 0 {
			r.bad(onNode(i), place("nodes", i), "a matrix and translation, rotation or scale as well; the matrix counts")
		}
		var row [4]float64
		d.Matrix, row = rig.AffineFromColumns(n.Matrix)
		d.HasMatrix = true
		if row != [4]float64{0, 0, 0, 1} {
			r.bad(onNode(i), place("nodes", i, "matrix"), "the fourth row is %.6g %.6g %.6g %.6g, not 0 0 0 1; read as that", row[0], row[1], row[2], row[3])
		}
		d.TRS = d.Matrix.Decompose()
		return
	}
	d.T, d.R, d.S = n.Translation, n.Rotation, n.Scale
	q := &d.R
	l := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3])
	switch {
	case l < 1e-9:
		r.bad(onNode(i), place("nodes", i, "rotation"), "a rotation of length %.6g; read as no rotation", l)
		*q = [4]float64{0, 0, 0, 1}
	case l != 1:
		if math.Abs(l-1) > unitTolerance {
			r.bad(onNode(i), place("nodes", i, "rotation"), "a rotation of length %.6g, a unit quaternion is wanted; made unit", l)
		}
		for k := range q {
			q[k] /= l
		}
	}
	d.Matrix = d.TRS.Affine()
}

// scenes reads which roots are shown.
func (r *reader) scenes() error {
	g := r.rig
	for i, s := range r.doc.Scenes {
		scene := rig.Scene{Name: s.Name}
		listed := map[int]bool{}
		for k, n := range s.Nodes {
			where := place("scenes", i, "nodes", k)
			switch {
			case n < 0 || n >= len(g.Nodes):
				r.bad(nowhere, where, "node %d does not exist, there are %d; left out", n, len(g.Nodes))
				continue
			case listed[n]:
				r.bad(onNode(n), where, "node %d is listed twice; kept once", n)
				continue
			case g.Nodes[n].Parent != rig.None:
				r.bad(onNode(n), where, "node %d is no root, it hangs on node %d; shown all the same", n, g.Nodes[n].Parent)
			}
			listed[n] = true
			scene.Roots = append(scene.Roots, rig.Node(n))
		}
		g.Scenes = append(g.Scenes, scene)
	}
	if len(g.Scenes) > 0 {
		g.Shown = 0
	}
	if s := r.doc.Scene; s != nil {
		if *s < 0 || *s >= len(g.Scenes) {
			r.bad(nowhere, "/scene", "scene %d does not exist, there are %d", *s, len(g.Scenes))
		} else {
			g.Shown = *s
		}
	}
	if len(g.Scenes) > 1 {
		by := "the file's default"
		if r.doc.Scene == nil {
			by = "the first, none is named as default"
		}
		r.remark("%d scenes; shown is %s, %s", len(g.Scenes), label("scene", g.Shown, g.Scenes[g.Shown].Name), by)
	}
	return nil
}

// surfaces lists the nodes that carry a mesh.
func (r *reader) surfaces() error {
	g := r.rig
	for i := range g.Nodes {
		n := &g.Nodes[i]
		if n.Mesh == rig.None {
			if len(r.doc.Nodes[i].Weights) > 0 {
				r.bad(onNode(i), place("nodes", i, "weights"), "morph weights on a node without a mesh; ignored")
			}
			continue
		}
		if len(g.Surfaces) >= ceiling.Instances {
			return r.refuse("", &fault{fmt.Sprintf("more than %s nodes carry a mesh: this is a scene, and no figure is looked for in it", say.Whole(ceiling.Instances)), "export the figure alone"})
		}
		m := &g.Meshes[n.Mesh]
		// Every later step places each surface's vertices, so a mesh that many nodes
		// carry counts as often.
		if err := r.spend(m.Vertices(), 12); err != nil {
			return r.refuse(label("node", i, n.Name), err)
		}
		s := rig.Surface{Node: rig.Node(i), Mesh: n.Mesh, Skin: n.Skin}
		if n.Skin != rig.None {
			for p := range m.Primitives {
				if m.Primitives[p].Sets == 0 && m.Primitives[p].Count > 0 {
					r.bad(onNode(i), place("meshes", int(n.Mesh), "primitives", p), "node %d binds it to skin %d, but it has no JOINTS_0 with WEIGHTS_0", i, n.Skin)
				}
			}
			if m.K == 0 {
				s.Skin = rig.None // nothing to bind: it follows its node
			}
		}
		g.Surfaces = append(g.Surfaces, s)
		if w := r.doc.Nodes[i].Weights; w != nil {
			n.Weights = r.morphWeights(w, len(m.Targets), onNode(i), place("nodes", i, "weights"))
		}
	}
	return nil
}

// morphWeights brings weights to the number of targets.
func (r *reader) morphWeights(w []float64, targets int, of rig.Malformed, where string) []float32 {
	if len(w) != targets {
		r.bad(of, where, "%d weights for %d morph targets; %s", len(w), targets, map[bool]string{true: "the rest is ignored", false: "the others are 0"}[len(w) > targets])
	}
	out := make([]float32, targets)
	for k := range min(len(w), targets) {
		if math.Abs(w[k]) > math.MaxFloat32 {
			r.bad(of, where, "weight %d is beyond single precision; read as 0", k)
			continue
		}
		out[k] = float32(w[k])
	}
	return out
}
