package inspect

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
)

// WriteList writes the whole place of a finding, to be pasted into another
// program: joints by name, a line each, then for every primitive a line that
// names it and one with its vertices, as elements of its accessors. Nothing is
// cut. number is the finding's own, from 1.
func (r *Result) WriteList(to io.Writer, number int) error {
	all := r.Findings()
	if number < 1 || number > len(all) {
		return fmt.Errorf("finding %d: there are %d", number, len(all))
	}
	where, g := &all[number-1].Where, r.Exam.Rig
	w := bufio.NewWriter(to)
	for _, n := range where.Joints {
		name := g.Nodes[n].Name
		if name == "" {
			name = fmt.Sprintf("node %d", n)
		}
		w.WriteString(name + "\n")
	}
	for i := range where.Spots {
		spot := &where.Spots[i]
		surface := g.Surfaces[spot.Surface]
		for j, p := range g.Meshes[surface.Mesh].Primitives {
			named := false
			for _, v := range spot.Vertices {
				if int(v) < p.First || int(v) >= p.First+p.Count {
					continue
				}
				if named {
					w.WriteByte(' ')
				} else {
					fmt.Fprintf(w, "node %d, mesh %d, primitive %d\n", surface.Node, surface.Mesh, j)
					named = true
				}
				w.WriteString(strconv.Itoa(int(v) - p.First))
			}
			if named {
				w.WriteByte('\n')
			}
		}
	}
	return w.Flush()
}
