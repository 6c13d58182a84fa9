package bends

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Default figures at which a measure is noted and at which it is a flaw. How they were
// found stands beside and in the sources of the checks. With those first taken (a loss
// of 35 %, a 99th percentile of 4 × and 0.5 % turned over, all at the end of the range)
// 16, 28 and 81 joints of ten skinned real figures would have been flaws, ten of them on
// the knight, who is sound; with these four are, each looked at in its own pose.
const (
	lossNote, lossFlaw = 0.35, 0.4
	// Where the range is a guess: a helper, a palm or a strap without a role turns ±45° and
	// ±90°, farther than it may ever go. Where the ranges of other joints are known, what
	// happens there is a note at most: the hands' metacarpals would else be blamed for a
	// turn that no hand can do. So is what happens to a joint without a bone, which stands
	// beside the others as in a flat hand whose names are gone: nothing tells its axes.
	lossGuessed  = 0.5
	areaFlaw     = 0.6 // with the loss
	pinchNote    = 0.5
	stretchLimit = 4.0   // at the end: a note; half way: a flaw
	turnedShare  = 0.005 // the same
	turnedLeast  = 8.0   // triangles
	crackFlaw    = 1e-3  // of the diagonal
)

// severity is how far the worst measure of a move goes, in shares of the figure at
// which it is a flaw by default. What is a note at most, however far it goes, stops at 1;
// uncapped does not, and orders those.
func (f *Facts) severity(m *Move) (s, uncapped float64) {
	lost := (1 - or(m.Volume, 1)) / lossFlaw
	if !anatomical(m.Axis) {
		lost = (1 - or(m.Volume, 1)) / lossGuessed
	}
	s, uncapped = max(lost, 0), max(lost, 0)
	if !(or(m.Area, 0) < areaFlaw) { // it keeps its width
		s = min(s, 1)
	}
	more := (or(m.P99Half, 1) - 1) / (stretchLimit - 1) // a stretch of 1 is none
	if m.Triangles > 0 && m.TurnedHalf > 0 {
		more = max(more, min(float64(m.TurnedHalf)/turnedLeast, float64(m.TurnedHalf)/float64(m.Triangles)/turnedShare))
	}
	s, uncapped = max(s, more), max(uncapped, more)
	if m.Guessed {
		s = min(s, 1)
	}
	more = 0
	if f.Diagonal > 0 {
		more = m.Crack / (crackFlaw * f.Diagonal)
	}
	if m.Bleed > 0 {
		more = max(more, 1+float64(m.Bleed)/1000)
	}
	return max(s, more), max(uncapped, more)
}

// gauge is one measure of a move, held against one limit.
type gauge struct {
	limit check.Limit
	name  string
	value func(*Move) float64 // NaN: it has none
	tie   func(*Move) float64 // which of a joint's moves shows it best; nil: the worse one
	place func(*Facts, *Move) *group
	drawn func(*Move) (degrees, least float64) // in its place: what is drawn out at that angle by so much
	more  func(*Move) []check.Measure
	half  bool // it shows half way
	alike What // each: what joints are told together by
	each  bool // a finding for each joint, partners together; else one for all joints
}

// hit is the worst move of a joint, and the joints that are told with it.
type hit struct {
	move   *Move
	value  float64
	joints []rig.Node
	at     *group
}

// hits answers the worst move of every joint whose measure is above the limit, the
// worst first. Joints in skip are left out.
func (f *Facts) hits(g *gauge, skip map[rig.Node]bool) (list []hit) {
	at := map[rig.Node]int{}
	for i := range f.Moves {
		m := &f.Moves[i]
		v := g.value(m)
		if !(v > g.limit.Value) || skip[m.Joint] {
			continue
		}
		k, known := at[m.Joint]
		if !known {
			at[m.Joint] = len(list)
			list = append(list, hit{move: m, value: v, joints: []rig.Node{m.Joint}})
		} else if v > list[k].value || v == list[k].value && g.tie != nil && g.tie(m) > g.tie(list[k].move)*(1+1e-9) {
			list[k].move, list[k].value = m, v
		}
	}
	slices.SortStableFunc(list, func(a, b hit) int {
		// Of equal ones the joint farther down: what it holds, those above it move too.
		return cmp.Or(cmp.Compare(b.value, a.value), cmp.Compare(f.of(b.move.Joint).Depth, f.of(a.move.Joint).Depth), cmp.Compare(a.move.Joint, b.move.Joint))
	})
	return list
}

