package binding

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/deform"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// Hung is one shown surface without a skin beside skinned ones.
type Hung struct {
	Node     rig.Node  `json:"node"`
	Joint    *rig.Node `json:"joint"`      // nearest joint above it, itself too; nil: none
	Moves    bool      `json:"moves"`      // it or something above it moves in some clip
	Distance *float64  `json:"distance_m"` // to the nearest skinned vertex; nil: none
	Nearest  rig.Node  `json:"nearest"`    // joint to hang it on, None
	Scenery  bool      `json:"scenery"`    // larger than all that is skinned: a floor, a room
	Surface  int       `json:"surface"`
}

// limits of hangs-on (common practice, no source).
const (
	hangTravel = 0.05 // × height
	hangTouch  = 0.01 // × diagonal
)

// findHung looks at what hangs beside the skin.
func (f *Facts) findHung(e *exam.Exam, b *bones) {
	f.Hung = []Hung{}
	if needsSkin(f) != "" {
		return
	}
	var points []float32
	var owner []rig.Node // the joint with most weight there
	box := geom.EmptyBox()
	isShown := e.IsShown()
	for i, s := range e.Rig.Surfaces {
		if s.Skin >= 0 && isShown[s.Node] {
			box = box.Union(e.SurfaceBox(i))
		}
	}
	var loose []int
	for i, s := range e.Rig.Surfaces {
		if s.Skin < 0 && isShown[s.Node] && e.Rig.Meshes[s.Mesh].Vertices() > 0 {
			loose = append(loose, i)
		}
	}
	if len(loose) == 0 {
		return
	}
	for i, s := range e.Rig.Surfaces {
		if s.Skin < 0 || !isShown[s.Node] {
			continue
		}
		m, joints := &e.Rig.Meshes[s.Mesh], e.Rig.Skins[s.Skin].Joints
		points = append(points, f.places[i]...)
		for v := range m.Vertices() {
			n := rig.Node(rig.None)
			if k := m.Strongest(v, len(joints)); k >= 0 {
				n = joints[k]
			}
			owner = append(owner, n)
		}
	}
	tree := geom.NewTree(points)
	joint, movedBy := e.Rig.AtOrAbove(b.isJoint), e.Rig.AtOrAbove(movingNodes(e.Rig))
	for _, i := range loose {
		s := e.Rig.Surfaces[i]
		h := Hung{Node: s.Node, Nearest: rig.None, Surface: i}
		if n := joint[s.Node]; n >= 0 {
			h.Joint = &n
		}
		h.Moves = movedBy[s.Node] >= 0
		best := float32(math.MaxFloat32)
		rest := e.RestPositions(i)
		for v := 0; v+2 < len(rest); v += 3 {
			if id, square := tree.Nearest(rest[v], rest[v+1], rest[v+2], best); id >= 0 && square < best {
				best, h.Nearest = square, owner[id]
			}
		}
		if best < math.MaxFloat32 {
			d := math.Sqrt(float64(best))
			h.Distance = &d
		}
		h.Scenery = e.SurfaceBox(i).Diagonal() > box.Diagonal()
		f.Hung = append(f.Hung, h)
	}
	if slices.ContainsFunc(f.Hung, func(h Hung) bool { return !h.Moves && !h.Scenery }) {
		f.Travel = travel(e, b)
	}
}

// movingNodes are the nodes with a channel whose keys differ from each other or from
// the rest pose by more than rounding.
func movingNodes(r *rig.Rig) []bool {
	out := make([]bool, len(r.Nodes))
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			if ch.Path == rig.Weights || ch.Node < 0 || out[ch.Node] {
				continue
			}
			n := &r.Nodes[ch.Node]
			rest := [][]float64{n.T[:], n.R[:], n.S[:]}[ch.Path]
			w, step, first := ch.Width, ch.Width, 0
			if ch.Interpolation == rig.Cubic {
				step, first = 3*w, w
			}
			if w > len(rest) {
				continue
			}
			for k := first; k+w <= len(ch.Values) && !out[ch.Node]; k += step {
				sign := 1.0
				if ch.Path == rig.Rotation { // q and −q are one turn
					dot := 0.0
					for x := range w {
						dot += rest[x] * float64(ch.Values[k+x])
					}
					sign = math.Copysign(1, dot)
				}
				for x := range w {
					if math.Abs(sign*float64(ch.Values[k+x])-rest[x]) > 1e-4 {
						out[ch.Node] = true
					}
				}
			}
		}
	}
	return out
}

