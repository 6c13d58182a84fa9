// Package binding is the station that looks at the weights: which vertex hangs on
// which joint and how much.
package binding

import (
	"context"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Station is the binding's row of the catalogue.
var Station = check.NewStation("binding", "Binding", Measure, []check.Check[Facts]{
	unbound, sumOff, badIndex, manyInfluences, faint, idleJoint, strayIsland, crossBody, mirrorMismatch,
	splitSeam, rough, rigidParts, hangsOn, cutToFour, unplugged,
})

// Facts are what the station measured. Weights count as stored, over all sets.
type Facts struct {
	Skins          []Skin    `json:"skins"`
	SplitSeam      int       `json:"split_seam_vertices"` // in one place with one bound differently
	SeamOpens      *Opening  `json:"split_seam_opens"`    // over the bend set; nil: no seam
	MirrorMismatch *Mismatch `json:"mirror_mismatch"`     // nil: no mirror plane, or no skin
	CrossBody      int       `json:"cross_body_vertices"` // weight > 0.05 of a joint of the other side, > 2 % of the diagonal beyond the plane
	Four           Four      `json:"cut_to_four"`
	Hung           []Hung    `json:"unskinned"`     // shown surfaces without a skin, beside skinned ones
	Travel         float64   `json:"root_travel_m"` // measured when something may stay behind
	RoughEdges     int       `json:"rough_edges"`   // with a jump > 0.35
	RigidShells    int       `json:"rigid_shells"`

	Surfaces []Surface  `json:"surfaces"`             // all of the file
	Idle     []Idle     `json:"idle" wire:"null"`     // skin joints without influence, in node order, each once
	Strays   []Stray    `json:"strays" wire:"null"`   // patches farther than a quarter bone from their joint's main one, by skin and joint
	Crossing []Crossing `json:"crossing" wire:"null"` // weights above 0.01 beyond the plane
	Jump     float64    `json:"largest_jump"`         // of weights across an edge
	Seams    Seams      `json:"split_seams"`          //
	Rigid    []Rigid    `json:"rigid_on" wire:"null"` // joints that shells follow altogether
	Loose    Loose      `json:"unplugged"`            // data without its counterpart
	NoMirror string     `json:"no_mirror"`            // why sides are not compared; "": they are
	Diagonal float64    `json:"diagonal_m"`
	Height   float64    `json:"height_m"`

	Sites `json:"-"`
}

// Surface is what the checks of single vertices go by, of one surface: how many there are
// of each size, as a Tally.
type Surface struct {
	Node       rig.Node    `json:"node"`
	Name       rig.Name    `json:"name"`                           // of the node
	Called     string      `json:"called"`                         // in words
	Skin       rig.Skin    `json:"skin"`                           // −1: none
	Influences check.Tally `json:"influences" wire:"null"`         // vertices that a triangle uses, by how many weights are not 0
	Differ     check.Tally `json:"mirror_differences" wire:"null"` // vertices, by hundredths; those whose weights are gone or off, or the ones opposite, left out
	JumpEdges  check.Tally `json:"jumping_edges" wire:"null"`      // by hundredths
	Jumping    check.Tally `json:"jumping_vertices" wire:"null"`   // by the largest jump at them
}

// Sites are where on the surfaces things are: what places and lenses are drawn from. No
// check compares or counts them, so that facts without them are judged alike, but for
// their places.
type Sites struct {
	// WeightMismatch holds for every surface, one a vertex, how much its weights
	// differ from its mirror partner's, partners exchanged: the sum of the
	// differences, 0…2 for weights that sum to 1. NaN: no partner. nil: no skin, or
	// no mirror plane.
	WeightMismatch [][]float32

	// Counts holds for every surface, one a vertex, its non-zero weights; 255 for
	// more. nil: no skin.
	Counts [][]uint8

	// SeamGap holds for every surface, one a vertex, how far its place opens over the
	// bend set, metres; NaN: one place, one binding. nil: no seam there.
	SeamGap [][]float32

	// Roughness holds for every surface, one a vertex, the largest jump of weights
	// across an edge there beyond the smooth one: 0 on an even ramp, 1 and more where
	// a place stands out from all around it, 2 at most. nil: no skin.
	Roughness [][]float32

	// RigidJoint holds for every surface, one a vertex, the joint that its whole shell
	// follows stiffly, None elsewhere. nil: no skin.
	RigidJoint [][]rig.Node

	Crosses    []Cross // vertices beyond the plane with weight above 0.01
	Roughs     []Rough // edges with a jump above 0.1
	RigidParts []Part

	unfit  [][]bool    // surface → vertex → its weights or those opposite are gone or off; nil: not compared
	places [][]float32 // surface → 3·V, where its vertices belong; nil: no skin
	used   [][]bool    // surface → vertex → a triangle uses it; nil: no skin

	plainNames []string    // of nodes, as stored
	puts       int         // places whose weights findRough added, for its test
	watch      *geom.Watch // while Measure works: ends it between two ticks
}

// stage is work enough for a look: between two parts of the measure.
const stage = 1 << 20

// Skin holds the figures of one skin over all surfaces that use it. Vertices count
// as stored: split ones several times.
type Skin struct {
	Skin            rig.Skin `json:"skin"`
	Name            rig.Name `json:"name"`
	Vertices        int      `json:"vertices"`
	Unbound         int      `json:"unbound"`           // weights that sum to 0
	SumOff          int      `json:"sum_off"`           // float: |sum − 1| > 2e-7 × non-zero weights; integer: sum ≠ full scale
	LargestSumError float64  `json:"largest_sum_error"` // |sum − 1|, unbound ones left out
	BadIndex        int      `json:"bad_index"`         // vertices with weight on a joint the skin does not have
	BadWeight       int      `json:"bad_weight"`        // vertices with a negative weight or one that is no number
	Influences      [9]int   `json:"influences"`        // vertices with 0, 1, … 7, 8 or more non-zero weights
	MostInfluences  int      `json:"most_influences"`
	Weights         int      `json:"weights"`       // non-zero ones
	Faint           int      `json:"faint_weights"` // in (0, 0.01)
	Joints          []Joint  `json:"joints"`        // in the skin's order

	// Places of the above. Vertices that no triangle uses are left out.
	UnboundAt Group `json:"unbound_at"`
	BadAt     Group `json:"bad_at"`
	FaintAt   Group `json:"faint_at"`
	Off       []Off `json:"sums_off" wire:"null"`
	Sums      []Sum `json:"-"` // the same, one by one
}

// Joint holds the figures of one joint of a skin.
type Joint struct {
	Node      rig.Node  `json:"node"`
	Name      rig.Name  `json:"name"`
	Vertices  int       `json:"vertices"` // with a weight above 0
	Dominant  int       `json:"dominant"` // with their largest weight here; a tie goes to the first slot
	WeightSum float64   `json:"weight_sum"`
	Largest   float64   `json:"largest"`
	Histogram [10]int   `json:"histogram"` // weights by bin (k/10, (k+1)/10]
	Reach     float64   `json:"reach_m"`   // farthest influenced vertex from the bone (joint to main child), metres
	Islands   int       `json:"islands"`   // patches its influenced vertices fall into, on the welded surface
	Mismatch  float64   `json:"mirror_mismatch_sum"`
	Partner   *rig.Node `json:"partner"` // on the other side, nil: none
	Class     string    `json:"idle"`    // class of a joint without influence, else ""
}

// Group is a set of vertices with the ball that holds them, metres, world, rest.
type Group struct {
	Count  int          `json:"count"`
	On     []int        `json:"surfaces" wire:"null"`
	Spots  []check.Spot `json:"-"`
	Point  space.Vec    `json:"-"` // where they belong: a vertex bound to nothing lies elsewhere
	Radius float64      `json:"-"`
}

// Sum is one vertex whose weight sum is off.
type Sum struct {
	Surface int
	Vertex  rig.Vertex
	Error   float64 // |sum − 1|
	Throw   float64 // metres between where it lies and where whole weights would put it
	Eight   bool    // weights of 8 bits
}

// Measure works out the facts of all skins.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	n := len(e.Rig.Surfaces)
	f := &Facts{
		Skins: make([]Skin, len(e.Rig.Skins)), Surfaces: make([]Surface, n), Diagonal: e.Diagonal(), Height: e.Height(),
		Sites: Sites{Counts: make([][]uint8, n), places: make([][]float32, n), used: make([][]bool, n)},
	}
	for n := range e.Rig.Nodes {
		f.plainNames = append(f.plainNames, e.Rig.Nodes[n].Name)
	}
	roles := e.Roles()
	steps := len(e.Rig.Surfaces) + 3
	for s := range f.Skins {
		k := &f.Skins[s]
		*k = Skin{Skin: rig.Skin(s), Name: rig.Name(e.Rig.Skins[s].Name), Joints: make([]Joint, len(e.Rig.Skins[s].Joints))}
		for j, n := range e.Rig.Skins[s].Joints {
			k.Joints[j].Node, k.Joints[j].Name = n, rig.Name(e.Rig.Nodes[n].Name)
			if p := roles.Of[n].Partner; p >= 0 {
				k.Joints[j].Partner = &p
			}
		}
	}
	patches := make([][]*elements, len(f.Skins))
	for i, s := range e.Rig.Surfaces {
		f.Surfaces[i] = Surface{Node: s.Node, Name: rig.Name(e.Rig.Nodes[s.Node].Name), Called: e.SurfaceName(i), Skin: s.Skin}
		if s.Skin < 0 {
			continue
		}
		f.used[i] = e.Used(s.Mesh)
		f.Counts[i] = make([]uint8, len(f.used[i]))
		if err := e.Tick(ctx, i, steps); err != nil {
			return nil, err
		}
		if f.watch == nil {
			f.watch = e.Watch()
		}
		k := &f.Skins[s.Skin]
		tally(e, i, k, f.Counts[i])
		f.Surfaces[i].Influences = influences(f.Counts[i], f.used[i])
		f.watch.Spend(stage)
		if parts := countIslands(e, i, k); parts != nil {
			patches[s.Skin] = append(patches[s.Skin], parts)
		}
		if !f.watch.Spend(stage) {
			break
		}
		f.SplitSeam += f.countSplit(e, i, len(k.Joints))
	}
	if err := f.watch.Err(); err != nil {
		return nil, err
	}
	for i, s := range e.Rig.Surfaces {
		if s.Skin >= 0 {
			f.places[i] = belongs(e, i, &f.Skins[s.Skin])
		}
	}
	bones := findBones(e)
	for i, s := range e.Rig.Surfaces {
		if s.Skin >= 0 {
			measureReach(e, i, bones, &f.Skins[s.Skin])
		}
	}
	for s := range f.Skins {
		k := &f.Skins[s]
		for _, g := range []*Group{&k.UnboundAt, &k.BadAt, &k.FaintAt} {
			g.enclose(f)
		}
	}
	f.classify(e, bones)
	if err := e.Tick(ctx, steps-3, steps); err != nil {
		return nil, err
	}
	f.alongSurface(e, patches, bones)
	if err := e.Tick(ctx, steps-2, steps); err != nil {
		return nil, err
	}
	f.findHung(e, bones)
	f.findLoose(e)
	f.overBends(e)
	if err := e.Tick(ctx, steps-1, steps); err != nil {
		return nil, err
	}
	f.findCross(e)
	f.compareSides(e)
	if err := f.watch.Err(); err != nil {
		return nil, err
	}
	f.watch = nil
	return f, nil
}

