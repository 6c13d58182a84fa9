package intake

import (
	"math"

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
		// Turns alike within a tenth of a degree are one: no two that begin lie in one cell.
		const tenth = 0.1
		var order [][]int
		first := map[int64]int{}
		for i := range f.Anchors {
			at, g := int64(f.Anchors[i].TurnDegrees/tenth), -1
			for c := at - 1; c <= at+1; c++ {
				if k, ok := first[c]; ok && (g < 0 || k < g) && math.Abs(f.Anchors[order[k][0]].TurnDegrees-f.Anchors[i].TurnDegrees) <= tenth {
					g = k
				}
			}
			switch {
			case g >= 0:
				order[g] = append(order[g], i)
			case f.Anchors[i].TurnDegrees > turn.Value:
				first[at] = len(order)
				order = append(order, []int{i})
			}
		}
		for _, of := range order {
			w, roots, meshes := check.Nowhere(), 0, 0
			var nodes once
			for _, i := range of {
				if b := &f.Anchors[i]; b.Skin >= 0 {
					roots++
					w.Joints, w.Skin = append(w.Joints, b.Node), b.Skin
				} else {
					meshes++
				}
				nodes.take(f.Anchors[i].Turned...)
			}
			w.Nodes = nodes.list
			a := &f.Anchors[of[0]]
			g := d.Found(turn, "turn above", a.TurnDegrees, w)
			g.Subject = say.Quantity(a.TurnDegrees, say.Degree) + " above " + anchorText(roots, meshes)
		}
	},
}

// turnedNodes are all nodes with a rotation above something.
func turnedNodes(f *Facts) []rig.Node {
	var nodes once
	for i := range f.Anchors {
		nodes.take(f.Anchors[i].Turned...)
	}
	return nodes.list
}
