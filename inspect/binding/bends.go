package binding

import (
	"cmp"
	"slices"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// mover carries single vertices through the bend set: one joint at a time at the
// ends of its range, everything else at rest, linear blend. Only what hangs on the
// joint moves, so a vertex costs one matrix a move.
type mover struct {
	r      *rig.Rig
	world  []rig.Affine
	joints []rig.Node   // that turn, in node order
	below  [][]bool     // joint → node hangs on it, itself too
	moves  [][]bendMove // joint → its moves
}

// bendMove is one end of a range.
type bendMove struct {
	anatomy.Turn
	Degrees float64
	matrix  rig.Affine
}

// mostMoving is how many vertices the bend set is tried on: the ones worst by their
// weights. More would tell nothing new and cost joints × vertices.
const mostMoving = 1024

func newMover(e *exam.Exam) *mover {
	m := &mover{r: e.Rig, world: e.RestWorld(), joints: anatomy.SkinJoints(e.Rig)}
	place := map[rig.Node]int{}
	for i, j := range m.joints {
		place[j] = i
	}
	m.moves, m.below = make([][]bendMove, len(m.joints)), make([][]bool, len(m.joints))
	for _, t := range e.Roles().BendSet(e.Rig, m.world, m.joints) {
		i := place[t.Joint]
		for _, d := range t.Ends() {
			m.moves[i] = append(m.moves[i], bendMove{t, d, t.Rotation(m.world[t.Joint].Origin(), d)})
		}
	}
	for i, j := range m.joints {
		if m.moves[i] == nil {
			continue
		}
		below := make([]bool, len(e.Rig.Nodes))
		for _, n := range e.Rig.Order {
			p := e.Rig.Nodes[n].Parent
			below[n] = n == j || p >= 0 && below[p]
		}
		m.below[i] = below
	}
	return m
}

// hold is one influence on a moving vertex: w·place, the place where the joint alone
// has the vertex at rest.
type hold struct {
	node   rig.Node
	weight float64
	part   mgl64.Vec3
}

// holds lists what a vertex of a surface hangs on, with the weights at the given
// slots, divided by their sum when whole.
func (m *mover) holds(surface int, v rig.Vertex, slots []int, whole bool) (out []hold) {
	s := m.r.Surfaces[surface]
	mesh, skin := &m.r.Meshes[s.Mesh], &m.r.Skins[s.Skin]
	p := mesh.Positions[3*v : 3*v+3]
	x := mgl64.Vec3{float64(p[0]), float64(p[1]), float64(p[2])}
	sum := 0.0
	for _, i := range slots {
		j, w := int(mesh.Joints[int(v)*mesh.K+i]), float64(mesh.Weights[int(v)*mesh.K+i])
		if w == 0 || j >= len(skin.Joints) {
			continue
		}
		a := m.world[skin.Joints[j]]
		if j < len(skin.Bind) {
			a = a.Mul(&skin.Bind[j])
		}
		out, sum = append(out, hold{skin.Joints[j], w, a.Point(x).Mul(w)}), sum+w
	}
	if whole && sum != 0 {
		for i := range out {
			out[i].weight, out[i].part = out[i].weight/sum, out[i].part.Mul(1/sum)
		}
	}
	return out
}

// place is where a vertex goes by one move of joint i.
func (m *mover) place(holds []hold, i int, move *bendMove) mgl64.Vec3 {
	var rest, part mgl64.Vec3
	weight := 0.0
	for k := range holds {
		if h := &holds[k]; m.below[i][h.node] {
			part, weight = part.Add(h.part), weight+h.weight
		} else {
			rest = rest.Add(h.part)
		}
	}
	if weight == 0 {
		return rest
	}
	return rest.Add(move.matrix.Direction(part)).Add(move.matrix.Origin().Mul(weight))
}

// Opening is how far things that belong together part over the bend set.
type Opening struct {
	Metres  float64  `json:"metres"`
	Joint   rig.Node `json:"joint"` // the joint that parts them most, None
	Axis    string   `json:"axis"`
	Degrees float64  `json:"degrees"`
}

func closed() Opening { return Opening{Joint: rig.None} }

// widest tries every move on two or more variants and answers how far apart any two
// of them come.
func (m *mover) widest(variants [][]hold) Opening {
	worst := closed()
	places := make([]mgl64.Vec3, len(variants))
	for i := range m.joints {
		if m.moves[i] == nil || !m.parts(variants, i) {
			continue
		}
		for k := range m.moves[i] {
			move := &m.moves[i][k]
			for v := range variants {
				places[v] = m.place(variants[v], i, move)
			}
			for a := range places {
				for b := range a {
					if d := places[a].Sub(places[b]).Len(); d > worst.Metres {
						worst = Opening{d, move.Joint, move.Axis, move.Degrees}
					}
				}
			}
		}
	}
	return worst
}

// work is about what widest costs for so many variants, in pieces of geom.Watch.
func (m *mover) work(variants int) int { return 12 * len(m.joints) * variants }

// parts tells whether joint i moves the variants unalike: they differ in how much
// hangs on it.
func (m *mover) parts(variants [][]hold, i int) bool {
	first := 0.0
	for v := range variants {
		w := 0.0
		for k := range variants[v] {
			if m.below[i][variants[v][k].node] {
				w += variants[v][k].weight
			}
		}
		if v == 0 {
			first = w
		} else if d := w - first; d > 1e-9 || d < -1e-9 {
			return true
		}
	}
	return false
}

// strongest lists the slots of a vertex by weight, the strongest first, those of
// weight 0 left out.
func strongest(m *rig.MeshData, v rig.Vertex) (slots []int) {
	for i := range m.K {
		if m.Weights[int(v)*m.K+i] != 0 {
			slots = append(slots, i)
		}
	}
	slices.SortStableFunc(slots, func(a, b int) int {
		return cmp.Compare(m.Weights[int(v)*m.K+b], m.Weights[int(v)*m.K+a])
	})
	return slots
}

func every(k int) []int {
	slots := make([]int, k)
	for i := range slots {
		slots[i] = i
	}
	return slots
}
