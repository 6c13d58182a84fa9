package binding

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"rigloupe/inspect/cells"
)

// WriteCSV writes the table of joints, a row a joint of a skin, with a head row
// (RFC 4180): lengths in metres, weights as stored, bins as in the facts. A name
// that a spreadsheet would run as a formula is marked as text.
func (f *Facts) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	head := []string{"skin", "node", "joint", "vertices", "dominant", "weight_sum", "largest"}
	for k := range 10 {
		head = append(head, fmt.Sprintf("bin_%d_%d", 10*k, 10*k+10))
	}
	if err := out.Write(append(head, "reach_m", "islands", "partner_node", "partner", "partner_difference", "idle")); err != nil {
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
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
