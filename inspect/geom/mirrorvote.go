package geom

import (
	"math"
	"slices"

	"rigloupe/inspect/space"
)

// Votes: two points that are partners have the same edges around them, to the last
// digits that float32 left. So points are sorted by the mean length of their
// edges, each of a sample is paired with its neighbours in that order, and every
// pair votes for the plane half way between. Right pairs agree, wrong ones
// scatter. (Pairs of like signature that vote: Mitra, Guibas, Pauly 2006; the
// signature is ours.) Gear on one side, which draws centroid and axes away, has
// no say here.
const (
	voteSample     = 500  // points that vote: as with sampleSize, shares are right to some per cent
	voteNeighbours = 8    // that follow in that order
	voteNormal     = 20   // bins a unit of normal: 3°
	voteOffset     = 0.02 // of the diagonal
)

type voteBin [4]int16

// votes answers the planes most pairs agree on, relative to the middle.
func (f *finder) votes(edge []float32) []Plane {
	order := make([]uint32, 0, len(edge))
	for i, l := range edge {
		if l > 0 {
			order = append(order, uint32(i))
		}
	}
	if len(order) < 2 {
		return nil
	}
	slices.SortFunc(order, func(a, b uint32) int {
		if edge[a] != edge[b] {
			if edge[a] < edge[b] {
				return -1
			}
			return 1
		}
		return int(a) - int(b)
	})
	type sum struct {
		normal space.Vec
		offset float64
		count  int
	}
	bins := map[voteBin]sum{}
	k := min(len(order), voteSample)
	for s := range k {
		at0 := s * len(order) / k
		a := order[at0]
		for _, b := range order[at0+1 : min(len(order), at0+1+voteNeighbours)] {
			p, q := space.At(f.points, a), space.At(f.points, b)
			d := p.Sub(q)
			if d.Len() < 0.02*f.diagonal {
				continue // too close to tell a direction
			}
			plane := planeThrough(d, p.Add(q).Mul(0.5))
			bin := voteBin{
				int16(math.Round(plane.Normal[0] * voteNormal)), int16(math.Round(plane.Normal[1] * voteNormal)), int16(math.Round(plane.Normal[2] * voteNormal)),
				int16(math.Round(plane.Offset / (voteOffset * f.diagonal)))}
			v := bins[bin]
			v.normal, v.offset, v.count = v.normal.Add(plane.Normal), v.offset+plane.Offset, v.count+1
			bins[bin] = v
		}
	}
	keys := make([]voteBin, 0, len(bins))
	for b := range bins {
		keys = append(keys, b)
	}
	slices.SortFunc(keys, func(a, b voteBin) int {
		if bins[a].count != bins[b].count {
			return bins[b].count - bins[a].count
		}
		return slices.Compare(a[:], b[:])
	})
	var planes []Plane
	for _, b := range keys[:min(len(keys), 2*contenders)] {
		v := bins[b]
		if v.count < 3 {
			break
		}
		planes = append(planes, planeThrough(v.normal, v.normal.Mul(v.offset/float64(v.count)/v.normal.Len())))
	}
	return planes
}