// alongSurface measures what needs the surface's edges: stiff parts, jumps of
// weights, and patches that lie apart.
func (f *Facts) alongSurface(e *exam.Exam, patches [][]*elements, bones *bones) {
	n := len(e.Rig.Surfaces)
	graphs := make([]*graph, n)
	f.Roughness, f.RigidJoint = make([][]float32, n), make([][]rig.Node, n)
	for i, s := range e.Rig.Surfaces {
		if s.Skin < 0 {
			continue
		}
		graphs[i] = buildGraph(e, i, f.places[i])
		if !f.watch.Spend(stage) {
			return
		}
		f.findRigid(e, i, &f.Skins[s.Skin], graphs[i])
		f.watch.Spend(stage)
		f.findRough(e, i, &f.Skins[s.Skin], graphs[i])
		if !f.watch.Spend(stage) {
			return
		}
	}
	f.tallyJumps()
	f.tallyRigid()
	for s := range f.Skins {
		f.findStrays(e, &f.Skins[s], patches[s], graphs, f.RigidJoint, bones)
	}
}

// overBends measures what shows only when joints turn.
func (f *Facts) overBends(e *exam.Exam) {
	var m *mover
	bend := func() *mover {
		if m == nil {
			m = newMover(e)
		}
		return m
	}
	f.Four.Shift = closed()
	f.cutToFour(e, bend)
	if len(f.Seams.places) > 0 {
		f.openSeams(e, bend())
		f.SeamOpens = &f.Seams.Opens
	}
	f.Seams.At.enclose(f)
}

