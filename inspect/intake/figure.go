package intake

import (
	"math"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// Figure says what stands there, when a body is recognised.
type Figure struct {
	Kind     string     `json:"kind"`              // "human", "four-legged", "winged", "many-legged", "chain", "hand" or ""
	Height   float64    `json:"height"`            // of its body, without gear; along the trunk when it lies
	Lies     float64    `json:"off_upright"`       // degrees between trunk and +Y; 0: no trunk
	Factor   float64    `json:"unit_factor"`       // that brings a human to a human height; 1: none needed
	Unit     string     `json:"unit"`              // the guess in words
	Other    string     `json:"unit_other"`        // a second reading of the height, ""
	AheadOf  float64    `json:"facing_degrees"`    // between facing and what the format declares; 0: not told
	MiddleX  float64    `json:"middle_x"`          // metres: where the figure's middle stands
	MiddleZ  float64    `json:"middle_z"`          //
	Within   bool       `json:"origin_below_body"` // no person, and the origin lies below its body
	Words    string     `json:"words"`             // of Kind
	Hips     rig.Node   `json:"hips"`              // −1: none
	Feet     []rig.Node `json:"feet" wire:"null"`
	Lowest   rig.Vertex `json:"lowest_vertex"`
	LowestOn int        `json:"lowest_surface"` // surface of Lowest, None
	Extent   float64    `json:"body_diagonal"`  // of its box, weights made whole
	Bare     bool       `json:"by_joints"`      // measured by its joints, since there is no surface
	Unstated bool       `json:"unit_unstated"`  // the file's format states no unit
}

// figure reads the body.
func (f *Facts) figure(e *exam.Exam) {
	roles := e.Roles()
	g := &f.Figure
	g.Hips, g.Factor, g.Height = roles.Node("hips"), 1, f.BodyHeight
	box := e.BodyBox()
	if box.IsEmpty() { // a skeleton alone, such as motion capture
		box = jointBox(e)
		g.Bare = !box.IsEmpty()
		g.Unstated = g.Bare && e.Rig.File.Kind == "bvh"
	}
	if !box.IsEmpty() {
		g.Extent = finite(box.Diagonal())
	}
	switch {
	case roles.Kind.IsBeast() || roles.Kind == anatomy.HandAlone:
		g.Kind, g.Words = roles.Kind.String(), roles.Kind.Words()
		g.Within = box.Min[0] <= 0 && box.Max[0] >= 0 && box.Min[2] <= 0 && box.Max[2] >= 0
	case roles.IsFigure():
		g.Kind = "human"
	case g.Hips < 0 && (roles.Node("leftHand") >= 0) != (roles.Node("rightHand") >= 0):
		g.Kind = "hand"
	}
	f.fromSurface(e)
	alone := f.FromSurface != nil && f.FromSurface.Kind != nil
	if alone {
		g.Kind = map[string]string{"person": "human"}[*f.FromSurface.Kind]
		if g.Kind == "" {
			g.Kind = *f.FromSurface.Kind
		}
	}
	if g.Kind == "human" || g.Kind == "four-legged" {
		g.Height = box.Size()[1]
		if alone {
			g.Height, g.Lies = *f.FromSurface.Height, *f.FromSurface.Lies
		}
		if a := roles.Stands(); g.Kind == "human" && !math.IsNaN(a) {
			g.Lies = a
			if s := box.Size(); a > 60 {
				g.Height = max(s[0], s[2])
			}
		}
	}
	if g.Kind == "human" {
		f.guess()
		dir, ok := roles.Facing()
		if alone && f.FromSurface.Facing != nil && g.Lies < 60 {
			dir, ok = *f.FromSurface.Facing, true
		}
		if ok {
			f.Facing = &dir
			want := 1.0
			if f.FacesBack {
				want = -1
			}
			g.AheadOf = math.Acos(max(-1, min(1, dir[2]*want))) * 180 / math.Pi
		}
	}
	f.middle(e, box)
	g.LowestOn, g.Lowest = rig.None, rig.None
	low := math.Inf(1)
	for _, s := range e.Shown() {
		if b := e.SurfaceBox(s); b.Min[1] < low {
			low, g.LowestOn = b.Min[1], s
		}
	}
	if g.LowestOn >= 0 {
		pos := e.RestPositions(g.LowestOn)
		for v := 1; v < len(pos); v += 3 {
			if float64(pos[v]) == low {
				g.Lowest = rig.Vertex(v / 3)
				break
			}
		}
	}
}

func jointBox(e *exam.Exam) geom.Box {
	b := geom.EmptyBox()
	world := e.RestWorld()
	for n, in := range e.Rig.Joints() {
		if p := world[n].Origin(); in && p == p {
			b = b.Union(geom.Box{Min: p, Max: p})
		}
	}
	return b
}

// middle is where the figure stands: the middle of its box, or of its hips and
// feet where those are nearer to the origin, axis by axis. What is carried in a
// hand moves the box, and a nose moves it as well; neither is a wrong placement.
func (f *Facts) middle(e *exam.Exam, box geom.Box) {
	g := &f.Figure
	m := box.Center()
	g.MiddleX, g.MiddleZ = m[0], m[2]
	roles := e.Roles()
	nearer := func(x, z float64) {
		if math.Abs(x) < math.Abs(g.MiddleX) {
			g.MiddleX = x
		}
		if math.Abs(z) < math.Abs(g.MiddleZ) {
			g.MiddleZ = z
		}
	}
	if g.Hips >= 0 {
		p := roles.Position(g.Hips)
		nearer(p[0], p[2])
	}
	x, z, n := 0.0, 0.0, 0.0
	for _, role := range []string{"leftFoot", "rightFoot", "leftToes", "rightToes"} {
		if k := roles.Node(role); k >= 0 {
			p := roles.Position(k)
			x, z, n = x+p[0], z+p[2], n+1
			g.Feet = append(g.Feet, k)
		}
	}
	for _, k := range roles.FourFeet {
		p := roles.Position(k)
		x, z, n = x+p[0], z+p[2], n+1
		g.Feet = append(g.Feet, k)
	}
	if n == 4 || n == 2 && roles.Node("leftToes") < 0 {
		nearer(x/n, z/n)
	}
}

// unit is a factor and the heights that it brings to 1.2…2.2 m.
type unit struct {
	name   string
	says   string
	factor float64
}

// units that a height may be in, tried in this order. Their windows of 1.2…2.2 m do
// not overlap, but for the capture unit (1/0.45 in) and the decimetre at 21.3…22.
var units = []unit{
	{"m", "metres", 1},
	{"ft", "feet", 0.3048},
	{"dm", "decimetres", 0.1},
	{"1/0.45 in", "capture units of 1/0.45 inch", 0.0254 / 0.45},
	{"in", "inches", 0.0254},
	{"cm", "centimetres", 0.01},
	{"mm", "millimetres", 0.001},
}

// twice are factors applied once too often: no unit, but a reading.
var twice = []struct {
	says   string
	factor float64
}{
	{"centimetres made metres twice", 100},
	{"centimetres taken for inches", 1 / 2.54},
	{"inches taken for centimetres", 2.54},
}

const lowHuman, highHuman, meanHuman = 1.2, 2.2, 1.7 // metres

// guess finds the unit of a human's height.
func (f *Facts) guess() {
	g := &f.Figure
	for _, u := range units {
		if h := g.Height * u.factor; h >= lowHuman && h <= highHuman {
			f.UnitGuess, g.Unit, g.Factor = &u.name, u.says, u.factor
			break
		}
	}
	if f.UnitGuess != nil && *f.UnitGuess == "m" {
		return
	}
	for _, t := range twice {
		if h := g.Height * t.factor; h >= lowHuman && h <= highHuman {
			g.Other = t.says
			if f.UnitGuess == nil {
				g.Factor = t.factor
			}
			break
		}
	}
	if f.UnitGuess == nil && g.Other == "" && g.Height > 0 {
		g.Factor = meanHuman / g.Height
	}
}
