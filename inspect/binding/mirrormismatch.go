package binding

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var mirrorMismatch = check.Check[Facts]{
	ID:      "binding/mirror-mismatch",
	Title:   "Weights differ by side",
	Measure: "share of the vertices whose weights differ from their mirror partner's, left and right joints exchanged, by more than the limit in all; vertices whose weights are gone or off, and those opposite, are left out",
	Limits: []check.Limit{
		{Name: "share", Unit: say.Share, Value: 0.01, Grade: check.Flaw},
		{Name: "difference", Value: differenceLimit, Grade: check.Flaw, Per: weightPer},
	},
	Why: "The two sides bend differently although the surface is the same: one elbow creases where the other is round. " +
		"It shows whenever a pose or clip is mirrored.",
	Remedy: "Choose the better side and mirror its weights over the middle plane to the other, joints exchanged by name.\n" +
		"Where the surface itself differs, mirror that first.",
	Source: "common practice, no source",
	Lens:   "mirror-weights",
	Needs: func(f *Facts) string {
		if reason := needsSkin(f); reason != "" {
			return reason
		}
		if f.NoMirror != "" {
			return f.NoMirror
		}
		if f.MirrorMismatch == nil || f.MirrorMismatch.Compared == 0 {
			return "no vertex of a skin has a mirror partner"
		}
		if f.MirrorMismatch.SoundCompared == 0 {
			return "no vertex with whole weights has a mirror partner with whole weights"
		}
		return ""
	},
	Judge: func(f *Facts, d *check.Docket) {
		limit, difference := d.Limit("share"), d.Limit("difference")
		type spot struct {
			surface int
			vertex  rig.Vertex
			value   float32
		}
		var g Group
		for s := range f.Surfaces {
			g.tell(s, f.Surfaces[s].Differ.Over(difference.Step()))
		}
		share := float64(g.Count) / float64(f.MirrorMismatch.SoundCompared)
		if !(share > limit.Value) {
			return
		}
		var over []spot
		for s, field := range f.WeightMismatch {
			for v, x := range field {
				if float64(x) > difference.Value && !f.unfit[s][v] {
					over = append(over, spot{s, rig.Vertex(v), x})
				}
			}
		}
		// The worst first, so that a cut list holds them; surfaces together.
		slices.SortStableFunc(over, func(a, b spot) int {
			return cmp.Or(cmp.Compare(a.surface, b.surface), cmp.Compare(b.value, a.value))
		})
		for _, o := range over {
			g.put(o.surface, o.vertex)
		}
		g.enclose(f)
		where := g.where(rig.None)
		if len(f.Skins) == 1 {
			where.Skin = 0
		}
		where.Joints = f.worstJoints()
		found := d.Found(limit, "share", share, where)
		found.Subject = f.subject(&g)
		found.Measures = append(found.Measures,
			check.Also("differ", float64(g.Count), say.Vertices),
			check.Held(difference, "largest difference", f.MirrorMismatch.Largest),
			check.Also("mean difference", f.MirrorMismatch.Mean, say.Unit{}),
			check.Also("unpaired", float64(f.MirrorMismatch.Unpaired), say.Vertices))
	},
}

// worstJoints are the joints that hold at least a tenth of the largest joint's sum
// of differences, worst first, eight at most.
func (f *Facts) worstJoints() []rig.Node {
	sum := map[rig.Node]float64{}
	var nodes []rig.Node
	top := 0.0
	for i := range f.Skins {
		for j := range f.Skins[i].Joints {
			n, m := f.Skins[i].Joints[j].Node, f.Skins[i].Joints[j].Mismatch
			if _, ok := sum[n]; !ok && m > 0 {
				nodes = append(nodes, n)
				sum[n] = m
				top = math.Max(top, m)
			}
		}
	}
	slices.SortFunc(nodes, func(a, b rig.Node) int { return cmp.Or(cmp.Compare(sum[b], sum[a]), cmp.Compare(a, b)) })
	nodes = slices.DeleteFunc(nodes, func(n rig.Node) bool { return sum[n] < 0.1*top })
	return nodes[:min(len(nodes), 8)]
}
