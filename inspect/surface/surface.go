// Package surface is the station that looks at the mesh: whether it is whole,
// whether its two sides are alike, and whether it is ready to be bound.
package surface

import (
	"context"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Station is the surface's row of the catalogue.
var Station = check.NewStation("surface", "Surface", Measure, []check.Check[Facts]{
	nearCoincident,
	doubledVertices,
	slivers,
	boundaryEdges,
	branchingEdges,
	mixedWinding,
	insideOut,
	shells,
	lopsided,
	unusedVertices,
	badNormals,
	readyToBind,
})

// Facts are what the station measured: for each surface and, embedded, over all
// of them.
type Facts struct {
	Counts
	Topology
	Mirror     *Mirror   `json:"mirror"`      // of all that is shown; nil: no plane was found
	BodyMirror *Mirror   `json:"body_mirror"` // of the body, without gear: what is judged; nil: no plane was found
	Surfaces   []Surface `json:"surfaces"`
	Shells     []Shell   `json:"shell_list"` // the largest by area, at most mostListed; see Pieces
	Ready      Ready     `json:"ready_to_bind"`

	Size        float64  `json:"size_m"`                   // what shares of the diagonal are of
	NotHonored  []string `json:"not_honoured" wire:"null"` // extensions
	MirrorDoubt string   `json:"mirror_doubt"`             // why the sides of the body cannot be compared; "": they can
	Nested      bool     `json:"nested"`                   // false: too many triangles lie over each other to tell what is inside what
	Within      int      `json:"shells_inside"`            // another
	Turned      int      `json:"turned_over_triangles"`    // that run against most of their shell

	Sites `json:"-"`
}

// Sites are where on the surfaces things are: what places and lenses are drawn from. No
// check compares or counts them, so that facts without them are judged alike, but for
// their places.
type Sites struct {
	// Sheets hold, for every surface, where on it things are.
	Sheets []Sheet
	// Pieces are the shells of all surfaces, surface by surface, by their first
	// triangle. Sheet.Shell points here.
	Pieces []Shell

	// Mismatch holds for every surface, one a vertex, how far the vertex's mirror
	// image lies from its partner, metres; from the nearest vertex where it has
	// none. NaN: no triangle uses the vertex. nil: not of the body, or no plane.
	Mismatch [][]float32

	mirror *exam.Mirror
	rest   [][]float32 // by surface, world
	meshes []*sheetMesh
}

// Counts of stored vertices, places and triangles. Nothing is welded between
// surfaces.
type Counts struct {
	Vertices  int `json:"vertices"`
	Welded    int `json:"welded_vertices"`
	Triangles int `json:"triangles"`
	Unused    int `json:"unused_vertices"`
}

// Topology is what the welded surface is like. Edges, loops, shells and euler
// leave out triangles with two corners in one place.
type Topology struct {
	ZeroArea  int      `json:"zero_area_triangles"` // of those, and of triangles whose three places lie on a line
	Slivers   int      `json:"slivers"`             // triangles with area, lower than 1e-4 of their longest edge
	Edges     int      `json:"edges"`
	Boundary  int      `json:"boundary_edges"`
	Loops     int      `json:"boundary_loops"`
	Branching int      `json:"branching_edges"`
	Mixed     int      `json:"mixed_winding_edges"`
	ShellsN   int      `json:"shells"`
	Euler     int      `json:"euler"`
	Area      float64  `json:"area"`          // m²
	Volume    *float64 `json:"signed_volume"` // m³; nil unless closed and one way round

	NearPairs int          `json:"near_pairs"`
	NearAll   bool         `json:"near_pairs_all"` // false: NearPairs is a lower bound, there are too many to count
	HeldApart int          `json:"held_apart_pairs"`
	Curve     [][2]float64 `json:"weld_curve" wire:"null"` // tolerance in metres, distinct places
	Steps     []WeldStep   `json:"weld_steps" wire:"null"`
	Safe      *float64     `json:"safe_weld"` // metres: the largest distance that loses no edge; nil: no edge, or no such distance
	Seams
	Doubled    int `json:"doubled_vertices"`
	NoNormal   int `json:"without_normal"`   // used vertices of primitives without normals
	OffUnit    int `json:"off_unit_normals"` // used vertices
	Opposed    int `json:"opposed_normals"`  // triangles whose normals point away from their front
	WithNormal int `json:"triangles_with_normals"`
	InsideOut  int `json:"inside_out_shells"`
	Crumbs     int `json:"crumbs"`

	Longest float64 `json:"longest_loop_m"` // 0: no loop
}

// Surface holds the figures of one surface.
type Surface struct {
	Node rig.Node `json:"node"`
	Mesh rig.Mesh `json:"mesh"`
	Name rig.Name `json:"name"`
	Gear bool     `json:"gear"` // not of the body: held, worn or beside it
	Counts
	Topology
	Mirror *Mirror `json:"mirror"` // its vertices over the plane of the whole figure; nil: not shown, or no plane
	Alike  *Alike  `json:"alike"`  // its vertices over the plane of the body; nil: not of the body, or no plane
	Called string  `json:"called"` // in words
}

// Sheet says where on one surface things are. Vertices stand for their place: they
// are the first ones stored there.
type Sheet struct {
	Loops     []Loop
	Branching [][2]rig.Vertex
	Mixed     [][2]rig.Vertex
	Near      [][2]rig.Vertex // near pairs that may be welded, the first mostPairs
	Held      [][2]rig.Vertex // near pairs that are held apart, of the same
	Seams     [][2]rig.Vertex // open edges that meet another, see Seams
	SeamsHeld [][2]rig.Vertex // of those that are held apart
	Thin      []uint32        // triangles without area
	Slivers   []uint32        // triangles
	Doubled   []rig.Vertex
	OffUnit   []rig.Vertex
	Opposed   []uint32  // triangles
	Shell     []int32   // vertex → Facts.Pieces; −1: no triangle with area by corners uses it
	Winding   []uint8   // triangle → Agrees, Turned, Inward
	RiskFrom  []float32 // vertex → weld distance in metres from which on an edge there is lost, a step of the curve; +Inf: none does, NaN: not used
}

// What Sheet.Winding says of a triangle.
const (
	Agrees uint8 = iota
	Turned       // runs against most of its shell
	Inward       // of a shell that is inside out
)

// Loop is one boundary loop.
type Loop struct {
	Vertices []rig.Vertex
	Closed   bool
	Length   float64   // metres
	Centre   space.Vec // of its box, world
	Radius   float64   // metres
}

// AtRisk says for every vertex whether welding at so many metres would lose an
// edge there: 1 it would, 0 it would not, NaN: not used. The answer moves in the
// steps of the weld curve.
func (f *Facts) AtRisk(surface int, metres float64) []float32 {
	from := f.Sheets[surface].RiskFrom
	out := make([]float32, len(from))
	for v, x := range from {
		switch {
		case x != x:
			out[v] = x
		case float64(x) <= metres:
			out[v] = 1
		}
	}
	return out
}

// Measure works out the facts of all surfaces.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	n := len(e.Rig.Surfaces)
	f := &Facts{Surfaces: make([]Surface, n), Size: e.Size(), NotHonored: e.Rig.File.NotHonored, Nested: true,
		Sites: Sites{Sheets: make([]Sheet, n), rest: make([][]float32, n)}}
	f.NearAll, f.SeamAll = true, true
	steps := 2*n + 2
	meshes := make([]*sheetMesh, len(e.Rig.Meshes))
	sheets := make([]*sheet, n)
	for i, s := range e.Rig.Surfaces {
		if err := e.Tick(ctx, 2*i, steps); err != nil {
			return nil, err
		}
		f.rest[i] = e.RestPositions(i)
		f.Surfaces[i] = Surface{Node: s.Node, Mesh: s.Mesh, Name: rig.Name(e.Rig.Nodes[s.Node].Name), Called: e.SurfaceName(i), Counts: count(e, s.Mesh)}
		if meshes[s.Mesh] == nil {
			meshes[s.Mesh] = newSheetMesh(e, s.Mesh)
		}
		if err := e.Tick(ctx, 2*i, steps); err != nil {
			return nil, err
		}
		sheets[i] = newSheet(e, i, meshes[s.Mesh])
		f.meshes = append(f.meshes, meshes[s.Mesh])
		sheets[i].shape(f)
		if err := e.Tick(ctx, 2*i+1, steps); err != nil {
			return nil, err
		}
		sheets[i].closeness(f)
		f.Counts.add(f.Surfaces[i].Counts)
		f.Topology.add(&f.Surfaces[i].Topology)
	}
	f.sumVolume()
	f.sumWeld()
	if err := e.Tick(ctx, 2*n, steps); err != nil {
		return nil, err
	}
	f.nest(e, sheets)
	for _, m := range f.meshes {
		m.release()
	}
	if err := e.Tick(ctx, 2*n+1, steps); err != nil {
		return nil, err
	}
	for _, i := range e.Gear() {
		f.Surfaces[i].Gear = true
	}
	f.mirror = e.Mirror()
	f.MirrorDoubt = f.mirror.Doubt()
	f.measureMirror(e)
	f.Ready = f.readiness(e.Bound())
	if err := ctx.Err(); err != nil { // ended while the mirror was sought
		return nil, err
	}
	return f, nil
}

