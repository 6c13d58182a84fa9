// Package surface is the station that looks at the mesh: whether it is whole, and
// whether its two sides are alike.
package surface

import (
	"context"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Station is the surface's row of the catalogue.
var Station = check.NewStation("surface", "Surface", Measure, []check.Check[Facts]{
	lopsided,
})

// Facts are what the station measured: for each surface and, embedded, over all
// of them.
type Facts struct {
	Counts
	Mirror   *Mirror   `json:"mirror"` // nil: no plane was found
	Surfaces []Surface `json:"surfaces"`

	// Mismatch holds for every surface, one a vertex, how far the vertex's mirror
	// image lies from its partner, metres; from the nearest vertex where it has
	// none. NaN: no triangle uses the vertex. nil: not shown, or no plane.
	Mismatch [][]float32 `json:"-"`

	mirror   *exam.Mirror
	diagonal float64
	names    []string
}

// Counts of stored vertices, places and triangles. Nothing is welded between
// surfaces.
type Counts struct {
	Vertices  int `json:"vertices"`
	Welded    int `json:"welded_vertices"`
	Triangles int `json:"triangles"`
	Unused    int `json:"unused_vertices"`
}

// Surface holds the figures of one surface.
type Surface struct {
	Node rig.Node `json:"node"`
	Mesh rig.Mesh `json:"mesh"`
	Name string   `json:"name"`
	Counts
	Mirror *Mirror `json:"mirror"` // its vertices over the plane of the whole figure; nil: not shown, or no plane
}

// Mirror says how well a mirror plane holds: Normal·x = Offset, metres, world,
// rest pose.
type Mirror struct {
	Normal         [3]float64 `json:"normal"`
	Offset         float64    `json:"offset"`
	UnmatchedShare float64    `json:"unmatched_share"` // of the welded vertices that a triangle uses
	Largest        float64    `json:"largest"`         // metres; see Facts.Mismatch
	Mean           float64    `json:"mean"`
	Pairs          int        `json:"pairs"`    // of distinct vertices
	OnPlane        int        `json:"on_plane"` // vertices that are their own partner
	Unmatched      int        `json:"unmatched"`
	Alike          float64    `json:"alike"` // 0…1: share of the shape that meets its own image within 2 % of the diagonal; of one surface: that of the figure
}

// Measure works out the facts of all surfaces.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	f := &Facts{Surfaces: make([]Surface, len(e.Rig.Surfaces)), names: make([]string, len(e.Rig.Surfaces)), diagonal: e.Diagonal()}
	steps := len(e.Rig.Surfaces) + 1
	for i, s := range e.Rig.Surfaces {
		if err := e.Tick(ctx, i, steps); err != nil {
			return nil, err
		}
		f.names[i] = e.SurfaceName(i)
		f.Surfaces[i] = Surface{Node: s.Node, Mesh: s.Mesh, Name: e.Rig.Nodes[s.Node].Name, Counts: count(e, s.Mesh)}
		f.Counts.add(f.Surfaces[i].Counts)
	}
	if err := e.Tick(ctx, steps-1, steps); err != nil {
		return nil, err
	}
	f.mirror = e.Mirror()
	f.measureMirror(e)
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

// measureMirror fills in the figures of the mirror, over all and for each surface.
func (f *Facts) measureMirror(e *exam.Exam) {
	m := f.mirror
	if !m.Found {
		return
	}
	f.Mirror = &Mirror{
		Normal: m.Normal, Offset: m.Offset, UnmatchedShare: m.UnmatchedShare, Largest: m.Largest, Mean: m.Mean,
		Pairs: m.Pairs, OnPlane: m.OnPlane, Unmatched: m.Unmatched, Alike: m.Alike,
	}
	f.Mismatch = make([][]float32, len(e.Rig.Surfaces))
	points := make([]int, len(e.Rig.Surfaces))
	for i, s := range m.Surface {
		own := f.Surfaces[s].Mirror
		if own == nil {
			own = &Mirror{Normal: m.Normal, Offset: m.Offset, Alike: m.Alike}
			f.Surfaces[s].Mirror = own
		}
		points[s]++
		switch j := m.Partner[i]; {
		case j < 0:
			own.Unmatched++
		case int(j) == i:
			own.OnPlane++
		case int(j) > i || m.Surface[j] != s:
			own.Pairs++
		}
		if d := float64(m.Distance[i]); !math.IsNaN(d) {
			own.Largest = max(own.Largest, d)
			own.Mean += d
		}
	}
	for s := range f.Surfaces {
		if own := f.Surfaces[s].Mirror; own != nil {
			own.UnmatchedShare = float64(own.Unmatched) / float64(points[s])
			own.Mean /= float64(points[s])
		}
		if m.Point[s] == nil || m.Doubt() != "" {
			continue
		}
		field := make([]float32, len(m.Point[s]))
		for v, i := range m.Point[s] {
			field[v] = float32(math.NaN())
			if i >= 0 {
				field[v] = m.Distance[i]
			}
		}
		f.Mismatch[s] = field
	}
}
