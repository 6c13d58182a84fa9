package inspect

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
)

// Guises are the same figure written otherwise: turned, larger, its own mirror image,
// named by numbers or by nothing, its meshes in pieces, its numbers in few bits. What is
// wrong with a figure does not depend on them.

// guise changes a copy of a figure. also are checks that the guise itself sets off.
type guise struct {
	name string
	make func(r *rig.Rig)
	also []string
	less []string // checks that cannot be asked of it: by names, where there are none
}

var byName = []string{"skeleton/name-clash", "skeleton/fragile-name", "skeleton/side-label", "intake/odd-height"}

var guises = []guise{
	{"as it is", func(*rig.Rig) {}, nil, nil},
	{"turned", func(r *rig.Rig) { turnAll(r, turnedBy(0, 37, 0)) }, nil, nil},
	{"turned right round", func(r *rig.Rig) { turnAll(r, turnedBy(0, -157, 0)) }, nil, nil},
	{"a hundredth", func(r *rig.Rig) { scaleAll(r, .01) }, []string{"intake/odd-height"}, []string{"intake/odd-height"}},
	{"a hundredfold", func(r *rig.Rig) { scaleAll(r, 100) }, []string{"intake/odd-height"}, []string{"intake/odd-height"}},
	{"its mirror image", mirrorAll, nil, nil},
	{"bones numbered", func(r *rig.Rig) { nameAll(r, func(i int) string { return fmt.Sprintf("bone_%02d", i) }) }, nil, byName},
	{"nameless", func(r *rig.Rig) { nameAll(r, func(int) string { return "" }) }, nil, byName},
	{"in three primitives", func(r *rig.Rig) { splitAll(r, 3) }, nil, nil},
	{"in few bits", packAll, nil, nil},
	{"below a node of its own", func(r *rig.Rig) { under(r, false) }, nil, nil},
	{"joints in another order", shuffleSkins, nil, nil},
	{"nodes in another order", shuffleNodes, nil, nil},
}

// turnedBy is a rotation about x, then y, then z, degrees.
func turnedBy(x, y, z float64) space.Quat {
	q := space.About(space.Vec{1, 0, 0}, x*math.Pi/180)
	q = space.Mul(space.About(space.Vec{0, 1, 0}, y*math.Pi/180), q)
	return space.Mul(space.About(space.Vec{0, 0, 1}, z*math.Pi/180), q)
}

// skinned tells for every mesh whether a surface with a skin shows it.
func skinned(r *rig.Rig) []bool {
	out := make([]bool, len(r.Meshes))
	for _, s := range r.Surfaces {
		out[s.Mesh] = out[s.Mesh] || s.Skin >= 0
	}
	return out
}

