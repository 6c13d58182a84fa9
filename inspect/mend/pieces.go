package mend

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"rigloupe/inspect/check"
	"rigloupe/inspect/original"
	"rigloupe/inspect/rig"
	"rigloupe/inspect/say"
	"rigloupe/inspect/space"
)

// farFromPiece is how far from a vertex a place may lie and name its piece, in diagonals.
const farFromPiece = 0.01

// cutting is connected triangles of one surface.
type cutting struct {
	surface int
	shell   int32
	of      []int32 // vertex → shell
}

// pieces finds those that the values name by a place. A surface of which all pieces are named
// goes as a whole: it is added to out.
func (w *Work) pieces(out map[int]bool) (list []cutting, err error) {
	shells := map[int][]int32{}
	named := map[int]map[int32]bool{}
	for _, text := range w.Values.List("pieces") {
		at, err := w.place(text)
		if err != nil {
			return nil, err
		}
		best, near, vertex := math.Inf(1), -1, 0
		for _, i := range w.Exam.Shown() {
			m := &w.Rig.Meshes[w.Rig.Surfaces[i].Mesh]
			p := w.Exam.RestPositions(i)
			for _, v := range m.Triangles {
				if d := space.At(p, int(v)).Sub(at).Len(); d < best {
					best, near, vertex = d, i, int(v)
				}
			}
		}
		if !(best <= farFromPiece*w.Exam.Size()) {
			return nil, w.Refuse("No piece lies at %s: the nearest vertex is %s away.", text, say.Quantity(best, say.Metre))
		}
		mesh := w.Rig.Surfaces[near].Mesh
		if n := len(slices.DeleteFunc(slices.Clone(w.Rig.Surfaces), func(s rig.Surface) bool { return s.Mesh != mesh })); n > 1 {
			return nil, w.Refuse("The mesh of %q is shown %d times: a piece of it would go from each.", surfaceName(w.Rig, near), n)
		}
		if shells[near] == nil {
			shells[near], _ = w.Exam.ShellsOf(mesh)
			named[near] = map[int32]bool{}
		}
		shell := shells[near][vertex]
		if named[near][shell] || out[near] {
			continue
		}
		named[near][shell] = true
		list = append(list, cutting{near, shell, shells[near]})
	}
	for i, of := range shells {
		m := &w.Rig.Meshes[w.Rig.Surfaces[i].Mesh]
		if !slices.ContainsFunc(m.Triangles, func(v uint32) bool { return !named[i][of[v]] }) {
			out[i] = true
			list = slices.DeleteFunc(list, func(p cutting) bool { return p.surface == i })
		}
	}
	return list, nil
}

// place reads "x y z".
func (w *Work) place(text string) (at space.Vec, err error) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' })
	if len(fields) != 3 {
		return at, w.Refuse("A piece is named by three numbers, x y z, not by %q.", text)
	}
	for k, s := range fields {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return at, w.Refuse("A piece is named by three numbers: %q is none.", s)
		}
		at[k] = v
	}
	return at, nil
}

// cutOut takes pieces out of their meshes, and the vertices that nothing uses then.
func (w *Work) cutOut(list []cutting) error {
	gone := map[int]map[int32]bool{}
	of := map[int][]int32{}
	for _, p := range list {
		if gone[p.surface] == nil {
			gone[p.surface] = map[int32]bool{}
		}
		gone[p.surface][p.shell], of[p.surface] = true, p.of
	}
	vertices := 0
	for i := range w.Rig.Surfaces {
		if gone[i] == nil {
			continue
		}
		n, err := w.cutMesh(w.Rig.Surfaces[i].Mesh, func(v uint32) bool { return gone[i][of[i][v]] })
		if err != nil {
			return err
		}
		vertices += n
		w.Say("%s of %q out.", say.Count(len(gone[i]), "piece is", "pieces are"), surfaceName(w.Rig, i))
	}
	if vertices > 0 {
		w.Measure(check.Also("pieces cut out", float64(len(list)), say.Shells))
		w.Measure(check.Also("vertices that went with them", float64(vertices), say.Vertices))
	}
	return nil
}

// cutMesh drops the triangles of some vertices. A primitive that loses all of them goes; it
// answers how many vertices went.
func (w *Work) cutMesh(mesh rig.Mesh, out func(v uint32) bool) (fewer int, err error) {
	m := &w.Rig.Meshes[mesh]
	x := &welding{w: w, is: w.Rig, drop: make([][]bool, len(w.Rig.Meshes))}
	drop := make([]bool, len(m.Triangles)/3)
	empty := map[int]bool{}
	for p, d := range m.Primitives {
		left := 0
		for t := d.FirstTri; t < d.FirstTri+d.TriCount; t++ {
			if drop[t] = out(m.Triangles[3*t]); !drop[t] {
				left++
			}
		}
		if left == 0 && d.TriCount > 0 { // it stays whole until it goes
			empty[p] = true
			clear(drop[d.FirstTri : d.FirstTri+d.TriCount])
		}
	}
	x.drop[mesh] = drop
	from, err := x.compact(int(mesh))
	if err != nil {
		return 0, err
	}
	var rest [][]int32
	for p := range from {
		if !empty[p] {
			rest = append(rest, from[p])
		}
	}
	if len(empty) > 0 {
		w.Doc.Object(original.Meshes, int(mesh)).Get("primitives").Delete(func(p int) bool { return empty[p] })
		w.Doc.Refresh(original.Meshes, int(mesh))
	}
	all := slices.Concat(rest...)
	w.Renumbered(mesh, all)
	return m.Vertices() - len(all), nil
}
