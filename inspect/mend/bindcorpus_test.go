package mend

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// artist is a figure with the weights that its maker gave it.
type artist struct {
	name string
	b    *binder
	is   *bind.Rows // by place of b.figure
}

func artistOf(t testing.TB, name string, s *State) *artist {
	t.Helper()
	v, err := bindSurface.Complete(nil)
	if err != nil {
		t.Fatal(err)
	}
	w := &Work{Context: context.Background(), Doc: s.Doc.Clone(), Rig: s.Rig, Exam: exam.New(s.Rig), Values: v, before: s}
	b := &binder{w: w, joint: map[rig.Node]int{}, place: make([][]uint32, len(s.Rig.Surfaces)), nodes: SkeletonOf(s.Rig)}
	for j, n := range b.nodes {
		b.joint[n] = j
	}
	for i, x := range s.Rig.Surfaces {
		if x.Skin >= 0 && s.Rig.Meshes[x.Mesh].K > 0 {
			b.surfaces = append(b.surfaces, i)
		}
	}
	if err := b.gather(); err != nil {
		t.Fatal(err)
	}
	a := &artist{name: name, b: b, is: bind.NewRows(len(b.figure.Of))}
	for _, i := range b.surfaces {
		x := s.Rig.Surfaces[i]
		m := &s.Rig.Meshes[x.Mesh]
		for v, p := range b.place[i] {
			if a.is.Weight[bind.K*int(p)] > 0 {
				continue
			}
			sum, n := 0.0, 0
			for k := range m.K {
				if w := float64(m.Weights[m.K*v+k]); w > 0 {
					sum += w
					a.is.Joint[bind.K*int(p)+n], a.is.Weight[bind.K*int(p)+n] = int32(b.joint[s.Rig.Skins[x.Skin].Joints[m.Joints[m.K*v+k]]]), w
					n++
				}
			}
			for k := range n {
				a.is.Weight[bind.K*int(p)+k] /= sum
			}
		}
	}
	return a
}

func weightOf(r *bind.Rows, p int, joint int32) (w float64) {
	for k := range bind.K {
		if r.Joint[bind.K*p+k] == joint {
			w += r.Weight[bind.K*p+k]
		}
	}
	return w
}

// told are the joints with which the artist holds each shell.
func (a *artist) told() *bind.Proposal {
	p := &bind.Proposal{}
	for _, s := range a.b.figure.Shells {
		may := make([]bool, len(a.b.nodes))
		for _, v := range s.Places {
			for k := range bind.K {
				if a.is.Weight[bind.K*int(v)+k] > 1e-3 {
					may[a.is.Joint[bind.K*int(v)+k]] = true
				}
			}
		}
		p.May, p.On = append(p.May, may), append(p.On, -1)
	}
	return p
}

// measure answers the mean L1 distance a vertex, and the mean distance at the ends of the
// bend set of the vertices that either moves, per cent of the height.
func (a *artist) measure(r *bind.Rows) (l1, bends float64) {
	b, n := a.b, 0
	for _, i := range b.surfaces {
		for _, p := range b.place[i] {
			if b.figure.Of[p] < 0 {
				continue
			}
			n++
			for k := range bind.K {
				j, w := r.Joint[bind.K*int(p)+k], r.Weight[bind.K*int(p)+k]
				if w > 0 {
					l1 += math.Abs(w - weightOf(a.is, int(p), j))
				}
				if j, w := a.is.Joint[bind.K*int(p)+k], a.is.Weight[bind.K*int(p)+k]; w > 0 && weightOf(r, int(p), j) == 0 {
					l1 += w
				}
			}
		}
	}
	world := b.w.Exam.RestWorld()
	pose := NewPosed(b.w.Rig).Pose
	inverse, delta := make([]rig.Affine, len(b.nodes)), make([]rig.Affine, len(b.nodes))
	for k, x := range b.nodes {
		inverse[k], _ = world[x].Inverse()
	}
	at := func(r *bind.Rows, p int, x space.Vec) (out space.Vec) {
		for k := range bind.K {
			if w := r.Weight[bind.K*p+k]; w > 0 {
				out = out.Add(delta[r.Joint[bind.K*p+k]].Point(x).Mul(w))
			}
		}
		return out
	}
	sum, moved := 0.0, 0
	for _, m := range Bends(b.w.Rig, b.w.Exam.Roles(), world) {
		m.Set(pose)
		for k, x := range b.nodes {
			delta[k] = pose.World[x].Mul(&inverse[k])
		}
		for p, s := range b.figure.Of {
			if s < 0 {
				continue
			}
			x := space.At(b.figure.Points, p)
			y, z := at(r, p, x), at(a.is, p, x)
			if y.Sub(x).Len() > 1e-6 || z.Sub(x).Len() > 1e-6 {
				sum, moved = sum+y.Sub(z).Len(), moved+1
			}
		}
	}
	return l1 / float64(n), 100 * sum / float64(moved) / b.w.Exam.Height()
}

