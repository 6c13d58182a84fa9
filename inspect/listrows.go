package inspect

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"rigloupe/inspect/cells"
	"rigloupe/inspect/check"
	"rigloupe/inspect/rig"
)

var rowColumns = []string{"place", "joints", "axis", "degrees", "measure", "value", "unit", "limit", "node", "mesh", "primitive", "vertices"}

// writeRows writes the places of a finding as a table (RFC 4180): a line a place and
// primitive, with its vertices as elements of the primitive's accessors, parted by
// blanks; one line for a place without vertices.
func (r *Result) writeRows(to io.Writer, rows []check.Row, name func(rig.Node) string) error {
	out := csv.NewWriter(to)
	if err := out.Write(rowColumns); err != nil {
		return err
	}
	g := r.Exam.Rig
	for i := range rows {
		row := &rows[i]
		line := make([]string, len(rowColumns))
		line[0] = strconv.Itoa(i + 1)
		var joints []string
		for _, n := range row.Where.Joints {
			joints = append(joints, name(n))
		}
		line[1] = cells.Text(strings.Join(joints, "; "))
		if m := row.Where.Move; m != nil {
			line[2], line[3] = m.Axis, plainly(m.Degrees)
		}
		if len(row.Measures) > 0 {
			m := &row.Measures[0]
			line[4], line[5], line[6] = m.Name, plainly(m.Value), m.Unit.Many
			if m.Limit == m.Limit {
				line[7] = plainly(m.Limit)
			}
		}
		written := false
		for k := range row.Where.Spots {
			spot := &row.Where.Spots[k]
			surface := g.Surfaces[spot.Surface]
			for j, p := range g.Meshes[surface.Mesh].Primitives {
				var own []string
				for _, v := range spot.Vertices {
					if int(v) >= p.First && int(v) < p.First+p.Count {
						own = append(own, strconv.Itoa(int(v)-p.First))
					}
				}
				if own == nil {
					continue
				}
				line[8], line[9], line[10], line[11] = strconv.Itoa(int(surface.Node)), strconv.Itoa(int(surface.Mesh)), strconv.Itoa(j), strings.Join(own, " ")
				if err := out.Write(line); err != nil {
					return err
				}
				written = true
			}
		}
		if !written {
			if err := out.Write(line); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func plainly(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