// turnAll turns the whole figure in its own numbers: skinned vertices, roots, binds and
// the channels of roots. Nothing is left above it.
func turnAll(r *rig.Rig, q space.Quat) {
	turn := (&rig.TRS{R: space.XYZW(q), S: [3]float64{1, 1, 1}}).Affine()
	back, _ := turn.Inverse()
	for i, is := range skinned(r) {
		if !is {
			continue
		}
		m := &r.Meshes[i]
		for v := range m.Vertices() {
			setPoint(m.Positions, v, turn.Point(space.At(m.Positions, v)))
			if m.Normals != nil {
				setPoint(m.Normals, v, turn.Direction(space.At(m.Normals, v)))
			}
		}
		for k := range m.Targets {
			t := &m.Targets[k]
			for v := range len(t.Positions) / 3 {
				setPoint(t.Positions, v, turn.Direction(space.At(t.Positions, v)))
			}
			for v := range len(t.Normals) / 3 {
				setPoint(t.Normals, v, turn.Direction(space.At(t.Normals, v)))
			}
		}
		m.Remeasure()
	}
	for i := range r.Skins {
		for j := range r.Skins[i].Bind {
			b := &r.Skins[i].Bind[j]
			*b = b.Mul(&back)
		}
	}
	// A skinned mesh's own node has no say in where it stands: one without a placement
	// stays so, so that the box of the mesh turns with its vertices and not once more.
	was := r.RestWorld()
	for n := range r.Nodes {
		if d := &r.Nodes[n]; d.Parent < 0 {
			setMatrix(d, turn.Mul(&d.Matrix))
		}
	}
	for n := range r.Nodes {
		if d := &r.Nodes[n]; d.Skin >= 0 && len(d.Children) == 0 && was[n] == rig.Identity {
			m := was[n]
			if d.Parent >= 0 {
				up := turn.Mul(&was[d.Parent])
				inv, _ := up.Inverse()
				m = inv.Mul(&m)
			}
			setMatrix(d, m)
		}
	}
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			c := &r.Clips[i].Channels[k]
			if c.Node < 0 || r.Nodes[c.Node].Parent >= 0 {
				continue
			}
			for v := range len(c.Values) / max(c.Width, 1) {
				at := c.Values[c.Width*v : c.Width*(v+1)]
				switch c.Path {
				case rig.Translation:
					setPoint(at, 0, turn.Direction(space.At(at, 0)))
				case rig.Rotation:
					p := space.Mul(q, space.Quat{W: float64(at[3]), V: space.At(at, 0)})
					setPoint(at, 0, p.V)
					at[3] = float32(p.W)
				}
			}
		}
	}
}

func setPoint(list []float32, i int, p space.Vec) {
	list[3*i], list[3*i+1], list[3*i+2] = float32(p[0]), float32(p[1]), float32(p[2])
}

func setMatrix(d *rig.NodeData, m rig.Affine) {
	d.TRS = m.Decompose()
	for k := range 3 { // a file holds single precision; a scale of one stays one
		if math.Abs(d.S[k]-1) < 1e-9 {
			d.S[k] = 1
		}
	}
	if d.HasMatrix {
		d.Matrix = m
	} else {
		d.Matrix = d.TRS.Affine()
	}
}

// scaleAll makes a figure larger in its own numbers.
func scaleAll(r *rig.Rig, k float64) {
	scale := func(list []float32) {
		for i := range list {
			list[i] = float32(float64(list[i]) * k)
		}
	}
	for i := range r.Meshes {
		m := &r.Meshes[i]
		scale(m.Positions)
		for t := range m.Targets {
			scale(m.Targets[t].Positions)
		}
		m.Remeasure()
	}
	for i := range r.Skins {
		for j := range r.Skins[i].Bind {
			for _, c := range []int{3, 7, 11} {
				r.Skins[i].Bind[j][c] *= k
			}
		}
	}
	for n := range r.Nodes {
		d := &r.Nodes[n]
		for c := range 3 {
			d.T[c] *= k
			d.Matrix[4*c+3] *= k
		}
	}
	for i := range r.Clips {
		for j := range r.Clips[i].Channels {
			if c := &r.Clips[i].Channels[j]; c.Path == rig.Translation {
				scale(c.Values)
			}
		}
	}
}

// mirrorAll makes a figure its own mirror image over x = 0, names of sides exchanged.
func mirrorAll(r *rig.Rig) {
	flip := func(list []float32, width int, at ...int) {
		for i := 0; i+width <= len(list); i += width {
			for _, k := range at {
				list[i+k] = -list[i+k]
			}
		}
	}
	image := func(a *rig.Affine) {
		for _, k := range []int{1, 2, 3, 4, 8} {
			a[k] = -a[k]
		}
	}
	for i := range r.Meshes {
		m := &r.Meshes[i]
		flip(m.Positions, 3, 0)
		flip(m.Normals, 3, 0)
		for t := range m.Targets {
			flip(m.Targets[t].Positions, 3, 0)
			flip(m.Targets[t].Normals, 3, 0)
		}
		for t := 0; t+2 < len(m.Triangles); t += 3 {
			m.Triangles[t], m.Triangles[t+1] = m.Triangles[t+1], m.Triangles[t]
		}
		m.Remeasure()
	}
	for i := range r.Skins {
		for j := range r.Skins[i].Bind {
			image(&r.Skins[i].Bind[j])
		}
	}
	for n := range r.Nodes {
		d := &r.Nodes[n]
		image(&d.Matrix)
		d.T[0], d.R[1], d.R[2] = -d.T[0], -d.R[1], -d.R[2]
		d.Name = otherSide(d.Name)
	}
	done := map[*float32]bool{}
	for i := range r.Clips {
		for j := range r.Clips[i].Channels {
			c := &r.Clips[i].Channels[j]
			if len(c.Values) == 0 || done[&c.Values[0]] {
				continue
			}
			done[&c.Values[0]] = true
			switch c.Path {
			case rig.Translation:
				flip(c.Values, 3, 0)
			case rig.Rotation:
				flip(c.Values, 4, 1, 2)
			}
		}
	}
}

