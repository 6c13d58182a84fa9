package binding

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"rigloupe/inspect/cells"
	"rigloupe/inspect/rig"
)

// WriteCSV writes the table of joints, a row a joint of a skin, with a head row
// (RFC 4180): lengths in metres, weights as stored, bins as in the facts. A name
// that a spreadsheet would run as a formula is marked as text.
// hang names for joints that hang wrongly the one to hang them on, as the station
// Skeleton found it (None: on none that is there); nil: it was not asked.
func (f *Facts) WriteCSV(w io.Writer, hang map[rig.Node]rig.Node) error {
	out := csv.NewWriter(w)
	head := []string{"skin", "node", "joint", "vertices", "dominant", "weight_sum", "largest"}
	for k := range 10 {
		head = append(head, fmt.Sprintf("bin_%d_%d", 10*k, 10*k+10))
	}
	if err := out.Write(append(head, "reach_m", "islands", "partner_node", "partner", "partner_difference", "idle", "hang_on_node", "hang_on")); err != nil {
		return err
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 9, 64) }
	for i := range f.Skins {
		for _, j := range f.Skins[i].Joints {
			row := []string{
				strconv.Itoa(int(f.Skins[i].Skin)), strconv.Itoa(int(j.Node)), cells.Text(string(j.Name)),
				strconv.Itoa(j.Vertices), strconv.Itoa(j.Dominant), number(j.WeightSum), number(j.Largest),
			}
			for _, n := range j.Histogram {
				row = append(row, strconv.Itoa(n))
			}
			partner, name, difference := "", "", ""
			if j.Partner != nil {
				partner, name = strconv.Itoa(int(*j.Partner)), cells.Text(f.plainNames[*j.Partner])
			}
			if f.MirrorMismatch != nil {
				difference = number(j.Mismatch)
			}
			row = append(row, number(j.Reach), strconv.Itoa(j.Islands), partner, name, difference, j.Class)
			node, on := "", ""
			if n, ok := hang[j.Node]; ok {
				if on = "nothing that is there"; n >= 0 {
					node, on = strconv.Itoa(int(n)), cells.Text(f.plainNames[n])
				}
			}
			row = append(row, node, on)
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
