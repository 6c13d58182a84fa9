package mend

import (
	"encoding/binary"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// mended is a mend with values, and what it leaves as it was.
type mended struct {
	id            string
	v             Values
	keeps, played bool    // the surface is seen where it was: at rest; in every clip
	times         float64 // the figure so many times as large
}

// everyMend is every mend of the table with values that give it something to do on the
// figure of damagedFigure.
var everyMend = []mended{
	{id: "scale", keeps: true, played: true},
	{id: "scale", v: Values{"factor": 0.5}, keeps: true, played: true, times: 0.5},
	{id: "weld"},
	{id: "weld", v: Values{"distance": 2e-4, "unused": true}},
	{id: "even", v: Values{"form": "draw", "from": "left"}},
	{id: "even", v: Values{"form": "halve", "from": "left"}},
	{id: "even", v: Values{"form": "weights", "from": "left"}},
	{id: "fit"},
	{id: "bind"},
	{id: "clean", v: Values{"unbound": true, "strays": true, "cross": true, "seams": true, "faint": 0.02, "four": true}},
	{id: "names", v: Values{"roles": true, "plain": true}, keeps: true, played: true},
	{id: "rest", v: Values{"pose": "T"}, played: true},
	{id: "rest", v: Values{"bound": true, "pose": "stay"}, played: true},
	{id: "rebind", v: Values{"pose": "T", "price": 1.0}},
	{id: "hang", v: Values{"on": map[string]string{"chain_L_1": "chest"}}, keeps: true, played: true},
	{id: "part", v: Values{"surfaces": []string{"lamp", "Lamplighter"}, "forward": 0.3, "out": 0.01}, keeps: true, played: true}, // where a second file is at hand
	{id: "gear", v: Values{"surfaces": []string{"lamp"}}, keeps: true, played: true},
	{id: "follow", v: Values{"chains": []string{"chain_L_1"}, "settle": 0.5}},
	{id: "carry", v: Values{"clips": []string{"0"}}, keeps: true, played: true},
	{id: "trim", v: Values{"clip": "0", "from": 0.1, "to": 0.5}, keeps: true},
	{id: "travel", v: Values{"clips": []string{"0"}}, keeps: true, played: true},
	{id: "loop", v: Values{"clips": []string{"0"}}, keeps: true},
	{id: "sway", v: Values{"chains": []string{"chain_L_1"}, "clips": []string{"0"}}, keeps: true},
	{id: "lighter", v: Values{"share": 0.7}},
	{id: "springs", v: Values{"chains": []string{"chain_L_1"}}, keeps: true, played: true},
	{id: "thin"},
	{id: "sweep", keeps: true, played: true},
}

// damagedFigure is a small lamplighter in A with a bump and a leak on its right, cut along
// its joints, a lamp hung on one hand; its stroll does not close.
func damagedFigure() *rig.Rig {
	r := bumped(lamplighter.Build(lamplighter.Options{Pose: lamplighter.A, Sway: true, Vertices: 2500}))
	lamplighter.Shake(1e-5)(r)
	lamplighter.OpenLoop(20)(r)
	lamp := rig.MeshData{Name: "lamp", Primitives: []rig.PrimitiveData{{Material: rig.None, PositionType: 5126}}}
	addBox(&lamp, [3]float64{}, 0.1, 0)
	lamp.Remeasure()
	r.Meshes = append(r.Meshes, lamp)
	hand := lamplighter.Node("hand_R")
	n := rig.Node(len(r.Nodes))
	r.Nodes = append(r.Nodes, rig.NodeData{Name: "lamp", Parent: hand, Mesh: rig.Mesh(len(r.Meshes) - 1), Skin: rig.None, TRS: rig.TRS{R: [4]float64{0, 0, 0, 1}, S: [3]float64{1, 1, 1}}, Matrix: rig.Identity})
	r.Nodes[hand].Children = append(r.Nodes[hand].Children, n)
	r.SetOrder()
	r.Surfaces = append(r.Surfaces, rig.Surface{Node: n, Mesh: r.Nodes[n].Mesh, Skin: rig.None})
	return r
}

// cubic turns every linear channel into cubic keys with the slopes of its neighbours.
func cubic(r *rig.Rig) {
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			if ch.Interpolation != rig.Linear {
				continue
			}
			n := len(ch.Times)
			out := make([]float32, 0, 3*len(ch.Values))
			for k := range n {
				slope := make([]float32, ch.Width)
				for e := range slope {
					if k > 0 && k < n-1 {
						slope[e] = (ch.Values[(k+1)*ch.Width+e] - ch.Values[(k-1)*ch.Width+e]) / (ch.Times[k+1] - ch.Times[k-1])
					}
				}
				out = append(append(append(out, slope...), ch.Values[k*ch.Width:(k+1)*ch.Width]...), slope...)
			}
			ch.Values, ch.Interpolation = out, rig.Cubic
		}
	}
}