// otherSide exchanges left and right in a name, as the corpus writes them.
func otherSide(name string) string {
	const hold = "\x00"
	for _, p := range [][2]string{{"Left", "Right"}, {"left", "right"}} {
		name = strings.NewReplacer(p[0], hold+p[1], p[1], hold+p[0]).Replace(name)
	}
	name = strings.ReplaceAll(name, hold, "")
	for _, p := range [][2]string{{".L", ".R"}, {".l", ".r"}, {"_L", "_R"}, {"_l", "_r"}, {"_L_", "_R_"}} {
		for k := range 2 {
			if strings.HasSuffix(name, p[k]) {
				return strings.TrimSuffix(name, p[k]) + p[1-k]
			}
			if mid := p[k] + "_"; len(p[k]) == 2 && strings.Contains(name, mid) {
				return strings.Replace(name, mid, p[1-k]+"_", 1)
			}
		}
	}
	return name
}

// nameAll names every joint and node that clips move anew.
func nameAll(r *rig.Rig, name func(int) string) {
	for n := range r.Nodes {
		if r.Nodes[n].Mesh < 0 {
			r.Nodes[n].Name = name(n)
		}
	}
	r.Humanoid = rig.Humanoid{}
}

// splitAll parts every primitive into so many of its own vertices each, by runs of its
// triangles, as one that is split by material.
func splitAll(r *rig.Rig, parts int) {
	for i := range r.Meshes {
		old := r.Meshes[i]
		m := old
		m.Primitives, m.Triangles, m.NonFinite = nil, nil, nil
		var keep []rig.Vertex
		for _, p := range old.Primitives {
			runs := parts
			if p.TriCount < 3*parts {
				runs = 1
			}
			for k := range runs {
				q := p
				q.First, q.FirstTri = len(keep), len(m.Triangles)/3
				q.Array = 1_000_000 + 100*len(m.Primitives)
				q.WeightSums = nil
				to := map[uint32]uint32{}
				for t := p.FirstTri + p.TriCount*k/runs; t < p.FirstTri+p.TriCount*(k+1)/runs; t++ {
					for _, v := range old.Triangles[3*t : 3*t+3] {
						n, ok := to[v]
						if !ok {
							n = uint32(len(keep))
							to[v] = n
							keep = append(keep, rig.Vertex(v))
							if p.WeightSums != nil {
								q.WeightSums = append(q.WeightSums, p.WeightSums[int(v)-p.First])
							}
						}
						m.Triangles = append(m.Triangles, n)
					}
				}
				if p.TriCount == 0 { // points and lines
					for v := p.First; v < p.First+p.Count; v++ {
						keep = append(keep, rig.Vertex(v))
					}
					q.WeightSums = slices.Clone(p.WeightSums)
				}
				q.Count, q.TriCount = len(keep)-q.First, len(m.Triangles)/3-q.FirstTri
				m.Primitives = append(m.Primitives, q)
			}
		}
		m.Positions, m.Normals, m.UV = pick(old.Positions, keep, 3), pick(old.Normals, keep, 3), pick(old.UV, keep, 2)
		m.Joints, m.Weights = pick(old.Joints, keep, m.K), pick(old.Weights, keep, m.K)
		m.Targets = slices.Clone(old.Targets)
		for t := range m.Targets {
			m.Targets[t].Positions, m.Targets[t].Normals = pick(old.Targets[t].Positions, keep, 3), pick(old.Targets[t].Normals, keep, 3)
		}
		r.Meshes[i] = m
		r.Meshes[i].Remeasure()
	}
}

