package bends

import (
	"encoding/csv"
	"io"
	"strconv"
)

var columns = []string{"severity", "node", "joint", "axis", "degrees", "volume", "volume_dual", "radius", "radius_dual",
	"stretch_p99_half_way", "stretch_p99", "stretch_p99_dual", "stretch_max", "turned_over_share", "turned_over_share_dual", "crack_max_m", "bleed_vertices", "moved_triangles"}

// WriteCSV writes the moves as a table, the worst first (RFC 4180). Names from the file
// stand in quotation marks, so that no spreadsheet takes one for a formula; a cell is
// empty where a measure has no value.
func (f *Facts) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(columns); err != nil {
		return err
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	maybe := func(p *float64) string {
		if p == nil {
			return ""
		}
		return number(*p)
	}
	for i := range f.Moves {
		m := &f.Moves[i]
		if err := out.Write([]string{number(m.Severity), strconv.Itoa(int(m.Joint)), f.Name(m), m.Axis, number(m.Degrees),
			maybe(m.Volume), maybe(m.VolumeDual), maybe(m.Radius), maybe(m.RadiusDual),
			maybe(m.P99Half), maybe(m.P99), maybe(m.P99Dual), maybe(m.Max), maybe(m.Turned), maybe(m.TurnedDual),
			number(m.Crack), strconv.Itoa(m.Bleed), strconv.Itoa(m.Triangles)}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// Name is the joint of a move as words: its name in quotation marks, or its number.
func (f *Facts) Name(m *Move) string { return f.called(m.Joint) }

// Why is why nothing was bent, or "".
func (f *Facts) Why() string { return f.WhyNot }
