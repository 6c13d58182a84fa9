package scene

import (
	"context"
	"slices"
	"testing"

	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// box is a cube of side 1 standing on the floor round the y axis, shared smooth
// vertices or four of its own a face.
func box(split bool) rig.MeshData {
	m := rig.MeshData{Name: "box"}
	corners := [8]space.Vec32{{-.5, 0, -.5}, {.5, 0, -.5}, {.5, 0, .5}, {-.5, 0, .5}, {-.5, 1, -.5}, {.5, 1, -.5}, {.5, 1, .5}, {-.5, 1, .5}}
	faces := [6][4]uint32{{0, 1, 2, 3}, {7, 6, 5, 4}, {4, 5, 1, 0}, {5, 6, 2, 1}, {6, 7, 3, 2}, {7, 4, 0, 3}}
	if !split {
		for _, c := range corners {
			m.Positions = append(m.Positions, c[:]...)
		}
	}
	for _, f := range faces {
		if split {
			for i, v := range f {
				m.Positions = append(m.Positions, corners[v][:]...)
				f[i] = uint32(len(m.Positions)/3 - 1)
			}
		}
		m.Triangles = append(m.Triangles, f[0], f[1], f[2], f[0], f[2], f[3])
	}
	m.Primitives = []rig.PrimitiveData{{Count: len(m.Positions) / 3, TriCount: 12, Material: rig.None, Mode: 4}}
	return m
}

// rigOf puts meshes on nodes of their own below the origin, shown.
func rigOf(meshes ...rig.MeshData) *rig.Rig {
	r := &rig.Rig{Shown: rig.None, Meshes: meshes}
	for i := range meshes {
		addNode(r, "part", rig.None, space.Vec{})
		r.Nodes[i].Mesh = rig.Mesh(i)
		r.Surfaces = append(r.Surfaces, rig.Surface{Node: rig.Node(i), Mesh: rig.Mesh(i), Skin: rig.None})
	}
	r.SetOrder()
	return r
}

func addNode(r *rig.Rig, name string, parent rig.Node, at space.Vec) rig.Node {
	n := rig.Node(len(r.Nodes))
	d := rig.NodeData{Name: name, Parent: parent, Mesh: rig.None, Skin: rig.None, TRS: rig.TRS{T: at, R: [4]float64{0, 0, 0, 1}, S: space.Vec{1, 1, 1}}}
	d.Matrix = d.TRS.Affine()
	r.Nodes = append(r.Nodes, d)
	if parent >= 0 {
		r.Nodes[parent].Children = append(r.Nodes[parent].Children, n)
	}
	return n
}

// bare is a chain of joints that one clip moves, without any mesh.
func bare() *rig.Rig {
	r := &rig.Rig{Shown: rig.None}
	n := rig.Node(rig.None)
	for i, name := range []string{"hips", "spine", "head", "end"} {
		at := space.Vec{0, .3, 0}
		if i == 0 {
			at[1] = .9
		}
		n = addNode(r, name, n, at)
	}
	r.SetOrder()
	r.Clips = []rig.ClipData{{Name: "nod", Seconds: 1, Channels: []rig.Channel{
		{Node: 0, Path: rig.Translation, Times: []float32{0, 1}, Values: []float32{0, .9, 0, 0, .9, 1}, Width: 3},
		{Node: 1, Path: rig.Rotation, Times: []float32{0, 1}, Values: []float32{0, 0, 0, 1, .5, 0, 0, .866}, Width: 4},
		{Node: 2, Path: rig.Rotation, Times: []float32{0}, Values: []float32{0, 0, 0, 1}, Width: 4},
	}}}
	return r
}

func prepared(t testing.TB, r *rig.Rig) *Prepared {
	t.Helper()
	p, err := Prepare(context.Background(), r, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// lamp is the Lamplighter, built once a pose and shared by tests: read only.
var lamps [2]*rig.Rig
var lampsPrepared [2]*Prepared

func lamp(t testing.TB, pose lamplighter.Pose) (*rig.Rig, *Prepared) {
	t.Helper()
	i := 0
	if pose == lamplighter.A {
		i = 1
	}
	if lamps[i] == nil {
		lamps[i] = lamplighter.Build(lamplighter.Options{Pose: pose, Vertices: 4000})
		lampsPrepared[i] = prepared(t, lamps[i])
	}
	return lamps[i], lampsPrepared[i]
}

func still(w, h int) State {
	return State{Width: w, Height: h, Lens: Plain, Joint: rig.None, Clip: rig.None, Bones: true, Pointers: true, Loupe: true, Staff: true}
}

func nodeNamed(t testing.TB, r *rig.Rig, name string) rig.Node {
	t.Helper()
	i := slices.IndexFunc(r.Nodes, func(n rig.NodeData) bool { return n.Name == name })
	if i < 0 {
		t.Fatalf("no node %q", name)
	}
	return rig.Node(i)
}
