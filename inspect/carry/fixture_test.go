package carry

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/bvh"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/gltfio"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/match"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

const models = "../../../shared/corpus/models"

// real opens a real model, or skips.
func real(t testing.TB, name string) *rig.Rig {
	t.Helper()
	r := corpus(name)
	if r == nil {
		t.Skip("the folder of real models is not beside this one; nothing is carried")
	}
	return r
}

// corpus reads a real model; nil where there is none.
func corpus(name string) *rig.Rig {
	data, err := os.ReadFile(filepath.Join(models, name))
	if err != nil {
		return nil
	}
	var r *rig.Rig
	if filepath.Ext(name) == ".bvh" {
		r, err = bvh.Read(name, data)
	} else {
		r, err = gltfio.ReadFS(os.DirFS(models), name, gltfio.Options{})
	}
	if err != nil {
		return nil
	}
	return r
}

func sample(o lamplighter.Options) *rig.Rig {
	o.Vertices = 6000
	return lamplighter.Build(o)
}

// bone of a skeleton made by hand.
type bonePart struct {
	name   string
	parent int
	t      [3]float64
	r      quat
}

// skeleton makes a rig of joints alone, all of one skin.
func skeleton(name string, bones ...bonePart) *rig.Rig {
	r := &rig.Rig{File: rig.File{Name: name, Kind: "glb"}, Shown: rig.None, Skins: []rig.SkinData{{Skeleton: rig.None}}}
	for i, b := range bones {
		q := b.r
		if q == (quat{}) {
			q = still
		}
		d := rig.NodeData{Name: b.name, Parent: rig.Node(b.parent), Mesh: rig.None, Skin: rig.None,
			TRS: rig.TRS{T: b.t, R: [4]float64{q.X, q.Y, q.Z, q.W}, S: [3]float64{1, 1, 1}}}
		d.Matrix = d.TRS.Affine()
		r.Nodes = append(r.Nodes, d)
		if b.parent >= 0 {
			r.Nodes[b.parent].Children = append(r.Nodes[b.parent].Children, rig.Node(i))
		}
		r.Skins[0].Joints = append(r.Skins[0].Joints, rig.Node(i))
	}
	r.SetOrder()
	return r
}

// posed adds a clip of two equal keys.
func posed(r *rig.Rig, turns map[int]quat, places map[int]vec) *rig.Rig {
	times := []float32{0, 0.02}
	c := rig.ClipData{Name: "pose", Seconds: float64(times[1])}
	for n := range r.Nodes {
		if q, ok := turns[n]; ok {
			v := []float32{float32(q.X), float32(q.Y), float32(q.Z), float32(q.W)}
			c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(n), Path: rig.Rotation, Times: times, Values: append(v, v...), Width: 4})
		}
		if p, ok := places[n]; ok {
			v := []float32{float32(p.X), float32(p.Y), float32(p.Z)}
			c.Channels = append(c.Channels, rig.Channel{Node: rig.Node(n), Path: rig.Translation, Times: times, Values: append(v, v...), Width: 3})
		}
	}
	r.Clips = append(r.Clips, c)
	return r
}

// paired pins nodes of equal number.
func paired(s, t *rig.Rig) *match.Match {
	var pins []match.Pin
	for i := range min(len(s.Nodes), len(t.Nodes)) {
		pins = append(pins, match.Pin{Source: rig.Node(i), Target: rig.Node(i)})
	}
	return match.Find(s, t, pins...)
}

func degrees(axis vec, a float64) quat { return space.TurnAbout(axis, a*math.Pi/180) }

var (
	axisX = xyz(1, 0, 0)
	axisY = xyz(0, 1, 0)
	axisZ = xyz(0, 0, 1)
)

// carried carries one clip and fails on an error.
func carried(t testing.TB, m *match.Match, clip rig.Clip, o Options) *Result {
	t.Helper()
	r, err := Carry(context.Background(), m, clip, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// at poses a result.
func at(r *Result, seconds float64) *deform.Pose {
	target := r.Rig()
	p := deform.NewPose(target)
	p.Sample(rig.Clip(len(target.Clips)-1), seconds)
	return p
}

func nearVec(t *testing.T, what string, got, want vec, within float64) {
	t.Helper()
	if d := got.Sub(want).Len(); !(d <= within) {
		t.Errorf("%s: %v, want %v (off by %.3g)", what, got, want, d)
	}
}

// nearTurn compares rotations; their sign is free.
func nearTurn(t *testing.T, what string, got, want quat, within float64) {
	t.Helper()
	if d := got.Back().Mul(want).Angle(); !(d <= within) {
		t.Errorf("%s: %+v, want %+v (off by %.3g rad)", what, got, want, d)
	}
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
		d.TRS, d.HasMatrix = local.Decompose(), false
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

func isJoint(r *rig.Rig) map[rig.Node]bool {
	out := map[rig.Node]bool{}
	for _, s := range r.Skins {
		for _, n := range s.Joints {
			out[n] = true
		}
	}
	return out
}

// reaxed turns the axes of every joint, another way each; all stay where they are.
func reaxed(r *rig.Rig) *rig.Rig {
	w := r.RestWorld()
	joint := isJoint(r)
	for n := range w {
		if !joint[rig.Node(n)] {
			continue
		}
		a := float64(n)
		axis := mgl64.Vec3{math.Sin(a), math.Cos(2 * a), math.Sin(3*a + 1)}.Normalize()
		q := mgl64.QuatRotate(0.7+math.Mod(a*1.3, 2), axis)
		trs := rig.TRS{R: [4]float64{q.V[0], q.V[1], q.V[2], q.W}, S: [3]float64{1, 1, 1}}
		m := trs.Affine()
		w[n] = w[n].Mul(&m)
	}
	return settle(r, w)
}

// shaped places every joint anew.
func shaped(r *rig.Rig, place func(n rig.Node, p vec) vec) *rig.Rig {
	w := r.RestWorld()
	joint := isJoint(r)
	for n := range w {
		if joint[rig.Node(n)] {
			p := place(rig.Node(n), space.Plain(w[n].Origin()))
			w[n][3], w[n][7], w[n][11] = p.X, p.Y, p.Z
		}
	}
	return settle(r, w)
}
