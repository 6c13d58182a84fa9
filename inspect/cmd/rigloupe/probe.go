package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"

	"rigloupe/inspect/deform"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/viewer/scene"
)

// probe writes out the skinning sum of one vertex.
func (p *program) probe(args []string) (int, error) {
	f := flag.NewFlagSet("probe", flag.ContinueOnError)
	var m moment
	m.flags(f)
	at := f.String("vertex", "", "")
	asJSON := f.Bool("json", false, "")
	files, err := parse(f, args)
	if err != nil {
		return 0, err
	}
	name, err := one(files)
	if err != nil {
		return 0, err
	}
	r, err := p.open(name)
	if err != nil {
		return 0, err
	}
	surface, vertex, err := vertexAt(r, *at)
	if err != nil {
		return 0, err
	}
	var st scene.State
	if err := m.resolve(r, &st); err != nil {
		return 0, err
	}
	w, ok := deform.Sum(r, posed(r, &st), surface, vertex, st.Method)
	if !ok {
		return 0, callError{fmt.Sprintf("--vertex %s: there is no such vertex", *at)}
	}
	if *asJSON {
		return exitDone, json.NewEncoder(p.out).Encode(w)
	}
	writeSum(p.out, r, w, *m.method)
	return exitDone, nil
}

// vertexAt reads NODE:PRIMITIVE:ELEMENT, the file's own indices.
func vertexAt(r *rig.Rig, text string) (surface int, v rig.Vertex, err error) {
	parts := strings.Split(text, ":")
	var n [3]int
	if len(parts) != 3 {
		return 0, 0, callError{"--vertex: want NODE:PRIMITIVE:ELEMENT, three numbers as the file counts them"}
	}
	for i := range n {
		if n[i], err = strconv.Atoi(parts[i]); err != nil || n[i] < 0 {
			return 0, 0, callError{fmt.Sprintf("--vertex %q: %q is no index", text, parts[i])}
		}
	}
	var nodes []string
	for i, s := range r.Surfaces {
		if int(s.Node) != n[0] {
			nodes = append(nodes, strconv.Itoa(int(s.Node)))
			continue
		}
		prims := r.Meshes[s.Mesh].Primitives
		if n[1] >= len(prims) {
			return 0, 0, callError{fmt.Sprintf("--vertex %q: the mesh of node %d has %d primitives", text, n[0], len(prims))}
		}
		if n[2] >= prims[n[1]].Count {
			return 0, 0, callError{fmt.Sprintf("--vertex %q: primitive %d has %d vertices", text, n[1], prims[n[1]].Count)}
		}
		return i, rig.Vertex(prims[n[1]].First + n[2]), nil
	}
	if len(nodes) == 0 {
		return 0, 0, callError{"--vertex: the file has no mesh"}
	}
	more := ""
	if len(nodes) > 12 {
		nodes, more = nodes[:12], " and more"
	}
	return 0, 0, callError{fmt.Sprintf("--vertex %q: node %d carries no mesh; %s %s%s %s", text, n[0], say.Word(len(nodes), "node", "nodes"), strings.Join(nodes, ", "), more, say.Word(len(nodes), "does", "do"))}
}

// writeSum prints the sum for a person: a block a joint, then what other rules give.
func writeSum(out io.Writer, r *rig.Rig, w *deform.Written, method string) {
	place := func(p [3]float64) string { return fmt.Sprintf("%10.5f %10.5f %10.5f", p[0], p[1], p[2]) }
	fmt.Fprintf(out, "position in the mesh       %s\n", place(w.Position))
	if w.Morphed {
		fmt.Fprintln(out, "  morph targets are in it")
	}
	fmt.Fprintf(out, "in the scene, at rest      %s\n", place(w.Rest))
	for i := range w.Terms {
		t := &w.Terms[i]
		name := r.Nodes[t.Joint].Name
		if name == "" {
			name = fmt.Sprintf("node %d", t.Joint)
		} else {
			name = strconv.Quote(name)
		}
		fmt.Fprintf(out, "\n%s  weight %.6g\n", name, t.Weight)
		for row := range 3 {
			m := t.Matrix[4*row : 4*row+4]
			fmt.Fprintf(out, "  | %9.5f %9.5f %9.5f %9.5f |\n", m[0], m[1], m[2], m[3])
		}
		fmt.Fprintf(out, "  alone it would stand at  %s\n", place(t.Alone))
		fmt.Fprintf(out, "  its part, weight × place %s\n", place(t.Adds))
		fmt.Fprintf(out, "  the sum so far           %s\n", place(t.Total))
		fmt.Fprintf(out, "  the rest still at rest   %s\n", place(t.Stands))
	}
	if len(w.Terms) > 1 {
		fmt.Fprintf(out, "\nfarthest that two joints disagree about it: %s", typed(say.Metres(w.Spread)))
	}
	fmt.Fprintf(out, "\nweights sum to %.6g\n", w.WeightSum)
	fmt.Fprintf(out, "the sum as stored, metres  %s\n", place(w.Stored))
	for _, o := range []struct {
		name string
		deform.Other
	}{
		{"weights made whole", w.Whole}, {"strongest four, whole", w.Strongest},
		{"first four, whole", w.FirstFour}, {"dual quaternions", w.Dual},
	} {
		fmt.Fprintf(out, "%-26s %s   %s from it\n", o.name, place(o.Place), typed(say.Metres(o.Shift)))
	}
	if method == "dual" {
		fmt.Fprintf(out, "place by the method asked  %s\n", place(w.Place))
	}
}
