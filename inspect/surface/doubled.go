package surface

import (
	"math"

	"rigloupe/inspect/geom"
	"rigloupe/inspect/rig"
)

// findDoubled answers the vertices that are an earlier one of their primitive
// again, bit by bit in every attribute: position, normal, UV, joints, weights and
// morph targets. Splits of normals and UVs differ in one of them. One table, so it
// is linear however many stand in one place.
func findDoubled(m *sheetMesh, watch *geom.Watch) (out []rig.Vertex) {
	d := m.data
	most := 0
	for i := range d.Primitives {
		most = max(most, d.Primitives[i].Count)
	}
	size := 16
	for size < 2*min(most, len(m.of)) {
		size *= 2
	}
	table := make([]uint32, size) // vertex+1
	for i := range d.Primitives {
		p := &d.Primitives[i]
		if i > 0 && sharesArray(d, i) {
			continue // the same stored vertices, read a second time
		}
		// As much of the table as this primitive needs: thousands of small ones beside a
		// large one must not clear the whole of it each time.
		size := 16
		for size < 2*min(p.Count, len(m.of)) {
			size *= 2
		}
		clear(table[:size])
		mask := uint64(size - 1)
		for v := p.First; v < p.First+p.Count && v < len(m.of); v++ {
			if v%geom.Stride == 0 && !watch.Spend(20*geom.Stride) {
				return out
			}
			if !m.used[v] {
				continue
			}
			slot := vertexHash(m, v) & mask
			for table[slot] != 0 && !sameVertex(m, int(table[slot]-1), v) {
				slot = (slot + 1) & mask
			}
			if table[slot] != 0 {
				out = append(out, rig.Vertex(v))
			} else {
				table[slot] = uint32(v) + 1
			}
		}
	}
	return out
}

// sharesArray tells that an earlier primitive has the same array of positions.
func sharesArray(d *rig.MeshData, i int) bool {
	for j := range i {
		if d.Primitives[j].Array == d.Primitives[i].Array && d.Primitives[i].Array >= 0 {
			return true
		}
	}
	return false
}

func vertexHash(m *sheetMesh, v int) uint64 {
	h := uint64(m.of[v]) + 0x9e3779b97f4a7c15
	mix := func(x uint64) {
		h = (h ^ x) * 0xbf58476d1ce4e5b9
		h ^= h >> 29
	}
	d := m.data
	if d.Normals != nil {
		mix(uint64(math.Float32bits(d.Normals[3*v]))<<32 | uint64(math.Float32bits(d.Normals[3*v+1])))
	}
	if d.UV != nil {
		mix(uint64(math.Float32bits(d.UV[2*v]))<<32 | uint64(math.Float32bits(d.UV[2*v+1])))
	}
	for k := range d.K {
		mix(uint64(d.Joints[d.K*v+k])<<32 | uint64(math.Float32bits(d.Weights[d.K*v+k])))
	}
	return h ^ h>>32
}

func sameVertex(m *sheetMesh, a, b int) bool {
	d := m.data
	if m.of[a] != m.of[b] || !sameRow(d.Normals, 3, a, b) || !sameRow(d.UV, 2, a, b) || !sameRow(d.Weights, d.K, a, b) {
		return false
	}
	for k := range d.K {
		if d.Joints[d.K*a+k] != d.Joints[d.K*b+k] {
			return false
		}
	}
	for i := range d.Targets {
		if !sameRow(d.Targets[i].Positions, 3, a, b) || !sameRow(d.Targets[i].Normals, 3, a, b) {
			return false
		}
	}
	return true
}

func sameRow(list []float32, width, a, b int) bool {
	if list == nil {
		return true
	}
	for k := range width {
		if math.Float32bits(list[width*a+k]) != math.Float32bits(list[width*b+k]) {
			return false
		}
	}
	return true
}
