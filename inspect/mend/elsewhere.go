package mend

import (
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
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

// elsewhere names the checks with a flaw, or worse, in a place where they had no finding
// before: as many places may be found as before, or fewer, and one of them is new all the
// same. Two places are one where they share a vertex or a joint of one clip, or lie within a
// fiftieth of the figure; a finding that names no place is in the same one.
func elsewhere(before, after *inspect.Result, named map[rig.Mesh][]int32) map[string]bool {
	t := &places{before.Exam.Rig, after.Exam.Rig, named}
	was := map[string][]check.Where{}
	for _, f := range before.Findings() {
		was[f.ID] = append(was[f.ID], wheres(&f)...)
	}
	factor, size := 1.0, after.Exam.Size()
	if s := before.Exam.Size(); s > 0 && size > 0 {
		factor = size / s
	}
	out := map[string]bool{}
	for _, f := range after.Findings() {
		if f.Grade < check.Flaw || len(was[f.ID]) == 0 {
			continue
		}
		for _, w := range wheres(&f) {
			if !slices.ContainsFunc(was[f.ID], func(o check.Where) bool { return t.onePlace(&o, &w, near*size, factor) }) {
				out[f.ID] = true
			}
		}
	}
	return out
}

// wheres lists the places of a finding, its rows where it has some.
func wheres(f *check.Finding) (out []check.Where) {
	for _, r := range f.Rows {
		out = append(out, r.Where)
	}
	if out == nil {
		out = append(out, f.Where)
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
