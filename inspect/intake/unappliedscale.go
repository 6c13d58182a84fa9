package intake

import (
	"fmt"
	"math"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var unappliedScale = check.Check[Facts]{
	ID:      "intake/unapplied-scale",
	Title:   "Scale not applied",
	Measure: "largest difference from 1 of the scales multiplied from the scene root down to each skeleton root or mesh, axis by axis",
	Limits:  []check.Limit{{Name: "off", Unit: say.OffOne, Value: 0.001, Grade: check.Flaw}},
	Why:     "The numbers in the file and the size on the stage differ by this factor. Programs that read only one of the two, such as physics, constraints or a second import, see a figure of another size.",
	Remedy:  "Apply the scale to mesh and skeleton together, so that every node above them has scale 1.\nExport in metres.\nExamine the new file: the height must be as it was.",
	Source:  "common practice, no source; metres: glTF 2.0, Coordinate System and Units",
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("off")
		all := func(a *Anchor) bool { return !a.OnScaledJoint }
		begins := func(a *Anchor) bool { return farFromOne(a.Scale) > l.Value }
		for _, p := range grouped(f.Anchors, all, begins, func(*Anchor) bool { return false }) {
			a := &f.Anchors[p.of[0]]
			g := d.Found(l, "scale", farFromOne(a.Scale), p.where)
			g.Subject = fmt.Sprintf("factor %s above %s", factorText(a.Scale), anchorText(p.roots, p.meshes))
			if p.both {
				g.Subject += "; skeleton root and skinned mesh both stand under it"
			}
			axes := []string{"factor x", "factor y", "factor z"}
			if isEven(a.Scale) {
				axes = []string{"factor"}
			}
			for c, name := range axes {
				g.Measures = append(g.Measures, check.Also(name, a.Scale[c], say.Factor))
			}
			g.Measures = append(g.Measures, check.Also("height that results", f.Height, say.Metre))
		}
	},
	Needs: needsAnchor,
}

// needsAnchor answers why there is nothing to look at.
func needsAnchor(f *Facts) string {
	if len(f.Anchors) == 0 {
		return exam.Lacks("surface", f.NotHonored)
	}
	return ""
}

func farFromOne(s [3]float64) float64 {
	return max(math.Abs(s[0]-1), math.Abs(s[1]-1), math.Abs(s[2]-1))
}

func isEven(s [3]float64) bool { return alike(s, [3]float64{s[0], s[0], s[0]}) }

func factorText(s [3]float64) string {
	if isEven(s) {
		return say.Plain(s[0])
	}
	return say.Plain(s[0]) + " · " + say.Plain(s[1]) + " · " + say.Plain(s[2])
}

func anchorText(roots, meshes int) string {
	switch {
	case meshes == 0:
		return say.Regular(roots, "skeleton root")
	case roots == 0:
		return say.Regular(meshes, "mesh")
	}
	return say.Regular(roots, "skeleton root") + " and " + say.Regular(meshes, "mesh")
}

// nodesOf lists the nodes of some surfaces.
func nodesOf(f *Facts, at []int) (out []rig.Node) {
	for _, i := range at {
		out = append(out, f.PerSurface[i].Node)
	}
	return out
}
