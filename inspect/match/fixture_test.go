package match

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

const models = "../../../shared/corpus/models"

// real opens a real model, or skips.
func real(t testing.TB, name string) *rig.Rig {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(models, name))
	if err != nil {
		t.Skip("the folder of real models is not beside this one; nothing is matched")
	}
	var r *rig.Rig
	if filepath.Ext(name) == ".bvh" {
		r, err = bvh.Read(name, data)
	} else {
		r, err = gltfio.Read([]gltfio.File{{Name: name, Data: data}}, gltfio.Options{})
	}
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func sample(o lamplighter.Options) *rig.Rig {
	o.Vertices = 6000
	return lamplighter.Build(o)
}

func nameless(r *rig.Rig) *rig.Rig {
	for i := range r.Nodes {
		r.Nodes[i].Name = ""
	}
	return r
}

// settle writes local transforms from world ones and binds anew, so that nothing but
// what was meant has changed.
func settle(r *rig.Rig, world []rig.Affine) *rig.Rig {
	for _, n := range r.Order {
		d := &r.Nodes[n]
		local := world[n]
		if d.Parent >= 0 {
			inv, _ := world[d.Parent].Inverse()
			local = inv.Mul(&world[n])
		}
		d.Matrix, d.TRS, d.HasMatrix = local, local.Decompose(), false
		d.Matrix = d.TRS.Affine()
	}
	for i := range r.Skins {
		for j, n := range r.Skins[i].Joints {
			if inv, ok := world[n].Inverse(); ok && j < len(r.Skins[i].Bind) {
				r.Skins[i].Bind[j] = inv
			}
		}
	}
	return r
}

// reaxed turns the axes of every joint, another way each; all stay where they are.
func reaxed(r *rig.Rig) *rig.Rig {
	w := r.RestWorld()
	joint := joints(r)
	for n := range w {
		if !joint[n] {
			continue
		}
		a := float64(n)
		axis := space.Vec{math.Sin(a), math.Cos(2 * a), math.Sin(3*a + 1)}.Normalize()
		q := space.About(axis, 0.7+math.Mod(a*1.3, 2))
		trs := rig.TRS{R: [4]float64{q.V[0], q.V[1], q.V[2], q.W}, S: [3]float64{1, 1, 1}}
		m := trs.Affine()
		w[n] = w[n].Mul(&m)
	}
	return settle(r, w)
}

func joints(r *rig.Rig) map[int]bool {
	out := map[int]bool{}
	for _, s := range r.Skins {
		for _, n := range s.Joints {
			out[int(n)] = true
		}
	}
	return out
}

// moved places every joint anew.
func moved(r *rig.Rig, place func(n rig.Node, p space.Vec) space.Vec) *rig.Rig {
	w := r.RestWorld()
	joint := joints(r)
	for n := range w {
		if joint[n] {
			p := place(rig.Node(n), w[n].Origin())
			w[n][3], w[n][7], w[n][11] = p[0], p[1], p[2]
		}
	}
	return settle(r, w)
}

// named finds a node.
func named(t testing.TB, r *rig.Rig, name string) rig.Node {
	t.Helper()
	for i := range r.Nodes {
		if r.Nodes[i].Name == name {
			return rig.Node(i)
		}
	}
	t.Fatalf("no node is called %q", name)
	return rig.None
}

// split puts a new joint in the middle of the bone from a joint to its child.
func split(t testing.TB, r *rig.Rig, parent, child string) *rig.Rig {
	p, c := named(t, r, parent), named(t, r, child)
	n := rig.Node(len(r.Nodes))
	d := rig.NodeData{Name: parent + "Half", Parent: p, Children: []rig.Node{c}, Mesh: rig.None, Skin: rig.None,
		TRS: rig.TRS{R: [4]float64{3: 1}, S: [3]float64{1, 1, 1}}}
	for k := range 3 {
		d.T[k] = r.Nodes[c].T[k] / 2
		r.Nodes[c].T[k] /= 2
	}
	d.Matrix = d.TRS.Affine()
	r.Nodes[c].Matrix = r.Nodes[c].TRS.Affine()
	// What else hangs on the parent beyond the middle moves to the new joint.
	kids := []rig.Node{}
	for _, k := range r.Nodes[p].Children {
		if k == c {
			kids = append(kids, n)
		} else {
			kids = append(kids, k)
		}
	}
	r.Nodes[p].Children = kids
	r.Nodes[c].Parent = n
	r.Nodes = append(r.Nodes, d)
	r.SetOrder()
	w := r.RestWorld()
	inv, _ := w[n].Inverse()
	r.Skins[0].Joints = append(r.Skins[0].Joints, n)
	r.Skins[0].Bind = append(r.Skins[0].Bind, inv)
	return r
}

// sideOf reads a side off the sample's plain names.
func sideOf(name string) string {
	for _, s := range []string{"_L", "_R"} {
		if strings.HasSuffix(name, s) || strings.Contains(name, s+"_") {
			return s
		}
	}
	return ""
}
