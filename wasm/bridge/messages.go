package bridge

// Progress tells how far a station is. Several may come for one done.
type Progress struct {
	ID           int     `js:"id"`
	Kind         string  `js:"kind" wire:"'progress'"` // progress
	Station      string  `js:"station"`                // its name in the document; "read", "draw" before and after the stations
	StationTitle string  `js:"stationTitle"`
	Done         int     `js:"done"`
	Total        int     `js:"total"`
	Text         string  `js:"text"`   // a line to show as it is
	Memory       float64 `js:"memory"` // bytes of WebAssembly memory
}

// Document carries text. partial and result are the facts so far and in the end, list,
// joints and a match in csv are plain text; the others are JSON. Which document a kind of
// question answers stands in the table of the examiner (wasm/examiner/questions.go). step
// is a receipt told while suggested mends are tried, mended the facts of the figure with
// the kept mends, before its slip.
type Document struct {
	ID   int    `js:"id"`
	Kind string `js:"kind" wire:"'partial' | 'result' | 'catalogue' | 'list' | 'joints' | 'lenses' | 'rows' | 'curves' | 'second' | 'match' | 'carry' | 'row' | 'painted' | 'offers' | 'road' | 'slip' | 'beside' | 'receipt' | 'board' | 'settled' | 'step' | 'mended' | 'compared' | 'slipSaved' | 'doing' | 'switchedOff' | 'plan' | 'lessons' | 'lesson' | 'answer' | 'marked'"`
	JSON string `js:"json"`
}

// Lineup is a table of several models, as the command line writes it: one JSON
// document and comma-separated values. From tells of each row which of those asked
// about it is.
type Lineup struct {
	ID   int    `js:"id"`
	Kind string `js:"kind" wire:"'lineup'"` // lineup
	JSON string `js:"json"`
	CSV  string `js:"csv"`
	From []int  `js:"from"`
}

// Parcel goes with bytes: sketch (before its rig), rig, prepared, fields, field (package
// flat) or file. Of a
// second figure secondRig, secondPrepared and secondFields, before its document;
// carriedRig, before the report, is the open figure with the new clips as its last, and
// secondPlaces, one for each, where the source's joints are meanwhile: little-endian
// float32, first and last moment in seconds, frames, evenly spread between them; then by
// frame and joint left, up and forward in shares of the longest side.
// saved, with the name to save under, ends a save, handed one of what was mended, reported
// a report; placed ends the picture of a finding, without bytes where it has no place.
// boardFront and boardSide, as PNG, come before a board that pictures were asked for with.
// Of a mend on trial trialSketch, where its shape is another, comes before trialRig and
// trialPrepared after it; of kept mends mendedPrepared and mendedFields before mendedRig.
// picture is an encoded picture that materials show, its name the place of the image; handed back as the files of a paint, in
// another worker, each comes as a texture (package flat), and a painted document ends it.
type Parcel struct {
	ID   int    `js:"id"`
	Kind string `js:"kind" wire:"'sketch' | 'rig' | 'prepared' | 'fields' | 'field' | 'file' | 'picture' | 'texture' | 'secondRig' | 'secondPrepared' | 'secondFields' | 'carriedRig' | 'secondPlaces' | 'saved' | 'trialSketch' | 'trialRig' | 'trialPrepared' | 'mendedRig' | 'mendedPrepared' | 'mendedFields' | 'handed' | 'reported' | 'placed' | 'portrait' | 'boardFront' | 'boardSide'"`
	Name string `js:"name"` // of the file, of the field's lens
}

// Overlay goes with the bytes of what a finding inks over the figure; without bytes
// it inks nothing. Places are what "next place" goes through.
type Overlay struct {
	ID     int     `js:"id"`
	Kind   string  `js:"kind" wire:"'overlay'"` // overlay
	Number int     `js:"number"`
	Places []Place `js:"places"`
}

// Left says what of the figure no picture shows, a sentence each; before its rig.
type Left struct {
	ID    int      `js:"id"`
	Kind  string   `js:"kind" wire:"'left'"` // left
	Words []string `js:"words"`
}

// Done ends an examination that was not refused.
type Done struct {
	ID      int     `js:"id"`
	Kind    string  `js:"kind" wire:"'done'"` // done
	MS      float64 `js:"ms"`                 // from the ask to here
	Stopped bool    `js:"stopped"`            // the page asked to stop; what was found is told
	Memory  float64 `js:"memory"`
}

// Refused says why nothing, or nothing more, comes.
type Refused struct {
	ID      int      `js:"id"`
	Kind    string   `js:"kind" wire:"'refused'"` // refused
	Text    string   `js:"text"`
	Hint    string   `js:"hint"`    // what to do; may be empty
	Missing []string `js:"missing"` // side files to hand over as well
}

