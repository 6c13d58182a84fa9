package binding

import (
	"cmp"
	"math"
	"slices"

	"rigloupe/inspect/check"
	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

// Four tells what is lost where players keep four influences a vertex.
type Four struct {
	At        Group   `json:"at"`
	Vertices  int     `json:"vertices"`       // with more than four that a triangle uses
	Lost      float64 `json:"lost_strongest"` // largest share of a vertex's weight outside its strongest four
	LostFirst float64 `json:"lost_first"`     // and outside the first four stored
	Outside   int     `json:"strong_outside"` // vertices with one of the strongest four outside the first four
	Shift     Opening `json:"shift"`          // over the bend set, strongest four made whole, against all made whole
	Tried     int     `json:"tried"`          // vertices that the bend set was tried on
	OutsideAt Group   `json:"outside_at"`
}

// cutToFour measures all skinned surfaces.
func (f *Facts) cutToFour(e *exam.Exam, bend func() *mover) {
	type candidate struct {
		surface int
		v       rig.Vertex
		lost    float64
	}
	var all []candidate
	c := &f.Four
	c.Shift = closed()
	for i, s := range e.Rig.Surfaces {
		m := &e.Rig.Meshes[s.Mesh]
		if s.Skin < 0 || m.K <= 4 {
			continue
		}
		for v, count := range f.Counts[i] {
			if count <= 4 || !f.used[i][v] {
				continue
			}
			slots := strongest(m, rig.Vertex(v))
			sum, four, first, outside := 0.0, 0.0, 0.0, false
			for k, slot := range slots {
				w := float64(m.Weights[v*m.K+slot])
				sum += w
				if k < 4 {
					four += w
				}
				if slot < 4 {
					first += w
				} else if k < 4 {
					outside = true
				}
			}
			if !(sum > 0) {
				continue
			}
			c.At.add(i, rig.Vertex(v))
			lost, lostFirst := max(0, 1-four/sum), max(0, 1-first/sum)
			c.Lost, c.LostFirst = max(c.Lost, lost), max(c.LostFirst, lostFirst)
			// About as strong as the weakest in the first set is as good.
			if outside && first < four-faintWeight {
				c.Outside++
				c.OutsideAt.add(i, rig.Vertex(v))
			}
			all = append(all, candidate{i, rig.Vertex(v), lost})
		}
	}
	c.Vertices = c.At.Count
	if len(all) == 0 {
		return
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(b.lost, a.lost) })
	c.Tried = min(len(all), mostMoving)
	f.watch.Spend(stage)
	move := bend()
	for _, a := range all[:c.Tried] {
		if !f.watch.Spend(move.work(2)) {
			return
		}
		m := &e.Rig.Meshes[e.Rig.Surfaces[a.surface].Mesh]
		slots := strongest(m, a.v)
		o := move.widest([][]hold{move.holds(a.surface, a.v, slots, true), move.holds(a.surface, a.v, slots[:4], true)})
		if o.Metres > c.Shift.Metres && !math.IsInf(o.Metres, 0) {
			c.Shift = o
		}
	}
	c.At.enclose(f)
	c.OutsideAt.enclose(f)
}

// On real figures: true of the skinned quad, by its making. One corner hangs on ten
// joints, none above 22 %; when one of them turns by 90° the strongest four put it 25.9
// m from its place, on a plane that a scale of 100 makes 283 m wide.
var cutToFour = check.Check[Facts]{
	ID:      "binding/cut-to-four",
	Title:   "Cost of four influences",
	Measure: "largest shift of a vertex over the bend set when only its four strongest weights are kept and made whole",
	Limits: []check.Limit{
		{Name: "shift", Unit: say.TimesDiagonal, Value: 0.005, Grade: check.Flaw},
		{Name: "vertices", Unit: say.Vertices, Value: 0, Grade: check.Note},
		{Name: "outside", Unit: say.Vertices, Value: 0, Grade: check.Note},
	},
	Why: "A player may read one set of four influences and drop the rest. " +
		"What is dropped is missing from the sum: even made whole, the vertex goes elsewhere when the figure bends.",
	Remedy: "Limit the weights to four a vertex before exporting and make them whole; then look at the worst joint again.\n" +
		"Where more than four are meant to stay, store the strongest four in the first set.",
	Source: "glTF 2.0, Skinned Mesh Attributes: a client may support one set of four influences; the limit is common practice, no source",
	Needs:  needsSkin,
	Judge: func(f *Facts, d *check.Docket) {
		shift, vertices, outside := d.Limit("shift"), d.Limit("vertices"), d.Limit("outside")
		c := &f.Four
		share := 0.0
		if f.Diagonal > 0 {
			share = c.Shift.Metres / f.Diagonal
		}
		where := c.At.where(rig.None)
		if c.Shift.Joint >= 0 {
			where.Joints = []rig.Node{c.Shift.Joint}
		}
		var found *check.Finding
		switch {
		case share > shift.Value:
			found = d.Found(shift, "shift", share, where)
			found.Measures = append(found.Measures, check.Also("vertices", float64(c.Vertices), say.Vertices))
		case float64(c.Vertices) > vertices.Value:
			found = d.Found(vertices, "vertices", float64(c.Vertices), where)
		}
		if found != nil {
			found.Subject = f.subject(&c.At)
			found.Measures = append(found.Measures,
				check.Also("shift in metres", c.Shift.Metres, say.Metre),
				check.Also("weight lost by the strongest four", c.Lost, say.Unit{}),
				check.Also("weight lost by the first four", c.LostFirst, say.Unit{}))
		}
		if n := float64(c.Outside); n > outside.Value {
			found := d.Found(outside, "strong weights outside the first set", n, c.OutsideAt.where(rig.None))
			found.Subject = f.subject(&c.OutsideAt)
		}
	},
}