func pick[T any](list []T, keep []rig.Vertex, width int) (out []T) {
	if list == nil {
		return nil
	}
	for _, v := range keep {
		out = append(out, list[width*int(v):width*int(v+1)]...)
	}
	return out
}

// packAll stores weights in 8 bits, sums kept whole, and positions on a grid of 1/65535 of
// the mesh's longest side, as a packer does.
func packAll(r *rig.Rig) {
	for i := range r.Meshes {
		m := &r.Meshes[i]
		low, far := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, 0.0
		for k, x := range m.Positions {
			low[k%3] = min(low[k%3], float64(x))
		}
		for k, x := range m.Positions {
			far = max(far, float64(x)-low[k%3])
		}
		for k, x := range m.Positions {
			if step := far / 65535; step > 0 {
				m.Positions[k] = float32(low[k%3] + step*math.Round((float64(x)-low[k%3])/step))
			}
		}
		for v := 0; m.K > 0 && v < m.Vertices(); v++ {
			w := m.Weights[m.K*v : m.K*(v+1)]
			sum, most, rest := float32(0), 0, 255
			for k := range w {
				if sum += w[k]; w[k] > w[most] {
					most = k
				}
			}
			if sum < .99 || sum > 1.01 {
				continue // one of its own faults stays
			}
			for k := range w {
				n := int(math.Round(float64(w[k]) * 255))
				rest -= n
				w[k] = float32(n)
			}
			w[most] += float32(rest)
			for k := range w {
				w[k] /= 255
			}
		}
		for k := range m.Primitives {
			if p := &m.Primitives[k]; m.K > 0 {
				p.WeightType, p.WeightSums = 5121, make([]uint32, p.Count)
			}
		}
		resum(m)
		m.Remeasure()
	}
}

// shuffleSkins lists the joints of every skin from the last to the first.
func shuffleSkins(r *rig.Rig) {
	done := map[rig.Mesh]bool{}
	for _, s := range r.Surfaces {
		if s.Skin < 0 || done[s.Mesh] {
			continue
		}
		done[s.Mesh] = true
		n, m := len(r.Skins[s.Skin].Joints), &r.Meshes[s.Mesh]
		for k, j := range m.Joints {
			if m.Weights[k] > 0 && int(j) < n {
				m.Joints[k] = uint16(n - 1 - int(j))
			}
		}
	}
	for i := range r.Skins {
		s := &r.Skins[i]
		slices.Reverse(s.Joints)
		slices.Reverse(s.Bind)
		for k := len(s.BindRow)/4 - 1; k >= len(s.BindRow)/8; k-- {
			o := len(s.BindRow)/4 - 1 - k
			for c := range 4 {
				s.BindRow[4*k+c], s.BindRow[4*o+c] = s.BindRow[4*o+c], s.BindRow[4*k+c]
			}
		}
	}
}

