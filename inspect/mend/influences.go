package mend

import (
	"rigloupe/inspect/original"
	"rigloupe/inspect/weights"
)

// fourOf leaves of a vertex's weights what a file stores: at most four, none faint, in sum 1.
func fourOf(row []weights.Hold) []weights.Hold {
	weights.Sort(row)
	row = row[:min(len(row), 4)]
	weights.Whole(row)
	for len(row) > 1 && row[len(row)-1].Weight < faintBelow {
		row = row[:len(row)-1]
		weights.Whole(row)
	}
	return row
}

// putInfluences writes four joints and weights a vertex and names them in attributes; joints is
// how many the skin has, of answers a vertex's row in the room it is handed. What nothing holds
// must sum to 1 all the same (glTF 2.0, 3.7.3.3).
func putInfluences(d *original.Document, attributes *original.Value, vertices, joints int, of func(v int, row []weights.Hold) []weights.Hold) error {
	numbers, stored := make([]uint32, 4*vertices), make([]float32, 4*vertices)
	four := make([]uint16, 4)
	var row []weights.Hold
	for v := range vertices {
		if row = of(v, row); len(row) == 0 {
			row = append(row, weights.Hold{Weight: 1})
		}
		weights.Store(row, 4, four, stored[4*v:4*v+4])
		for k, j := range four {
			numbers[4*v+k] = uint32(j)
		}
	}
	kind := original.Ubyte
	if joints > 256 {
		kind = original.Ushort
	}
	if err := putArray(d, attributes, "JOINTS_0", original.Uints32("VEC4", kind, numbers), false); err != nil {
		return err
	}
	return putArray(d, attributes, "WEIGHTS_0", original.Floats32("VEC4", stored), false)
}

// putArray stores an array of vertices and names it in a list of attributes.
func putArray(d *original.Document, list *original.Value, name string, a original.Array, bounds bool) error {
	i, err := d.NewAccessor(a, bounds, true)
	if err == nil {
		list.Set(name, original.Whole(i))
	}
	return err
}