// Show is a change of what the stage shows: what is nil stays as it is.
type Show struct {
	Paper         *string   `js:"paper"` // day, night
	Lens          *string   `js:"lens"`
	Joint         *int      `js:"joint"` // node whose influence is shown, −1: none
	Clip          *int      `js:"clip"`  // −1: rest pose
	Seconds       *float64  `js:"seconds"`
	Move          *Move     `js:"move"`      // of axis "": none
	Degrees       *float64  `js:"degrees"`   // of the move that is shown
	Method        *string   `js:"method"`    // linear, dual
	Split         *bool     `js:"split"`     // both side by side
	Halves        []string  `js:"halves"`    // what stands under this figure and the one beside it; of two empty ones: as it is, as it would be
	OtherClip     *int      `js:"otherClip"` // what a figure of another file plays while this one plays its clip; −1: the one of the same name
	Partners      []int     `js:"partners"`  // pairs of a node and the one of a figure of another file that stands for it
	Playing       *bool     `js:"playing"`
	Speed         *float64  `js:"speed"`
	Bones         *bool     `js:"bones"`
	Pointers      *bool     `js:"pointers"`
	Loupe         *bool     `js:"loupe"`
	Staff         *bool     `js:"staff"`
	Inset         []float64 `js:"inset"` // top, right, bottom, left, CSS pixels
	From          *string   `js:"from"`
	Chosen        *Chosen   `js:"chosen"`
	Hover         *Chosen   `js:"hover"` // what lies under the pointer
	PointerList   []Pointer `js:"pointerList"`
	Sum           *bool     `js:"sum"`   // draw the chosen vertex's skinning sum
	Terms         *int      `js:"terms"` // of it, how many are added
	ReducedMotion *bool     `js:"reducedMotion"`
	Camera        *Camera   `js:"camera"` // as State told it
}

// Move is one joint turned from rest as the bend set turns it; then clips are not shown.
type Move struct {
	Joint   int     `js:"joint"`
	Axis    string  `js:"axis"` // flexion, abduction, rotation; x, y, z without a role; "": no move
	Degrees float64 `js:"degrees"`
}

// Turn is one axis of a joint with its range.
type Turn struct {
	Axis   string  `js:"axis"`
	Min    float64 `js:"min"` // degrees from rest
	Max    float64 `js:"max"`
	Source string  `js:"source"`
}

// Chosen is one thing of the figure.
type Chosen struct {
	Kind      string    `js:"kind"` // none, joint, vertex, finding
	Node      *int      `js:"node"`
	Surface   *int      `js:"surface"`
	Primitive *int      `js:"primitive"` // then Vertex counts within it
	Vertex    *int      `js:"vertex"`
	Number    *int      `js:"number"` // of the finding's pointer
	Point     []float64 `js:"point"`  // of a finding: world, rest
	Extent    float64   `js:"extent"` // of a finding: metres across
}

// Pointer points from a place to the number of a finding.
type Pointer struct {
	Number    int       `js:"number"`
	Grade     string    `js:"grade"` // stop, flaw, note
	Surface   *int      `js:"surface"`
	Primitive *int      `js:"primitive"`
	Vertex    *int      `js:"vertex"`
	Node      *int      `js:"node"`
	Point     []float64 `js:"point"` // world, rest
}

// Place is something to bring to the front.
type Place struct {
	Surface   *int      `js:"surface"`
	Primitive *int      `js:"primitive"` // then Vertices count within it
	Vertices  []int     `js:"vertices"`
	Node      *int      `js:"node"`
	Point     []float64 `js:"point"`
	Extent    float64   `js:"extent"` // metres across
	Row       int       `js:"row"`    // of a finding with rows, the one it belongs to
}

// Camera is where the eye stands; see camera.Camera.
type Camera struct {
	Target   []float64 `js:"target"`
	Yaw      float64   `js:"yaw"`
	Pitch    float64   `js:"pitch"`
	Distance float64   `js:"distance"`
	Scale    float64   `js:"scale"`
	CX       float64   `js:"cx"`
	CY       float64   `js:"cy"`
	Width    int       `js:"width"` // of the picture and its insets, when this was told
	Height   int       `js:"height"`
	Inset    []float64 `js:"inset"`
	Whole    bool      `js:"whole"` // it shows the whole figure: another room fits it again
}

// Hit is what lies under a pixel.
type Hit struct {
	Kind     string    `js:"kind"` // none, joint, vertex, finding
	Node     int       `js:"node"` // −1
	Name     string    `js:"name"` // of the node
	Surface  int       `js:"surface"`
	Triangle int       `js:"triangle"`
	Vertex   int       `js:"vertex"`
	Number   int       `js:"number"`
	Point    []float64 `js:"point"` // on the surface, world, as posed; nil: none
	Other    int       `js:"other"` // of a figure of another file beside this one: its node, whose name Name is; Node is then the one of this figure that it stands for; −1: it is of this figure
}

