package geom

import "math"

// Welded joins the vertices of one mesh whose positions are equal, bit by bit
// after −0 became +0. Groups are numbered in the order of their first vertex.
type Welded struct {
	Of    []uint32 // vertex → group, one a vertex
	First []uint32 // group → its first vertex, one a group
}

// Groups counts the distinct positions.
func (w *Welded) Groups() int { return len(w.First) }

// Weld groups positions (3·V) by exact value. It takes linear time and never
// compares by distance: a tolerance would join what the file keeps apart. NaNs
// of equal bits are one place.
func Weld(positions []float32, watch *Watch) Welded {
	n := len(positions) / 3
	w := Welded{Of: make([]uint32, n), First: make([]uint32, 0, n/2+1)}
	size := 16
	for size < n+n/2 {
		size *= 2
	}
	mask := uint32(size - 1)
	table := make([]uint32, size) // group+1, 0: free
	for v := range n {
		if v%Stride == 0 && !watch.Spend(4*Stride) {
			if v == 0 {
				w.First = append(w.First, 0)
			}
			break
		}
		x, y, z := weldBits(positions[3*v]), weldBits(positions[3*v+1]), weldBits(positions[3*v+2])
		slot := weldHash(x, y, z) & mask
		for {
			g := table[slot]
			if g == 0 {
				w.First = append(w.First, uint32(v))
				table[slot] = uint32(len(w.First))
				w.Of[v] = uint32(len(w.First)) - 1
				break
			}
			f := 3 * w.First[g-1]
			if weldBits(positions[f]) == x && weldBits(positions[f+1]) == y && weldBits(positions[f+2]) == z {
				w.Of[v] = g - 1
				break
			}
			slot = (slot + 1) & mask
		}
	}
	return w
}

// weldBits are the bits that are compared. Adding +0 turns −0 into +0.
func weldBits(f float32) uint32 { return math.Float32bits(f + 0) }

// weldHash mixes all bits of all three: coordinates on a lattice differ in a few
// high bits only, and a weak mix would line them up in the table. The two rounds
// are those of a 64-bit finaliser (splitmix64, Steele, Lea, Flood 2014).
func weldHash(x, y, z uint32) uint32 {
	h := (uint64(x)<<32 | uint64(y)) + uint64(z)*0x9e3779b97f4a7c15
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return uint32(h ^ h>>31)
}
