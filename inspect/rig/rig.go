// Package rig is the model of one file: nodes, meshes, skins, clips and what the
// reader had to read around. Everything of a size is a flat slice of float32 or
// an integer type; nothing here knows where the bytes came from.
//
// Spaces and units follow glTF 2.0: right-handed, +Y up, a figure faces +Z and
// its left is towards +X, metres, seconds, radians, quaternions x y z w.
package rig

// Ids are places in the lists of the file they came from. They are types of their
// own so that the compiler finds a joint used as a node.
type (
	Node      int32 // place in Rig.Nodes, the file's own node index
	Mesh      int32 // place in Rig.Meshes
	Skin      int32 // place in Rig.Skins
	Joint     int32 // place in one skin's Joints
	Vertex    int32 // place in one mesh's vertices, all its primitives in order
	Clip      int32 // place in Rig.Clips
	Primitive int32 // place in one mesh's Primitives, the file's own index
)

// None is the value of any id that points nowhere.
const None = -1

// Rig is one file, read.
type Rig struct {
	File      File
	Nodes     []NodeData
	Order     []Node // every node once, parents before children
	Scenes    []Scene
	Shown     int // place in Scenes of the default scene; None when the file has no scene
	Meshes    []MeshData
	Surfaces  []Surface // in node order
	Skins     []SkinData
	Clips     []ClipData
	Materials []Material
	Images    []Image
	Humanoid  Humanoid
	Springs   []Spring
	Colliders []SpringCollider // of the springs
	Malformed []Malformed
	Remarks   []string // how the file was opened: names matched in another case, files ignored
}

// File tells where a rig came from.
type File struct {
	Name       string // as handed over; text, never a path to open again
	Bytes      int64  // of the main file, side files left out
	Kind       string // "glb", "gltf" or "bvh"
	Generator  string
	Version    string
	Used       []string // extensionsUsed
	Required   []string // extensionsRequired
	NotHonored []string // of Required, those that this reader cannot honour
}

// NodeData is one node: its place in the tree and its transform at rest.
type NodeData struct {
	Name      string
	Parent    Node // None at a root
	Children  []Node
	TRS                 // local, at rest; taken apart from the matrix when HasMatrix
	Matrix    Affine    // local, at rest, exactly as stored or as TRS says
	HasMatrix bool      // the file gives a matrix, not a TRS
	EndSite   bool      // BVH: it says where the last bone ends, and is no joint of the file
	Mesh      Mesh      // None when it carries none
	Skin      Skin      // None when it carries none
	Weights   []float32 // morph weights at rest, nil: the mesh's
}

// TRS is a translation, a rotation (unit quaternion x y z w) and a scale, applied
// in the order scale, rotation, translation.
type TRS struct {
	T [3]float64
	R [4]float64
	S [3]float64
}

// Scene is a named list of root nodes.
type Scene struct {
	Name  string
	Roots []Node
}

// Surface is one node that carries a mesh: what a person sees as one part.
type Surface struct {
	Node Node
	Mesh Mesh
	Skin Skin // None: it follows its node
}

// MeshData holds one mesh, all primitives one after the other. V vertices, T
// triangles, K influences a vertex (a multiple of 4, the same for the whole mesh,
// zero-padded; 0 when no primitive has joints).
type MeshData struct {
	Name       string
	Primitives []PrimitiveData
	Positions  []float32 // 3·V, the mesh's own space, after sparse and normalising
	Normals    []float32 // 3·V or nil; zero vectors for primitives that have none
	UV         []float32 // 2·V or nil, TEXCOORD_0
	Joints     []uint16  // K·V, places in the skin's Joints
	Weights    []float32 // K·V, as stored, after normalising; never made whole
	NonFinite  []Vertex  // vertices with a weight that is not finite; it stands as 0 in Weights
	K          int
	Triangles  []uint32 // 3·T, places in this mesh's vertices; strips and fans unrolled
	Targets    []Target
	Morph      []float32 // default weight of each target
}

