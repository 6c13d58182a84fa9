package skeleton

import (
	"context"
	"math"
)

// Segment is one part of the body against the handbook.
type Segment struct {
	Name     string  `json:"name"`
	Metres   float64 `json:"length_m"`
	Share    float64 `json:"share"` // ÷ stature
	Low      float64 `json:"low"`   // what is usual, as a share of stature
	High     float64 `json:"high"`
	Off      float64 `json:"off"` // share of the nearer bound that it is off by; 0: within
	Source   string  `json:"source"`
	from, to string  // roles
}

// Stature is the height that segments are measured against.
type Stature struct {
	Metres float64  `json:"metres"`
	From   string   `json:"from"`  // "surface" or "skeleton"
	Heads  *float64 `json:"heads"` // heights of head that go into it; nil: no head, or none above its joint
}

// Sources of the table's rows.
const (
	handbook = "Drillis and Contini 1966, as printed in Winter"
	practice = "common practice, no source"
)

// segments: distances between joints ÷ stature.
var segments = []Segment{
	{Name: "upper arm", from: "UpperArm", to: "LowerArm", Low: 0.186, High: 0.186, Source: handbook},
	{Name: "forearm", from: "LowerArm", to: "Hand", Low: 0.146, High: 0.146, Source: handbook},
	{Name: "palm", from: "Hand", to: "MiddleProximal", Low: 0.050, High: 0.050, Source: practice},
	{Name: "thigh", from: "UpperLeg", to: "LowerLeg", Low: 0.245, High: 0.245, Source: handbook},
	{Name: "shank", from: "LowerLeg", to: "Foot", Low: 0.246, High: 0.246, Source: handbook},
	{Name: "foot", from: "Foot", to: "Toes", Low: 0.08, High: 0.10, Source: practice},
	{Name: "collarbone", from: "Shoulder", to: "UpperArm", Low: 0.06, High: 0.10, Source: practice},
}

// spans go across the body or up it.
var spans = []Segment{
	{Name: "hip to hip", from: "leftUpperLeg", to: "rightUpperLeg", Low: 0.10, High: 0.12, Source: practice},
	{Name: "shoulder to shoulder", from: "leftUpperArm", to: "rightUpperArm", Low: 0.20, High: 0.26, Source: practice},
	{Name: "hips to head", from: "hips", to: "head", Low: 0.38, High: 0.46, Source: practice},
}

// headShare is how high the joint of the head stands, ÷ stature (H-Anim default
// figure: 1.6209 of 1.7504 m); hatShare is how much higher than that tells a box may
// be before hair, hats and ears are left out of it.
const (
	headShare = 0.926
	hatShare  = 1.15
	// crown: a head from chin to crown (.130 of the stature) over head joint to crown.
	headOverCrown = 0.130 / (1 - headShare)
)

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
			row.Name, row.from, row.to = side+" "+s.Name, side+s.from, side+s.to
			f.segment(row, vec{})
		}
	}
	for _, s := range spans {
		along := vec{}
		if s.from == "hips" {
			along = up
		}
		f.segment(s, along)
	}
	return nil
}

// segment measures one row, along a direction when there is one.
func (f *Facts) segment(s Segment, along vec) {
	a, b := f.rolePlace(s.from), f.rolePlace(s.to)
	if a == nil || b == nil {
		return
	}
	d := b.Sub(*a)
	s.Metres = d.Len()
	if along.Len() > 0 {
		s.Metres = math.Abs(d.Dot(along))
	}
	s.Share = s.Metres / f.Stature.Metres
	switch {
	case s.Share < s.Low:
		s.Off = s.Share/s.Low - 1
	case s.Share > s.High:
		s.Off = s.Share/s.High - 1
	}
	f.Proportions = append(f.Proportions, s)
}

// stature is the height of the surface; where that is far above what the joint of
// the head tells, hair or a hat stands on it, and the skeleton is believed.
func (f *Facts) stature(up vec) {
	lowest := math.Inf(1)
	for _, role := range []string{"leftFoot", "rightFoot", "leftToes", "rightToes"} {
		if p := f.rolePlace(role); p != nil {
			lowest = min(lowest, p.Dot(up))
		}
	}
	f.Stature = Stature{Metres: f.height, From: "surface"}
	head := f.rolePlace("head")
	if head == nil {
		return
	}
	floor := f.floor(up)
	if math.IsInf(floor, 0) {
		floor = lowest
	}
	if math.IsInf(floor, 0) {
		return
	}
	tall := (head.Dot(up) - floor) / headShare
	if tall > 0 && (!(f.height > 0) || f.height > hatShare*tall) {
		f.Stature = Stature{Metres: tall, From: "skeleton"}
	}
	if above := f.height + floor - head.Dot(up); f.height > 0 && above > 1e-3*f.height {
		f.Stature.Heads = number(f.height / (above * headOverCrown))
	}
}

// floor is the lowest point of the shown surfaces along up.
func (f *Facts) floor(up vec) float64 {
	lo := math.Inf(1)
	for _, s := range f.e.Shown() {
		p := f.e.RestPositions(s)
		for v := 0; v+2 < len(p); v += 3 {
			if d := float64(p[v])*up[0] + float64(p[v+1])*up[1] + float64(p[v+2])*up[2]; d < lo {
				lo = d
			}
		}
	}
	return lo
}
