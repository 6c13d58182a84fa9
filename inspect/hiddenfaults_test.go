package inspect

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"rigloupe/inspect/check"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// A second set of faults in real figures, by other means than those of
// realfaults_test.go: each in a figure that is also turned, scaled, mirrored, renamed,
// split or packed, several near a limit, some two at once.

// hiddenUnseen are the rows that are known not to be told, and why.
var hiddenUnseen = map[string]string{
	"cesium_man.gltf/a hand or foot on the root": "a nameless person one of whose arms ends at the wrist, with a joint beside the hip, is read as nobody",
}

// hidden are faults by kind; none: not for this figure.
type hidden struct {
	kind string
	on   func(p *patient) []*wound
}

func hiddenFaults() []hidden {
	return slices.Concat(hiddenInWeights, hiddenInShape, hiddenInBones, hiddenInClips)
}

func one(w *wound) []*wound {
	if w == nil {
		return nil
	}
	return []*wound{w}
}

func TestHiddenFaultsInRealFigures(t *testing.T) {
	allTold(t, hiddenFaults(), guises, 3, hiddenUnseen, [2]int{190, 45})
}

// allTold plants each fault into each real figure, in another guise from figure to figure and
// fault to fault (shift guises on a figure); one in which it cannot be asked is passed over.
// Each is told as it is, nothing is set off besides what it may set off, and at most 3 in a
// hundred are on the list of those that are not told, by figure and kind. least are the rows
// and kinds that must come to be asked.
func allTold(t *testing.T, faults []hidden, guises []guise, shift int, unseen map[string]string, least [2]int) {
	rows, kinds, missed, worn := 0, map[string]bool{}, 0, map[string]bool{}
	for f, name := range realFigures {
		sound := checktest.Named(t, name)
		dressed, clean := map[string]*rig.Rig{}, map[string]*Result{}
		for k, fault := range faults {
			for try := range guises {
				g := &guises[(5*k+shift*f+try)%len(guises)]
				if dressed[g.name] == nil {
					r := lamplighter.Clone(sound)
					g.make(r)
					dressed[g.name], clean[g.name] = r, lookedAt(t, r)
				}
				p := operated(dressed[g.name], clean[g.name])
				ws := fault.on(p)
				if ws == nil {
					continue
				}
				rows++
				kinds[fault.kind], worn[g.name] = true, true
				t.Run(name+"/"+fault.kind+"/"+g.name, func(t *testing.T) {
					got, err := Examine(context.Background(), p.r, Options{})
					if err != nil {
						t.Fatal(err)
					}
					all := wound{}
					known := unseen[name+"/"+fault.kind]
					for _, w := range ws {
						if why := w.told(p, got); why != "" {
							if missed++; known == "" {
								t.Error(why)
							}
						} else if known != "" {
							t.Error("told by now: take it off the list of what is not")
						}
						all.also = append(append(all.also, w.id), w.also...)
					}
					for _, f := range all.fresh(p.clean, got) {
						if known == "" {
							t.Error("set off besides: " + f)
						}
					}
				})
				break
			}
		}
	}
	t.Logf("%d faults of %d kinds in %d guises, %d not told as they are", rows, len(kinds), len(worn), missed)
	if missed*100 > rows*3 {
		t.Errorf("%d of %d are not told as they are: more than 3 in a hundred", missed, rows)
	}
	if rows < least[0] || len(kinds) < least[1] || len(worn) < len(guises) {
		t.Errorf("only %d faults of %d kinds in %d guises were planted", rows, len(kinds), len(worn))
	}
}

// operated makes a patient of a copy: its skinned surface with the most vertices is the
// one that faults are planted in.
func operated(r *rig.Rig, clean *Result) *patient {
	p := &patient{r: lamplighter.Clone(r), clean: clean, e: exam.New(r)}
	best := -1
	for i, s := range r.Surfaces {
		if s.Skin < 0 {
			continue
		}
		q := *p
		q.skin = i
		if n := q.mesh().Vertices(); n > best && len(q.busy()) >= 2 {
			best, p.skin = n, i
		}
	}
	return p
}

func (p *patient) bones() *rig.SkinData { return &p.r.Skins[p.r.Surfaces[p.skin].Skin] }

// held is a joint by its place among the busy ones, counted from the least busy.
func (p *patient) held(k int) int {
	b := p.busy()
	return b[len(b)-1-k%len(b)]
}

// floats makes the mesh one of float weights, as after any edit.
func (p *patient) floats() *rig.MeshData {
	m := p.mesh()
	for i := range m.Primitives {
		m.Primitives[i].WeightSums, m.Primitives[i].WeightType = nil, 5126
	}
	return m
}

// sets widens the mesh to so many influences a vertex.
func (p *patient) widen(k int) *rig.MeshData {
	m := p.floats()
	joints, weights := make([]uint16, k*m.Vertices()), make([]float32, k*m.Vertices())
	for v := range m.Vertices() {
		copy(joints[k*v:], m.Joints[m.K*v:m.K*(v+1)])
		copy(weights[k*v:], m.Weights[m.K*v:m.K*(v+1)])
	}
	m.Joints, m.Weights, m.K = joints, weights, k
	for i := range m.Primitives {
		q := &m.Primitives[i]
		q.Sets, q.JointSets, q.WeightSets = k/4, k/4, k/4
	}
	return m
}