// travel is the farthest that a topmost joint goes from its place at the start of a
// clip, over all clips, metres. Clips are looked at in 33 moments each.
func travel(e *exam.Exam, b *bones) float64 {
	var tops []rig.Node
	for n := range b.isJoint {
		if b.isJoint[n] && b.above[n] < 0 {
			tops = append(tops, rig.Node(n))
		}
	}
	far := 0.0
	pose := deform.NewPose(e.Rig)
	start := make([]space.Vec, len(tops))
	const moments = 32 // of a clip, spread evenly
	for c := range e.Rig.Clips {
		clip := &e.Rig.Clips[c]
		for k := range moments + 1 {
			pose.Sample(rig.Clip(c), clip.Start+(clip.Seconds-clip.Start)*float64(k)/moments)
			for i, n := range tops {
				o := pose.World[n].Origin()
				if k == 0 {
					start[i] = o
				} else if d := o.Sub(start[i]).Len(); d > far && !math.IsInf(d, 0) {
					far = d
				}
			}
		}
	}
	return far
}

var hangsOn = check.Check[Facts]{
	ID:      "binding/hangs-on",
	Title:   "Parts without a skin",
	Measure: "surfaces without a skin beside a skinned figure: on which joint they hang, whether that moves, how near they rest to the skin",
	Limits: []check.Limit{
		{Name: "travel", Unit: say.TimesHeight, Value: hangTravel, Grade: check.Flaw},
		{Name: "touch", Unit: say.TimesDiagonal, Value: hangTouch, Grade: check.Flaw, Below: true, Reached: true},
		{Name: "surfaces", Unit: say.Surfaces, Value: 0, Grade: check.Note},
	},
	Why: "A part without a skin follows the node it hangs on (is parented to), stiffly. " +
		"Under a joint it goes along as a sword in a hand; under none it stays where it was while the figure walks away.",
	Remedy: "Hang each part that should go along on the named joint, keeping its place at rest.\n" +
		"Where it should bend with the surface under it, bind it to the skin instead.",
	Source: "glTF 2.0, Skins and Nodes and Hierarchy; the limits are common practice, no source",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		travel, touch, surfaces := d.Limit("travel"), d.Limit("touch"), d.Limit("surfaces")
		share := 0.0
		if f.Height > 0 {
			share = f.Travel / f.Height
		}
		var follow, far, near []*Hung
		for i := range f.Hung {
			switch h := &f.Hung[i]; {
			case h.Joint != nil:
				follow = append(follow, h)
			case h.Scenery:
			case h.Distance != nil && *h.Distance <= touch.Value*f.Diagonal:
				near = append(near, h)
			case !h.Moves && share > travel.Value:
				far = append(far, h)
			}
		}
		file := func(list []*Hung, l check.Limit, name string, value float64) *check.Finding {
			where := check.Nowhere()
			var names []string
			for _, h := range list {
				where.Nodes = append(where.Nodes, h.Node)
				names = append(names, f.Surfaces[h.Surface].Called)
				n := h.Nearest
				if h.Joint != nil {
					n = *h.Joint
				}
				if n >= 0 && !slices.Contains(where.Joints, n) {
					where.Joints = append(where.Joints, n)
				}
			}
			found := d.Found(l, name, value, where)
			found.Subject = exam.Listed(names)
			return found
		}
		distance := func(list []*Hung) (most float64) {
			for _, h := range list {
				if h.Distance != nil {
					most = max(most, *h.Distance)
				}
			}
			return most
		}
		if len(near) > 0 {
			value := 0.0
			if f.Diagonal > 0 {
				value = distance(near) / f.Diagonal
			}
			found := file(near, touch, "rests on the skin, off by", value)
			found.Title = "Parts that stay behind"
			found.Measures = append(found.Measures, check.Also("surfaces", float64(len(near)), say.Surfaces))
		}
		if len(far) > 0 {
			found := file(far, travel, "the root travels", share)
			found.Title = "Parts that stay behind"
			found.Measures = append(found.Measures, check.Also("surfaces", float64(len(far)), say.Surfaces), check.Also("distance to the skin", distance(far), say.Metre))
		}
		if n := float64(len(follow)); n > surfaces.Value {
			found := file(follow, surfaces, "surfaces", n)
			found.Title = "Stiff parts without skin"
		}
	},
}