// enclose works out where a group is.
func (g *Group) enclose(f *Facts) {
	var places []float32
	for _, s := range g.Spots {
		rest := f.places[s.Surface]
		for _, v := range s.Vertices {
			places = append(places, rest[3*v:3*v+3]...)
		}
	}
	g.Point, g.Radius, _ = geom.Ball(places)
}

// tell counts vertices of a surface, of which surfaces come in order.
func (g *Group) tell(surface, count int) {
	if count == 0 {
		return
	}
	if n := len(g.On); n == 0 || g.On[n-1] != surface {
		g.On = append(g.On, surface)
	}
	g.Count += count
}

// add counts a vertex and keeps its place.
func (g *Group) add(surface int, v rig.Vertex) {
	g.tell(surface, 1)
	g.put(surface, v)
}

// put keeps the place of a vertex that is counted already.
func (g *Group) put(surface int, v rig.Vertex) {
	if n := len(g.Spots); n == 0 || g.Spots[n-1].Surface != surface {
		g.Spots = append(g.Spots, check.Spot{Surface: surface})
	}
	s := &g.Spots[len(g.Spots)-1]
	s.Vertices = append(s.Vertices, v)
}

// where is the place of a finding about some vertices of a skin.
func (g *Group) where(skin rig.Skin) check.Where {
	w := check.Nowhere()
	w.Skin, w.Spots = skin, g.Spots
	if g.Count > 0 {
		point := g.Point
		w.Point, w.Extent = &point, g.Radius
	}
	return w
}