// PrimitiveData says which stretch of the mesh one primitive holds.
type PrimitiveData struct {
	First, Count          int // vertices
	FirstTri, TriCount    int
	Material              int      // place in Rig.Materials, None
	Array                 int      // POSITION accessor; primitives with the same one share their vertices
	Mode                  uint8    // glTF mode: 4 triangles, 5 strip, 6 fan; others have no triangle
	Sets                  int      // influence sets read: JOINTS_0… with WEIGHTS_0…
	JointSets, WeightSets int      // sets the file has of each
	JointType             uint16   // glTF component type of JOINTS_0 (5121, 5123), 0: none
	WeightType            uint16   // glTF component type of WEIGHTS_0 (5126, 5121, 5123), 0: none
	WeightSums            []uint32 // integer weights: raw sum over all sets per vertex, else nil
	PositionType          uint16   // glTF component type of POSITION
	PositionNormalized    bool
	HasNormals, HasUV     bool
	Min, Max              [3]float64 // as declared, in stored units; HasBounds
	HasBounds             bool
	TrueMin, TrueMax      [3]float64 // of the stored data, in stored units
	Slack                 float64    // by how much these may be off what is declared, in stored units: packing rounded them
}

// Target is one morph target: displacements over the whole mesh.
type Target struct {
	Name      string    // from extras.targetNames, else ""
	Positions []float32 // 3·V or nil: none
	Normals   []float32 // 3·V or nil
}

// SkinData is one skin. Bind holds one inverse bind matrix a joint.
type SkinData struct {
	Name     string
	Joints   []Node
	Skeleton Node // the pivot hint, None
	Bind     []Affine
	BindRow  []float64 // 4 a joint, the fourth rows as stored; nil when all are 0 0 0 1
	HasBind  bool
}

// Path is what a channel moves.
type Path uint8

const (
	Translation Path = iota
	Rotation
	Scale
	Weights
)

func (p Path) String() string {
	return [...]string{"translation", "rotation", "scale", "weights"}[p]
}

// Interpolation between keys (glTF 2.0, Appendix C).
type Interpolation uint8

const (
	Linear Interpolation = iota
	Step
	Cubic
)

// ClipData is one animation.
type ClipData struct {
	Name     string
	Channels []Channel
	Seconds  float64 // last key of any channel
	Start    float64 // first key of any channel
}

// Channel moves one property of one node. With N keys and W numbers a key (3, 4,
// or the count of morph targets) Values holds N·W, or 3·N·W when Cubic: per key
// in-tangent, value, out-tangent. Times and Values may share memory with other
// channels that use the same accessor.
type Channel struct {
	Node          Node
	Path          Path
	Interpolation Interpolation
	Times         []float32
	Values        []float32
	Width         int
}

// Material is what the painted lens needs.
type Material struct {
	Name        string
	Color       [4]float32 // base colour factor, linear
	Image       int        // place in Rig.Images, None
	Wrap        [2]uint16  // glTF sampler wrap modes; 0 means repeat
	DoubleSided bool
	Cutoff      float32 // alpha below it is not drawn; 0: opaque
}

// Image is one picture. Pixels are decoded on request, by whoever draws.
type Image struct {
	Name, MIME    string
	Data          []byte // encoded; nil when it is missing or not a kind we can show
	Width, Height int    // 0 when unknown
	Missing       string // why Data is nil
	Spare         bool   // it stands beside one that is shown instead
}

// Humanoid is the map of roles that a file declares itself (VRM).
type Humanoid struct {
	Version string          // "0", "1" or ""
	Bones   map[string]Node // VRM 1.0 bone name → node; 0.x thumbs renamed to 1.0
}

// Malformed is one place that breaks glTF 2.0 and was read around.
type Malformed struct {
	Place string `json:"place"` // JSON pointer or byte place: "/accessors/3/count"
	What  string `json:"what"`  // what is wrong and what was done about it
	Node  Node   `json:"node"`  // None
	Mesh  Mesh   `json:"mesh"`  // None
	Skin  Skin   `json:"skin"`  // None
	Clip  Clip   `json:"clip"`  // None

	Spare bool `json:"spare"` // bytes beside what is read, which nothing needs: no guess was made
}
