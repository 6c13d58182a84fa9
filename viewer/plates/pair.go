package plates

import (
	"math"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/check"
	"rigloupe/inspect/geom"
	"rigloupe/inspect/mend"
	"rigloupe/inspect/paper"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/space"
	"rigloupe/viewer/camera"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
)

// Pair draws the place that a step was about, before and after: that of the worst finding
// which it cleared or made less, by its lens and in the finding's own pose, or in one that
// shows what became of it; else where a vertex moved farthest; else the whole figure. Both are seen by one camera, but where the
// figure got another size or place: then the whole of it is, each by its own.
func (p *Plates) Pair(before, after *mend.State, r *mend.Receipt) ([]paper.Picture, error) {
	if before.Result() == nil || after.Result() == nil {
		return nil, nil // nothing was examined: nothing is known of a place
	}
	was, err := p.of(before.Result())
	if err != nil {
		return nil, err
	}
	is, err := p.of(after.Result())
	if err != nil {
		return nil, err
	}
	for _, l := range []*plate{was, is} {
		l.scene.SetOverlay(nil)
		l.scene.SetField(nil)
	}
	about, number := worst(was.result, r)
	moves := moved(was.result.Exam.Box(), is.result.Exam.Box())
	one, two := bare(), bare()
	one.Bones = bones(about, r)
	two.Bones = one.Bones
	caption := "Before"
	if about != nil {
		caption += ": " + about.Title
		if about.Subject != "" {
			caption += ", " + about.Subject
		}
		if !moves {
			pose(&one, about)
			if one.Move.Axis == "" && one.Clip < 0 {
				caption += shows(&one, was, is, about)
			}
		}
		is.follow(&two, &one, was)
		was.colour(&one, about.ID, 0)
		is.colour(&two, about.ID, was.high())
	}
	if moves {
		one.Staff, two.Staff = true, true
		two.Camera = is.scene.View(&two, camera.ThreeQuarter)
		one.Camera = was.scene.Whole(&one, two.Camera.Yaw, two.Camera.Pitch)
	} else if place, ok := was.place(about, r); ok {
		one.Camera = was.scene.View(&one, camera.ThreeQuarter)
		one.Camera = was.scene.ViewOf(&one, place)
		two.Camera = one.Camera
		if at, ok := was.middle(&place); ok {
			one.Loupe, two.Loupe = true, true
			one.Chosen = scene.Choice{Kind: scene.OnFinding, Surface: -1, Node: rig.None, Point: at, Extent: place.Extent, Placed: true}
			two.Chosen = one.Chosen
		}
	} else {
		one.Camera = was.scene.View(&one, camera.ThreeQuarter)
		two.Camera = one.Camera
	}
	if about != nil {
		was.scene.SetOverlay(found.Overlay(was.result, number))
		if left := find(is.result, about.ID); left > 0 {
			is.scene.SetOverlay(found.Overlay(is.result, left))
		}
	}
	a, err := was.picture(&one, paper.Words(caption), "The place before this step")
	if err != nil {
		return nil, err
	}
	b, err := is.picture(&two, paper.Words("After"), "The same place after it")
	return []paper.Picture{a, b}, err
}

// worst is the finding that a step is shown by, and its number: of what it aims at, else of
// all that it cleared, else of what it made less.
func worst(r *inspect.Result, of *mend.Receipt) (*check.Finding, int) {
	all := r.Findings()
	var aims []string
	if m, err := mend.Named(of.Mend); err == nil {
		if aims = m.Answers; m.Aims != nil {
			aims = m.Aims(of.Parameters)
		}
	}
	for _, list := range []struct {
		ids  []string
		aims bool
	}{{of.Cleared, true}, {of.Shrunk, true}, {of.Cleared, false}, {of.Shrunk, false}} {
		best := -1
		for i := range all {
			f := &all[i]
			if !slices.Contains(list.ids, f.ID) || list.aims && !slices.Contains(aims, f.ID) {
				continue
			}
			if best < 0 || f.Grade > all[best].Grade || f.Grade == all[best].Grade && all[best].Cause != nil && f.Cause == nil {
				best = i
			}
		}
		if best >= 0 {
			return &all[best], best + 1
		}
	}
	return nil, 0
}

// find is the number of the first finding of a check, 0: there is none.
func find(r *inspect.Result, id string) int {
	all := r.Findings()
	return 1 + slices.IndexFunc(all, func(f check.Finding) bool { return f.ID == id })
}

// bones tells whether joints are what a step is about.
func bones(f *check.Finding, r *mend.Receipt) bool {
	if f != nil {
		return len(f.Where.Spots) == 0
	}
	return len(r.Pointers) > 0 && r.Moved.Count == 0
}

