// Package intake is the first station: what a file holds, how large it is, where
// and how it stands, and what keeps it from being opened as it is meant.
package intake

import (
	"context"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Station is the Intake station with its checks in the order of the catalogue.
var Station = check.NewStation("intake", "Intake", Measure, []check.Check[Facts]{
	severalFigures,
	unappliedScale,
	unevenScale,
	unappliedTurn,
	ignoredPlacement,
	oddHeight,
	offGround,
	facing,
	heavy,
	needsExtension,
	packed,
	boundsOff,
	morphs,
	malformed,
	nothingBound,
})

// Facts are what the station measures. World space, metres, rest pose.
type Facts struct {
	Vertices            int          `json:"vertices"`  // sum over the primitives of all surfaces
	Triangles           int          `json:"triangles"` // the same
	Surfaces            int          `json:"surfaces"`
	Primitives          int          `json:"primitives"`
	Skins               int          `json:"skins"`
	Joints              int          `json:"joints"`      // distinct nodes over all skins; of a BVH its joints
	EndSites            int          `json:"end_sites"`   // BVH: ends of the last bones, no joints
	PartJoints          int          `json:"part_joints"` // without a skin: nodes that are joints of a figure made of rigid parts
	Nodes               int          `json:"nodes"`
	Clips               int          `json:"clips"`
	Materials           int          `json:"materials"`
	Images              int          `json:"images"`
	TextureBytesDecoded int64        `json:"texture_bytes_decoded"` // width · height · 4, no smaller levels
	Min                 *space.Vec   `json:"min"`                   // null: no vertex
	Max                 *space.Vec   `json:"max"`
	Height              float64      `json:"height"`       // of all that is shown
	BodyHeight          float64      `json:"body_height"`  // without gear
	Gear                []rig.Node   `json:"gear"`         // nodes of the surfaces that are not the body
	FromSurface         *FromSurface `json:"from_surface"` // null: joints move it, or tell what it is
	Diagonal            float64      `json:"diagonal"`
	RootScale           [3]float64   `json:"root_scale"`
	RootTurnDegrees     float64      `json:"root_turn_degrees"`
	UnitGuess           *string      `json:"unit_guess"` // null: no figure, or no unit fits
	Facing              *space.Vec   `json:"facing"`
	GroundOffset        float64      `json:"ground_offset"` // y of the lowest point
	Compression         []string     `json:"compression"`
	MorphTargets        int          `json:"morph_targets"`
	PerSurface          []PerSurface `json:"per_surface"`

	Figures  []OneFigure `json:"figures"`          // empty unless there are two or more
	Fused    int         `json:"fused_figures"`    // whole figures that share a shell; 0: none
	Unsought string      `json:"figures_unsought"` // what was not looked at for figures, being too much; ""
	Figure   Figure      `json:"figure"`
	Anchors  []Anchor    `json:"anchors"`
	Safe     Safe        `json:"safe_box"`

	NotHonored []string        `json:"not_honoured" wire:"null"`
	Malformed  []rig.Malformed `json:"malformed" wire:"null"`
	Unshown    []Picture       `json:"pictures_not_shown" wire:"null"`
	FacesBack  bool            `json:"declared_front_back"` // the format declares −Z (VRM 0.x)
}

// PerSurface is one node that carries a mesh.
type PerSurface struct {
	Node      rig.Node   `json:"node"`
	StoredMin [3]float64 `json:"stored_min"` // as stored, integers undivided, no transform
	StoredMax [3]float64 `json:"stored_max"`
	GridStepM float64    `json:"grid_step_m"` // of quantised positions, 0: float
	HangsOn   *rig.Node  `json:"hangs_on"`    // nearest joint above an unskinned one, null

	Vertices   int `json:"vertices"`
	Triangles  int `json:"triangles"`
	JointsUsed int `json:"joints_used"` // joints with influence

	Name    string   `json:"name"`    // in words
	Surface int      `json:"surface"` // place in rig.Surfaces
	Mesh    rig.Mesh `json:"mesh"`
	Skin    rig.Skin `json:"skin"` // −1: none
	Shown   bool     `json:"shown"`
	Packed  Packing  `json:"packing"`
	Bounds  Bounds   `json:"bounds"`
	Ignored *Ignored `json:"ignored_placement"` // nil: not skinned
	Morphs  []Morph  `json:"morphs" wire:"null"`
}

// Measure works the facts out. Its one error is that of a cancelled context.
func Measure(ctx context.Context, e *exam.Exam) (*Facts, error) {
	r := e.Rig
	f := &Facts{
		Surfaces: len(r.Surfaces), Skins: len(r.Skins), Nodes: len(r.Nodes), Clips: len(r.Clips),
		Materials: len(r.Materials), Images: len(r.Images),
		NotHonored: r.File.NotHonored, Malformed: r.Malformed, FacesBack: r.Humanoid.Version == "0",
		PerSurface: []PerSurface{}, Gear: []rig.Node{}, Anchors: []Anchor{}, Compression: compression(r),
	}
	isJoint := make([]bool, len(r.Nodes))
	for i := range r.Skins {
		for _, n := range r.Skins[i].Joints {
			if !isJoint[n] {
				isJoint[n] = true
				f.Joints++
			}
		}
	}
	if r.File.Kind == "bvh" {
		for i := range r.Nodes {
			if r.Nodes[i].EndSite {
				f.EndSites++
			} else {
				f.Joints++
			}
		}
	}
	for _, in := range r.OfParts() {
		if in {
			f.PartJoints++
		}
	}
	for i := range r.Images {
		if r.Images[i].Spare { // the other one is loaded
			continue
		}
		f.TextureBytesDecoded += 4 * int64(r.Images[i].Width) * int64(r.Images[i].Height)
	}
	f.Unshown = unshown(r)
	jointAbove := r.Above(isJoint)
	total := len(r.Surfaces) + len(r.Clips)
	for i := range r.Surfaces {
		if err := e.Tick(ctx, i, total); err != nil {
			return nil, err
		}
		f.surface(e, i, jointAbove)
	}
	f.several(e)
	f.placement(e, isJoint, jointAbove)
	f.figure(e)
	if err := f.clips(ctx, e); err != nil {
		return nil, err
	}
	f.tidy()
	return f, e.Tick(ctx, total, total)
}

// placement fills what the whole stands like.
func (f *Facts) placement(e *exam.Exam, isJoint []bool, jointAbove []rig.Node) {
	if b := e.Box(); !b.IsEmpty() {
		f.Min, f.Max = &b.Min, &b.Max
		f.Height, f.BodyHeight, f.Diagonal, f.GroundOffset = e.WholeHeight(), e.Height(), e.Diagonal(), b.Min[1]
	}
	for _, s := range e.Gear() {
		f.Gear = append(f.Gear, e.Rig.Surfaces[s].Node)
	}
	f.RootScale = [3]float64{1, 1, 1}
	f.Anchors = anchors(e, isJoint, jointAbove)
	for i := range f.Anchors { // of the first skin, else mesh, the first node
		a, b := &f.Anchors[i], &f.Anchors[0]
		if i == 0 || a.Skin == b.Skin && a.Skin >= 0 && a.Node < b.Node {
			f.RootScale, f.RootTurnDegrees = a.Scale, a.TurnDegrees
		}
	}
}

// surface measures one surface.
func (f *Facts) surface(e *exam.Exam, i int, jointAbove []rig.Node) {
	r := e.Rig
	s := r.Surfaces[i]
	m := &r.Meshes[s.Mesh]
	p := PerSurface{Node: s.Node, Surface: i, Mesh: s.Mesh, Skin: s.Skin, Shown: e.IsShown()[s.Node], Name: e.SurfaceName(i)}
	first := true
	for k := range m.Primitives {
		q := &m.Primitives[k]
		f.Primitives++
		p.Vertices += q.Count
		p.Triangles += q.TriCount
		if q.Count == 0 {
			continue
		}
		for c := range 3 {
			if first || q.TrueMin[c] < p.StoredMin[c] {
				p.StoredMin[c] = q.TrueMin[c]
			}
			if first || q.TrueMax[c] > p.StoredMax[c] {
				p.StoredMax[c] = q.TrueMax[c]
			}
		}
		first = false
	}
	f.Vertices += p.Vertices
	f.Triangles += p.Triangles
	f.MorphTargets += len(m.Targets)
	if s.Skin < 0 {
		if n := jointAbove[s.Node]; n >= 0 {
			p.HangsOn = &n
		}
	}
	reach := influences(r, i)
	p.JointsUsed = reach.used
	p.Packed = packing(e, i, reach)
	p.GridStepM = p.Packed.StepM
	p.Bounds = bounds(e, i, reach)
	p.Ignored = ignored(e, i)
	p.Morphs = measureMorphs(e, i)
	f.PerSurface = append(f.PerSurface, p)
}

// tidy takes out what JSON has no number for: files may hold NaN and infinities.
func (f *Facts) tidy() {
	g := &f.Figure
	for _, v := range []*float64{&f.Height, &f.BodyHeight, &f.Diagonal, &f.RootTurnDegrees, &f.GroundOffset, &g.Height, &g.Lies, &g.Factor, &g.AheadOf, &g.MiddleX, &g.MiddleZ} {
		*v = finite(*v)
	}
	for i := range f.PerSurface {
		p := &f.PerSurface[i]
		for c := range 3 {
			p.StoredMin[c], p.StoredMax[c] = finite(p.StoredMin[c]), finite(p.StoredMax[c])
		}
	}
	for i := range f.Anchors {
		a := &f.Anchors[i]
		a.TurnDegrees = finite(a.TurnDegrees)
	}
	for _, p := range []**space.Vec{&f.Min, &f.Max, &f.Facing, &f.Safe.Min, &f.Safe.Max} {
		if v := *p; v != nil && (v[0]-v[0] != 0 || v[1]-v[1] != 0 || v[2]-v[2] != 0) {
			*p = nil
		}
	}
}

// finite answers v, or 0 where JSON has no number for it.
func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}