// quantised stores the positions of mesh 0 in 16 bits of a quarter of the size, the rest in
// the bind matrices, and the weights in 8 bits.
func quantised(t *testing.T) func(d *original.Document) {
	return func(d *original.Document) {
		use := d.UseAt("/meshes/0/primitives/0/attributes/POSITION")
		a, err := d.Accessor(use.Index)
		if err != nil {
			t.Fatal(err)
		}
		v, _ := a.Floats()
		out := original.Array{Type: "VEC3", Component: original.Short, Normalized: true, Count: a.Count}
		for _, x := range v {
			out.Data = binary.LittleEndian.AppendUint16(out.Data, uint16(int16(math.Round(float64(x)*32767))))
		}
		if err := d.Rewrite(out, use); err != nil {
			t.Fatal(err)
		}
		use = d.UseAt("/meshes/0/primitives/0/attributes/WEIGHTS_0")
		if a, err = d.Accessor(use.Index); err != nil {
			t.Fatal(err)
		}
		if v, err = a.Floats(); err != nil {
			t.Fatal(err)
		}
		bytes := original.Array{Type: "VEC4", Component: original.Ubyte, Normalized: true, Count: a.Count}
		for k := 0; k < len(v); k += 4 {
			row, sum, most := [4]int{}, 0, 0
			for i := range row {
				row[i] = int(math.Round(255 * float64(v[k+i])))
				if sum += row[i]; row[i] > row[most] {
					most = i
				}
			}
			row[most] += 255 - sum
			for _, x := range row {
				bytes.Data = append(bytes.Data, byte(x))
			}
		}
		if err := d.Rewrite(bytes, use); err != nil {
			t.Fatal(err)
		}
		d.Root.Set("extensionsUsed", original.List(original.Text("KHR_mesh_quantization")))
		d.Root.Set("extensionsRequired", original.List(original.Text("KHR_mesh_quantization")))
	}
}

// sparse lays one displaced vertex and one weight over accessors.
func sparse(t *testing.T) func(d *original.Document) {
	return func(d *original.Document) {
		view := func(a original.Array) *original.Value {
			i, err := d.NewAccessor(a, false, false)
			if err != nil {
				t.Fatal(err)
			}
			return d.Object(original.Accessors, i).Get("bufferView").Clone()
		}
		at := view(original.Uints32("SCALAR", original.Uint, []uint32{7}))
		for name, to := range map[string]original.Array{
			"POSITION":  original.Floats32("VEC3", []float32{0.1, 1.3, 0.5}),
			"WEIGHTS_0": original.Floats32("VEC4", []float32{1, 0, 0, 0}),
		} {
			o := d.Object(original.Accessors, d.UseAt("/meshes/0/primitives/0/attributes/"+name).Index)
			o.Set("sparse", original.Object("count", original.Whole(1),
				"indices", original.Object("bufferView", at.Clone(), "componentType", original.Whole(original.Uint)),
				"values", original.Object("bufferView", view(to))))
		}
	}
}

// twin adds a statue: a mesh of its own, without a skin, that names the accessors of mesh 0.
func twin(d *original.Document) {
	mesh := d.Object(original.Meshes, 0).Clone()
	mesh.Set("name", original.Text("statue"))
	p := mesh.Get("primitives").At(0)
	for _, k := range p.Get("attributes").Keys() {
		if strings.HasPrefix(k, "JOINTS") || strings.HasPrefix(k, "WEIGHTS") {
			p.Get("attributes").Set(k, nil)
		}
	}
	m := d.Add(original.Meshes, mesh)
	n := d.Add(original.Nodes, original.Object("name", original.Text("statue"), "mesh", original.Whole(m), "translation", original.Numbers(4, 0, 0)))
	d.Object(original.Scenes, 0).Get("nodes").Append(original.Whole(n))
	d.Refresh(original.Scenes, 0)
}

