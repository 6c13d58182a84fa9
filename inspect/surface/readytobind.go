package surface

import (
	"fmt"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
)

var readyToBind = check.Check[Facts]{
	ID:      "surface/ready-to-bind",
	Title:   "Not ready to bind",
	Measure: "of the body, without gear: faults that make automatic binding fail: seams that miss, near-coincident vertices, branching edges, the main shell inside out; else what to see to first. Of a figure that is bound already: the same, were it bound anew",
	Limits: []check.Limit{
		{Name: "blocks", Unit: say.Faults, Value: 0, Grade: check.Stop},
		{Name: "steps", Unit: say.Faults, Value: 0, Grade: check.Note},
		{Name: "bound", Unit: say.Faults, Value: 0, Grade: check.Note},
	},
	Why: "Automatic binding (automatic weights) reads the surface as the skin of one body. " +
		"Where it is not that, weights come out empty or torn, and painting them by hand takes longer than mending the surface.",
	Remedy: "Mend in the order given, then examine the surface again.",
	Source: "common practice, no source",
	Needs: func(f *Facts) string {
		if f.Ready.Verdict == cannotTell {
			return tooDeep
		}
		return needsTriangles(f)
	},
	Judge: func(f *Facts, d *check.Docket) {
		steps := f.Ready.Steps
		blocks := 0
		var lines []string
		for _, s := range steps {
			if s.Blocks {
				blocks++
			}
			lines = append(lines, s.Do)
		}
		w := f.gather(func(s *Surface) bool {
			return !s.Gear && s.SeamEdges+s.NearPairs-s.HeldApart+s.Branching+s.Mixed+s.ZeroArea+s.InsideOut > 0
		}, func(s int) (vertices []rig.Vertex, _ [][2]rig.Vertex) {
			x := &f.Sheets[s]
			for _, list := range [][][2]rig.Vertex{x.Seams, x.Near, x.Branching, x.Mixed} {
				vertices = append(vertices, ends(list)...)
			}
			vertices = append(vertices, f.corners(s, x.Thin)...)
			if f.Surfaces[s].InsideOut > 0 {
				vertices = append(vertices, f.shellVertices(s, func(p *Shell) bool { return p.InsideOut })...)
			}
			return vertices, nil
		})
		var found *check.Finding
		switch hard, soft, anew := d.Limit("blocks"), d.Limit("steps"), d.Limit("bound"); {
		case f.Ready.Bound:
			if float64(len(steps)) <= anew.Value {
				return
			}
			found = d.Found(anew, "faults", float64(len(steps)), w)
			found.Title = "Before binding anew"
			found.Why = "The figure is bound, and nothing of this stops it from moving. Were it bound anew (automatic weights), these would stand in the way, or make the weights worse."
			lines = append(lines, "Only if the figure is to be bound anew: mending the surface may change the order of its vertices, and the binding with it.")
		case float64(blocks) > hard.Value:
			found = d.Found(hard, "faults", float64(blocks), w)
			found.Measures = append(found.Measures, check.Also("steps in all", float64(len(steps)), say.Steps))
		case float64(len(steps)) > soft.Value:
			found = d.Found(soft, "faults", float64(len(steps)), w)
			found.Title = "Ready after mending"
			found.Why = "Automatic binding will work on this surface. It works better once these are mended, and they are harder to mend afterwards."
		default:
			return
		}
		found.Subject = "first: " + steps[0].What
		found.Remedy = strings.Join(lines, "\n")
	},
}

// cannotTell is the verdict where nothing blocks as far as it was looked at, but
// which way the main shell faces is not known.
const cannotTell = "cannot-tell"

// Ready is the verdict, and what to do before the surface is bound, in order.
type Ready struct {
	Verdict string `json:"verdict"` // "ready", "after-steps", "not-yet"; "cannot-tell"; "nothing-to-bind" without a triangle
	Bound   bool   `json:"bound"`   // the body is bound already: the verdict is that of binding it anew
	Steps   []Step `json:"steps"`
	Says    string `json:"says"` // the verdict in a sentence; "" without a triangle
}

// Step is one thing to mend.
type Step struct {
	ID     string `json:"id"` // of the check that tells more
	What   string `json:"what"`
	Do     string `json:"do"`
	Blocks bool   `json:"blocks"` // automatic binding tends to fail while it stands
}

