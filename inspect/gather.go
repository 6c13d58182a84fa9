package inspect

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// gathered are the stations whose checks file a finding a place: a joint and its turn, a
// patch of a joint, a skin. A person reads one finding a check, with its rows.
var gathered = []string{"binding/", "bends/"}

// alike tells findings that are one to a person: the same check, grade and measure, of the
// same figure, from the same cause.
type alike struct {
	id, title, figure, measure string
	unit                       say.Unit
	grade                      check.Grade
	cause                      *check.Finding
}

func alikeOf(f *check.Finding, cause *check.Finding) (alike, bool) {
	if len(f.Measures) == 0 || !slices.ContainsFunc(gathered, func(p string) bool { return strings.HasPrefix(f.ID, p) }) {
		return alike{}, false
	}
	return alike{f.ID, f.Title, f.Figure, f.Measures[0].Name, f.Measures[0].Unit, f.Grade, cause}, true
}

// severity is how far a finding's first measure lies beyond its limit, on either side;
// where the limit is 0 or there is none the measure itself.
func severity(f *check.Finding) float64 {
	m := &f.Measures[0]
	switch v, l := math.Abs(m.Value), math.Abs(m.Limit); {
	case !(l > 0): // none, or 0
		return v
	case m.Value >= m.Limit || !(v > 0):
		return v / l
	default:
		return l / v
	}
}

// gather makes one finding of alike ones: the worst of them, with all as its rows, the
// worst first, and their places after its own. list holds two or more, in the order of
// the station.
func gather(list []*check.Finding) check.Finding {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b *check.Finding) int { return cmp.Compare(severity(b), severity(a)) })
	one := *list[0]
	w := &one.Where
	joints, nodes, clips := newUnion(w.Joints), newUnion(w.Nodes), newUnion(w.Clips)
	places := newPlaces(w.Spots)
	for _, f := range list {
		one.Rows = append(one.Rows, check.Row{Subject: f.Subject, Measures: f.Measures, Where: f.Where})
		joints.add(f.Where.Joints)
		nodes.add(f.Where.Nodes)
		clips.add(f.Where.Clips)
		places.add(f.Where.Spots)
		if f.Where.Skin != w.Skin {
			w.Skin = rig.None
		}
	}
	w.Joints, w.Nodes, w.Clips, w.Spots = joints.list, nodes.list, clips.list, places.spots
	one.Measures = append(slices.Clone(one.Measures), check.Also("places in all", float64(len(list)), say.Places))
	more := "1 more place"
	if n := len(list) - 1; n > 1 {
		more = say.Count(n, "more place", "more places")
	}
	one.Subject = strings.TrimPrefix(one.Subject+", and "+more, ", ")
	return one
}

// union keeps the order in which things first came.
type union[T comparable] struct {
	list []T
	seen map[T]bool
}

func newUnion[T comparable](first []T) *union[T] {
	u := &union[T]{seen: map[T]bool{}}
	u.add(first)
	return u
}

func (u *union[T]) add(more []T) {
	for _, x := range more {
		if !u.seen[x] {
			u.seen[x] = true
			u.list = append(u.list, x)
		}
	}
}

// placesOf joins the vertices and edges of several lists, a spot a surface.
type placesOf struct {
	spots    []check.Spot
	at       map[int]int // surface → spot
	vertices []*union[rig.Vertex]
	edges    []*union[[2]rig.Vertex]
}

func newPlaces(first []check.Spot) *placesOf {
	p := &placesOf{at: map[int]int{}}
	p.add(first)
	return p
}

func (p *placesOf) add(more []check.Spot) {
	for i := range more {
		s := &more[i]
		k, known := p.at[s.Surface]
		if !known {
			k = len(p.spots)
			p.at[s.Surface] = k
			p.spots = append(p.spots, check.Spot{Surface: s.Surface})
			p.vertices, p.edges = append(p.vertices, newUnion[rig.Vertex](nil)), append(p.edges, newUnion[[2]rig.Vertex](nil))
		}
		p.vertices[k].add(s.Vertices)
		p.edges[k].add(s.Edges)
		p.spots[k].Vertices, p.spots[k].Edges = p.vertices[k].list, p.edges[k].list
	}
}

// gatherAll gathers the findings of every station and answers, for each that went into
// another, that one; causes of theirs first, so that an effect names what is shown.
func (r *Result) gatherAll(cause map[*check.Finding]*check.Finding) {
	into := map[*check.Finding]*check.Finding{}
	gone := map[*check.Finding]bool{}
	for _, effects := range []bool{false, true} {
		for i := range r.Stations {
			s := &r.Stations[i]
			groups := map[alike][]*check.Finding{}
			for j := range s.Findings {
				f := &s.Findings[j]
				if root := cause[f]; effects == (root != nil) {
					if to := into[root]; to != nil {
						root = to
					}
					if root != nil {
						follow(f, root)
					}
					if key, ok := alikeOf(f, root); ok {
						groups[key] = append(groups[key], f)
					}
				}
			}
			for _, list := range groups {
				if len(list) < 2 {
					continue
				}
				one := gather(list)
				for _, f := range list {
					into[f] = list[0]
					gone[f] = f != list[0]
				}
				*list[0] = one
			}
		}
	}
	for i := range r.Stations {
		s := &r.Stations[i]
		var kept []check.Finding
		for j := range s.Findings {
			if !gone[&s.Findings[j]] {
				kept = append(kept, s.Findings[j])
			}
		}
		s.Findings = kept
	}
}
