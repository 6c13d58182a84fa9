// Package scene turns a rig and a state into pixels. The page, the golden tests
// and the command line share it, so they show the same picture.
package scene

import (
	"context"

	"github.com/go-gl/mathgl/mgl64"

	"rigloupe/inspect/rig"
	"rigloupe/viewer/camera"
)

// Prepared is what drawing needs beyond the rig: worked out once a file, in the
// worker. All exported fields are flat, so that it can cross to the stage.
type Prepared struct {
	Part   []int32  // surfaces drawn, places in Rig.Surfaces, in order
	Source []uint32 // per drawn vertex: vertex of its surface's mesh
}

// Prepare works out welds, creases, edges, openness and the engraving. It is the
// slow part (seconds for a million triangles). tick is called between steps with
// what is done of how much; it may be nil, and its error ends the work.
func Prepare(ctx context.Context, r *rig.Rig, tick func(done, total int) error) (*Prepared, error) {
	return &Prepared{}, ctx.Err()
}

// Fields are what the examiner found per surface and vertex and per node; any of
// them may be nil.
type Fields struct {
	SurfaceMismatch [][]float32 // by surface, per mesh vertex: metres to the mirrored partner, NaN: none
	WeightMismatch  [][]float32 // by surface, per mesh vertex: 0…1, NaN: none
	MirrorPartner   [][]int32   // by surface, per mesh vertex: vertex of MirrorSurface, −1
	Side            []int8      // by node: +1 left, −1 right, 0 centre or unknown
	Partner         []rig.Node  // by node, None
	Role            []string    // by node, VRM bone name or ""
	Facing          [3]float64  // world direction the figure faces; zero: unknown
}

// Scene draws one rig. It keeps buffers between pictures; it is not safe for
// several goroutines.
type Scene struct {
	rig *rig.Rig
}

// New makes a scene. p and f may be nil and come later: until then the figure is
// drawn without lines and sides go by names.
func New(r *rig.Rig, p *Prepared, f *Fields) *Scene { return &Scene{rig: r} }

// SetPrepared hands over what Prepare worked out; the next Draw uses it.
func (s *Scene) SetPrepared(p *Prepared) {}

// SetFields hands over the examiner's fields; the next Draw uses them.
func (s *Scene) SetFields(f *Fields) {}

// Picture is what Draw answers. Pix stays valid until the next Draw.
type Picture struct {
	Pix     []uint32 // RGBA, 8 bits each, as bytes lie in memory (little endian); opaque
	W, H    int
	Changed bool // false: the same pixels as the last picture, nothing was drawn
}

// Draw draws the state, or answers the last picture when nothing changed.
func (s *Scene) Draw(st *State) Picture {
	return Picture{Pix: make([]uint32, st.Width*st.Height), W: st.Width, H: st.Height, Changed: true}
}

// View is a camera that fits the whole figure as posed in st, seen from a side.
func (s *Scene) View(st *State, from camera.From) camera.Camera { return camera.Camera{} }

// ViewOf is a camera that brings a place to the middle, turned so that it faces
// the eye: vertices of a surface, or a node, or a point with an extent in metres.
// Surface < 0: by node; Node < 0 too: by point.
func (s *Scene) ViewOf(st *State, place Place) camera.Camera { return camera.Camera{} }

// Place is something to bring to the front.
type Place struct {
	Surface  int // < 0: none
	Vertices []rig.Vertex
	Node     rig.Node // None
	Point    mgl64.Vec3
	Extent   float64 // metres across; 0: by the place itself
}

// Hit is what lies under a pixel of the last picture.
type Hit struct {
	Kind     Kind       // OnJoint, OnVertex, OnFinding (a key) or Nothing
	Node     rig.Node   // joint, or None
	Surface  int        // −1: none
	Triangle int        // of the surface's mesh
	Vertex   rig.Vertex // nearest corner of that triangle
	Number   int        // of the key
	Point    mgl64.Vec3 // on the surface, world, as posed
}

// Pick tells what lies under a pixel. Keys come before joints, joints before the
// surface, when bones or keys are shown.
func (s *Scene) Pick(x, y int) Hit { return Hit{Node: rig.None, Surface: -1} }

// Hold is one joint's hold on a vertex.
type Hold struct {
	Node   rig.Node
	Name   string
	Weight float32
}

// Probe is all there is about one vertex.
type Probe struct {
	Surface        int
	Vertex         rig.Vertex // in the mesh
	Node           rig.Node   // that carries the surface
	Mesh           rig.Mesh
	Primitive      rig.Primitive
	Element        int        // of the primitive's POSITION accessor
	Position       [3]float32 // as stored, mesh space
	Rest, Posed    [3]float32 // world
	Influences     []Hold
	Sum            float32
	Partner        rig.Vertex // on the other side, −1
	PartnerSurface int
	Mismatch       float32 // of weights, NaN: none
	Distance       float32 // to the mirrored place, metres, NaN: none
}

// Probe reads a vertex in the pose of the last picture.
func (s *Scene) Probe(surface int, v rig.Vertex) (Probe, bool) { return Probe{}, false }

// Caption is the sentence beside the scale: what the lens shows, in words.
func (s *Scene) Caption(st *State) string { return "" }
