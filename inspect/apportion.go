package inspect

import (
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// apportioned are the checks whose one finding names vertices all over a figure, some of
// them the work of a cause and some its own.
var apportioned = []string{"surface/lopsided", "binding/cross-body"}

// leastPart is how many vertices of a finding a cause must reach to have a part in it.
const leastPart = 3

// apportion parts, before anything is settled, such findings between what lies in the
// reach of a cause and what does not, vertex by vertex. Each part has a figure of its own;
// what is left of one that passes no limit goes with the other.
func (r *Result) apportion() {
	var causes []*check.Finding
	for i := range r.Stations {
		for j := range r.Stations[i].Findings {
			if f := &r.Stations[i].Findings[j]; f.Grade >= check.Flaw && strings.HasPrefix(f.ID, "skeleton/bind-") {
				causes = append(causes, f)
			}
		}
	}
	if len(causes) == 0 {
		return
	}
	areas := make([]*reach, len(causes))
	for i := range r.Stations {
		s := &r.Stations[i]
		if s.Name != "surface" && s.Name != "binding" { // causes stand in neither
			continue
		}
		var out []check.Finding
		for j := range s.Findings {
			f := s.Findings[j]
			if !slices.Contains(apportioned, f.ID) || len(f.Where.Spots) == 0 {
				out = append(out, f)
				continue
			}
			for k, cause := range causes {
				if cause.Figure != f.Figure && cause.Figure != "" && f.Figure != "" {
					continue
				}
				if areas[k] == nil {
					areas[k] = newReach(r, cause)
				}
				a := areas[k]
				if a.explains(&f) {
					continue
				}
				work, rest := r.split(&f, func(surface int, v rig.Vertex) bool { return a.has(surface, v) || a.opposite(surface, v) })
				if work == nil {
					continue
				}
				out = append(out, *work)
				f = *rest
			}
			out = append(out, f)
		}
		s.Findings = out
	}
}

// split parts a finding by its vertices: what is chosen and the rest. nil: too few are
// chosen, or the rest passes the limit no more, or it holds another measure than a share
// or a number of vertices.
func (r *Result) split(f *check.Finding, chosen func(surface int, v rig.Vertex) bool) (work, rest *check.Finding) {
	m := &f.Measures[0]
	if m.Unit != say.Share && m.Unit != say.Vertices {
		return nil, nil
	}
	var in, out []check.Spot
	n, of := 0, 0
	for i := range f.Where.Spots {
		s := &f.Where.Spots[i]
		weld := r.Exam.Weld(r.Exam.Rig.Surfaces[s.Surface].Mesh)
		a, b := check.Spot{Surface: s.Surface}, check.Spot{Surface: s.Surface}
		places := map[uint32]bool{}
		for _, v := range s.Vertices {
			yes := chosen(s.Surface, v)
			if yes {
				a.Vertices = append(a.Vertices, v)
			} else {
				b.Vertices = append(b.Vertices, v)
			}
			if g := weld.Of[v]; m.Unit == say.Vertices || !places[g] { // a share counts places
				places[g] = true
				of++
				if yes {
					n++
				}
			}
		}
		if a.Vertices != nil {
			in = append(in, a)
		}
		if b.Vertices != nil {
			out = append(out, b)
		}
	}
	if n < leastPart || of == n {
		return nil, nil
	}
	work, rest = r.partOf(f, in, n, of), r.partOf(f, out, of-n, of)
	if !math.IsNaN(m.Limit) && !(rest.Measures[0].Value > m.Limit) {
		return nil, nil
	}
	return work, rest
}

// partOf is a finding with some of its vertices, n of so many places. What it measured of
// them all is left out.
func (r *Result) partOf(f *check.Finding, spots []check.Spot, n, of int) *check.Finding {
	p := *f
	p.Where.Spots = spots
	first := f.Measures[0]
	first.Value *= float64(n) / float64(of)
	p.Measures = []check.Measure{first}
	var names []string
	for i := range spots {
		names = append(names, r.Exam.SurfaceName(spots[i].Surface))
	}
	p.Subject = exam.Listed(names) + ", " + say.Count(n, "vertex", "vertices")
	if f.Figure != "" {
		p.Subject = f.Figure + ": " + p.Subject
	}
	return &p
}
