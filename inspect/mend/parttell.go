package mend

import (
	"cmp"
	"fmt"
	"slices"

	"rigloupe/inspect/bind"
	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/part"
	"rigloupe/inspect/rest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// mostPosed moments of all clips together are looked at, some of each.
const mostPosed = 240

// clipsTold are told one by one, those with the deepest places first.
const clipsTold = 4

// tell says what was done.
func (p *parter) tell() {
	w := p.w
	vertices := 0
	for _, x := range p.pieces {
		vertices += len(x.at) / 3
	}
	w.Measure(check.Also("taken", float64(vertices), say.Vertices))
	w.Measure(check.Also("laid on by a factor of", p.laid.Factor, say.Factor))
	if p.weight != nil {
		filled, lies, none := 0, 0, 0
		for _, x := range p.ways {
			switch x {
			case part.Filled:
				filled++
			case part.Lies:
				lies++
			case part.None:
				none++
			}
		}
		n := float64(max(len(p.ways), 1))
		if w.Values.Text("weights") == fromUnder {
			w.Measure(check.Also("weights filled in between", float64(filled)/n, say.Share))
			if lies > 0 {
				w.Measure(check.Also("weights of the nearest, which faces elsewhere", float64(lies)/n, say.Share))
			}
		}
		if none > 0 {
			w.Leave("%s could take no weights: the first joint holds them.", say.Count(none, "place", "places"))
		}
	}
	if len(p.lacks) > 0 {
		var names []string
		for _, n := range p.lacks {
			names = append(names, p.other.NodeName(n))
		}
		w.Say("%s came with it: %s.", say.Count(len(p.lacks), "joint", "joints"), exam.Listed(names))
	}
	for _, n := range p.lacks {
		if p.b.Rig.Nodes[n].Parent >= 0 && p.isJoint(p.b.Rig.Nodes[n].Parent) {
			continue
		}
		if j, ok := p.hangsOn(n); ok && j < len(p.nodes) {
			w.Say("%s hangs on %s.", p.other.NodeName(n), w.Exam.NodeName(p.nodes[j]))
		} else if !ok {
			w.Leave("%s hangs on nothing: nothing of the figure is near it.", p.other.NodeName(n))
		}
	}
	if len(p.lacks) > 0 && len(w.Rig.Clips) > 0 {
		w.Uncovers("motion/still-chain") // it was as still where it came from
		w.Say("No clip of this figure moves them: they hang still until “%s” or “%s” gives them keyframes.", letFollow.Title, swayByHand.Title)
	}
	if missing := p.missing(); len(missing) > 0 {
		w.Leave("Joints that hold it and that the figure lacks stay behind: %s.", exam.Listed(missing))
	}
	if p.came > 0 {
		w.Measure(check.Also("came out", float64(p.came), say.Vertices))
	}
	if p.stayed > 0 {
		w.Leave("%s too deep under the surface to come out, or would turn a triangle over.", say.Count(p.stayed, "place lies", "places lie"))
	}
	if p.hidden > 0 {
		w.Measure(check.Also("taken out under it", float64(p.hidden), say.Triangles))
	}
	w.Later(p.audit)
}

// missing are the joints that hold the part, have no partner and did not come along.
func (p *parter) missing() (names []string) {
	holds := p.holders()
	for _, n := range p.b.Rig.Order {
		if _, paired := p.match.From(n); paired || holds[n] < faintBelow || !p.isJoint(n) {
			continue
		}
		if _, came := p.hung[n]; !came {
			names = append(names, p.other.NodeName(n))
		}
	}
	return names
}

// deep is the deepest place of the part at a moment.
type deep struct {
	clip    rig.Clip
	seconds float64
	metres  float64
	place   int
}

// audit finds how deep the part lies under the surface: at rest, and at some moments of
// every clip.
func (p *parter) audit() error {
	w := p.w
	at, depth := p.over.Deepest(p.points)
	w.Measure(check.Also("deepest under the surface at rest", depth, say.Metre))
	if at >= 0 {
		w.Say("At rest the deepest place is %s.", p.where(at))
	}
	if p.weight == nil || len(w.Rig.Clips) == 0 {
		return nil
	}
	worst, err := p.inClips()
	if err != nil {
		return err
	}
	if len(worst) == 0 {
		return nil
	}
	w.Measure(check.Also("deepest under the surface in the clips", worst[0].metres, say.Metre))
	for _, d := range worst[:min(len(worst), clipsTold)] {
		if d.place >= 0 {
			w.Say("In “%s” it is %s, %s deep at %s.", w.Rig.Clips[d.clip].Name, p.where(d.place), say.Quantity(d.metres, say.Metre), say.Quantity(d.seconds, say.Second))
		}
	}
	return nil
}

// inClips answers the deepest place of each clip, the deepest first.
func (p *parter) inClips() (out []deep, err error) {
	w, r := p.w, p.w.Rig
	rested := w.Exam.RestWorld()
	inverse := make([]rig.Affine, len(p.nodes))
	for j, n := range p.nodes {
		inverse[j], _ = rested[n].Inverse()
	}
	posed := NewPosed(r)
	mine := make([]float32, len(p.points))
	by := map[rig.Clip]*deep{}
	for _, m := range rest.Moments(r, MomentsOfClip, mostPosed) {
		if err := w.Context.Err(); err != nil {
			return nil, err
		}
		posed.Pose.Sample(m.Clip, m.Seconds)
		var body []float32
		for _, i := range p.sources {
			body = append(body, posed.Positions(i)...)
		}
		p.places(rested, inverse, posed.Pose.World, mine)
		place, depth := part.NewOver(body, p.over.Triangles, p.watch()).Deepest(mine)
		if d := by[m.Clip]; d == nil || depth > d.metres {
			by[m.Clip] = &deep{m.Clip, m.Seconds, depth, place}
		}
	}
	for i := range r.Clips {
		if d := by[rig.Clip(i)]; d != nil {
			out = append(out, *d)
		}
	}
	slices.SortStableFunc(out, func(a, b deep) int { return cmp.Compare(b.metres, a.metres) })
	return out, nil
}

// where names a place of the part: the surface, and the joint that holds it most.
func (p *parter) where(place int) string {
	name := ""
	for _, x := range p.pieces {
		if slices.Contains(x.place, uint32(place)) {
			name = fmt.Sprintf("of “%s”", surfaceName(p.b.Rig, x.surface))
			break
		}
	}
	if p.weight == nil {
		return "a place " + name
	}
	best, most := int32(-1), 0.0
	for k := bind.K * place; k < bind.K*(place+1); k++ {
		if p.weight.Weight[k] > most {
			best, most = p.weight.Joint[k], p.weight.Weight[k]
		}
	}
	switch {
	case best < 0:
		return "a place " + name
	case int(best) < len(p.nodes):
		return fmt.Sprintf("a place %s at %s", name, p.w.Exam.NodeName(p.nodes[best]))
	}
	return fmt.Sprintf("a place %s at %s", name, p.other.NodeName(p.lacks[int(best)-len(p.nodes)]))
}
