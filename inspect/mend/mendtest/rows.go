// Package mendtest holds what proofs of all mends share: the table of mends with values
// that give each something to do on a figure, whatever figure it is, and files dressed with
// what no program knows.
package mendtest

import (
	"fmt"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Row is one mend of the table, by its id, with its values.
type Row struct {
	Name   string // "even halve": in the words of a file name
	Mend   string
	Values map[string]any
	After  *Row // this one is done first
}

// Rows lists every mend of the table with values for a figure: one row at least a mend, one
// for each form that writes another way. A row may be refused; a test of the table asks that
// each is done on some figure.
func Rows(r *rig.Rig) []Row {
	e := exam.New(r)
	size := e.Size()
	rows := []Row{
		{Name: "scale found", Mend: "scale"},
		{Name: "scale half", Mend: "scale", Values: map[string]any{"factor": 0.5, "ground": true}},
		{Name: "scale stand", Mend: "scale", Values: map[string]any{"stand": true}},
		{Name: "weld found", Mend: "weld"},
		{Name: "weld near", Mend: "weld", Values: map[string]any{"distance": 1e-4 * size, "unused": true, "average": true}},
		{Name: "even draw", Mend: "even", Values: map[string]any{"form": "draw", "from": "left"}},
		{Name: "even mean", Mend: "even", Values: map[string]any{"form": "draw", "from": "mean"}},
		{Name: "even halve", Mend: "even", Values: map[string]any{"form": "halve", "from": "left"}},
		{Name: "even weights", Mend: "even", Values: map[string]any{"form": "weights", "from": "left"}},
		{Name: "fit", Mend: "fit"},
		{Name: "bind", Mend: "bind"},
		{Name: "clean whole", Mend: "clean"},
		{Name: "clean all", Mend: "clean", Values: map[string]any{"unbound": true, "strays": true, "cross": true, "seams": true, "faint": 0.05, "four": true}},
		{Name: "names plain", Mend: "names"},
		{Name: "names roles", Mend: "names", Values: map[string]any{"roles": true}},
		{Name: "rest T", Mend: "rest"},
		{Name: "rest bound", Mend: "rest", Values: map[string]any{"bound": true, "pose": "stay"}},
		{Name: "rest moment", Mend: "rest", Values: moment(r, nil)},
		{Name: "rebind seen", Mend: "rebind", Values: map[string]any{"pose": "A", "way": "seen", "price": 1.0}},
		{Name: "rebind dual", Mend: "rebind", Values: map[string]any{"pose": "T", "way": "dual", "price": 1.0, "elbows": true}},
		{Name: "rebind moment", Mend: "rebind", Values: moment(r, map[string]any{"way": "clips", "price": 1.0})},
		{Name: "hang", Mend: "hang", Values: hung(r)},
		{Name: "part roles", Mend: "part", Values: map[string]any{"surfaces": []any{firstSurface(r)}, "out": 0.01}},
		{Name: "part stands", Mend: "part", Values: map[string]any{"surfaces": []any{firstSurface(r)}, "lay": "as it stands", "forward": 0.2, "weights": "its own", "joints": "all"}},
		{Name: "part hides", Mend: "part", Values: map[string]any{"surfaces": []any{firstSurface(r)}, "lay": "by size", "factor": 1.1, "hide": 0.001}},
		{Name: "gear surface", Mend: "gear", Values: map[string]any{"surfaces": []any{firstSurface(r)}}},
		{Name: "gear piece", Mend: "gear", Values: map[string]any{"pieces": somePiece(e)}},
		{Name: "gear all", Mend: "gear", Values: map[string]any{"gear": true}},
		{Name: "carry all", Mend: "carry"},
		{Name: "carry turns", Mend: "carry", Values: map[string]any{"clips": []any{"0"}, "feet": false}},
		{Name: "trim", Mend: "trim", Values: part(r)},
		{Name: "trim stays", Mend: "trim", Values: with(part(r), "begin", false)},
		{Name: "travel", Mend: "travel", Values: map[string]any{"clips": []any{"0"}}},
		{Name: "travel straight", Mend: "travel", Values: map[string]any{"clips": []any{"0"}, "to": "root, straight"}},
		{Name: "travel nowhere", Mend: "travel", Values: map[string]any{"clips": []any{"0"}, "to": "nowhere"}},
		{Name: "loop found", Mend: "loop"},
		{Name: "loop first", Mend: "loop", Values: map[string]any{"clips": []any{"0"}, "over": 0.25}},
		{Name: "follow found", Mend: "follow"},
		{Name: "follow tip", Mend: "follow", Values: map[string]any{"chains": tip(r), "clips": []any{"0"}}},
		{Name: "sway found", Mend: "sway"},
		{Name: "sway tip", Mend: "sway", Values: map[string]any{"chains": tip(r), "clips": []any{"0"}, "curl": 10.0, "set": []any{"0.1 20", "0.3 -20"}}},
		{Name: "springs tip", Mend: "springs", Values: map[string]any{"chains": tip(r)}},
		{Name: "thin", Mend: "thin"},
		{Name: "thin coarse", Mend: "thin", Values: map[string]any{"tolerance": min(1, 0.01*size)}},
		{Name: "lighter half", Mend: "lighter"},
		{Name: "lighter tenth", Mend: "lighter", Values: map[string]any{"share": 0.1, "picture": 0.0}},
		{Name: "sweep", Mend: "sweep"},
	}
	return append(rows,
		Row{Name: "fit bind", Mend: "bind", After: &Row{Mend: "fit"}},
		Row{Name: "gear sweep", Mend: "sweep", After: &Row{Mend: "gear", Values: map[string]any{"surfaces": []any{firstSurface(r)}}}},
		Row{Name: "thin sweep", Mend: "sweep", After: &Row{Mend: "thin"}})
}

// moment is the middle of the longest clip as a pose.
func moment(r *rig.Rig, more map[string]any) map[string]any {
	out := map[string]any{"pose": "moment"}
	for k, v := range more {
		out[k] = v
	}
	longest := 0.0
	for i := range r.Clips {
		if c := &r.Clips[i]; c.Seconds-c.Start > longest {
			longest = c.Seconds - c.Start
			out["clip"], out["seconds"] = fmt.Sprint(i), (c.Start+c.Seconds)/2
		}
	}
	return out
}

// part is the middle half of the first clip.
func part(r *rig.Rig) map[string]any {
	if len(r.Clips) == 0 {
		return nil
	}
	c := &r.Clips[0]
	return map[string]any{"clip": "0", "from": c.Start + (c.Seconds-c.Start)/4, "to": c.Seconds - (c.Seconds-c.Start)/4}
}

func with(v map[string]any, name string, value any) map[string]any {
	out := map[string]any{name: value}
	for k, x := range v {
		out[k] = x
	}
	return out
}

// hung is the deepest joint hung two higher.
func hung(r *rig.Rig) map[string]any {
	on := map[string]any{}
	if n, above := deepest(r); n >= 0 {
		on[fmt.Sprintf("#%d", n)] = fmt.Sprintf("#%d", above)
	}
	return map[string]any{"on": on}
}

// tip is the end of the longest chain of joints: the deepest with that above it.
func tip(r *rig.Rig) []any {
	n, _ := deepest(r)
	if n < 0 {
		return nil
	}
	return []any{fmt.Sprintf("#%d", r.Nodes[n].Parent)}
}

// deepest is the joint that lies deepest below another two above it; None: there is none.
func deepest(r *rig.Rig) (found, above rig.Node) {
	joint := make([]bool, len(r.Nodes))
	for _, s := range r.Skins {
		for _, n := range s.Joints {
			if n >= 0 && int(n) < len(joint) {
				joint[n] = true
			}
		}
	}
	depth := make([]int, len(r.Nodes))
	found, above = rig.None, rig.None
	most := 0
	for _, n := range r.Order {
		p := r.Nodes[n].Parent
		if p < 0 {
			continue
		}
		depth[n] = depth[p] + 1
		if up := r.Nodes[p].Parent; joint[n] && up >= 0 && joint[up] && depth[n] > most {
			most, found, above = depth[n], n, up
		}
	}
	return found, above
}

// somePiece is a place on the piece that holds the last triangle of the first surface.
func somePiece(e *exam.Exam) []any {
	if len(e.Rig.Surfaces) == 0 {
		return nil
	}
	list := e.Rig.Meshes[e.Rig.Surfaces[0].Mesh].Triangles
	if len(list) == 0 {
		return nil
	}
	v := 3 * list[len(list)-1]
	p := e.RestPositions(0)[v : v+3]
	return []any{fmt.Sprint(p[0], " ", p[1], " ", p[2])}
}

// firstSurface is what the table of mends calls the first surface.
func firstSurface(r *rig.Rig) string {
	if len(r.Surfaces) == 0 {
		return ""
	}
	if name := r.Nodes[r.Surfaces[0].Node].Name; name != "" {
		return name
	}
	return "#1"
}
