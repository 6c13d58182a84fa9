package bends

import "math"

// seamDifference is how much influences may differ in sum before two vertices in one
// place count as bound differently: above the rounding of weights of 16 bits.
const seamDifference = 1e-4

// crowd is how many vertices of one place are compared; more are no surface.
const crowd = 16

// findSeams lists the places whose vertices are bound differently.
func (b *body) findSeams() {
	used := make([]bool, len(b.place))
	for _, v := range b.tri {
		used[v] = true
	}
	b.seamOf = make([]int32, len(b.place))
	start, order := lists(len(b.of), b.place)
	diff := make([]float64, len(b.r.Nodes))
	for p := range b.of {
		all := order[start[p]:start[p+1]]
		if len(all) < 2 {
			continue
		}
		var kept []uint32
		for _, v := range all {
			if used[v] && len(kept) < crowd {
				kept = append(kept, v)
			}
		}
		split := false
		for i := 1; i < len(kept) && !split; i++ {
			split = b.differ(kept[0], kept[i], diff) > seamDifference
		}
		if !split {
			continue
		}
		b.seams = append(b.seams, kept)
		for _, v := range kept {
			b.seamOf[v] = int32(len(b.seams))
		}
	}
}

// differ is how far apart the weights of two vertices are, by node; diff is scratch
// that holds zeros.
func (b *body) differ(v, w uint32, diff []float64) (sum float64) {
	for k := b.start[v]; k < b.start[v+1]; k++ {
		diff[b.holder[k]] += b.weight[k]
	}
	for k := b.start[w]; k < b.start[w+1]; k++ {
		diff[b.holder[k]] -= b.weight[k]
	}
	for _, u := range [2]uint32{v, w} {
		for k := b.start[u]; k < b.start[u+1]; k++ {
			sum += math.Abs(diff[b.holder[k]])
			diff[b.holder[k]] = 0
		}
	}
	return sum
}