// Probe is all there is about one vertex. A number without a value is null.
type Probe struct {
	Surface        int       `js:"surface"`
	Vertex         int       `js:"vertex"` // in the mesh
	Node           int       `js:"node"`
	NodeName       string    `js:"nodeName"`
	Mesh           int       `js:"mesh"`
	MeshName       string    `js:"meshName"`
	Primitive      int       `js:"primitive"`
	Element        int       `js:"element"`
	Position       []float64 `js:"position"` // as stored
	Posed          []float64 `js:"posed"`    // world; null: no triangle uses it
	Influences     []Hold    `js:"influences"`
	Sum            float64   `js:"sum"`
	Partner        int       `js:"partner"` // −1
	PartnerSurface int       `js:"partnerSurface"`
	Mismatch       *float64  `js:"mismatch"`
	Distance       *float64  `js:"distance"`
}

// Hold is one joint's hold on a vertex.
type Hold struct {
	Node   int     `js:"node"`
	Name   string  `js:"name"`
	Weight float64 `js:"weight"`
}

// Sum is a skinning sum written out; names and numbers as the command line's
// `probe --json`, see deform.Written.
type Sum struct {
	Surface   int       `js:"surface"`
	Vertex    int       `js:"vertex"`
	Position  []float64 `js:"position"`
	Morphed   bool      `js:"morphed"`
	Terms     []Term    `js:"terms"`
	WeightSum float64   `js:"weight_sum"`
	Rest      []float64 `js:"rest"`
	Spread    float64   `js:"spread"`
	Stored    []float64 `js:"stored"`
	Place     []float64 `js:"place"`
	Whole     Rule      `js:"whole"`
	Strongest Rule      `js:"strongest"`
	FirstFour Rule      `js:"first_four"`
	Dual      Rule      `js:"dual"`
}

// Term is what one joint adds to a sum.
type Term struct {
	Letter string    `js:"letter"` // on the figure
	Node   int       `js:"node"`
	Name   string    `js:"name"`
	Slot   int       `js:"slot"`
	Weight float64   `js:"weight"`
	Matrix []float64 `js:"matrix"` // 12, row by row
	Alone  []float64 `js:"alone"`
	Adds   []float64 `js:"adds"`
	Total  []float64 `js:"total"`
	Stands []float64 `js:"stands"`
}

// Rule is where another rule would put the vertex.
type Rule struct {
	Place []float64 `js:"place"`
	Shift float64   `js:"shift_m"`
	Kept  int       `js:"influences"`
}

// StageState is where the stage is.
type StageState struct {
	Shown   bool    `js:"shown"` // a figure is there
	Paper   string  `js:"paper"`
	Lens    string  `js:"lens"`
	Joint   int     `js:"joint"`
	Clip    int     `js:"clip"`
	Seconds float64 `js:"seconds"`
	Move    Move    `js:"move"`
	Method  string  `js:"method"`
	Split   bool    `js:"split"`
	Beside  bool    `js:"beside"` // a mend on trial stands in the right half
	Playing bool    `js:"playing"`
	Speed   float64 `js:"speed"`
	Moving  bool    `js:"moving"` // less detail for the time being
	Fine    bool    `js:"fine"`   // the picture shown is the refined one
	Plain   bool    `js:"plain"`  // presenter
	Frames  int     `js:"frames"` // pictures drawn
	Uploads int     `js:"uploads"`
	DrawMS  float64 `js:"drawMS"` // the last picture took
	Left    int     `js:"left"`   // triangles that the last refined picture leaves out
	W       int     `js:"w"`      // of the picture
	H       int     `js:"h"`
	Ratio   float64 `js:"ratio"` // picture pixels a CSS pixel
	Camera  Camera  `js:"camera"`
	From    string  `js:"from"`  // the side it is seen from; "": none of those with a name
	Away    bool    `js:"away"`  // a place is shown, and there is a way back
	Fault   string  `js:"fault"` // why nothing is drawn any more
}

// Legend is what the colours of the lens stand for.
type Legend struct {
	Caption string   `js:"caption"` // what the lens shows, in words
	Kind    string   `js:"kind"`    // ramp, two-sided, steps, inks, none
	Unit    string   `js:"unit"`
	Ticks   []string `js:"ticks"`
}

// Changed is told by the stage at most once a picture.
type Changed struct {
	Seconds float64 `js:"seconds"`
	Degrees float64 `js:"degrees"` // of the move that is shown
	Playing bool    `js:"playing"`
	Moving  bool    `js:"moving"`
	Left    int     `js:"left"` // triangles that the last refined picture leaves out: too many layers lie over each other
	From    string  `js:"from"` // the side it is seen from; "": none of those with a name
	Away    bool    `js:"away"` // a place is shown, and there is a way back
}