// readiness orders the steps so that none undoes another: welding first, since it
// closes gaps and empties triangles; then what is too much; then directions; then
// what is missing. Gear is bound by hanging it on a joint, so it has no say.
func (f *Facts) readiness(bound bool) Ready {
	r := Ready{Verdict: "ready", Steps: []Step{}, Bound: bound}
	if f.Triangles == 0 {
		r.Verdict = "nothing-to-bind"
		return r
	}
	step := func(count int, id, one, many, do string, blocks bool) {
		if count > 0 {
			r.Steps = append(r.Steps, Step{"surface/" + id, say.Whole(count) + " " + say.Word(count, one, many), do, blocks})
		}
	}
	pairs, seams, flat, branching, mixed, inside := 0, 0, 0, 0, 0, 0
	suggested := 0.0
	for i := range f.Surfaces {
		s := &f.Surfaces[i]
		if s.Gear {
			continue
		}
		pairs, flat = pairs+s.NearPairs-s.HeldApart, flat+s.ZeroArea
		branching, mixed, inside = branching+s.Branching, mixed+s.Mixed, inside+s.InsideOut
		if s.seamShare() > seamShare {
			seams += s.SeamEdges
		}
		if s.Suggested != nil {
			suggested = max(suggested, *s.Suggested)
		}
	}
	if seams > 0 {
		pairs = 0 // they are its corners
	}
	weld := "Weld the vertices that lie almost in one place"
	if suggested > 0 {
		weld += ", at " + say.Metres(suggested)
	}
	main := f.main()
	outer, others := 0, inside
	if main >= 0 && f.Pieces[main].InsideOut {
		outer, others = 1, others-1
	}
	step(seams, "near-coincident", "open edge beside the one it should be joined to", "open edges beside those they should be joined to", weld+".", true)
	step(pairs, "near-coincident", "pair of vertices almost in one place", "pairs of vertices almost in one place", weld+".", true)
	step(flat, "slivers", "triangle without area", "triangles without area", "Remove the triangles without area.", false)
	step(branching, "branching-edges", "edge where the surface branches", "edges where the surface branches", "Delete walls inside the body, and part what only touches.", true)
	step(mixed, "mixed-winding", "edge between neighbours that face opposite ways", "edges between neighbours that face opposite ways", "Turn the triangles over that face inwards.", false)
	step(outer, "inside-out", "main shell, inside out", "main shells inside out", "Turn the main shell over: it is inside out.", true)
	step(others, "inside-out", "shell inside out", "shells inside out", "Turn the smaller shells over that are inside out.", false)
	if branching+pairs+seams+outer > 0 {
		r.Verdict = "not-yet"
	} else if !f.Nested {
		r.Verdict = cannotTell
	} else if len(r.Steps) > 0 {
		r.Verdict = "after-steps"
	}
	r.Says = r.sentence()
	return r
}

// sentence says the verdict, and how much there is to do first.
func (r *Ready) sentence() string {
	first := ""
	switch n := len(r.Steps); {
	case n == 1:
		first = " See to this first: " + r.Steps[0].What + "."
	case n > 1:
		first = fmt.Sprintf(" See to %d things first, beginning with %s.", n, r.Steps[0].What)
	}
	switch {
	case r.Bound && len(r.Steps) == 1:
		return "Bound already. Were it bound anew, this would come first: " + r.Steps[0].What + "."
	case r.Bound && len(r.Steps) > 1:
		return fmt.Sprintf("Bound already. Were it bound anew, %d things would come first, beginning with %s.", len(r.Steps), r.Steps[0].What)
	case r.Bound:
		return "Bound already."
	}
	switch r.Verdict {
	case "ready":
		return "Ready to be bound."
	case "after-steps":
		return "Can be bound." + first
	case "not-yet":
		return "Not ready to be bound." + first
	}
	return "Whether it is ready to be bound cannot be told: nothing says which way the main shell faces." + first
}

// main is the shell of the body with the largest area; −1: none.
func (f *Facts) main() int {
	best := -1
	for i := range f.Pieces {
		if f.Surfaces[f.Pieces[i].Surface].Gear {
			continue
		}
		if best < 0 || f.Pieces[i].Area > f.Pieces[best].Area {
			best = i
		}
	}
	return best
}
