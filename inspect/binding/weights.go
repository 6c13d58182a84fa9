package binding

import (
	"math"

	"rigloupe/inspect/exam"
	"rigloupe/inspect/rig"
)

// Tolerances of weight sums.
const (
	// sumPerWeight times the non-zero weights of a vertex is how far a sum of floats
	// may be off 1 (named by a note of glTF 2.0, Skinned Mesh Attributes, for conformance checks; value from memory).
	sumPerWeight = 2e-7
	// faintWeight moves nothing that can be seen (common practice, no source).
	faintWeight = 0.01
)

// tenths are k/10 exactly as float64, the upper edges of the histogram's bins.
var tenths = [9]float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9}

// bin is the place k of a weight above 0 in (k/10, (k+1)/10], for the float32
// widened.
func bin(w float64) int {
	b := 9
	if w < 1 { // beyond it the conversion leaves its range, each platform its own way
		b = int(w * 10)
	}
	for b < 9 && w > tenths[b] {
		b++
	}
	for b > 0 && w <= tenths[b-1] {
		b--
	}
	return b
}

// slots of one vertex: the joints that have weight, each once.
type slots struct {
	joint  []uint16
	weight []float64
	wild   map[rig.Vertex]bool // vertices of the mesh with a weight that is no number, read as 0
}

// tally counts the weights of one surface into its skin.
func tally(e *exam.Exam, surface int, k *Skin, counts []uint8) {
	mesh := e.Rig.Surfaces[surface].Mesh
	m := &e.Rig.Meshes[mesh]
	used := e.Used(mesh)
	rest := e.RestPositions(surface)
	n := m.Vertices()
	k.Vertices += n
	s, cells := slots{wild: map[rig.Vertex]bool{}}, sums{}
	defer func() { k.Off = append(k.Off, cells.list()...) }()
	for _, v := range m.NonFinite {
		s.wild[v] = true
	}
	for p := range m.Primitives {
		prim := &m.Primitives[p]
		full := fullScale(prim)
		for v := prim.First; v < prim.First+prim.Count && v < n; v++ {
			sum, count := s.read(m, v, k, surface, used[v])
			k.Influences[min(count, 8)]++
			k.MostInfluences = max(k.MostInfluences, count)
			counts[v] = uint8(min(count, 255))
			if s.wild[rig.Vertex(v)] {
				continue // told as a bad weight: its sum says nothing
			}
			if sum == 0 {
				k.Unbound++
				if used[v] {
					k.UnboundAt.add(surface, rig.Vertex(v))
				}
				continue
			}
			if math.IsNaN(sum) || math.IsInf(sum, 0) {
				continue // counted as a bad weight
			}
			off := math.Abs(sum - 1)
			wrong := off > sumPerWeight*float64(count)
			if i := v - prim.First; full > 0 && i < len(prim.WeightSums) {
				raw := prim.WeightSums[i]
				off = math.Abs(float64(raw)/full - 1)
				wrong = raw != uint32(full)
			}
			k.LargestSumError = max(k.LargestSumError, off)
			if !wrong {
				continue
			}
			k.SumOff++
			if !used[v] {
				continue
			}
			o := Sum{Surface: surface, Vertex: rig.Vertex(v), Error: off, Eight: full == 255}
			x, y, z := float64(rest[3*v]), float64(rest[3*v+1]), float64(rest[3*v+2])
			// The vertex lies at sum × its place.
			if d := off / math.Abs(sum) * math.Sqrt(x*x+y*y+z*z); !math.IsNaN(d) && !math.IsInf(d, 0) {
				o.Throw = d
			}
			k.Sums = append(k.Sums, o)
			cells.add(o)
		}
	}
}

// fullScale is the sum that integer weights must have, 0 for floats.
func fullScale(p *rig.PrimitiveData) float64 {
	switch {
	case p.WeightSums == nil:
		return 0
	case p.WeightType == 5121:
		return 255
	case p.WeightType == 5123:
		return 65535
	}
	return 0
}

// read counts one vertex's weights into the joints. It answers their sum as stored
// and how many are not 0.
func (s *slots) read(m *rig.MeshData, v int, k *Skin, surface int, used bool) (sum float64, count int) {
	s.joint, s.weight = s.joint[:0], s.weight[:0]
	joints := len(k.Joints)
	top, topWeight := -1, 0.0
	badIndex, badWeight, faint := false, s.wild[rig.Vertex(v)], false
	for i, end := v*m.K, v*m.K+m.K; i < end; i++ {
		w32 := m.Weights[i]
		if w32 == 0 {
			continue
		}
		w := float64(w32)
		count++
		sum += w
		if !(w > 0) || w32 > math.MaxFloat32 {
			badWeight = true
		} else if w < faintWeight {
			k.Faint++
			faint = true
		}
		j := int(m.Joints[i])
		if j >= joints {
			badIndex = true
			continue
		}
		if w > topWeight && w32 <= math.MaxFloat32 {
			top, topWeight = j, w
		}
		s.add(m.Joints[i], w)
	}
	k.Weights += count
	if faint && used {
		k.FaintAt.add(surface, rig.Vertex(v))
	}
	if badIndex {
		k.BadIndex++
	}
	if badWeight {
		k.BadWeight++
	}
	if (badIndex || badWeight) && used {
		k.BadAt.add(surface, rig.Vertex(v))
	}
	if top >= 0 {
		k.Joints[top].Dominant++
	}
	for i, w := range s.weight {
		j := &k.Joints[s.joint[i]]
		if math.IsNaN(w) || math.IsInf(w, 0) {
			continue
		}
		j.WeightSum += w
		if w > 0 {
			j.Vertices++
			j.Histogram[bin(w)]++
			j.Largest = max(j.Largest, w)
		}
	}
	return sum, count
}

// add joins weights of one joint that a vertex names twice.
func (s *slots) add(joint uint16, w float64) {
	for i, j := range s.joint {
		if j == joint {
			s.weight[i] += w
			return
		}
	}
	s.joint, s.weight = append(s.joint, joint), append(s.weight, w)
}
