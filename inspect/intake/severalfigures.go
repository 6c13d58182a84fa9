package intake

import (
	"fmt"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// OneFigure is one of several figures in a file.
type OneFigure struct {
	Name      string     `json:"name"`
	Node      rig.Node   `json:"node"`     // its topmost joint
	Surfaces  []rig.Node `json:"surfaces"` // nodes
	Like      *string    `json:"like"`     // the figure that it repeats and that stands for it; null
	Kind      *string    `json:"kind"`     // null: not examined by itself
	Certainty *float64   `json:"certainty"`
	Height    *float64   `json:"body_height"` // metres
	Ground    *float64   `json:"lowest_y"`    // metres
	Joints    int        `json:"joints"`
}

var severalFigures = check.Check[Facts]{
	ID:      "intake/several-figures",
	Title:   "Several figures",
	Measure: "skeletons of a recognised kind (without joints: surfaces) that share no shell and stand apart, or are whole people each; whole figures that share a shell are counted and not told apart",
	Limits:  []check.Limit{{Name: "figures", Unit: say.Figures, Value: 1, Grade: check.Note}},
	Why: "Two figures (characters) have two middles, two grounds to stand on and every role twice. " +
		"Each is examined by itself here, and its findings bear its name. Figures that repeat another are examined once.",
	Remedy: "Leave them together when they belong to one scene.\n" +
		"Where each is to be bound, moved or carried over alone, save each in a file of its own.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if len(f.Figures) == 0 && f.Fused == 0 && f.Unsought != "" {
			return f.Unsought
		}
		if f.EndSites > 0 || len(f.Figures) > 0 { // joints alone are figures
			return ""
		}
		return needsSurface(f)
	},
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("figures")
		if n := float64(f.Fused); n > l.Value {
			found := d.Found(l, "figures", n, check.Nowhere())
			found.Title = "Figures in one surface"
			found.Subject = "whole skeletons that share a piece of surface"
			found.Why = "Each skeleton is a figure of its own, but a piece of the surface hangs on more than one, so nothing tells which part of it is whose. " +
				"What asks about one figure, its sides, its proportions, its height, is not looked at here."
			found.Remedy = "Part the surface where one figure meets the other, so that no triangle hangs on both, and examine the file again.\n" +
				"Where they are meant to be one, check sides and roles by eye."
			return
		}
		if float64(len(f.Figures)) <= l.Value {
			return
		}
		w := check.Nowhere()
		var names []string
		unlike := 0
		for i := range f.Figures {
			g := &f.Figures[i]
			w.Nodes = append(w.Nodes, g.Surfaces...)
			if g.Node >= 0 {
				w.Joints = append(w.Joints, g.Node)
			}
			if g.Like == nil {
				unlike++
				names = append(names, g.Name)
			}
		}
		slices.Sort(w.Nodes)
		found := d.Found(l, "figures", float64(len(f.Figures)), w)
		found.Subject = exam.Listed(names)
		if unlike < len(f.Figures) {
			found.Subject += fmt.Sprintf(", and %d that repeat them", len(f.Figures)-unlike)
		}
		unseen := 0
		for i := range f.Figures {
			if f.Figures[i].Like == nil && f.Figures[i].Kind == nil {
				unseen++
			}
		}
		if unseen > 0 {
			found.Why += " Here " + say.Count(unseen, "figure is", "figures are") + " not examined: there are too many that differ."
		}
		if f.Unsought != "" {
			found.Why += " Not all was looked at: " + f.Unsought + "."
		}
	},
}

// several lists the figures where there are two or more.
func (f *Facts) several(e *exam.Exam) {
	f.Figures, f.Fused, f.Unsought = []OneFigure{}, e.Fused(), e.Unsought()
	figures := e.Figures()
	for i := range figures {
		g := &figures[i]
		one := OneFigure{Name: g.Name, Node: g.Top, Joints: len(g.Joints)}
		for _, s := range g.Surfaces {
			one.Surfaces = append(one.Surfaces, e.Rig.Surfaces[s].Node)
		}
		if g.Like >= 0 {
			one.Like = &figures[g.Like].Name
		}
		if own := g.Exam; own != nil {
			roles := own.Roles()
			kind := roles.Kind.String()
			one.Kind, one.Certainty = &kind, &roles.Certainty
			if shape := own.FromSurface(); len(g.Joints) == 0 && shape != nil {
				kind, one.Certainty = shape.Kind.String(), &shape.Certainty
			}
			if box := own.BodyBox(); !box.IsEmpty() {
				height, low := finite(own.Height()), finite(box.Min[1])
				one.Height, one.Ground = &height, &low
			}
		}
		f.Figures = append(f.Figures, one)
	}
}
