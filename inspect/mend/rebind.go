package mend

import (
	"cmp"
	"fmt"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rest"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// mostAudited moments of all clips together; of very many clips each gets fewer.
const mostAudited = 480

var restAndBind = Mend{
	ID:      "rebind",
	Title:   "Rest and bind",
	Stage:   Rest,
	Answers: []string{"skeleton/rest-pose", "skeleton/bind-odd"},
	Does: "The joints rest in another pose and the surface is bound in it: places become what is seen there, bind matrices the inverse of the new rest. " +
		"Vertices of one joint are exact. What joints share has a price in the clips, since linear blends do not compose; it is measured and told.",
	Source: "Kavan et al. 2008 (dual quaternions); after Le & Hodgins 2016 (fit to the clips); Lawson 1961 (weights of the fit)",
	Parameters: append([]Parameter{
		{Name: "way", Title: "Blended vertices", Kind: Choice, Default: "best", Choices: []string{"best", "seen", "dual", "clips"},
			Says: "seen: as they look in the pose; dual: by dual quaternions; clips: where the clips change least; best: clips where there are any, else seen."},
		{Name: "fit", Title: "Fit to", Kind: List, Default: []string{}, Says: "Names of the clips that the fit counts; none: all."},
		{Name: "price", Title: "Most price", Kind: Number, Unit: say.TimesHeight, Default: 0.01, Least: 0, Most: 1, Says: "Refused where a vertex of a clip would part by more from where it was."},
	}, poseParameters...),
	Suggest: func(f *Findings) (out []Values) {
		out = suggestRest(f)
		if len(f.Of("skeleton/bind-odd")) > 0 {
			out = append(out, Values{"pose": "stay"})
		}
		return out
	},
	Aims:  aimsOfRest,
	Apply: applyRebind,
}

func applyRebind(w *Work) error {
	p, err := w.pose()
	if err != nil {
		return w.restRefusal(err)
	}
	moments := rest.Moments(w.Rig, MomentsOfClip, mostAudited)
	fit := moments
	if names := w.Values.List("fit"); len(names) > 0 {
		fit = nil
		for _, name := range names {
			c, ok := w.clip(name)
			if !ok {
				return w.Refuse("There is no clip %q.", name)
			}
			for _, m := range moments {
				if m.Clip == c {
					fit = append(fit, m)
				}
			}
		}
	}
	height := w.Exam.Height()
	limit, _ := w.Values.Number("price")
	ways := map[string]rest.Way{"seen": rest.ByLinear, "dual": rest.ByDual, "clips": rest.BySolved}
	way, given := ways[w.Values.Text("way")]
	if !given && len(moments) > 0 {
		way = rest.BySolved
	}
	b, err := rest.Bound(w.Rig, p, way, fit)
	if err != nil {
		return w.restRefusal(err)
	}
	prices := rest.Audit(w.Rig, b.Rig, moments, limit*height)
	worst := dearest(prices)
	if worst != nil && worst.Worst > limit*height {
		return w.Refuse("%s Keep the bind and move the rest only, or accept: the price is %.2g of the height, %.2g were allowed.", w.shares(worst), worst.Worst/height, limit)
	}
	w.tellPose(p, b.Held)
	w.Measure(check.Also("vertices that joints share", float64(b.Blended), say.Vertices))
	if worst != nil {
		w.Measure(check.Also("farthest vertex in a clip", worst.Worst, say.Metre))
		w.Measure(check.Also("farthest vertex in a clip, of the height", worst.Worst/height, say.TimesHeight))
		// The other way's price stands beside it, so that the choice can be seen.
		other, name := rest.ByLinear, "seen in the pose"
		if way == rest.ByLinear {
			other, name = rest.BySolved, "fitted to the clips"
		}
		if o, err := rest.Bound(w.Rig, p, other, fit); err == nil {
			if d := dearest(rest.Audit(w.Rig, o.Rig, moments, limit*height)); d != nil {
				w.Measure(check.Also("the same, "+name, d.Worst, say.Metre))
			}
		}
		slices.SortStableFunc(prices, func(a, b rest.Price) int { return cmp.Compare(b.Worst, a.Worst) })
		for _, c := range prices[:min(len(prices), 6)] {
			w.Say("Clip %s: the farthest vertex is %s from where it was, at %.2f s.", clipName(w.Rig, c.Clip), say.Metres(c.Worst), c.Seconds)
		}
	}
	if way == rest.BySolved { // in the pose it is not what the linear blend shows
		seen, is := rest.Seen(w.Rig, p), rest.Seen(b.Rig, rest.Of(b.Rig))
		far := 0.0
		for s := range seen {
			far = max(far, farthest(seen[s], is[s]))
		}
		w.Measure(check.Also("farthest vertex in the new rest", far, say.Metre))
	}
	if b.Kept > 0 {
		w.Leave("%d vertices have no weight, no place or no joint: left as they are.", b.Kept)
	}
	return w.Write(b.Rig, b.Maps)
}

func dearest(prices []rest.Price) (worst *rest.Price) {
	for i := range prices {
		if p := &prices[i]; p.Surface >= 0 && (worst == nil || p.Worst > worst.Worst) {
			worst = p
		}
	}
	return worst
}

func farthest(a, b []float32) (far float64) {
	for v := 0; v+2 < len(a) && v+2 < len(b); v += 3 {
		if d := space.At(a, v/3).Sub(space.At(b, v/3)).Len(); d > far {
			far = d
		}
	}
	return far
}

func clipName(r *rig.Rig, c rig.Clip) string {
	if s := r.Clips[c].Name; s != "" {
		return fmt.Sprintf("%q", s)
	}
	return fmt.Sprint(int(c))
}

// shares says which joints share the worst vertex, and what that costs.
func (w *Work) shares(p *rest.Price) string {
	s := w.Rig.Surfaces[p.Surface]
	m := &w.Rig.Meshes[s.Mesh]
	type held struct {
		name   string
		weight float32
	}
	var list []held
	for k := int(p.Vertex) * m.K; k < (int(p.Vertex)+1)*m.K; k++ {
		if m.Weights[k] > 0 && int(m.Joints[k]) < len(w.Rig.Skins[s.Skin].Joints) {
			n := w.Rig.Skins[s.Skin].Joints[m.Joints[k]]
			list = append(list, held{w.Rig.Nodes[n].Name, m.Weights[k]})
		}
	}
	slices.SortStableFunc(list, func(a, b held) int { return cmp.Compare(b.weight, a.weight) })
	where := fmt.Sprintf("in the clip %s at %.2f s it lies %s from where it was.", clipName(w.Rig, p.Clip), p.Seconds, say.Metres(p.Worst))
	if len(list) < 2 {
		return "The farthest vertex: " + where
	}
	return fmt.Sprintf("%s and %s share a vertex, %.0f to %.0f: %s", list[0].name, list[1].name, 100*list[0].weight, 100*list[1].weight, where)
}