// spread gives each vertex equal weights on so many joints, those nearest in the list.
func (p *patient) spread(vertices []rig.Vertex, n int) {
	m, joints := p.mesh(), p.near(vertices[0], n)
	for _, v := range vertices {
		clear(m.Weights[m.K*int(v) : m.K*int(v+1)])
		clear(m.Joints[m.K*int(v) : m.K*int(v+1)])
		for k := range n {
			m.Joints[m.K*int(v)+k], m.Weights[m.K*int(v)+k] = uint16(joints[k]), 1/float32(n)
		}
	}
}

// near are the joints nearest to a vertex at rest.
func (p *patient) near(v rig.Vertex, n int) []int {
	world, at := p.e.RestWorld(), space.At(p.e.RestPositions(p.skin), v)
	list := make([]int, len(p.bones().Joints))
	for j := range list {
		list[j] = j
	}
	slices.SortStableFunc(list, func(a, b int) int {
		x, y := world[p.bones().Joints[a]].Origin().Sub(at).Len(), world[p.bones().Joints[b]].Origin().Sub(at).Len()
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return list[:n]
}

// rebind moves the bind of a joint by a motion of the world.
func (p *patient) rebind(j int, move rig.Affine) {
	s := p.bones()
	world := p.e.RestWorld()[s.Joints[j]]
	inv, _ := world.Inverse()
	wb := world.Mul(&s.Bind[j])
	mv := move.Mul(&wb)
	s.Bind[j] = inv.Mul(&mv)
}

// about is a rotation about an axis through a place.
func about3(at, axis space.Vec, degrees, scale float64) rig.Affine {
	m := (&rig.TRS{R: space.XYZW(space.About(axis, degrees*math.Pi/180)), S: [3]float64{scale, scale, scale}}).Affine()
	q := at.Sub(m.Direction(at))
	m[3], m[7], m[11] = q[0], q[1], q[2]
	return m
}

// moveJoint stands a joint elsewhere, bound there; what hangs on it stays.
func (p *patient) moveJoint(n rig.Node, by space.Vec) {
	old := p.r.RestWorld()
	shift := func(k rig.Node, d space.Vec) {
		node := &p.r.Nodes[k]
		for c := range 3 {
			node.T[c] += d[c]
		}
		node.Matrix[3] += d[0]
		node.Matrix[7] += d[1]
		node.Matrix[11] += d[2]
		for i := range p.r.Clips {
			for q := range p.r.Clips[i].Channels {
				if c := &p.r.Clips[i].Channels[q]; c.Node == k && c.Path == rig.Translation {
					for v := range len(c.Values) / 3 {
						if c.Interpolation != rig.Cubic || v%3 == 1 {
							setPoint(c.Values, v, space.At(c.Values, v).Add(d))
						}
					}
				}
			}
		}
	}
	local := func(k rig.Node) space.Vec {
		if k < 0 {
			return by
		}
		inv, _ := old[k].Inverse()
		return inv.Direction(by)
	}
	shift(n, local(p.r.Nodes[n].Parent))
	own := local(n)
	for _, c := range p.r.Nodes[n].Children {
		shift(c, own.Mul(-1))
	}
	now := p.r.RestWorld()
	for i := range p.r.Skins {
		s := &p.r.Skins[i]
		for j, k := range s.Joints {
			if k == n {
				inv, _ := now[k].Inverse()
				wb := old[k].Mul(&s.Bind[j])
				s.Bind[j] = inv.Mul(&wb)
			}
		}
	}
}

// scene turns, scales or moves the roots that are shown.
func (p *patient) place(m rig.Affine) {
	for _, n := range p.r.Scenes[max(0, p.r.Shown)].Roots {
		d := &p.r.Nodes[n]
		d.HasMatrix = true
		d.Matrix = m.Mul(&d.Matrix)
		d.TRS = d.Matrix.Decompose()
	}
}

// clipOf is the first clip with so many keys in a rotation of a joint that holds something;
// the joint's channel.
func (p *patient) clipOf(name string, keys int) (rig.Clip, *rig.Channel) {
	for i := range p.r.Clips {
		if !strings.Contains(strings.ToLower(p.r.Clips[i].Name), name) {
			continue
		}
		for k := range p.r.Clips[i].Channels {
			c := &p.r.Clips[i].Channels[k]
			if j := slices.Index(p.bones().Joints, c.Node); c.Path == rig.Rotation && c.Interpolation == rig.Linear && len(c.Times) >= keys && j >= 0 && len(p.dominated(j)) >= 8 {
				return rig.Clip(i), c
			}
		}
	}
	return rig.None, nil
}

func flawAt(id string, size, off float64, also ...string) *wound {
	return &wound{id: id, grade: check.Flaw, size: size, off: off, also: also}
}
func noteAt(id string, size, off float64, also ...string) *wound {
	w := flawAt(id, size, off, also...)
	w.grade = check.Note
	return w
}
func stopAt(id string, size, off float64, also ...string) *wound {
	w := flawAt(id, size, off, also...)
	w.grade = check.Stop
	return w
}
func (w *wound) at(v []rig.Vertex, n ...rig.Node) *wound {
	w.vertices, w.nodes = v, n
	return w
}
func (w *wound) in(c rig.Clip) *wound {
	w.clip = c
	return w
}

var anything = math.NaN()
