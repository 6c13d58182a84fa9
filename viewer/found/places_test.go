package found

import (
	"context"
	"math"
	"strings"
	"testing"

	"rigloupe/inspect"
	"rigloupe/inspect/check/checktest"
	"rigloupe/inspect/lamplighter"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/rounds"
	"rigloupe/inspect/space"
	"rigloupe/inspect/surface"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

// TestEveryFindingHasAPlace: every finding about the surface or the skeleton inks
// something and has a place to go to, the first of them with what the fault planted; and
// the first fault of every check is brought to the front and seen to be inked.
func TestEveryFindingHasAPlace(t *testing.T) {
	base := checktest.Built(lamplighter.Options{Vertices: 4000})
	brought := map[string]bool{}
	for i, fault := range lamplighter.Faults() {
		if !rounds.Run(i, 13) {
			continue
		}
		if !strings.HasPrefix(fault.ID, "surface/") && !strings.HasPrefix(fault.ID, "skeleton/") {
			continue
		}
		t.Run(fault.ID+" "+fault.Name, func(t *testing.T) {
			r, _ := fault.On(base)
			res, err := inspect.Examine(context.Background(), r, inspect.Options{Only: []string{"surface", "skeleton"}})
			if err != nil {
				t.Fatal(err)
			}
			seen := false
			for n, f := range res.Findings() {
				if f.ID != fault.ID {
					continue
				}
				seen = true
				o, places := Overlay(res, n+1), Places(res, &f)
				if o == nil || len(places) == 0 {
					t.Fatalf("%q: overlay %v, %d places", f.Title, o != nil, len(places))
				}
				for i := range o.Lines {
					if len(o.Lines[i].Path) < 2 {
						t.Errorf("%q: a line of %d places", f.Title, len(o.Lines[i].Path))
					}
				}
				for _, j := range f.Where.Joints {
					if len(f.Where.Spots) == 0 && !holds(o, j) {
						t.Errorf("%q: joint %d is not marked", f.Title, j)
					}
				}
				for _, p := range places {
					if p.Surface < 0 && p.Node < 0 && !(p.Extent > 0) {
						t.Errorf("%q: a place of no size: %+v", f.Title, p)
					}
				}
			}
			if !seen {
				t.Error("not found")
			}
			if !brought[fault.ID] {
				brought[fault.ID] = true
				broughtAndInked(t, res, fault.ID)
			}
		})
	}
	if len(brought) < 27 && rounds.Long() || len(brought) < 2 {
		t.Errorf("%d checks, want all 27 of both stations, in the short form a few", len(brought))
	}
}

// holds tells that an overlay rings a joint.
func holds(o *scene.Overlay, n rig.Node) bool {
	for i := range o.Spots {
		for _, a := range o.Spots[i].Place {
			if o.Spots[i].Mark == marks.Circle && a == scene.OnNode(n) {
				return true
			}
		}
	}
	return false
}

// TestSectionOverlay: the outline that is inked is the section, carried by the joint;
// the line inside it is what was measured.
func TestSectionOverlay(t *testing.T) {
	res := examined(t, "skeleton/off-centre")
	elbow := lamplighter.Node("lowerArm_L")
	s := sectionAt(res, elbow)
	o := SectionOverlay(res, elbow)
	if s == nil || o == nil {
		t.Fatal("no section around the elbow")
	}
	world := res.Exam.RestWorld()[elbow]
	at := func(a scene.Anchor) space.Vec {
		if a.Node != elbow || a.Surface >= 0 {
			t.Fatalf("anchor %+v does not follow the joint", a)
		}
		return world.Point(space.Double(a.Point))
	}
	if len(o.Lines) != 2 || len(o.Lines[0].Path) != len(s.Outline) || !o.Lines[0].Closed {
		t.Fatalf("%d lines", len(o.Lines))
	}
	for i, a := range o.Lines[0].Path {
		if d := at(a).Sub(s.Outline[i]).Len(); d > 1e-6 {
			t.Errorf("place %d of the outline is %g m off", i, d)
		}
	}
	if off := at(o.Lines[1].Path[0]).Sub(at(o.Lines[1].Path[1])).Len(); math.Abs(off-s.Offset*s.Radius) > 1e-6 {
		t.Errorf("the line inside is %g m long, measured are %g", off, s.Offset*s.Radius)
	}
	if SectionOverlay(res, lamplighter.Node("Lamplighter")) != nil {
		t.Error("a node that is no joint has a section")
	}
}

// TestSectionDepth: on a joint moved back, the surface behind it is nearer than the
// middle's and the surface before it farther; both within what a round section allows,
// 1 − off … 1 + off. The clean sample shows next to nothing.
func TestSectionDepth(t *testing.T) {
	res := examined(t, "skeleton/off-centre")
	s := sectionAt(res, lamplighter.Node("lowerArm_L"))
	f, err := Field(res, "section-depth", Params{})
	if err != nil {
		t.Fatal(err)
	}
	p := res.Exam.RestPositions(s.Surface)
	back, front, with := 2., 0., 0
	for v, value := range f.Values[s.Surface] {
		if value != value {
			continue
		}
		d := space.At(p, v).Sub(s.Centre)
		if math.Abs(d.Dot(s.Normal)) > .9*s.Radius || d.Len() > 1.5*s.Radius {
			continue
		}
		with++
		if d[2] < 0 {
			back = min(back, float64(value))
		} else {
			front = max(front, float64(value))
		}
	}
	if with < 8 || back > 1-.8*s.Offset || back < 1-1.2*s.Offset || front < 1+.6*s.Offset || front > 1+1.3*s.Offset {
		t.Errorf("%d vertices, %.3f behind, %.3f before; the joint is %.3f radii off", with, back, front, s.Offset)
	}
	clean, err := Field(examined(t, ""), "section-depth", Params{})
	if err != nil {
		t.Fatal(err)
	}
	for v, value := range clean.Values[0] {
		if value < .6 || value > 1.4 {
			t.Errorf("vertex %d of the clean sample: %v", v, value)
		}
	}
}

// TestUndrawnVertices: a vertex that no triangle uses is marked where it rests, and the
// camera and the key go there, though it is not drawn.
func TestUndrawnVertices(t *testing.T) {
	res := examined(t, "surface/unused-vertices")
	for n, f := range res.Findings() {
		if f.ID != "surface/unused-vertices" {
			continue
		}
		v := f.Where.Spots[0].Vertices[0]
		p := res.Exam.RestPositions(0)
		want := space.At(p, v)
		a := Overlay(res, n+1).Spots[0].Place[0]
		world := res.Exam.RestWorld()[a.Node]
		if got := world.Point(space.Double(a.Point)); a.Surface >= 0 || got.Sub(want).Len() > 1e-6 {
			t.Errorf("marked at %v by %+v, want %v", got, a, want)
		}
		prepared, err := scene.Prepare(t.Context(), res.Exam.Rig, nil)
		if err != nil {
			t.Fatal(err)
		}
		s := scene.New(res.Exam.Rig, prepared, Fields(res))
		st := scene.State{Width: 320, Height: 240, Joint: rig.None, Clip: rig.None}
		st.Camera = s.View(&st, camera.ThreeQuarter)
		if c := s.ViewOf(&st, Places(res, &f)[0]); c.Target.Sub(want).Len() > 1e-6 {
			t.Errorf("the camera looks at %v, want %v", c.Target, want)
		}
		for _, k := range Pointers(res) {
			if k.Number == n+1 && k.Point.Sub(want).Len() > 1e-6 {
				t.Errorf("the key points at %v, want %v", k.Point, want)
			}
		}
		return
	}
	t.Error("not found")
}

// TestTrunkCountsSideways: of a chest that stands 50 mm to the back and 30 mm aside only
// what is aside is inked as the fault, and shown by the lens; the rest is a thin line.
func TestTrunkCountsSideways(t *testing.T) {
	chest := lamplighter.Node("chest")
	r := checktest.Built(lamplighter.Options{Vertices: 4000})
	was := r.RestWorld()[chest]
	w := was
	w[3], w[11] = w[3]+.03, w[11]-.05
	lamplighter.Rebind(r, map[rig.Node]rig.Affine{chest: w})
	res, err := inspect.Examine(context.Background(), r, inspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, o := sectionAt(res, chest), SectionOverlay(res, chest)
	if s == nil || o == nil || len(o.Lines) != 3 || !o.Lines[2].Frame || o.Lines[1].Frame {
		t.Fatalf("section %v, overlay %+v", s != nil, o)
	}
	if off := s.Judged[0] - s.Centre[0]; math.Abs(off-.03) > .002 || math.Abs(s.Offset*s.Radius-math.Abs(off)) > 1e-9 {
		t.Errorf("%g m aside, offset %g m; want 0.03", off, s.Offset*s.Radius)
	}
	f, err := Field(res, "section-depth", Params{})
	if err != nil {
		t.Fatal(err)
	}
	p := res.Exam.RestPositions(0)
	left, right, back := 0., 2., 1.
	for v, value := range f.Values[0] {
		d := space.At(p, v).Sub(s.Centre)
		if value != value || math.Abs(d.Dot(s.Normal)) > .2*s.Radius {
			continue
		}
		switch {
		case math.Abs(d[0]) < .15*math.Abs(d[2]): // straight before and behind
			if math.Abs(float64(value)-1) > math.Abs(back-1) {
				back = float64(value)
			}
		case math.Abs(d[2]) < .5*math.Abs(d[0]) && d[0] < 0:
			left = max(left, float64(value))
		case math.Abs(d[2]) < .5*math.Abs(d[0]):
			right = min(right, float64(value))
		}
	}
	if left < 1.1 || right > .9 || math.Abs(back-1) > .08 {
		t.Errorf("away from the joint %.3f, towards it %.3f, before and behind %.3f; want more, less and 1", left, right, back)
	}
}

// TestRiskFollowsTheCurve: at every step of the weld curve the lens marks as lost the
// ends of the edges that the curve counts: none where it counts none, never fewer than
// before.
func TestRiskFollowsTheCurve(t *testing.T) {
	res := examined(t, "surface/near-coincident")
	before, some := 0, false
	for _, step := range inspect.FactsOf[surface.Facts](res).Steps[1:] {
		f, err := Field(res, "detail-at-risk", Params{Weld: step.Metres})
		if err != nil {
			t.Fatal(err)
		}
		lost := 0
		for _, values := range f.Values {
			for _, v := range values {
				if v == 2 {
					lost++
				}
			}
		}
		if (lost > 0) != (step.Edges > 0) || lost > 2*step.Edges || lost < before {
			t.Errorf("at %g m %d vertices lost, %d before; the curve counts %d edges", step.Metres, lost, before, step.Edges)
		}
		before, some = lost, some || lost > 0
	}
	if !some {
		t.Error("no step loses anything")
	}
}

// TestShellIsSown: a whole figure turned inside out is marked by a few dots in all its
// parts: none of its vertices is farther from a dot than a cell's diagonal and a half.
func TestShellIsSown(t *testing.T) {
	res := examined(t, "surface/inside-out")
	for n, f := range res.Findings() {
		if f.ID != "surface/inside-out" {
			continue
		}
		spots := Overlay(res, n+1).Spots
		at := res.Exam.RestPositions(f.Where.Spots[0].Surface)
		vec := func(v rig.Vertex) space.Vec {
			return space.At(at, v)
		}
		all, dots := f.Where.Spots[0].Vertices, spots[0].Place
		if len(all) < 3000 || len(dots) < 30 || len(dots) > 250 {
			t.Fatalf("%d dots for %d vertices", len(dots), len(all))
		}
		reach := 1.5 * math.Sqrt(3) * res.Exam.Height() / 9
		for _, v := range all {
			near := math.Inf(1)
			for _, d := range dots {
				near = min(near, vec(v).Sub(vec(rig.Vertex(d.Vertex))).Len())
			}
			if near > reach {
				t.Fatalf("vertex %d is %.3f m from the nearest dot", v, near)
			}
		}
		return
	}
	t.Error("not found")
}
