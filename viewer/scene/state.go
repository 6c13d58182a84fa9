package scene

import (
	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
)

// Lens says what colours the surface.
type Lens uint8

const (
	Painted       Lens = iota // the file's own textures and colours
	Plain                     // paper only
	Influence                 // weight of one joint
	Dominant                  // which joint is strongest, in category inks
	Count                     // how many influences hold a vertex
	MirrorSurface             // distance to the mirrored partner vertex
	MirrorWeights             // difference of weights to the mirrored partner
	Stretch                   // how far the shown pose draws out or presses each place
	TurnedOver                // triangles that the shown pose turns over
	Measured                  // a Field that an examination made, see Scene.SetField
)

var lensNames = [...]string{"painted", "plain", "influence", "dominant", "count", "mirror-surface", "mirror-weights", "stretch", "turned-over", "measured"}

// Lenses are those that need nothing but the scene's own data, in the order of the
// page; Measured stands apart, since what it shows has a name of its own.
func Lenses() []Lens {
	return []Lens{Painted, Plain, Influence, Dominant, Count, MirrorSurface, MirrorWeights, Stretch, TurnedOver}
}

// live tells that a lens shows the pose, so that it changes with every frame.
func (l Lens) live() bool { return l == Stretch || l == TurnedOver }

// String is the name used in the page and by --lens.
func (l Lens) String() string { return lensNames[l] }

// LensNamed answers the lens of that name.
func LensNamed(name string) (Lens, bool) {
	for i, n := range lensNames[:Measured] {
		if n == name {
			return Lens(i), true
		}
	}
	return Plain, false
}

// Kind says what is chosen or lies under the pointer.
type Kind uint8

const (
	Nothing Kind = iota
	OnJoint
	OnVertex
	OnFinding // a place of a finding: drawn as a joint or vertex, its pointer stands out
)

// Choice is one thing of the figure. Fields that Kind does not need are not read.
type Choice struct {
	Kind    Kind
	Node    rig.Node   // OnJoint
	Surface int        // OnVertex: place in Rig.Surfaces
	Vertex  rig.Vertex // OnVertex: place in the mesh's vertices
	Number  int        // OnFinding: the pointer's number
	Point   space.Vec  // OnFinding, without a node or a vertex: world, rest
	Extent  float64    // OnFinding: metres across the place; 0: a point
	Placed  bool       // OnFinding: the place is told here, not by its pointer
}

// Pointer points from a place to the mark and number of a finding. The place is the
// vertex when Surface ≥ 0, else the node when Node ≥ 0, else Point (world, rest).
type Pointer struct {
	Number  int
	Grade   uint8 // as check.Grade: 1 note, 2 flaw, 3 stop
	Surface int
	Vertex  rig.Vertex
	Node    rig.Node
	Point   space.Vec
}

// Move is one joint turned from rest about one of the axes that the bend set gives
// it, everything else at rest.
type Move struct {
	Joint   rig.Node
	Axis    string // flexion, abduction, rotation; without a role x, y, z; "": no move
	Degrees float64
}

// State is everything a picture depends on besides the figure. Two equal states
// give the same pixels.
type State struct {
	Width, Height int    // pixels
	Inset         [4]int // covered by the page: top, right, bottom, left

	Night     bool
	Lens      Lens
	Joint     rig.Node // whose influence; None: none
	Clip      rig.Clip // None: rest
	Seconds   float64  // time in Clip
	Move      Move     // its axis is not empty: that pose, whatever Clip says
	Method    deform.Method
	Split     bool      // the left half by linear blend, the right one by dual quaternions, whatever Method says
	Beside    bool      // with Split: both halves by Method, in the right one the figure of Scene.SetBeside
	Halves    [2]string // what stands under the two figures; empty: as it is, as it would be
	OtherClip rig.Clip  // what a figure of another file plays while this one plays Clip; None: the clip of the same name

	Bones, Pointers, Loupe, Staff bool
	Unmeasured                    bool // nobody told the body from its gear yet: the staff points out no height

	Camera      camera.Camera // zero: the whole figure, three-quarter
	Chosen      Choice
	Hover       Choice
	PointerList []Pointer // worst first
	Sum         bool      // the chosen vertex's skinning sum is drawn as a way, see Scene.Sum
	Terms       int       // of the sum, how many are added
	Moving      bool      // something moves: one sample a pixel, less detail where there is much
}

// Window is the picture and its insets, as the camera wants them.
func (st *State) Window() camera.Window {
	return camera.Window{Width: st.Width, Height: st.Height, Inset: st.Inset}
}
