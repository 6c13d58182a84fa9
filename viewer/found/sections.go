package found

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/skeleton"
	"rigloupe/inspect/space"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// sectionAt is the section around a joint; nil: none was measured there.
func sectionAt(r *inspect.Result, n rig.Node) *skeleton.Section {
	f := inspect.FactsOf[skeleton.Facts](r)
	if f == nil {
		return nil
	}
	for i := range f.Sections {
		if f.Sections[i].Joint == n {
			return &f.Sections[i]
		}
	}
	return nil
}

// SectionOverlay inks the section around a joint, of no finding and no grade; nil:
// none was measured there.
func SectionOverlay(r *inspect.Result, n rig.Node) *scene.Overlay {
	o := &scene.Overlay{}
	if inkSection(r, o, n) == 0 {
		return nil
	}
	return o
}

// inkSection adds the outline of the surface around a joint, a cross in its middle, a
// ring at the joint, and from the one to the other what was measured. All of it is
// carried along by the joint. It answers how many places were inked.
func inkSection(r *inspect.Result, o *scene.Overlay, n rig.Node) int {
	s := sectionAt(r, n)
	if s == nil {
		return 0
	}
	back, ok := r.Exam.RestWorld()[n].Inverse()
	at := func(p space.Vec) scene.Anchor {
		if !ok { // pressed flat: it carries nothing
			return scene.InWorld(p)
		}
		return scene.BesideNode(n, back.Point(p))
	}
	outline := scene.Line{Closed: true}
	for _, p := range s.Outline {
		outline.Path = append(outline.Path, at(p))
	}
	off := scene.Line{Within: true, Path: []scene.Anchor{at(s.Centre), at(s.Judged)}}
	o.Lines = append(o.Lines, outline, off)
	if s.Judged != s.Place {
		o.Lines = append(o.Lines, scene.Line{Within: true, Frame: true, Path: []scene.Anchor{at(s.Judged), at(s.Place)}})
	}
	o.Spots = append(o.Spots, scene.Spots{Mark: marks.Cross, Place: []scene.Anchor{at(s.Centre)}},
		scene.Spots{Mark: marks.Circle, Place: []scene.Anchor{scene.OnNode(n)}})
	return len(s.Outline) + 2
}

func needsSections(r *inspect.Result) string {
	switch f := inspect.FactsOf[skeleton.Facts](r); {
	case f == nil:
		return "Skeleton was not looked at"
	case len(f.Joints) == 0:
		return "no skin in this file"
	case len(f.Sections) == 0:
		return "no closed section goes round a joint"
	}
	return ""
}

// sectionDepth shows around each joint how deep it lies beneath the surface: its
// distance from a vertex ÷ the distance of the section's middle from it, both across
// the bone. Around a joint in the middle all is 1; beside it, the surface that lies too
// near is less, the surface across is more. The ends of the scale are those of a round
// section whose joint is half a radius off.
func sectionDepth(r *inspect.Result, _ Params) *scene.Field {
	f := inspect.FactsOf[skeleton.Facts](r)
	// The joint's distance from the skin against that of the section's middle, so a section
	// that is not round shows 1 all the same; the ends are what a round section half a
	// radius off gives.
	out := &scene.Field{Kind: scene.TwoSided, Low: .5, Middle: 1, High: 1.5, Unit: "×", Values: make([][]float32, len(r.Exam.Rig.Surfaces))}
	worst, inside := (*skeleton.Section)(nil), 0
	bands := map[int]*bands{}
	for i := range f.Sections {
		s := &f.Sections[i]
		b := bands[s.Surface]
		if b == nil {
			b = newBands(r.Exam.RestPositions(s.Surface))
			bands[s.Surface] = b
			out.Values[s.Surface] = b.value
		}
		b.add(s)
		if s.Inside {
			inside++
			if worst == nil || s.Offset > worst.Offset {
				worst = s
			}
		}
	}
	out.Caption = fmt.Sprintf("Section depth. %s measured", say.Count(len(f.Sections), "joint", "joints"))
	if worst != nil {
		out.Caption += fmt.Sprintf("; the farthest from the middle of its section is %s, by %s of its radius", r.Exam.NodeName(worst.Joint), strconv.FormatFloat(worst.Offset, 'f', 2, 64))
	}
	if n := len(f.Sections) - inside; n > 0 {
		out.Caption += fmt.Sprintf("; %s outside", say.Count(n, "stands", "stand"))
	}
	out.Caption += "."
	return out
}

// bands are the vertices of one surface around its sections. A vertex belongs to the
// section whose plane is nearest to it, in radii of that section.
type bands struct {
	at    []float32
	order []uint32 // vertices by x
	value []float32
	near  []float32 // distance from the plane ÷ radius
}

func newBands(at []float32) *bands {
	n := len(at) / 3
	b := &bands{at: at, order: make([]uint32, n), value: filled(n, nan), near: filled(n, 1)}
	for v := range b.order {
		b.order[v] = uint32(v)
	}
	slices.SortFunc(b.order, func(i, j uint32) int {
		switch x, y := at[3*i], at[3*j]; {
		case x < y || x != x && y == y: // what has no number goes first
			return -1
		case x > y || y != y && x == x:
			return 1
		}
		return int(i) - int(j)
	})
	return b
}

// add gives the vertices around a section their value: those no farther from its plane
// than its radius whose distance from its middle, across, is about that of the outline:
// from three quarters of the least to five quarters of the largest. What is nearer is
// an end of the limb, such as a sole below an ankle.
func (b *bands) add(s *skeleton.Section) {
	reach, least := 0., math.Inf(1)
	for _, p := range s.Outline {
		d := p.Sub(s.Centre).Len()
		reach, least = max(reach, d), min(least, d)
	}
	reach, least = 1.25*reach, .75*least
	wide := math.Hypot(reach, s.Radius)
	from, _ := slices.BinarySearchFunc(b.order, s.Centre[0]-wide, func(v uint32, x float64) int {
		if float64(b.at[3*v]) >= x {
			return 1
		}
		return -1
	})
	n, c := s.Normal, s.Centre
	joint := space.Level(s.Judged.Sub(c), n)
	for _, v := range b.order[from:] {
		x := float64(b.at[3*v])
		if x > c[0]+wide {
			break
		}
		d := space.At(b.at, v).Sub(c)
		h := d.Dot(n)
		near := float32(math.Abs(h) / s.Radius)
		if !(near < b.near[v]) {
			continue
		}
		d = d.Sub(n.Mul(h))
		even := d.Len()
		if !(even > 0) || even < least || even > reach {
			continue
		}
		b.near[v], b.value[v] = near, float32(d.Sub(joint).Len()/even)
	}
}
