package inspect

import (
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
)

// posed tells the finding of a figure whose rest is a pose: most joints rest elsewhere than
// they were bound. It is only worth knowing, and yet its sides are not alike.
func posed(f *check.Finding) bool {
	return f.ID == "skeleton/bind-odd" && f.Title == "Opens already posed"
}

// posedShare of vertices is more than stray weights amount to (common practice, no source).
const posedShare = 0.05

// explainsPosed tells that two sides that differ by much, or a box that is far off, are the
// pose's: what concerns few vertices has a cause of its own.
func (a *reach) explainsPosed(f *check.Finding) bool {
	if !posed(a.cause) {
		return false
	}
	if f.ID == "intake/bounds-off" || f.ID == "intake/off-ground" || f.ID == "intake/unapplied-turn" {
		return f.Where.Clip < 0
	}
	n, all := 0, 0
	for i := range f.Where.Spots {
		n += len(f.Where.Spots[i].Vertices)
	}
	for _, s := range a.r.Exam.Rig.Surfaces {
		if s.Skin >= 0 {
			all += a.r.Exam.Rig.Meshes[s.Mesh].Vertices()
		}
	}
	return float64(n) > posedShare*float64(all)
}

// explainsBelow tells that all nodes of a finding hang on the cause's joints or are them; a
// joint that bears most of the others is above the figure, and its scale is told as that.
func (a *reach) explainsBelow(f *check.Finding) bool {
	nodes := a.r.Exam.Rig.Nodes
	under := func(n rig.Node) bool {
		for left := len(nodes); n >= 0 && left > 0; n, left = nodes[n].Parent, left-1 {
			if slices.Contains(a.cause.Where.Joints, n) {
				return true
			}
		}
		return false
	}
	joints, borne := 0, 0
	for n, is := range a.r.Exam.Rig.Joints() {
		if is {
			if joints++; under(rig.Node(n)) {
				borne++
			}
		}
	}
	list := slices.Concat(f.Where.Nodes, f.Where.Joints)
	return 2*borne < joints && len(list) > 0 && !slices.ContainsFunc(list, func(n rig.Node) bool { return !under(n) })
}

// explainsNames tells that all joints of a finding bear a name of the wrong side, or hang on
// one that does.
func (a *reach) explainsNames(f *check.Finding) bool {
	return len(f.Where.Joints) > 0 && !slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return !a.near(n) })
}

// explainsHung tells what a limb that hangs on another does to the surface it holds. Where it
// hangs on nothing nothing drags it along, but what the joints that it should hang on do
// draws the surface out between the two: a bend of its own joints is no work of that.
func (a *reach) explainsHung(f *check.Finding) bool {
	if a.cause.Title != "Chain hangs on nothing" {
		return a.explains(f)
	}
	own := slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return a.joints[n] })
	return !own && len(f.Where.Spots) > 0 && !slices.Contains(zones, f.ID) && a.explains(f)
}

// explainsUnheld tells what a joint that holds nothing does: how the surface creases where it
// alone turns, and that it is not bound as its partner's is.
func (a *reach) explainsUnheld(f *check.Finding) bool {
	if f.ID == "binding/mirror-mismatch" || f.ID == "binding/rough" {
		return a.explains(f)
	}
	return len(f.Where.Joints) > 0 && !slices.ContainsFunc(f.Where.Joints, func(n rig.Node) bool { return !a.joints[n] })
}

// onGrid is how long the sides of a triangle are at most, in steps of the grid that its
// corners lie on, where the grid may well have put them on one line (common practice, no source).
const onGrid = 4

// explainsStep tells that vertices fell together on the grid of a surface that is stored in
// coarse steps, or triangles onto a line. Vertices of two pieces that meet share no triangle,
// and are no work of the grid.
func (a *reach) explainsStep(f *check.Finding) bool {
	g, n := a.r.Exam.Rig, 0
	step := measureOf(a.cause, "step") * a.r.Exam.Diagonal()
	for i := range f.Where.Spots {
		spot := &f.Where.Spots[i]
		s := g.Surfaces[spot.Surface]
		if !slices.Contains(a.cause.Where.Nodes, s.Node) {
			return false
		}
		tri, weld, rest := g.Meshes[s.Mesh].Triangles, a.r.Exam.Weld(s.Mesh), a.r.Exam.RestPositions(spot.Surface)
		fell := make([]bool, weld.Groups()) // by place: findings name one vertex of each
		for t := 0; t+2 < len(tri); t += 3 {
			longest, fused := 0., false
			for k := range 3 {
				x, y := tri[t+k], tri[t+(k+1)%3]
				longest = max(longest, space.At(rest, x).Sub(space.At(rest, y)).Len())
				if x != y && weld.Of[x] == weld.Of[y] {
					fell[weld.Of[x]], fused = true, true
				}
			}
			if f.ID == "surface/slivers" && (fused || longest <= onGrid*step) {
				fell[weld.Of[tri[t]]], fell[weld.Of[tri[t+1]]], fell[weld.Of[tri[t+2]]] = true, true, true
			}
		}
		n += len(spot.Vertices)
		if slices.ContainsFunc(spot.Vertices, func(v rig.Vertex) bool { return !fell[weld.Of[v]] }) {
			return false
		}
	}
	return n > 0
}

// partners adds the vertices that the partners of the cause's joints hold: where there is
// none on this side is seen by them.
func (a *reach) partners() {
	for _, n := range a.cause.Where.Joints {
		p := a.r.Exam.Roles().Of[n].Partner
		if p < 0 {
			continue
		}
		one := &reach{r: a.r, in: a.in, joints: map[rig.Node]bool{p: true}}
		for k := range a.r.Exam.Rig.Skins {
			one.held(rig.Skin(k))
		}
	}
}

// sharedBoxes finds boxes that miss their surface on account of several causes, each on some
// of the surfaces: they follow from the one that spoils most.
func (r *Result) sharedBoxes(all []*check.Finding, of map[*check.Finding]*check.Finding) {
	causes := map[string]bool{}
	for _, c := range cascades {
		if slices.Contains(c.effects, "intake/bounds-off") && c.cause != "intake/unapplied-scale" {
			causes[c.cause] = true
		}
	}
	var areas []*reach
	for _, cause := range all {
		if causes[cause.ID] && cause.Grade >= check.Flaw {
			areas = append(areas, newReach(r, cause))
		}
	}
	if len(areas) < 2 {
		return
	}
	for _, effect := range all {
		if effect.ID != "intake/bounds-off" || of[effect] != nil || effect.Where.Clip >= 0 {
			continue
		}
		spoilt := make([]int, len(areas))
		whole := len(effect.Where.Nodes) > 0
		for _, n := range effect.Where.Nodes {
			some := false
			one := *effect
			one.Where.Nodes = []rig.Node{n}
			for i, a := range areas {
				if a.spoilsBox(&one) {
					spoilt[i]++
					some = true
				}
			}
			whole = whole && some
		}
		if whole {
			of[effect] = areas[slices.Index(spoilt, slices.Max(spoilt))].cause
		}
	}
}
