// Package ramp holds the colours of both papers and the scales that values are
// read by. A colour is a uint32 whose bytes in memory (little endian) are
// R, G, B, A.
package ramp

// Paper is one of the two grounds with all its colours.
type Paper struct {
	Night                      bool
	Paper, Sheet, Well, Figure uint32
	Ink, Ink2, Rule, Hair      uint32
	Brass, BrassLeaf, Wash     uint32
	Stop, Flaw, Note           uint32
	Left, Right                uint32
	Ramp                       [11]uint32
	Press                      [4]uint32 // Press[0] equals Ramp[0]
	Category                   []uint32
	Count                      []uint32
}

// Day and Night are the two papers.
func Day() *Paper   { return &Paper{} }
func Night() *Paper { return &Paper{Night: true} }

// At gives the ramp's colour for a value 0 … 1, eleven stops straight in sRGB.
func (p *Paper) At(v float32) uint32 { return 0 }

// Assign gives every node of a tree one of n categories so that no node has
// its parent's, its grandparent's or, where n allows, an elder sibling's.
// parent[i] is −1 at a root. The answer is stable.
func Assign(parent []int, n int) []uint8 { return make([]uint8, len(parent)) }
