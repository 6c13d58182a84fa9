package found

import (
	"fmt"
	"slices"

	"rigloupe/inspect"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/surface"
	"rigloupe/viewer/marks"
	"rigloupe/viewer/scene"
)

func needsSheets(r *inspect.Result) string {
	switch f := inspect.FactsOf[surface.Facts](r); {
	case f == nil:
		return "Surface was not looked at"
	case len(f.Pieces) == 0:
		return "no triangles in this file"
	}
	return ""
}

// shellInks gives every shell an ink, twelve in turn.
func shellInks(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[surface.Facts](r)
	f := &scene.Field{Kind: scene.ByCategory, Values: make([][]float32, len(b.Sheets))}
	for s := range b.Sheets {
		of := b.Sheets[s].Shell
		if of == nil {
			continue
		}
		weld := r.Exam.Weld(r.Exam.Rig.Surfaces[s].Mesh) // shells go by place, the figure is drawn by vertex
		f.Values[s] = filled(len(weld.Of), nan)
		for v, g := range weld.Of {
			i := of[v]
			if i < 0 {
				i = of[weld.First[g]]
			}
			if i >= 0 {
				f.Values[s][v] = float32(i)
			}
		}
	}
	closed := 0
	for i := range b.Pieces {
		if b.Pieces[i].Closed {
			closed++
		}
	}
	f.Caption = fmt.Sprintf("Shells. %s, %s closed, %s so small that they look like crumbs.", say.Count(len(b.Pieces), "shell", "shells"), say.Whole(closed), say.Whole(b.Crumbs))
	return f
}

// winding flags triangles that run the other way.
func winding(r *inspect.Result, _ Params) *scene.Field {
	b := inspect.FactsOf[surface.Facts](r)
	f := &scene.Field{Kind: scene.ByCategory, Triangles: make([][]uint8, len(b.Sheets)), Names: []string{"against its shell", "inside out"}}
	turned, inward := 0, 0
	for s := range b.Sheets {
		f.Triangles[s] = b.Sheets[s].Winding
		for _, w := range b.Sheets[s].Winding {
			switch w {
			case surface.Turned:
				turned++
			case surface.Inward:
				inward++
			}
		}
	}
	f.Caption = fmt.Sprintf("Winding. %s against most of the shell, %s of shells that are inside out.", say.Count(turned, "triangle runs", "triangles run"), say.Whole(inward))
	return f
}

// risk shows what a weld distance would cost: vertices on an edge that is lost.
// Without a distance it is the suggested one, where there is nothing to weld the
// largest that loses nothing.
func risk(r *inspect.Result, p Params) *scene.Field {
	b := inspect.FactsOf[surface.Facts](r)
	weld := p.Weld
	if !(weld > 0) {
		switch {
		case b.Suggested != nil:
			weld = *b.Suggested
		case b.Safe != nil:
			weld = *b.Safe
		}
	}
	f := &scene.Field{Kind: scene.BySteps, Values: make([][]float32, len(b.Sheets)), Names: []string{"kept", "next to go", "lost"}}
	lost, near := 0, 0
	for s := range b.Sheets {
		from := b.Sheets[s].RiskFrom
		if from == nil {
			continue
		}
		places := r.Exam.Weld(r.Exam.Rig.Surfaces[s].Mesh)
		f.Values[s] = filled(len(from), nan)
		for v, d := range from {
			if d != d { // the fact stands with the first vertex of the place
				d = from[places.First[places.Of[v]]]
			}
			switch {
			case d != d:
			case float64(d) <= weld:
				f.Values[s][v] = 2
				lost++
			case float64(d) <= 10*weld:
				f.Values[s][v] = 1
				near++
			default:
				f.Values[s][v] = 0
			}
		}
	}
	f.Caption = fmt.Sprintf("Detail at risk. Welding at %s loses an edge at %s; at ten times that, at %s more.", marks.Length(weld), say.Count(lost, "vertex", "vertices"), say.Whole(near))
	return f
}

// inkEdges are the edges of a whole surface that a check of the surface is about,
// worked out with the facts; nil: that check is not about edges.
func inkEdges(r *inspect.Result, id string, s int) [][2]rig.Vertex {
	b := inspect.FactsOf[surface.Facts](r)
	if b == nil || s >= len(b.Sheets) {
		return nil
	}
	sheet := &b.Sheets[s]
	switch id {
	case "surface/boundary-edges":
		var out [][2]rig.Vertex
		for i := range sheet.Loops {
			l := &sheet.Loops[i]
			for k := 1; k < len(l.Vertices); k++ {
				out = append(out, [2]rig.Vertex{l.Vertices[k-1], l.Vertices[k]})
			}
			if n := len(l.Vertices); l.Closed && n > 2 {
				out = append(out, [2]rig.Vertex{l.Vertices[n-1], l.Vertices[0]})
			}
		}
		return out
	case "surface/branching-edges":
		return sheet.Branching
	case "surface/mixed-winding":
		return sheet.Mixed
	case "surface/near-coincident":
		return append(slices.Clip(sheet.Seams), sheet.Near...)
	}
	return nil
}