// Damaged figures and every mend: done rightly, or refused in words. Rightly: no number that
// was finite is none now, what a mend is to keep in its place stays there, another mesh that
// names the same accessors is as it was, and what is planted is told and not kept.
func TestEveryMendOnDamage(t *testing.T) {
	rows := map[string]struct {
		rig func(*rig.Rig)
		doc func(*original.Document)
	}{
		"branching edges": {rig: func(r *rig.Rig) {
			m := &r.Meshes[0]
			for k := range 40 {
				t := 3 * (50*k + 7)
				m.Triangles = append(m.Triangles, m.Triangles[t], m.Triangles[t+1], m.Triangles[(t+900)%len(m.Triangles)])
				m.Primitives[0].TriCount++
			}
		}},
		"thousands of shells": {rig: func(r *rig.Rig) {
			m := &r.Meshes[0]
			for k := range 2000 {
				addBox(m, [3]float64{0.4 + 0.01*float64(k%40), 0.5 + 0.02*float64(k/40), 0.3}, 0.005, uint16(k%7))
			}
			m.Remeasure()
		}},
		"vertices without weight": {rig: func(r *rig.Rig) { lamplighter.Unbind(60)(r) }},
		"all weights zero":        {rig: func(r *rig.Rig) { clear(r.Meshes[0].Weights) }},
		"places that are no numbers": {rig: func(r *rig.Rig) {
			for v := range 9 {
				r.Meshes[0].Positions[3*(200*v)+v%3] = float32(math.NaN())
			}
		}},
		"weights that are no numbers": {rig: func(r *rig.Rig) {
			for v := range 9 {
				r.Meshes[0].Weights[r.Meshes[0].K*200*v] = float32(math.Inf(1 - 2*(v%2)))
				r.Meshes[0].Weights[r.Meshes[0].K*(200*v+1)] = float32(math.NaN())
			}
		}},
		"a parent scaled by axis": {rig: func(r *rig.Rig) {
			n := &r.Nodes[lamplighter.Node("spine")]
			n.S = [3]float64{1.1, 0.9, 1}
			n.Matrix = n.TRS.Affine()
		}},
		"a parent scaled evenly": {rig: func(r *rig.Rig) {
			n := &r.Nodes[lamplighter.Node("chest")]
			n.S = [3]float64{1.2, 1.2, 1.2}
			n.Matrix = n.TRS.Affine()
		}},
		"two skins on one skeleton": {rig: func(r *rig.Rig) { lamplighter.SecondSkin(int(lamplighter.Node("head")), 0.03)(r) }},
		"morphs":                    {rig: func(r *rig.Rig) { lamplighter.Morph(0.01, 1)(r) }},
		"cubic keys":                {rig: cubic},
		"quantised": {rig: func(r *rig.Rig) {
			m := &r.Meshes[0]
			for i := range m.Positions {
				m.Positions[i] /= 4
			}
			four := rig.Affine{0: 4, 5: 4, 10: 4}
			for j := range r.Skins[0].Bind {
				r.Skins[0].Bind[j] = r.Skins[0].Bind[j].Mul(&four)
			}
		}, doc: quantised(t)},
		"sparse":           {doc: sparse(t)},
		"shared accessors": {doc: twin},
	}
	for _, m := range Table() {
		if !slices.ContainsFunc(everyMend, func(x mended) bool { return x.id == m.ID }) {
			t.Errorf("%s meets no damaged figure: it wants a row in everyMend", m.ID)
		}
	}
	for i, name := range slices.Sorted(maps.Keys(rows)) {
		row := rows[name]
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := damagedFigure()
			if row.rig != nil {
				row.rig(r)
			}
			doc := row.doc
			if doc == nil {
				doc = func(*original.Document) {}
			}
			s := edited(t, r, doc)
			s.Beside(&State{Doc: s.Doc, Bytes: s.Bytes, Rig: s.Rig}) // what is taken is damaged, too
			done := 0
			for k, m := range everyMend {
				if alone := m.id == "clean" && strings.Contains(name, "weights"); !alone && !rounds.Run(i+k, 37) {
					continue
				}
				x := try(t, s, m.id, m.v)
				if x.After == nil {
					if why := x.Refused(); len(why) < 20 || !strings.HasSuffix(why, ".") {
						t.Errorf("%s %v: refused without words: %q", m.id, m.v, why)
					}
					if want := "it must be bound anew"; name == "all weights zero" && m.id == "clean" && !strings.Contains(x.Refused(), want) {
						t.Errorf("it is not refused with %q: %s", want, x.Refused())
					}
					t.Logf("%s %v: %s", m.id, m.v, x.Refused())
					continue
				}
				done++
				if name == "weights that are no numbers" && m.id == "clean" && gradeOf(t, x.After, "binding/bad-index") != 0 {
					t.Error("weights that are no numbers are left")
				}
				soundAfter(t, x, m.keeps, m.played, m.times)
				receipt := prove(t, x)
				for _, id := range receipt.Planted {
					if receipt.Kept && receipt.after(id) >= 2 {
						t.Errorf("%s %v: kept, and it plants %s", m.id, m.v, id)
					}
				}
				t.Logf("%v %s", m.v, receipt.Sentence())
			}
			// Without its skeleton, and with that which was fitted.
			if row.doc == nil && rounds.Long() {
				for _, x := range fitAndBind(t, r) {
					if x.After == nil {
						if why := x.Refused(); len(why) < 20 || !strings.HasSuffix(why, ".") {
							t.Errorf("%s: refused without words: %q", x.Mend.ID, why)
						}
						t.Logf("without skeleton: %s: %s", x.Mend.ID, x.Refused())
						continue
					}
					soundAfter(t, x, true, false, 1)
					receipt := prove(t, x)
					for _, id := range receipt.Planted {
						if receipt.Kept && receipt.after(id) >= 2 {
							t.Errorf("without skeleton: %s: kept, and it plants %s", x.Mend.ID, id)
						}
					}
					t.Logf("without skeleton: %s", receipt.Sentence())
				}
			}
			if done < 6 && rounds.Long() {
				t.Errorf("%d of %d mends are done", done, len(everyMend))
			}
		})
	}
}