func count(e *exam.Exam, mesh rig.Mesh) Counts {
	m := &e.Rig.Meshes[mesh]
	c := Counts{Vertices: m.Vertices(), Welded: e.Weld(mesh).Groups(), Triangles: len(m.Triangles) / 3}
	for _, used := range e.Used(mesh) {
		if !used {
			c.Unused++
		}
	}
	return c
}

func (c *Counts) add(o Counts) {
	c.Vertices += o.Vertices
	c.Welded += o.Welded
	c.Triangles += o.Triangles
	c.Unused += o.Unused
}

func (t *Topology) add(o *Topology) {
	for _, p := range [][2]*int{
		{&t.ZeroArea, &o.ZeroArea}, {&t.Slivers, &o.Slivers}, {&t.Edges, &o.Edges}, {&t.Boundary, &o.Boundary}, {&t.Loops, &o.Loops},
		{&t.Branching, &o.Branching}, {&t.Mixed, &o.Mixed}, {&t.ShellsN, &o.ShellsN}, {&t.Euler, &o.Euler}, {&t.NearPairs, &o.NearPairs},
		{&t.HeldApart, &o.HeldApart}, {&t.Doubled, &o.Doubled}, {&t.NoNormal, &o.NoNormal}, {&t.OffUnit, &o.OffUnit},
		{&t.Opposed, &o.Opposed}, {&t.WithNormal, &o.WithNormal},
	} {
		*p[0] += *p[1]
	}
	t.Area += o.Area
	t.Longest = max(t.Longest, o.Longest)
	t.NearAll = t.NearAll && o.NearAll
	if t.Curve == nil {
		t.Curve = append(t.Curve, o.Curve...)
		t.Steps = append(t.Steps, o.Steps...)
	} else {
		for i := range o.Curve {
			t.Curve[i][1] += o.Curve[i][1]
			t.Steps[i].add(&o.Steps[i])
		}
	}
	if o.Safe != nil && (t.Safe == nil || *o.Safe < *t.Safe) {
		t.Safe = o.Safe
	}
	t.Seams.add(&o.Seams)
}

// sumVolume adds the volumes up when every surface has one.
func (f *Facts) sumVolume() {
	sum := 0.0
	for i := range f.Surfaces {
		if f.Surfaces[i].Volume == nil {
			return
		}
		sum += *f.Surfaces[i].Volume
	}
	if len(f.Surfaces) > 0 {
		f.Volume = &sum
	}
}
