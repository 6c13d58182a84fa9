package plates

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"rigloupe/inspect/anatomy"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
	"rigloupe/viewer/found"
	"rigloupe/viewer/scene"
)

const (
	mostJoints = 6 // that hold a place, or that it hangs on, are turned
	mostClips  = 4 // are played
)

// tells says that a pose parts the place before and after enough to be shown in it: by more
// than half a hundredth of the figure's height, and half as much again as rest does. All in
// metres.
func tells(shift, atRest, height float64) bool {
	return shift > .005*height && shift > 1.5*atRest
}

// ends are the angles that a joint is turned to, degrees: the ends of its range, at most a
// right angle.
func ends(t anatomy.Turn) [2]float64 { return [2]float64{max(t.Min, -90), min(t.Max, 90)} }

// moments are those of a clip that are looked at: its ends and what lies evenly between.
func moments(start, end float64) (out [5]float64) {
	for k := range out {
		out[k] = start + (end-start)*float64(k)/float64(len(out)-1)
	}
	return out
}

// shows poses a state so that the place of a finding differs most between the figure before
// and after: what weights or parents do wrong is not seen at rest. Tried are rest, moments
// of the clips and turns of the joints that hold the place or that it hangs on. The answer
// is the pose in words, "" at rest, which stays where no pose parts the two by half a
// hundredth of the height.
func shows(st *scene.State, was, is *plate, f *check.Finding) string {
	places := found.Places(was.result, f)
	if len(places) == 0 {
		return ""
	}
	place := places[0]
	a, b := was.result.Exam.Rig, is.result.Exam.Rig
	other := place
	if place.Node >= 0 {
		other.Node = joined(a, b, place.Node)
	}
	if s := place.Surface; s >= 0 && (s >= len(b.Surfaces) || vertices(a, s) != vertices(b, s)) {
		return "" // the vertices are others
	}
	height := was.result.Exam.WholeHeight()
	shift := func(st *scene.State) float64 {
		two := *st
		is.follow(&two, st, was)
		return farthest(was.scene.Posed(st, place), is.scene.Posed(&two, other))
	}
	best, words := *st, ""
	atRest := shift(st)
	most := 0.
	try := func(next scene.State, says func() string) {
		if d := shift(&next); d > most && tells(d, atRest, height) {
			best, most, words = next, d, says()
		}
	}
	for _, n := range holders(a, b, &place, other.Node) {
		for _, t := range was.scene.Bends.Of(n) {
			for _, degrees := range ends(t) {
				next := *st
				next.Move = scene.Move{Joint: n, Axis: t.Axis, Degrees: degrees}
				try(next, func() string {
					return fmt.Sprintf(", seen with %q turned by %s (%s)", was.result.Exam.NodeName(n), say.Quantity(degrees, say.Degree), t.Axis)
				})
			}
		}
	}
	for c := range a.Clips[:min(len(a.Clips), mostClips)] {
		clip := &a.Clips[c]
		for _, seconds := range moments(clip.Start, clip.Seconds) {
			next := *st
			next.Clip, next.Seconds = rig.Clip(c), seconds
			try(next, func() string {
				return fmt.Sprintf(", seen at %s of clip %q", say.Quantity(next.Seconds, say.Second), clip.Name)
			})
		}
	}
	st.Move, st.Clip, st.Seconds = best.Move, best.Clip, best.Seconds
	return words
}

func vertices(r *rig.Rig, surface int) int { return r.Meshes[r.Surfaces[surface].Mesh].Vertices() }

// farthest is the longest way between like points; those that are not a number are left
// out.
func farthest(a, b []space.Vec) (d float64) {
	for i := range min(len(a), len(b)) {
		if x := a[i].Sub(b[i]).Len(); x > d && !math.IsInf(x, 0) {
			d = x
		}
	}
	return d
}

// holders are the joints to turn, of the rig before, the heaviest first: those that hold the
// vertices of a place before or after; of a node, those above it before and after.
func holders(a, b *rig.Rig, place *scene.Place, node rig.Node) []rig.Node {
	weight := map[rig.Node]float64{}
	hold := func(r *rig.Rig, back func(rig.Node) rig.Node) {
		s := r.Surfaces[place.Surface]
		m := &r.Meshes[s.Mesh]
		if s.Skin < 0 || m.K == 0 {
			return
		}
		joints := r.Skins[s.Skin].Joints
		for _, v := range place.Vertices {
			for k := int(v) * m.K; k < (int(v)+1)*m.K && k < len(m.Weights); k++ {
				if w := m.Weights[k]; w > 0 && int(m.Joints[k]) < len(joints) {
					if n := back(joints[m.Joints[k]]); n >= 0 {
						weight[n] += float64(w)
					}
				}
			}
		}
	}
	same := func(n rig.Node) rig.Node { return n }
	home := func(n rig.Node) rig.Node { return joined(b, a, n) }
	switch {
	case place.Surface >= 0:
		hold(a, same)
		hold(b, home)
	default:
		above := func(r *rig.Rig, n rig.Node, back func(rig.Node) rig.Node) {
			for k := 0; n >= 0 && int(n) < len(r.Nodes) && k < mostJoints/2; k++ {
				if n = r.Nodes[n].Parent; n >= 0 && back(n) >= 0 {
					weight[back(n)] = max(weight[back(n)], 1/float64(k+1))
				}
			}
		}
		above(a, place.Node, same)
		above(b, node, home)
	}
	out := make([]rig.Node, 0, len(weight))
	for n := range weight {
		out = append(out, n)
	}
	slices.SortFunc(out, func(x, y rig.Node) int { return cmp.Or(cmp.Compare(weight[y], weight[x]), cmp.Compare(x, y)) })
	return out[:min(len(out), mostJoints)]
}
