// Package geom is geometry over flat slices: slices in, slices out, and nothing
// about rigs. Positions are x y z float32 one after the other; sums are kept in
// float64.
package geom