// shuffleNodes numbers the nodes from the last to the first.
func shuffleNodes(r *rig.Rig) {
	last := rig.Node(len(r.Nodes) - 1)
	to := func(n rig.Node) rig.Node {
		if n < 0 {
			return n
		}
		return last - n
	}
	slices.Reverse(r.Nodes)
	for i := range r.Nodes {
		d := &r.Nodes[i]
		d.Parent = to(d.Parent)
		for k := range d.Children {
			d.Children[k] = to(d.Children[k])
		}
	}
	for i := range r.Scenes {
		for k := range r.Scenes[i].Roots {
			r.Scenes[i].Roots[k] = to(r.Scenes[i].Roots[k])
		}
	}
	for i := range r.Surfaces {
		r.Surfaces[i].Node = to(r.Surfaces[i].Node)
	}
	slices.Reverse(r.Surfaces)
	for i := range r.Skins {
		r.Skins[i].Skeleton = to(r.Skins[i].Skeleton)
		for k := range r.Skins[i].Joints {
			r.Skins[i].Joints[k] = to(r.Skins[i].Joints[k])
		}
	}
	for i := range r.Clips {
		for k := range r.Clips[i].Channels {
			r.Clips[i].Channels[k].Node = to(r.Clips[i].Channels[k].Node)
		}
	}
	for role, n := range r.Humanoid.Bones {
		r.Humanoid.Bones[role] = to(n)
	}
	r.SetOrder()
}

// figures of the corpus that faults are planted into.
var realFigures = []string{"Knight.glb", "robot.glb", "cesium_man.gltf", "Fox.glb", "hand_left.glb", "hand_right.glb"}

// worse counts the findings above a note that follow from nothing, by check and grade.
func worse(res *Result) map[string]int {
	out := map[string]int{}
	for _, f := range res.Findings() {
		if f.Grade > check.Note && f.Cause == nil {
			out[fmt.Sprintf("%s %s", f.Grade, f.ID)]++
		}
	}
	return out
}

// A figure in another guise has the flaws that it had, and no other.
func TestGuisesOfRealFigures(t *testing.T) {
	for _, name := range realFigures {
		sound := checktest.Named(t, name)
		clean, err := Examine(context.Background(), sound, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range guises {
			t.Run(name+"/"+g.name, func(t *testing.T) { sameInGuise(t, clean, lamplighter.Clone(sound), g) })
		}
	}
}

// Sound creatures have no flaw in any guise.
func TestGuisesOfCreatures(t *testing.T) {
	for i, c := range creatures {
		if c.o.Names > 1 {
			continue // names do not tell in a guise
		}
		clean := sync.OnceValue(func() *Result { return lookedAt(t, c.build(c.o)) })
		for k, g := range guises {
			if !rounds.Run(2*i+k, 41) {
				continue
			}
			t.Run(c.name+"/"+g.name, func(t *testing.T) {
				sameInGuise(t, clean(), c.build(c.o), g)
			})
		}
	}
}

// kindsOf are the kinds of the figures that are examined, in order of the kinds: which figure is the first says nothing.
func kindsOf(res *Result) (out []anatomy.Kind) {
	for _, f := range res.Exam.Figures() {
		if f.Exam != nil {
			out = append(out, f.Exam.Roles().Kind)
		}
	}
	if out == nil {
		return []anatomy.Kind{res.Exam.Roles().Kind}
	}
	slices.Sort(out)
	return out
}

func sameInGuise(t *testing.T, clean *Result, r *rig.Rig, g guise) {
	t.Helper()
	g.make(r)
	got := lookedAt(t, r)
	// Without names a robot whose feet hang beside its legs and a hand of joints side by
	// side are nothing in particular; never are they another thing.
	if a, b := kindsOf(clean), kindsOf(got); !slices.Equal(a, b) && (!slices.Equal(b, []anatomy.Kind{anatomy.NoKind}) || g.less == nil) {
		t.Errorf("was of the kinds %q, is %q", a, b)
	}
	was, is := worse(clean), worse(got)
	for what, n := range is {
		id := strings.Fields(what)[1]
		if was[what] != n && !slices.Contains(g.also, id) {
			for _, f := range got.Findings() {
				if f.ID == id && f.Grade > check.Note {
					t.Errorf("%d × %s, was %d: %s %+v", n, what, was[what], f.Subject, f.Measures[0])
				}
			}
		}
	}
	for what, n := range was {
		if id := strings.Fields(what)[1]; is[what] == 0 && !slices.Contains(g.less, id) {
			t.Errorf("%d × %s is told no longer", n, what)
		}
	}
}
