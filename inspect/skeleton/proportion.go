package skeleton

import (
	"context"
	"math"

	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// Segment is one part of the body against the handbook.
type Segment struct {
	Name   string  `json:"name"`
	Metres float64 `json:"length_m"`
	Share  float64 `json:"share"` // ÷ stature
	Low    float64 `json:"low"`   // what is usual, as a share of stature
	High   float64 `json:"high"`
	Off    float64 `json:"off"` // share of the nearer bound that it is off by; 0: within
	Source string  `json:"source"`
	From   string  `json:"from"` // role
	To     string  `json:"to"`   // likewise
}

// Stature is the height that segments are measured against.
type Stature struct {
	Metres float64  `json:"metres"`
	From   string   `json:"from"`   // "surface" or "skeleton"
	Head   *float64 `json:"head_m"` // height of what the head holds, hair and hat with it; nil: nothing tells
	Heads  *float64 `json:"heads"`  // how many of these go into it; nil likewise

	// Where no neck parts the head from the trunk, how many heads at least and at most: a
	// head may end at its joint or as far below it as a chin can. nil: it is told.
	HeadsRange []float64 `json:"heads_range" wire:"null"`
}

// Sources of the table's rows.
const (
	handbook = "Drillis and Contini 1966, as printed in Winter"
	practice = "common practice, no source"
)

// segments: distances between joints ÷ stature.
var segments = []Segment{
	{Name: "upper arm", From: "UpperArm", To: "LowerArm", Low: 0.186, High: 0.186, Source: handbook},
	{Name: "forearm", From: "LowerArm", To: "Hand", Low: 0.146, High: 0.146, Source: handbook},
	{Name: "palm", From: "Hand", To: "MiddleProximal", Low: 0.050, High: 0.050, Source: practice},
	{Name: "thigh", From: "UpperLeg", To: "LowerLeg", Low: 0.245, High: 0.245, Source: handbook},
	{Name: "shank", From: "LowerLeg", To: "Foot", Low: 0.246, High: 0.246, Source: handbook},
	{Name: "foot", From: "Foot", To: "Toes", Low: 0.08, High: 0.10, Source: practice},
	{Name: "collarbone", From: "Shoulder", To: "UpperArm", Low: 0.06, High: 0.10, Source: practice},
}

// spans go across the body or up it.
var spans = []Segment{
	{Name: "hip to hip", From: "leftUpperLeg", To: "rightUpperLeg", Low: 0.10, High: 0.12, Source: practice},
	{Name: "shoulder to shoulder", From: "leftUpperArm", To: "rightUpperArm", Low: 0.20, High: 0.26, Source: practice},
	{Name: "hips to head", From: "hips", To: "head", Low: 0.38, High: 0.46, Source: practice},
}

// headShare is how high the joint of the head stands, ÷ stature (H-Anim default
// figure: 1.6209 of 1.7504 m).
const headShare = 0.926

// measureProportions compares a figure with the handbook.
func (f *Facts) measureProportions(context.Context) error {
	f.Proportions = []Segment{}
	if !f.Figure {
		return nil
	}
	_, up, _, framed := f.roles.Frame()
	if !framed {
		return nil
	}
	f.stature(up)
	if !(f.Stature.Metres > 0) {
		return nil
	}
	for _, s := range segments {
		for _, side := range []string{"left", "right"} {
			row := s
			row.Name, row.From, row.To = side+" "+s.Name, side+s.From, side+s.To
			f.segment(row, space.Vec{})
		}
	}
	for _, s := range spans {
		along := space.Vec{}
		if s.From == "hips" {
			along = up
		}
		f.segment(s, along)
	}
	return nil
}

// segment measures one row, along a direction when there is one.
func (f *Facts) segment(s Segment, along space.Vec) {
	a, b := f.rolePlace(s.From), f.rolePlace(s.To)
	if a == nil || b == nil {
		return
	}
	d := b.Sub(*a)
	s.Metres = d.Len()
	if along.Len() > 0 {
		s.Metres = math.Abs(d.Dot(along))
	}
	f.offOf(&s)
	f.Proportions = append(f.Proportions, s)
}

// offOf holds a length against what is usual.
func (f *Facts) offOf(s *Segment) {
	s.Share = s.Metres / f.Stature.Metres
	switch {
	case s.Share < s.Low:
		s.Off = s.Share/s.Low - 1
	case s.Share > s.High:
		s.Off = s.Share/s.High - 1
	}
}

// stature is the height of the body's surface along up, whatever stands on the head;
// in a file without a surface what the joint of the head tells. Heads are counted by the
// surface that the head holds.
func (f *Facts) stature(up space.Vec) {
	f.Stature = Stature{Metres: f.Height, From: "surface"}
	if !f.hasSurface() {
		f.Stature = Stature{}
		lowest := math.Inf(1)
		for _, role := range []string{"leftFoot", "rightFoot", "leftToes", "rightToes"} {
			if p := f.rolePlace(role); p != nil {
				lowest = min(lowest, p.Dot(up))
			}
		}
		if head := f.rolePlace("head"); head != nil && head.Dot(up) > lowest {
			f.Stature = Stature{Metres: (head.Dot(up) - lowest) / headShare, From: "skeleton"}
		}
		return
	}
	if head, least, most := f.headHeight(up); head > leastHead*f.Stature.Metres {
		if least < most {
			f.Stature.HeadsRange = []float64{f.Stature.Metres / most, f.Stature.Metres / least}
		}
		f.Stature.Head, f.Stature.Heads = number(head), number(f.Stature.Metres/head)
		row := Segment{Name: "head", From: "head", To: "head", Low: headOfStature, High: headOfStature, Source: handbook, Metres: head}
		f.offOf(&row)
		f.Proportions = append(f.Proportions, row)
	}
}

func (f *Facts) hasSurface() bool { return f.Height > 0 && len(f.e.Body()) > 0 }

// A head less high than leastHead of the stature is a remnant; one held by fewer
// vertices than leastOfHead is not measured. chinBelow is how far the chin lies below
// the joint of the head, ÷ what stands above it (.130 of the stature from chin to
// crown, Drillis and Contini 1966; joint as in headShare).
const (
	leastHead     = 0.02
	leastOfHead   = 8 // vertices; a cube has as many
	headOfStature = 0.130
	chinBelow     = headOfStature/(1-headShare) - 1
)

// headHeight is how high the part of the body is that the joint of the head and those
// below it hold, metres along up, hair and hat with it; what hangs lower than a chin can
// (braids, a beard) is left out. Where a neck parts it from the trunk it ends at the chin;
// where none does, it is between least and most, else these are the same. 0: nothing tells.
func (f *Facts) headHeight(up space.Vec) (height, least, most float64) {
	head := f.roles.Node("head")
	j := f.at(head)
	if j == nil || !j.Placed {
		return 0, 0, 0
	}
	var body []ofHead
	axis := space.Vec(j.Position)
	lo, hi, count := math.Inf(1), math.Inf(-1), 0
	take := func(p []float32, v int) {
		d := float64(p[3*v])*up[0] + float64(p[3*v+1])*up[1] + float64(p[3*v+2])*up[2]
		lo, hi, count = min(lo, d), max(hi, d), count+1
	}
	for _, s := range f.e.Body() {
		surface := f.e.Rig.Surfaces[s]
		m, rest := &f.e.Rig.Meshes[surface.Mesh], f.e.WholePositions(s)
		if surface.Skin < 0 {
			if f.under(surface.Node, head) {
				for v := range m.Vertices() {
					take(rest, v)
				}
			}
			continue
		}
		joints := f.e.Rig.Skins[surface.Skin].Joints
		of := make([]bool, len(joints))
		trunk := make([]bool, len(joints))
		for k, n := range joints {
			of[k] = f.under(n, head)
			at := f.at(n)
			trunk[k] = of[k] || at != nil && f.isTrunk(at)
		}
		for v := range m.Vertices() {
			w, t := float32(0), float32(0)
			for i := v * m.K; i < (v+1)*m.K; i++ {
				if k := int(m.Joints[i]); k < len(of) && trunk[k] {
					if t += m.Weights[i]; of[k] {
						w += m.Weights[i]
					}
				}
			}
			if t > 0.5 {
				p := space.At(rest, uint32(v))
				body = append(body, ofHead{p.Dot(up), offAxis(p, axis, up)})
			}
			if w > 0.5 {
				take(rest, v)
			}
		}
	}
	at := space.Vec(j.Position).Dot(up)
	if count < leastOfHead || !(hi > at) {
		return 0, 0, 0
	}
	height = hi - max(lo, at-chinBelow*(hi-at))
	// A narrow place far from where the head ends to hold the surface is another: a waist.
	if end, ok := chin(body, at, hi); ok && math.Abs(hi-end-height) < chinNear*height {
		height = hi - max(end, at-chinBelow*(hi-at))
		return height, height, height
	}
	if len(body) == 0 { // of rigid parts the head is what it is
		return height, height, height
	}
	return height, min(height, hi-at), max(height, min((1+chinBelow)*(hi-at), chinHidden*height))
}

// under tells that a node is another or stands below it.
func (f *Facts) under(n, top rig.Node) bool {
	for left := len(f.e.Rig.Nodes); n >= 0 && left >= 0; n, left = f.e.Rig.Nodes[n].Parent, left-1 {
		if n == top {
			return true
		}
	}
	return false
}

// floor is the lowest point of the body's surfaces along up.
func (f *Facts) floor(up space.Vec) float64 {
	lo := math.Inf(1)
	for _, s := range f.e.Body() {
		p := f.e.WholePositions(s)
		for v := 0; v+2 < len(p); v += 3 {
			if d := float64(p[v])*up[0] + float64(p[v+1])*up[1] + float64(p[v+2])*up[2]; d < lo {
				lo = d
			}
		}
	}
	return lo
}
