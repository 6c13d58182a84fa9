package binding

import (
	"rigloupe/inspect/check"
	"rigloupe/inspect/say"
)

var unbound = check.Check[Facts]{
	ID:      "binding/unbound",
	Title:   "Vertices bound to nothing",
	Measure: "vertices of a skinned surface whose weights sum to 0",
	Limits:  []check.Limit{{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Stop}},
	Why: "A vertex without weight (unweighted) follows no joint: it stays at the origin of the scene while the figure moves. " +
		"Players draw it as a spike from the figure to the floor between its feet.",
	Remedy: "Choose the named vertices and give each the weights of its nearest bound neighbour.\n" +
		"Then make all weights whole, so that they sum to 1.",
	Source: "glTF 2.0, Skinned Mesh Attributes: the weights of a vertex sum to 1",
	Lens:   "count",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		limit := d.Limit("vertices")
		for i := range f.Skins {
			k := &f.Skins[i]
			if n := float64(k.UnboundAt.Count); n > limit.Value {
				d.Found(limit, "vertices", n, k.UnboundAt.where(k.Skin)).Subject = f.subject(&k.UnboundAt)
			}
		}
	},
}
