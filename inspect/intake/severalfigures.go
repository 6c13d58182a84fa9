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
	Measure: "skeletons of a recognised kind that share no shell and stand apart, or are whole people each",
	Limits:  []check.Limit{{Name: "figures", Unit: say.Figures, Value: 1, Grade: check.Note}},
	Why: "Two figures have two middles, two grounds to stand on and every role twice. " +
		"Each is examined by itself here, and its findings bear its name. Figures that repeat another are examined once.",
	Remedy: "Leave them together when they belong to one scene.\n" +
		"Where each is to be bound, moved or carried over alone, save each in a file of its own.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if f.EndSites > 0 { // a capture: joints alone are figures
			return ""
		}
		return needsSurface(f)
	},
	Judge: func(f *Facts, d *check.Docket) {
		l := d.Limit("figures")
		if float64(len(f.Figures)) <= l.Value {
			return
		}
		w := check.Nowhere()
		var names []string
		unlike := 0
		for i := range f.Figures {
			g := &f.Figures[i]
			w.Nodes = append(w.Nodes, g.Surfaces...)
			w.Joints = append(w.Joints, g.Node)
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
	},
}

// several lists the figures where there are two or more.
func (f *Facts) several(e *exam.Exam) {
	f.Figures = []OneFigure{}
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
			if box := own.BodyBox(); !box.IsEmpty() {
				height, low := finite(own.Height()), finite(box.Min[1])
				one.Height, one.Ground = &height, &low
			}
		}
		f.Figures = append(f.Figures, one)
	}
}