// The measure is weights that artists made, of seven figures that were bound by hand; they
// are thrown away and the figure is bound anew. Nothing told; any joint; and told which
// joints the artist let hold each shell. Asked for were .36 and .62 % with nothing told,
// .283 and .51 % told; held is what was met, with some room.
func TestBindAsArtists(t *testing.T) {
	var list []*artist
	for _, name := range []string{"Knight.glb", "robot.glb", "Fox.glb", "cesium_man.gltf", "hand_left.glb", "hand_right.glb"} {
		list = append(list, artistOf(t, name, corpusState(t, name)))
	}
	list = append(list, artistOf(t, "sample", ofRig(t, sample())))
	mean := func(name string, narrow float64, parts func(a *artist) *bind.Proposal) (l1, bends float64) {
		line := ""
		for _, a := range list {
			r, err := a.b.figure.Bind(bind.Options{Narrow: narrow, Parts: parts(a)})
			if err != nil {
				t.Fatal(a.name, err)
			}
			x, y := a.measure(r.Rows)
			l1, bends = l1+x/float64(len(list)), bends+y/float64(len(list))
			line += fmt.Sprintf("  %s %.3f %.2f", a.name, x, y)
		}
		t.Logf("%s: L1 %.3f, bends %.2f %% |%s", name, l1, bends, line)
		return l1, bends
	}
	own := func(a *artist) *bind.Proposal { return a.b.figure.Propose() }
	any := func(a *artist) *bind.Proposal { return nil }
	if l1, bends := mean("nothing told", bind.Usual, own); l1 > .33 || bends > .42 {
		t.Errorf("nothing told: %.3f and %.2f", l1, bends)
	}
	if l1, bends := mean("told", bind.Usual, (*artist).told); l1 > .255 || bends > .33 {
		t.Errorf("told: %.3f and %.2f", l1, bends)
	}
	one, _ := mean("any joint, c = 1", 1, any)
	four, _ := mean("any joint", 4, any)
	if !(four < one) {
		t.Errorf("c = 4 %.3f is no nearer than c = 1 %.3f", four, one)
	}
}

// Artists' weights replaced bring no flaw and no stop on seven figures, told which joints the
// artist let hold each piece; and on six with the proposed ones. What comes to light, since it
// lay under a finding of a greater cause before, counts as well. The seventh, a robot of 60
// pieces, needs to be told: proposed, his hands' plates follow "Body" and "Hips".
func TestBindAnewPlantsNothing(t *testing.T) {
	known := map[string][]string{"robot.glb proposed": {"binding/stray-island", "bends/tear-along"}}
	for _, name := range []string{"cesium_man.gltf", "Fox.glb", "hand_left.glb", "hand_right.glb", "Knight.glb", "robot.glb", "sample"} {
		var s *State
		if name == "sample" {
			s = ofRig(t, fine())
		} else {
			s = corpusState(t, name)
		}
		a := artistOf(t, name, s)
		parts, surfaces := map[string]string{}, []string{}
		for i, may := range a.told().May {
			var names []string
			for j, is := range may {
				if is {
					names = append(names, nodeName(s.Rig, a.b.nodes[j]))
				}
			}
			parts[fmt.Sprintf("#%d", i+1)] = strings.Join(names, ",")
		}
		for _, i := range a.b.surfaces {
			surfaces = append(surfaces, surfaceName(s.Rig, i))
		}
		for what, values := range map[string]Values{"told": {"parts": parts, "surfaces": surfaces}, "proposed": nil} {
			x := try(t, s, "bind", values)
			if x.After == nil {
				t.Errorf("%s: %s", name, x.Refused())
				continue
			}
			r := prove(t, x)
			t.Log(name, what, r.Sentence())
			for _, id := range slices.Concat(r.Planted, r.Revealed) {
				if g := gradeOf(t, x.After, id); g < check.Flaw || slices.Contains(known[name+" "+what], id) {
					continue
				}
				for _, f := range x.After.result.Findings() {
					if f.ID == id && f.Grade >= check.Flaw {
						t.Errorf("%s, %s: %s %s %v", name, what, f.Title, f.Subject, f.Measures)
					}
				}
			}
		}
	}
}
