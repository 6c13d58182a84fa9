package bends

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Move is one end of one range of the bend set: a joint turns, everything else is at
// rest. A ratio that has no value is nil: nothing is bent there, or it encloses
// nothing.
type Move struct {
	Joint   rig.Node `json:"joint"`
	Axis    string   `json:"axis"` // flexion, abduction, rotation; without a role x, y, z, the joint's own axis
	Degrees float64  `json:"degrees"`

	Volume     *float64 `json:"volume_ratio"`      // of the blend zone, linear, signed
	VolumeDual *float64 `json:"volume_ratio_dual"` // the same by dual quaternions
	Area       *float64 `json:"section_area_ratio"`
	Radius     *float64 `json:"radius_ratio"` // of the section at the joint or in the middle of its bone, the smaller; nil: no closed section
	RadiusDual *float64 `json:"radius_ratio_dual"`

	P99       *float64 `json:"stretch_p99"` // linear; nil: no triangle moves
	Max       *float64 `json:"stretch_max"`
	P99Dual   *float64 `json:"stretch_p99_dual"`
	MaxDual   *float64 `json:"stretch_max_dual"`
	MaxAt     *Spot    `json:"stretch_at"` // triangle of stretch_max
	Triangles int      `json:"moved_triangles"`

	Turned     *float64 `json:"turned_over_share"` // of moved_triangles, linear
	TurnedDual *float64 `json:"turned_over_share_dual"`
	TurnedOpen *float64 `json:"turned_over_outer_share"` // those that do not reach into the wedge that the bend closes
	Crack      float64  `json:"crack_max_m"`
	Bleed      int      `json:"bleed_vertices"`

	// Half way, linear: what is wrong there is no matter of the end of the range.
	P99Half    *float64 `json:"half_stretch_p99"`
	TurnedHalf int      `json:"half_turned_over_outer"` // triangles

	// Severity is how far the worst of its measures goes, in shares of the figure at
	// which it is a flaw by default: above 1, a flaw; what can be a note at most, however
	// far it goes, has 1. Moves stand in this order.
	Severity float64 `json:"severity"`

	Guessed   bool    `json:"guessed"`           // the range is the fallback, on a rig whose other ranges are known or whose kind has none that are, or of a joint without a bone
	TurnedEnd int     `json:"turned_over_outer"` // triangles
	Drawn     float64 `json:"drawn_m"`           // how far the farthest of bleed_vertices is drawn along

	uncapped float64
	turn     anatomy.Turn
	zoneAt   *group // vertices of the blend zone
	turnedAt []uint32
	halfAt   []uint32
	crackAt  []uint32
	bleedAt  []uint32
	drawnAt  *group // where it is drawn out half way, of the worst moves of a joint; nil: of the others
}

// Spot is a triangle in the file's own numbers.
type Spot struct {
	Node      rig.Node `json:"node"`
	Mesh      rig.Mesh `json:"mesh"`
	Primitive int      `json:"primitive"`
	Vertices  [3]int   `json:"vertices"` // elements of the primitive's accessors

	surface  int
	vertices [3]rig.Vertex
}

// group is a set of vertices with the ball that holds them at rest.
type group struct {
	spots  []check.Spot
	count  int
	point  space.Vec
	extent float64
}

// ratio is nil for what JSON cannot hold.
func ratio(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// or answers the value, or another where there is none.
func or(p *float64, other float64) float64 {
	if p == nil {
		return other
	}
	return *p
}

// sortMoves puts the worst first; equal ones stay in the order of the bend set.
func sortMoves(moves []Move) {
	slices.SortStableFunc(moves, func(a, b Move) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(b.uncapped, a.uncapped))
	})
}

// sorted answers a copy in rising order, each value once.
func sorted(list []uint32) []uint32 {
	out := slices.Clone(list)
	slices.Sort(out)
	return slices.Compact(out)
}
