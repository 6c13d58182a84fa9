package raster

// Figure is what does not change from frame to frame. Slices per vertex are
// indexed alike and share one index space for all parts; V is the number of
// vertices, T of triangles.
type Figure struct {
	Mesh // all triangles and edges, in full

	S    []float32 // V: along the limb, metres; its isolines are the printed lines. Positive everywhere
	T    []float32 // V: tilted copy of S for the crossed set, positive; nil: no crossed set
	Bias []float32 // V: added to n·l (openness, swelling); nil: none
	UV   []float32 // 2·V: texture place, v downwards (glTF 2.0 §Meshes); nil: none
	Tint []uint32  // V: vertex colour (sRGB, Pixel order), multiplied in; nil: none

	Materials []Material // by Mesh.Material
}

// Mesh is one list of triangles over a figure's vertices: the full one or a
// coarser one that is drawn while the view moves.
type Mesh struct {
	Tri      []uint32 // 3·T vertices, anticlockwise seen from outside
	Part     []uint16 // T: contact lines are drawn where parts meet; nil: all one part
	Material []uint16 // T: nil: all 0
	Open     []bool   // T: the inside can be seen too (shell with a border); nil: all closed
	Edge     []Edge   // smooth edges first is not required, but costs least
	Used     []uint32 // the vertices that Tri and Edge name, rising; nil: all V
}

// Edge joins two vertices and parts two triangles (the same twice at a border).
type Edge struct {
	A, B   uint32 // vertices
	T0, T1 uint32 // triangles of the same Mesh; an edge of one triangle has T0 = T1
	Kind   EdgeKind
	Sharp  uint8  // of a crease: 0 … 255
	_      uint16 // says what the compiler fills up with: lists of edges cross to the stage as they lie in memory
}

// EdgeKind tells when an edge is drawn.
type EdgeKind uint8

const (
	Smooth EdgeKind = iota // only where it is a contour
	Crease                 // also where a face beside it is seen from the front
	Border                 // always: the surface ends here
)

// Frame is one moment: the deformed vertices.
type Frame struct {
	Pos      []float32 // 3·V, world metres; a vertex that is not finite is not drawn, nor are its triangles
	Normal   []float32 // 3·V, world, unit (or zero: lit as if it faced the eye's side)
	Slope    []float32 // 3·V, world: gradient of S along the surface, carried like Normal; nil: lines only by triangle
	Lens     []float32 // V: 0 … 1 (Value) or −1 … 1 (TwoSided); NaN: no value here; nil unless shown
	Category []uint8   // V: index into Style.Category or Style.Count; NoCategory: none; nil unless shown
}

// NoCategory marks a vertex that belongs to no category.
const NoCategory = 255

// View carries world to view space (x right, y up, z towards the eye, so that
// what is seen has z < 0) and view space to pixels:
// x = CX − Focal·x/z, y = CY + Focal·y/z.
type View struct {
	M      [12]float32 // world → view, rigid, 3×4 row-major
	Focal  float32     // pixels
	CX, CY float32     // pixels: where the line of sight meets the plate
	Near   float32     // metres, > 0: what lies nearer the eye is cut away
}

// Ruling is the line spacing of one frame. It depends on the figure's distance
// and, where a limb is foreshortened, on the surface itself; never on the
// screen, so lines stay where they are on the figure.
type Ruling struct {
	Want  float32 // metres between lines at the figure's own scale
	Close float32 // pixels: foreshortened lines may close up to this, then every second goes
	Cap   float32 // pixels: the widest spacing that still widens a line
}

// Rule takes the scale at the figure in pixels per metre and the pitch in
// pixels (Style.Pitch × Plate.Unit).
func Rule(pxPerMetre, pitch float32) Ruling {
	return Ruling{Want: pitch / pxPerMetre, Close: pitch * .62, Cap: pitch * 1.3}
}

// Surface says what the colour of the surface shows.
type Surface uint8

const (
	Plain    Surface = iota // the figure's colour
	Painted                 // material colour and texture
	Value                   // Frame.Lens through Style.Ramp
	TwoSided                // Frame.Lens: 0 … 1 through Ramp, 0 … −1 through Press (also hatched)
	Category                // Frame.Category through Style.Category, borders crisp
	Count                   // Frame.Category through Style.Count, borders crisp
)

// Look chooses what is drawn. The zero value is the figure in its flat shade
// with contours and borders only: the cheapest.
type Look struct {
	Surface  Surface
	Lines    bool // engraved lines
	Creases  bool
	Contacts bool // lines where parts pass through each other
	Edges    bool // every edge of the seen triangles as a hair line (loupe)
	Outline  bool // contours and borders
}

// Engraved is everything but mesh edges: the figure at rest.
func Engraved(s Surface) Look {
	return Look{Surface: s, Lines: true, Creases: true, Contacts: true, Outline: true}
}

// Material is the paint of some triangles, for Painted.
type Material struct {
	Colour  uint32   // sRGB, Pixel order; multiplies texture and tint
	Texture *Texture // nil: none
	Cutoff  float32  // painted pixels with alpha under it are left out; 0: none are
}
