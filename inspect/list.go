package inspect

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"

	"rigloupe/inspect/binding"
	"rigloupe/inspect/cells"
	"rigloupe/inspect/rig"
)

// WriteList writes the whole place of a finding, to be pasted into another
// program: joints by name, a line each, clips the same way, then for every primitive a line that
// names it and one with its vertices, as elements of its accessors. Joints that hang
// wrongly are rows of a table of comma-separated values, child and parent (RFC 4180); so
// are the places of a finding that stands in several (writeRows).
// Nothing is cut. number is the finding's own, from 1.
func (r *Result) WriteList(to io.Writer, number int) error {
	all := r.Findings()
	if number < 1 || number > len(all) {
		return fmt.Errorf("finding %d: there are %d", number, len(all))
	}
	where, g := &all[number-1].Where, r.Exam.Rig
	w := bufio.NewWriter(to)
	name := func(n rig.Node) string {
		switch {
		case n < 0:
			return ""
		case g.Nodes[n].Name == "":
			return fmt.Sprintf("node %d", n)
		}
		return g.Nodes[n].Name
	}
	if len(where.Hang) > 0 {
		out := csv.NewWriter(w)
		rows := [][]string{{"child", "parent"}}
		for _, h := range where.Hang {
			rows = append(rows, []string{cells.Text(name(h[0])), cells.Text(name(h[1]))})
		}
		return errors.Join(out.WriteAll(rows), w.Flush())
	}
	if rows := all[number-1].Rows; len(rows) > 0 {
		return errors.Join(r.writeRows(w, rows, name), w.Flush())
	}
	for _, n := range where.Joints {
		w.WriteString(name(n) + "\n")
	}
	for _, c := range where.Clips {
		name := g.Clips[c].Name
		if name == "" {
			name = fmt.Sprintf("clip %d", c)
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

// WriteJoints writes the joints of the file's skins as comma-separated values; nothing
// where Binding did not run.
func (r *Result) WriteJoints(w io.Writer) error {
	hang := map[rig.Node]rig.Node{}
	for _, f := range r.Findings() {
		for _, h := range f.Where.Hang {
			hang[h[0]] = h[1]
		}
	}
	if facts := FactsOf[binding.Facts](r); facts != nil {
		return facts.WriteCSV(w, hang)
	}
	return nil
}