// pose takes a state to what a finding is seen in: its move, or its clip at its moment.
func pose(st *scene.State, f *check.Finding) {
	if len(f.Where.Joints) > 0 {
		st.Joint = f.Where.Joints[0]
	}
	st.Move = found.MoveOf(f)
	if st.Move.Axis == "" && f.Where.Clip >= 0 {
		st.Clip, st.Seconds = f.Where.Clip, f.Where.Time
	}
}

// colour shows a posed figure by the lens of a check; where it has none, as it is. high is
// what the end of the scale stands for, 0: as it comes.
func (l *plate) colour(st *scene.State, id string, high float64) {
	name := lensOf(id)
	if name == "detail-at-risk" { // it foretells a weld and shows none
		return
	}
	if own, ok := scene.LensNamed(name); ok && (own != scene.Influence || st.Joint >= 0) {
		st.Lens = own
		return
	}
	if field, err := found.Field(l.result, name, found.Params{Joint: st.Joint, Move: st.Move}); err == nil {
		if high > 0 {
			field.High = high
		}
		l.scene.SetField(field)
		st.Lens = scene.Measured
	}
}

// high is what the end of the scale stands for in the field that is shown; 0: there is none.
func (l *plate) high() float64 {
	if f := l.scene.Field(); f != nil {
		return f.High
	}
	return 0
}

// follow takes joint and pose of the other state over by names: nodes and clips may have other
// numbers after a mend.
func (l *plate) follow(st, of *scene.State, was *plate) {
	a, b := was.result.Exam.Rig, l.result.Exam.Rig
	st.Joint = joined(a, b, of.Joint)
	st.Move = of.Move
	if of.Move.Axis != "" {
		if st.Move.Joint = joined(a, b, of.Move.Joint); st.Move.Joint < 0 {
			st.Move = scene.Move{}
		}
	}
	st.Clip, st.Seconds = of.Clip, of.Seconds
	if st.Clip >= 0 {
		name := a.Clips[of.Clip].Name
		if int(of.Clip) >= len(b.Clips) || b.Clips[of.Clip].Name != name {
			st.Clip = rig.Clip(slices.IndexFunc(b.Clips, func(c rig.ClipData) bool { return c.Name == name }))
		}
	}
}

// joined is the node of another rig that a node of this one is: of the same number and
// name, else the first of its name, else of its number where names changed alone; −1: none.
func joined(a, b *rig.Rig, n rig.Node) rig.Node {
	if n < 0 || int(n) >= len(a.Nodes) {
		return rig.None
	}
	same := int(n) < len(b.Nodes)
	if same && b.Nodes[n].Name == a.Nodes[n].Name {
		return n
	}
	if i := slices.IndexFunc(b.Nodes, func(o rig.NodeData) bool { return o.Name == a.Nodes[n].Name }); i >= 0 && a.Nodes[n].Name != "" {
		return rig.Node(i)
	}
	if same && len(a.Nodes) == len(b.Nodes) {
		return n
	}
	return rig.None
}

// lensOf is what a check's findings are best seen by.
func lensOf(id string) string {
	for _, s := range inspect.Catalogue() {
		for i := range s.Entries {
			if s.Entries[i].ID == id {
				return s.Entries[i].Lens
			}
		}
	}
	return ""
}

// moved tells that the figure at rest got another size or another place: a corner of its
// box lies elsewhere by more than a fiftieth of its diagonal.
func moved(p, q geom.Box) bool {
	if p.IsEmpty() || q.IsEmpty() {
		return false
	}
	apart := max(space.Vec(p.Min).Sub(space.Vec(q.Min)).Len(), space.Vec(p.Max).Sub(space.Vec(q.Max)).Len())
	return apart > .02*p.Diagonal()
}

// place is where the camera goes in the figure before.
func (l *plate) place(f *check.Finding, r *mend.Receipt) (scene.Place, bool) {
	if f != nil {
		if places := found.Places(l.result, f); len(places) > 0 {
			return places[0], true
		}
		return scene.Place{}, false
	}
	if at := r.Moved.Point; at != nil {
		return scene.Place{Surface: -1, Node: rig.None, Point: space.Vec(*at)}, true
	}
	return scene.Place{}, false
}

// middle is a point of the rest pose in the middle of a place; false: it has none.
func (l *plate) middle(p *scene.Place) (at space.Vec, ok bool) {
	switch {
	case p.Surface >= 0 && len(p.Vertices) > 0:
		rest := l.result.Exam.RestPositions(p.Surface)
		v := rest[3*p.Vertices[0]:]
		at = space.Vec{float64(v[0]), float64(v[1]), float64(v[2])}
	case p.Node >= 0:
		at = l.result.Exam.RestWorld()[p.Node].Origin()
	default:
		at = p.Point
	}
	sum := at[0] + at[1] + at[2]
	return at, sum-sum == 0 && !math.IsInf(sum, 0)
}
