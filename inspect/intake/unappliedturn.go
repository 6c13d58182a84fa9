package intake

import (
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var unappliedTurn = check.Check[Facts]{
	ID:      "intake/unapplied-turn",
	Title:   "Turn not applied",
	Measure: "rotation above each skeleton root or mesh; angle between the trunk and straight up",
	Limits: []check.Limit{
		{Name: "turn", Unit: say.Degree, Value: 0.5, Grade: check.Note},
		{Name: "lies", Unit: say.Degree, Value: 60, Grade: check.Flaw},
	},
	Why:    "A turn above the figure is often the trace of a change of axes, z up to y up. A program that reads the parts without that node shows the figure lying down.",
	Remedy: "Apply the turn to mesh and skeleton together, so that the nodes above them are unturned.\nIf the figure lies, turn it upright first: +Y is up.",
	Source: "+Y up: glTF 2.0, Coordinate System and Units; limits: common practice, no source",
	Needs:  needsAnchor,
	Judge: func(f *Facts, d *check.Docket) {
		turn, lies := d.Limit("turn"), d.Limit("lies")
		if f.Figure.Kind == "human" && f.Figure.Lies > lies.Value {
			w := check.Nowhere()
			w.Nodes = turnedNodes(f)
			if f.Figure.Hips >= 0 {
				w.Joints = append(w.Joints, f.Figure.Hips)
			}
			g := d.Found(lies, "off upright", f.Figure.Lies, w)
			g.Subject = "the figure lies"
			g.Measures = append(g.Measures, check.Held(turn, "turn above", f.RootTurnDegrees))
		}
		done := make([]bool, len(f.Anchors))
		for i := range f.Anchors {
			a := &f.Anchors[i]
			if done[i] || !(a.TurnDegrees > turn.Value) {
				continue
			}
			w := check.Nowhere()
			roots, meshes := 0, 0
			for k := i; k < len(f.Anchors); k++ {
				b := &f.Anchors[k]
				if done[k] || math.Abs(b.TurnDegrees-a.TurnDegrees) > 0.1 {
					continue
				}
				done[k] = true
				if b.Skin >= 0 {
					roots++
					w.Joints, w.Skin = append(w.Joints, b.Node), b.Skin
				} else {
					meshes++
				}
				for _, n := range b.Turned {
					if !slices.Contains(w.Nodes, n) {
						w.Nodes = append(w.Nodes, n)
					}
				}
			}
			g := d.Found(turn, "turn above", a.TurnDegrees, w)
			g.Subject = say.Quantity(a.TurnDegrees, say.Degree) + " above " + anchorText(roots, meshes)
		}
	},
}

// turnedNodes are all nodes with a rotation above something.
func turnedNodes(f *Facts) (out []rig.Node) {
	for i := range f.Anchors {
		for _, n := range f.Anchors[i].Turned {
			if !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}