// fitAndBind takes a figure's skeleton away, proposes another and binds to it.
func fitAndBind(t *testing.T, r *rig.Rig) []*Trial {
	t.Helper()
	fit := try(t, ofRig(t, bare(r)), "fit", Values{"kind": "person", "points": map[string]string{"groin": "0 0.8 0"}})
	if fit.After == nil {
		return []*Trial{fit}
	}
	return []*Trial{fit, try(t, fit.After, "bind", nil)}
}

// soundAfter asks of a trial what holds of any.
func soundAfter(t *testing.T, x *Trial, keeps, played bool, times float64) {
	t.Helper()
	was, is := x.Before.Rig, x.After.Rig
	bad := func(list []float32) (n int) {
		for _, v := range list {
			if v-v != 0 {
				n++
			}
		}
		return n
	}
	for m := range is.Meshes {
		a, b := &rig.MeshData{}, &is.Meshes[m]
		if m < len(was.Meshes) {
			a = &was.Meshes[m]
		} else if s := x.Before.Seconds(); len(s) > 0 { // it came from there, with what is no number in it
			for k := range s[0].Rig.Meshes {
				if s[0].Rig.Meshes[k].Name == b.Name {
					a = &s[0].Rig.Meshes[k]
				}
			}
		}
		if bad(b.Positions) > bad(a.Positions) || bad(b.Normals) > bad(a.Normals) || bad(b.Weights) > bad(a.Weights) {
			t.Errorf("%s %v: mesh %d has numbers that are none", x.Mend.ID, x.Values, m)
		}
		if b.Name == "statue" && x.Mend.ID != "scale" && (!slices.Equal(a.Positions, b.Positions) || !slices.Equal(a.Normals, b.Normals) || !slices.Equal(a.Triangles, b.Triangles)) && !x.meantFor(m) {
			t.Errorf("%s %v: it changed the statue, which names the same accessors", x.Mend.ID, x.Values)
		}
		if p := b.Primitives; len(p) > 0 && len(b.Weights) > 0 && x.Mend.ID == "clean" {
			for v := range b.Vertices() {
				sum := float32(0)
				for _, w := range b.Weights[v*b.K : (v+1)*b.K] {
					sum += w
				}
				if math.Abs(float64(sum)-1) > 1e-6 && sum != 0 && used(b)[v] && !slices.ContainsFunc(b.Weights[v*b.K:(v+1)*b.K], func(w float32) bool { return w-w != 0 }) {
					t.Fatalf("clean: vertex %d of mesh %d sums to %g", v, m, sum)
				}
			}
		}
	}
	moments := Moments(was) // the rest pose first
	if !played {
		moments = moments[:1]
	}
	if !keeps {
		moments = moments[1:]
	}
	if times == 0 {
		times = 1
	}
	e := exam.New(was)
	most := 1e-5 * e.Size() * max(times, 1)
	pa, pb := NewPosed(was), NewPosed(is)
	at := map[rig.Node]int{}
	for i, s := range is.Surfaces {
		at[s.Node] = i
	}
	for _, m := range moments {
		m.Set(pa.Pose)
		m.Set(pb.Pose)
		for i, s := range was.Surfaces {
			k, ok := at[s.Node]
			if !ok {
				continue
			}
			a, b := pa.Positions(i), pb.Positions(k)
			for v := range len(a) / 3 {
				p, q := space.At(a, v).Mul(times), space.At(b, v)
				if d := p.Sub(q).Len(); d > most {
					t.Errorf("%s %v: vertex %d of surface %d is %.3g m off in clip %d at %.2f s", x.Mend.ID, x.Values, v, i, d, m.Clip, m.Seconds)
					return
				}
			}
		}
	}
}

// meantFor tells that a trial was to change a mesh by itself: a mend of shapes that was not
// told which surfaces looks at all of them.
func (t *Trial) meantFor(mesh int) bool {
	return t.Mend.ID == "weld" || t.Mend.ID == "even" || t.Mend.ID == "lighter"
}
