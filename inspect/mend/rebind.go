package mend

import (
	"cmp"
	"fmt"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
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
		{Name: "stored", Title: "Bound as stored", Kind: List, Default: []string{}, Says: "Joints whose bind matrix is wrong: it comes from where they rest, and their part is seen where it is stored. Flat matrices are put right so in any case."},
		{Name: "price", Title: "Most price", Kind: Number, Unit: say.TimesHeight, Default: 0.01, Least: 0, Most: 1, Says: "Refused where a vertex of a clip would part by more from where it was."},
	}, poseParameters...),
	Suggest: func(f *Findings) (out []Values) {
		out = suggestRest(f)
		if len(f.Of("skeleton/bind-odd")) > 0 {
			if wrong := bindsWrong(f); len(wrong) > 0 {
				out = append([]Values{{"pose": "stay", "stored": wrong}}, out...)
			}
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
	r, err := w.asStored()
	if err != nil {
		return w.restRefusal(err)
	}
	moments := rest.Moments(w.Rig, MomentsOfClip, mostAudited)
	fit := moments
	if names := w.Values.List("fit"); len(names) > 0 {
		fit = nil
		for _, name := range names {
			c, err := w.clip(name)
			if err != nil {
				return err
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
	b, err := rest.Bound(r, p, way, fit)
	if err != nil {
		return w.restRefusal(err)
	}
	prices := rest.Audit(r, b.Rig, moments, limit*height)
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
		if o, err := rest.Bound(r, p, other, fit); err == nil {
			if d := dearest(rest.Audit(r, o.Rig, moments, limit*height)); d != nil {
				w.Measure(check.Also("the same, "+name, d.Worst, say.Metre))
			}
		}
		slices.SortStableFunc(prices, func(a, b rest.Price) int { return cmp.Compare(b.Worst, a.Worst) })
		for _, c := range prices[:min(len(prices), 6)] {
			w.Say("Clip %s: the farthest vertex is %s from where it was, at %s.", clipName(w.Rig, c.Clip), say.Metres(c.Worst), say.Quantity(c.Seconds, say.Second))
		}
	}
	if way == rest.BySolved { // in the pose it is not what the linear blend shows
		seen, is := rest.Seen(r, p), rest.Seen(b.Rig, rest.Of(b.Rig))
		far := 0.0
		for s := range seen {
			far = max(far, farthest(seen[s], is[s]))
		}
		w.Measure(check.Also("farthest vertex in the new rest", far, say.Metre))
	}
	if b.Kept > 0 {
		w.Leave("%s %s no weight, no place or no joint: left as %s.", say.Count(b.Kept, "vertex", "vertices"), say.Word(b.Kept, "has", "have"), say.Word(b.Kept, "it is", "they are"))
	}
	return w.Write(b.Rig, b.Maps)
}

// asStored is the figure with the bind matrices that are wrong put right first: those of
// the joints asked for, flat ones and last rows that are not 0 0 0 1.
func (w *Work) asStored() (*rig.Rig, error) {
	r := w.Rig
	wrong := rest.Flat(r)
	for _, name := range w.Values.List("stored") {
		n, err := findNode(r, name)
		if err != nil {
			return nil, w.Refuse("%v.", sentence(err))
		}
		if !slices.Contains(wrong, n) {
			wrong = append(wrong, n)
		}
	}
	var rows bool
	for i := range r.Skins {
		rows = rows || r.Skins[i].BindRow != nil
	}
	if len(wrong) == 0 && !rows {
		return r, nil
	}
	r, err := rest.AsStored(r, wrong)
	if err != nil {
		return nil, err
	}
	for i := range r.Skins {
		r.Skins[i].BindRow = nil
	}
	if len(wrong) > 0 {
		var names []string
		for _, n := range wrong {
			names = append(names, fmt.Sprintf("%q", r.Nodes[n].Name))
		}
		w.Say("Bound where they rest, with what hangs on them seen where it is stored: %s.", exam.Listed(names))
	}
	return r, nil
}

// bindsWrong names the joints of which the bind matrix, not the place at rest, is what is
// wrong: one that presses flat, and one odd joint out that every clip leaves, or puts, where
// it rests. To move the rest there would clear the finding and leave every clip as wrong.
func bindsWrong(f *Findings) (names []string) {
	r := f.Result.Exam.Rig
	flat := rest.Flat(r)
	var bound *rest.Pose
	if p := rest.Of(r); p.Bind() == nil {
		bound = p
	}
	least := 1e-3 * f.Result.Exam.Size()
	world := f.Result.Exam.RestWorld()
	for _, x := range f.Result.Findings() {
		if x.ID != "skeleton/bind-odd" || x.Cause != nil || x.Grade < check.Flaw {
			continue
		}
		for _, n := range x.Where.Joints {
			name := nodeName(r, n)
			if !slices.Contains(names, name) && (slices.Contains(flat, n) || bound != nil && clipsRest(r, n, bound.Local[n], world, least)) {
				names = append(names, name)
			}
		}
	}
	return names
}

// clipsRest tells that the clips, of which there are some, speak for where a joint rests
// against where it was bound: by the shift that they give it, or by not moving it at all.
func clipsRest(r *rig.Rig, n rig.Node, bound rig.TRS, world []rig.Affine, least float64) bool {
	unit := 1.0
	if p := r.Nodes[n].Parent; p >= 0 {
		s := world[p].Scales()
		unit = max(s[0], s[1], s[2])
	}
	here, there := space.Vec(r.Nodes[n].T), space.Vec(bound.T)
	shifted := unit*here.Sub(there).Len() > least
	for c := range r.Clips {
		for i := range r.Clips[c].Channels {
			ch := &r.Clips[c].Channels[i]
			if ch.Node != n || ch.Path == rig.Weights {
				continue
			}
			if !shifted {
				return false
			}
			per := ch.Width
			if ch.Interpolation == rig.Cubic {
				per *= 3
			}
			for k := range len(ch.Times) {
				if v := ch.Values[k*per:]; ch.Path == rig.Translation {
					at := space.At(v[per/ch.Width/2*ch.Width:], 0)
					if at.Sub(here).Len() > at.Sub(there).Len() {
						return false
					}
				}
			}
		}
	}
	return len(r.Clips) > 0
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
	where := fmt.Sprintf("in the clip %s at %s it lies %s from where it was.", clipName(w.Rig, p.Clip), say.Quantity(p.Seconds, say.Second), say.Metres(p.Worst))
	if len(list) < 2 {
		return "The farthest vertex: " + where
	}
	return fmt.Sprintf("%s and %s share a vertex, %.0f to %.0f: %s", list[0].name, list[1].name, 100*list[0].weight, 100*list[1].weight, where)
}