// judge files what passes the limits of the gauges; a joint that one has told of is
// left out by those behind it.
func (f *Facts) judge(d *check.Docket, gauges ...*gauge) {
	told := map[rig.Node]bool{}
	for _, g := range gauges {
		hits := f.hits(g, told)
		if g.drawn != nil && len(hits) > 0 {
			f.drawOut(g, hits)
		} else if g.place != nil {
			for i := range hits {
				hits[i].at = g.place(f, hits[i].move)
			}
		}
		list := hits
		if g.each {
			list = f.together(hits, g.alike)
		} else if len(hits) > 0 {
			list = hits[:1:1]
			for i := range hits[1:] { // all together
				list[0].joints = append(list[0].joints, hits[1+i].move.Joint)
			}
		}
		for i := range list {
			for _, j := range list[i].joints {
				told[j] = true
			}
			f.file(d, g, &list[i])
		}
	}
}

// together joins to a hit those that are told with it: the partner on the other side, and
// joints above or below it that do the same to the same places.
func (f *Facts) together(hits []hit, what What) (list []hit) {
	of := map[rig.Node]int{}    // joint → place in list
	first := map[rig.Node]int{} // the joint that a place of list is told by → place
	for _, h := range hits {
		j, k := h.move.Joint, len(list)
		if p := f.of(j).Partner; p >= 0 && f.of(p).Partner == j {
			if o, ok := of[p]; ok {
				k = o
			}
		}
		for _, o := range f.alikeOf(what, j) {
			if at, ok := first[o]; ok {
				k = min(k, at)
			}
		}
		of[j] = k
		if k < len(list) {
			list[k].joints = append(list[k].joints, j)
		} else {
			first[j] = k
			list = append(list, h)
		}
	}
	return list
}

func (f *Facts) file(d *check.Docket, g *gauge, h *hit) {
	m := h.move
	degrees := m.Degrees
	if g.half {
		degrees /= 2
	}
	w := check.Nowhere()
	w.Joints = h.joints
	w.Move = &check.Move{Joint: m.Joint, Axis: m.Axis, Degrees: degrees}
	if at := h.at; at != nil && at.count > 0 {
		w.Spots, w.Extent = at.spots, at.extent
		point := at.point
		w.Point = &point
	}
	found := d.Found(g.limit, g.name, h.value, w)
	var names []string
	for _, j := range h.joints {
		names = append(names, f.called(j))
	}
	found.Subject = fmt.Sprintf("%s, %s", exam.Listed(names), turnWords(m.Axis, degrees))
	found.Measures = append(found.Measures, check.Also("angle", degrees, say.Degree))
	if len(h.joints) > 1 {
		found.Measures = append(found.Measures, check.Also("joints", float64(len(h.joints)), say.Joints))
	}
	if g.more != nil {
		found.Measures = append(found.Measures, g.more(m)...)
	}
}

// figures leaves out those that have no value.
func figures(list ...check.Measure) (out []check.Measure) {
	for _, m := range list {
		if !math.IsNaN(m.Value) && !math.IsInf(m.Value, 0) {
			out = append(out, m)
		}
	}
	return out
}

func ofZone(_ *Facts, m *Move) *group { return m.zoneAt }

// sure hides the value of a move whose range is a guess on a rig whose other ranges are
// known: there a joint without a role (a helper, a palm, a chain) may never go so far.
func sure(value func(*Move) float64) func(*Move) float64 {
	return func(m *Move) float64 {
		if m.Guessed {
			return math.NaN()
		}
		return value(m)
	}
}

// turnWords is a turn for people: about an anatomical axis by its name, else about one of
// the joint's own.
func turnWords(axis string, degrees float64) string {
	if anatomical(axis) {
		return axis + " " + say.Quantity(degrees, say.Degree)
	}
	return fmt.Sprintf("turned %s about its own %s axis", say.Quantity(degrees, say.Degree), axis)
}
