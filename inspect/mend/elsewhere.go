package mend

import (
	"math"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// places compares those of two figures; named tells by mesh where its vertices come from,
// as Work.Renumbered has it.
type places struct {
	was, is *rig.Rig
	named   map[rig.Mesh][]int32
}

// near is how far apart two places may lie and be one, in diagonals of the figure.
const near = 0.02

// Of a finding that stays in its place and its grade: by how much its first measure must grow
// to be worse. A mend that touches what lies beside it shifts most measures by some per cent:
// over the table of mends on five real figures and on every fault of the sample two shares
// went up by 12 and 24 % for a few vertices that passed their limit, all others by 33 % or
// more. Metres below a millionth of the diagonal are rounding.
const (
	grown    = 1.25
	rounding = 1e-6
)

// setOff tells the checks with a flaw, or worse, that came about though the check was found
// before: moved, those with one in a place where they had no finding, be the places as many
// as before or fewer; worse, those that have one in a place and grade where they had one, of
// a measure that grew. Two places are one where they share a vertex or a joint of one clip,
// or lie within a fiftieth of the figure; a finding that names no place is in the same one.
func setOff(before, after *inspect.Result, named map[rig.Mesh][]int32) (moved, worse map[string]bool) {
	t := &places{before.Exam.Rig, after.Exam.Rig, named}
	was := map[string][]spot{}
	for _, f := range before.Findings() {
		was[f.ID] = append(was[f.ID], spots(&f)...)
	}
	factor, size := 1.0, after.Exam.Size()
	if s := before.Exam.Size(); s > 0 && size > 0 {
		factor = size / s
	}
	moved, worse = map[string]bool{}, map[string]bool{}
	for _, f := range after.Findings() {
		if f.Grade < check.Flaw || len(was[f.ID]) == 0 {
			continue
		}
		for _, w := range spots(&f) {
			found, alike, least := false, false, false
			for _, o := range was[f.ID] {
				if !t.onePlace(&o.where, &w.where, near*size, factor) {
					continue
				}
				found = true
				if o.grade == f.Grade && !o.caused && o.measure.Name == w.measure.Name {
					alike = true
					least = least || !grew(&o.measure, &w.measure, factor, size)
				}
			}
			moved[f.ID] = moved[f.ID] || !found
			worse[f.ID] = worse[f.ID] || alike && !least // it outgrew each that was there
		}
	}
	return moved, worse
}

// grew tells that a measure is worse by more than what a mend beside it makes of it. A figure
// that is larger or smaller by a factor, or lost its gear, is measured against another
// length: that is no growth.
func grew(was, is *check.Measure, factor, size float64) bool {
	a, b := math.Abs(was.Value), math.Abs(is.Value)
	if was.Below || is.Below {
		a, b = b, a
	}
	if is.Unit == say.Metre && b-a <= rounding*size {
		return false
	}
	if !is.Unit.Counts() {
		a *= max(factor, 1/factor)
	}
	return b > grown*a && b-a > rounding
}

// spot is one place of a finding with the measure it has there.
type spot struct {
	where   check.Where
	measure check.Measure
	grade   check.Grade
	caused  bool
}

// spots lists the places of a finding, its rows where it has some.
func spots(f *check.Finding) (out []spot) {
	one := func(w check.Where, m []check.Measure) {
		s := spot{where: w, grade: f.Grade, caused: f.Cause != nil}
		if len(m) > 0 {
			s.measure = m[0]
		}
		out = append(out, s)
	}
	for _, r := range f.Rows {
		one(r.Where, r.Measures)
	}
	if out == nil {
		one(f.Where, f.Measures)
	}
	return out
}

// onePlace compares a place before with one after; within is metres after.
func (t *places) onePlace(a, b *check.Where, within, factor float64) bool {
	told := false
	if len(a.Spots) > 0 && len(b.Spots) > 0 {
		told = true
		if t.shareVertex(a, b) {
			return true
		}
	}
	if a.Point != nil && b.Point != nil {
		told = true
		if d := a.Point.Mul(factor).Sub(space.Vec(*b.Point)).Len(); d <= within+factor*a.Extent+b.Extent {
			return true
		}
	}
	if nodes := func(w *check.Where) []rig.Node { return slices.Concat(w.Joints, w.Nodes) }; len(nodes(a)) > 0 && len(nodes(b)) > 0 {
		told = true
		if a.Clip == b.Clip && slices.ContainsFunc(nodes(a), func(n rig.Node) bool { return slices.Contains(nodes(b), n) }) {
			return true
		}
	}
	return !told
}

// shareVertex tells that some vertex after was one of those before.
func (t *places) shareVertex(a, b *check.Where) bool {
	type vertex struct {
		node rig.Node
		v    rig.Vertex
	}
	held := map[vertex]bool{}
	for _, s := range a.Spots {
		for _, v := range s.Vertices {
			held[vertex{t.was.Surfaces[s.Surface].Node, v}] = true
		}
	}
	for _, s := range b.Spots {
		surface := t.is.Surfaces[s.Surface]
		from := t.named[surface.Mesh]
		for _, v := range s.Vertices {
			if from != nil && int(v) < len(from) {
				v = rig.Vertex(from[v])
			}
			if held[vertex{surface.Node, v}] {
				return true
			}
		}
	}
	return false
}