// subject names the surfaces where the file has several, and how many vertices.
func (f *Facts) subject(g *Group) string {
	vertices := say.Count(g.Count, "vertex", "vertices")
	if len(f.Surfaces) < 2 {
		return vertices
	}
	var names []string
	for _, s := range g.On {
		names = append(names, f.Surfaces[s].Called)
	}
	return exam.Listed(names) + ", " + vertices
}

// namesOf are joints of skins, or nodes with meshes, in words.
func (f *Facts) namesOf(nodes ...rig.Node) (out []string) {
	names := map[rig.Node]rig.Name{}
	for i := range f.Surfaces {
		names[f.Surfaces[i].Node] = f.Surfaces[i].Name
	}
	for i := range f.Skins {
		for j := range f.Skins[i].Joints {
			names[f.Skins[i].Joints[j].Node] = f.Skins[i].Joints[j].Name
		}
	}
	for _, n := range nodes {
		out = append(out, exam.Called(string(names[n]), n))
	}
	return out
}

// needsSkin is the reason why a check of the weights cannot run, or "".
func needsSkin(f *Facts) string {
	if len(f.Skins) == 0 {
		return "no skin in this file"
	}
	for i := range f.Skins {
		if f.Skins[i].Vertices > 0 {
			return ""
		}
	}
	return "no surface uses a skin"
}
